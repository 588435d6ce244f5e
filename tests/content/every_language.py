"""Documents in every language: real ones, pseudo-languages, pairs, and names of all scripts."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

from every_case import CASES, plan
from example_plans import CLINIC, ISSUE

from docbuilder.content.assemble import assemble
from docbuilder.content.bilingual import pair_documents
from docbuilder.document.blocks import Document
from docbuilder.language.catalogue import Entry
from docbuilder.language.pseudo import pseudo_text, pseudo_words
from docbuilder.language.registry import Language, known_languages
from docbuilder.language.words import Words, load_words
from docbuilder.model.plan import Plan
from docbuilder.pack.catalogue_tool import project_messages

KINDS = ("handout", "consent", "diary", "checklist")
TAGS = tuple(language.tag for language in known_languages())
PLURALS = {(found.context, found.msgid): found.plural for found in project_messages()}
_WANTED = (
    ("urgency", "tibial", "left", "above_first"), ("urge_leakage", "tibial", "right", "foot_arch"),
    ("urge_leakage", "sacral", "midline", "above_first"),
    ("child_overactive_bladder", "sacral", "midline", "above_first"),
    ("urgency", "lower_abdomen", "midline", "above_first"),
    ("urgency", "tibial", "both", "foot_arch"),
)  # fmt: skip
PLACEMENTS = tuple(
    next(case for case in CASES if case[1:] == wanted[1:] and wanted[0] in (case[0], ""))
    if any(case == wanted for case in CASES)
    else next(case for case in CASES if case[1:] == wanted[1:])
    for wanted in _WANTED
)
"""One case for each drawing: both variants at the ankle, each side and both, back, abdomen."""

NAMES = {
    "en": "Ada Example", "es": "Íñigo Muñoz", "fr": "Zoë Lefèvre", "pt": "João Conceição",
    "pl": "Łucja Żółć", "ro": "Ștefan Țîrlea", "ru": "Юрий Щёкин", "vi": "Nguyễn Thị Ngọc Diệp",
    "fil": "Niña Peñaflor", "ar": "سُعاد المثال", "ur": "عائشہ گُلزار ڈار", "hi": "कृष्णा श्रेष्ठ",
    "bn": "শ্রীজাতা ভট্টাচার্য্য", "pa": "ਹਰਪ੍ਰੀਤ ਸਿੰਘ", "zh-Hans": "欧阳例子", "ko": "홍길동 예시",
}  # fmt: skip
"""Invented names, one in the letters of each language: thirteen of them not plain English."""


@cache
def sized(case: tuple[str, str, str, str], large: bool) -> Plan:
    """Return the plan of a case with type of the wanted size."""
    made = plan(*case)
    patient = replace(made.prescription.patient, large_print=large)
    return replace(made, prescription=replace(made.prescription, patient=patient))


def made(kind: str, case, words: Words, large: bool = False, paper: str = "A4") -> Document:
    """Return one document of a case in one language."""
    return replace(assemble(kind, sized(case, large), words, issue=ISSUE), paper=paper)


def paired(first: str, second: str, case, large: bool = False, paper: str = "A4"):
    """Return a consent form in two languages, and the words of each."""
    words = [load_words(tag, "GB") for tag in (first, second)]
    documents = [made("consent", case, one, large) for one in words]
    return replace(pair_documents(*documents, (first, second)), paper=paper), words


def longer_words() -> Words:
    """Return the left-to-right pseudo-language, two fifths longer than English."""
    return pseudo_words("GB", PLURALS.items())


_ARABIC = dict(zip("abcdefghijklmnopqrstuvwxyz", "ابتثجحخدذرزسشصضطظعغفقكلمنهو", strict=False))
_MIRRORED = Language(
    "ar-XB", "مثال", "Pseudo, right to left", "Arab", "EG", rtl=True, leading=1.6, formats_as="ar"
)


def longer_words_rtl() -> Words:
    """Return a right-to-left pseudo-language: the other one in Arabic letters."""
    entries = {
        key: Entry(key[0], key[1], plural, texts, "(n != 1)", "pseudo", 0)
        for key, plural in PLURALS.items()
        for texts in [tuple(_arabic(pseudo_text(text)) for text in (key[1], plural) if text)]
    }
    return Words(_MIRRORED, "GB", entries)


def _arabic(text: str) -> str:
    import re
    import unicodedata

    def turned(part: str) -> str:
        plain = unicodedata.normalize("NFD", part)
        bare = "".join(char for char in plain if not unicodedata.combining(char)).casefold()
        return "".join(_ARABIC.get(char, char if not char.isalpha() else "ي") for char in bare)

    parts = re.split(r"(%\(\w+\)s|%%|\]\([^)]*\)|\b(?:µs|Hz|mA|cm|mm|ml)\b)", text)
    return "".join(turned(part) if at % 2 == 0 else part for at, part in enumerate(parts))


CLINIC_AT = 2
"""Which of the names that `named` gives is the clinic's."""


def named(tag: str, turn: int) -> tuple[Document, tuple[str, ...]]:
    """Return a consent form in *tag* with five people's and the clinic's names, and these."""
    names = list(NAMES.values())
    chosen = tuple(names[(turn * 5 + step) % len(names)] for step in range(5))
    patient, clinician, clinic, guardian, interpreter = chosen
    base = plan(*PLACEMENTS[3])
    rx = base.prescription
    rx = replace(
        rx,
        patient=replace(
            rx.patient, name=patient, guardian_name=guardian, interpreter_name=interpreter
        ),
        clinician=replace(rx.clinician, name=clinician),
    )
    whole = replace(base, prescription=rx, clinic=replace(CLINIC, name=clinic))
    return assemble("consent", whole, load_words(tag, "GB"), issue=ISSUE), chosen
