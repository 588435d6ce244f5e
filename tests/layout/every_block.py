"""Documents that hold every block, in three languages; invented words, no real clinic."""

from __future__ import annotations

from docbuilder.document.blocks import (
    Block,
    CalendarDay,
    CalendarGrid,
    CalendarMonth,
    CheckItem,
    Column,
    Columns,
    Document,
    FigureBlock,
    Furniture,
    Heading,
    KeepTogether,
    ListBlock,
    PageBreak,
    Pair,
    Pairs,
    Panel,
    Paragraph,
    QrCode,
    Run,
    Runs,
    SettingsEntry,
    SettingsPanel,
    SignatureBlock,
    SignatureLine,
    Step,
    Steps,
    Table,
    WriteLines,
)
from docbuilder.document.scene import Ink, Label, Path, Scene

SIZE = "\u206650\u00a0mm × 50\u00a0mm\u2069"

WORDS: dict[str, dict[str, str]] = {
    "en": {
        "title": "Your treatment at home",
        "body": "The current goes through the skin to the nerve. It should feel strong, but "
        "it must never hurt. You can stop at any time.",
        "item": f"Two pads, {SIZE}",
        "stop": "STOP",
        "word": "Session",
        "step": "Hold the power key until the display lights up.",
        "label": "Inner ankle bone, on the side of the other foot",
        "unit": "min",
        "yes": "Yes",
        "no": "No",
        "sign": "Signature",
        "page": "Page {page} of {pages}",
        "days": "Mon Tue Wed Thu Fri Sat Sun",
    },
    "ar": {
        "title": "علاجك في المنزل",
        "body": "يمر التيار عبر الجلد إلى العصب. يجب أن تشعر به بقوة، لكن يجب ألا يؤلمك "
        "أبدًا. يمكنك التوقف في أي وقت.",
        "item": f"لصقتان، {SIZE}",
        "stop": "توقف",
        "word": "جلسة",
        "step": "اضغط مفتاح التشغيل مطولًا حتى تضيء الشاشة.",
        "label": "عظم الكاحل الداخلي من جهة القدم الأخرى",
        "unit": "دقيقة",
        "yes": "نعم",
        "no": "لا",
        "sign": "التوقيع",
        "page": "صفحة {page} من {pages}",
        "days": "الاثنين الثلاثاء الأربعاء الخميس الجمعة السبت الأحد",
    },
    "hi": {
        "title": "घर पर आपका इलाज",
        "body": "करंट त्वचा से होकर नस तक जाता है। यह तेज़ महसूस होना चाहिए, पर दर्द कभी नहीं "
        "होना चाहिए। आप कभी भी रुक सकते हैं।",
        "item": f"दो पैड, {SIZE}",
        "stop": "रुकें",
        "word": "सत्र",
        "step": "पावर कुंजी को तब तक दबाए रखें जब तक स्क्रीन न जले।",
        "label": "टखने की भीतरी हड्डी, दूसरे पैर की ओर",
        "unit": "मिनट",
        "yes": "हाँ",
        "no": "नहीं",
        "sign": "हस्ताक्षर",
        "page": "पृष्ठ {page} / {pages}",
        "days": "सोम मंगल बुध गुरु शुक्र शनि रवि",
    },
}


def runs(text: str) -> Runs:
    return (Run(text),)


def paragraph(text: str) -> Paragraph:
    return Paragraph(runs(text))


def square(x: float, y: float, side: float, ink: Ink = Ink()) -> Path:  # noqa: B008
    corners = (("L", x + side, y), ("L", x + side, y + side), ("L", x, y + side))
    return Path((("M", x, y), *corners, ("Z",)), ink)  # type: ignore[arg-type]


def named_scene(words: dict[str, str]) -> Scene:
    paths = (square(5, 5, 50), square(20, 20, 15, Ink(fill="accent_tint", stroke="accent")))
    labels = tuple(
        Label(f"spot {i}", (x, y), words["label"]) for i, (x, y) in enumerate([(10, 50), (12, 48)])
    )
    right = Label("right", (50, 20), words["word"])
    return Scene(60, 60, paths, (*labels, right, Label("mid", (30, 12), "10", inline=True)))


def bar_of_100_mm() -> Scene:
    ink = Ink(width_pt=0.5)
    return Scene(100, 10, (Path((("M", 0, 5), ("L", 100, 5)), ink),), true_size=True)


def calendar(words: dict[str, str]) -> CalendarGrid:
    marks = ("none", "session", "rest", "review", "pads", "battery", "call")
    days = [
        CalendarDay(str(i), marks[i % 7], words["word"], str(i) if i % 7 == 1 else "")  # type: ignore[arg-type]
        for i in range(1, 32)
    ]
    cells = [None, *days, None, None, None]
    weeks = tuple(tuple(cells[i : i + 7]) for i in range(0, 35, 7))
    month = CalendarMonth(words["title"], tuple(words["days"].split()), weeks)
    key = tuple((mark, f"{words['word']} {i}") for i, mark in enumerate(marks) if mark != "none")
    return CalendarGrid((month, month, month), key)


def signature(words: dict[str, str]) -> SignatureBlock:
    fields = ((words["sign"], 3.0), (words["word"], 2.0), (words["yes"], 1.0))
    line = SignatureLine(runs(words["title"]), fields, ("", words["word"]))
    return SignatureBlock(runs(words["body"]), (line, line))


def all_blocks(language: str) -> tuple[Block, ...]:
    words = WORDS[language]
    body, item = paragraph(words["body"]), paragraph(words["item"])
    linked = (Run(words["item"]), Run(words["word"], bold=True, link="tel:+442055501000"))
    foreign = (Run(words["word"]), Run("Musculus", language="la"))
    columns = (Column(runs(words["word"]), 1), Column(runs(words["title"]), 2, "end"))
    rows = tuple((runs(words["word"]), runs(f"{words['body']} {i}")) for i in range(12))
    entries = (
        SettingsEntry(words["word"], "200", "\u00b5s", words["item"]),
        SettingsEntry(words["sign"], "30", words["unit"]),
        SettingsEntry(words["title"], "1+2"),
    )
    return (
        Heading(1, runs(words["title"])),
        Paragraph(runs(words["body"]), "lead"),
        Paragraph(linked),
        Paragraph(foreign),
        Paragraph(runs(words["body"]), "small"),
        Paragraph(runs(words["body"]), "draft"),
        SettingsPanel(runs(words["title"]), entries),
        Heading(2, runs(words["word"])),
        ListBlock(((item,), (body, item))),
        ListBlock(((item,), (body,)), ordered=True, start=3),
        Heading(3, runs(words["sign"])),
        Steps(
            (
                Step(runs(words["step"]), display="ON"),
                Step(runs(words["step"]), named_scene(words), words["word"]),
            )
        ),
        Table(columns, rows, True, 9.0, runs(words["word"]), shaded_rows=(1,), alt=words["word"]),
        Table(columns, rows[:3], compact=True),
        *[
            Panel(kind, runs(words["title"]), (body, ListBlock(((item,),))), words["stop"])  # type: ignore[arg-type]
            for kind in ("stop", "caution", "info", "plain")
        ],
        FigureBlock(named_scene(words), words["label"], runs(words["word"]), 60),
        FigureBlock(bar_of_100_mm(), words["word"]),
        calendar(words),
        CheckItem(runs(words["body"])),
        CheckItem(runs(words["item"]), "initials"),
        CheckItem(runs(words["item"]), "yes_no", (words["yes"], words["no"])),
        WriteLines(runs(words["step"]), 2),
        Columns((body,), (item, body), 0.4),
        KeepTogether((body, item)),
        PageBreak(),
        body,
        signature(words),
        QrCode("DB-7F3K-22", words["word"]),
    )


def pairs(first: str, second: str) -> Pairs:
    def block_of(language: str) -> list[Block]:
        words = WORDS[language]
        body = paragraph(words["body"])
        return [
            Heading(1, runs(words["title"])),
            body,
            ListBlock(((body,), (body,))),
            Heading(2, runs(words["word"])),
            paragraph(words["body"] * 14),
            Panel("stop", runs(words["title"]), (body,), words["stop"]),
            CheckItem(runs(words["item"]), "yes_no", (words["yes"], words["no"])),
            signature(words),
        ]

    rows = zip(block_of(first), block_of(second), strict=True)
    heads = runs(WORDS[first]["word"]), runs(WORDS[second]["word"])
    return Pairs(tuple(Pair(a, b) for a, b in rows), second, second == "ar", heads)


def furniture(language: str, **more: str) -> Furniture:
    words = WORDS[language]
    return Furniture(
        words["word"], "DB-7F3K-22", "2026-11-25", "A. B. · 004711", "Elm Street Clinic",
        "020 555 0100", words["page"], **more,
    )  # fmt: skip


def document(language: str, blocks: tuple[Block, ...] | None = None, **more: object) -> Document:
    options: dict[str, object] = {"paper": "A4", "text_pt": 14.0} | more
    options.setdefault("furniture", furniture(language))
    return Document(
        kind="handout", title=WORDS[language]["title"], language=language, rtl=language == "ar",
        blocks=all_blocks(language) if blocks is None else blocks, **options,  # type: ignore[arg-type]
    )  # fmt: skip
