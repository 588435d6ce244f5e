"""Parts as Typst markup. Every text is a string literal, so no value can become markup."""

from __future__ import annotations

from collections.abc import Iterable

from parts import (
    Box,
    Grid,
    Items,
    Lowered,
    NewPage,
    Other,
    Part,
    Picture,
    Rule,
    Tick,
    Whole,
    Words,
    code_svg,
)

from docbuilder.document.blocks import Document, Runs
from docbuilder.layout.styles import Look

_GAP_PT = 7.0


def typst_source(lowered: Lowered, families: tuple[str, ...]) -> str:
    """Return one document's markup, complete in itself."""
    document, words = lowered.document, lowered.document.furniture
    fonts = ", ".join(_string(name) for name in families)
    direction = "rtl" if document.rtl else "ltr"
    small = Look.of(document.text_pt, document.accent).furniture_pt
    clinic = f"{_inline(words.clinic, small * 1.35, True)} {_inline(words.clinic_contact, small)}"
    return f"""
#set document(title: {_string(document.title)})
#set page({_page(document, small)})
#set text(font: ({fonts}), size: {document.text_pt}pt, lang: "{document.language[:2]}",
  dir: {direction}, hyphenate: false, top-edge: "ascender", bottom-edge: "descender")
#set par(leading: .04em, spacing: {_GAP_PT}pt)
#set block(spacing: {_GAP_PT}pt)
#grid(columns: (1fr, auto), [{clinic}], {_picture(code_svg(words.document_id))})
{_all(lowered.parts)}
"""


def _page(document: Document, small: float) -> str:
    """Return paper, margins, and what stands on each page."""
    words = document.furniture
    left, right = 19.0, 19.0
    if document.rtl:
        right += document.binding_mm
    else:
        left += document.binding_mm
    lines = [line for line in (words.draft_mark, words.review_line) if line]
    strips = "".join(
        f"#block(width: 100%, stroke: 1pt, inset: 3pt, {_text(line, small, True)})"
        for line in lines
    )
    digits = _numbering(dict(document.zeros).get(document.language, "0"))
    before, rest = words.page_of.split("{page}")
    between, after = rest.split("{pages}")
    count = (
        f"[{_inline(before, small)}#{{counter(page).display({digits})}}{_inline(between, small)}"
        f"#{{numbering({digits}, counter(page).final().first())}}{_inline(after, small)}]"
    )
    cells = [
        _text(f"{words.document_id} · {words.version}", small),
        count,
        _text(words.patient, small),
        _text(f"{words.clinic} · {words.clinic_contact}", small),
    ]
    if words.initials_label:
        cells += ["box(width: 24mm, height: 8mm, stroke: 1pt)", _text(words.initials_label, small)]
    name = f"if counter(page).get().first() > 1 {{ {_text(words.document_name, small, True)} }}"
    foot = f"#line(length: 100%, stroke: .5pt) #grid(columns: (1fr, auto), {', '.join(cells)})"
    return f"""paper: "{"us-letter" if document.paper == "Letter" else "a4"}",
  margin: (top: {26 if lines else 17}mm, bottom: 20mm, left: {left}mm, right: {right}mm),
  header: context [#{name}
{strips}], footer: context [{foot}]"""


def _all(parts: Iterable[Part]) -> str:
    return "".join(f"#{_part(part)}\n" for part in parts)


def _content(parts: Iterable[Part]) -> str:
    return "[" + "\n".join(f"#{_part(part)}" for part in parts) + "]"


def _part(part: Part) -> str:
    match part:
        case Words():
            said = _runs(part.runs)
            inner = f"text(size: {part.pt:g}pt{', weight: 700' if part.bold else ''}, {said})"
            if part.centred:
                inner = f"align(center, {inner})"
            if part.level:
                return f"heading(level: {part.level}, {inner})"
            return f"par({inner})" if not part.centred else inner
        case Items():
            items = ", ".join(_content(item) for item in part.items)
            if part.start:
                return (
                    f"enum(start: {part.start}, numbering: {_numbering(part.zero, '.')}, {items})"
                )
            return f"list({items})"
        case Grid():
            return _grid(part)
        case Box():
            return (
                f'block(width: 100%, fill: rgb("{part.ground}"), inset: 9pt, '
                f'stroke: (left: 4pt + rgb("{part.edge}")), {_content(part.parts)})'
            )
        case Picture():
            return _picture(part)
        case Tick():
            return f"box(width: {part.width_mm:g}mm, height: {part.height_mm:g}mm, stroke: 1pt)"
        case Rule():
            return f"block(height: {part.height_mm:g}mm, width: 100%, stroke: (bottom: .8pt))"
        case Other():
            direction = "rtl" if part.rtl else "ltr"
            return f'text(lang: "{part.language}", dir: {direction}, {_content(part.parts)})'
        case Whole():
            return f"block(breakable: false, width: 100%, {_content(part.parts)})"
        case NewPage():
            return "pagebreak(weak: true)"


def _grid(part: Grid) -> str:
    columns = ", ".join(f"{share:g}fr" for share in part.shares)
    heads = ", ".join(_cell(cell, part) for row in part.rows[: part.heads] for cell in row)
    cells = ", ".join(_cell(cell, part) for row in part.rows[part.heads :] for cell in row)
    name = "table" if part.ruled else "grid"
    how = "inset: 4pt, stroke: .5pt + rgb(62%, 62%, 62%)" if part.ruled else "gutter: 6pt"
    top = f"{name}.header({heads}), " if heads else ""
    made = f"{name}(columns: ({columns},), {how}, {top}{cells})"
    return f"block(breakable: false, width: 100%, {made})" if part.whole else made


def _cell(parts: tuple[Part, ...], grid: Grid) -> str:
    if grid.row_mm:
        return f"box(height: {grid.row_mm:g}mm, {_content(parts)})"
    return _content(parts)


def _picture(part: Picture) -> str:
    return (
        f'image(bytes({_string(part.svg)}), format: "svg", width: {part.width_mm:.3f}mm, '
        f"height: {part.height_mm:.3f}mm, alt: {_string(part.alt)})"
    )


def _runs(runs: Runs) -> str:
    made = []
    for run in runs:
        for at, line in enumerate(run.text.split("\n")):
            if at:
                made.append("#linebreak()")
            if not line:
                continue
            text = f"#strong({_string(line)})" if run.bold else f"#{_string(line)}"
            if run.language:
                text = f'#text(lang: "{run.language.partition("-")[0]}")[{text}]'
            if run.link:
                text = f"#link({_string(run.link)})[{text}]"
            made.append(text)
    return "[" + "".join(made) + "]"


def _text(text: str, pt: float, bold: bool = False) -> str:
    return f"text(size: {pt:g}pt{', weight: 700' if bold else ''}, {_string(text)})"


def _inline(text: str, pt: float, bold: bool = False) -> str:
    return f"#{_text(text, pt, bold)}"


def _numbering(zero: str, after: str = "") -> str:
    """Return a pattern that counts in the digits that begin with *zero*."""
    return _string(chr(ord(zero) + 1) + after)


def _string(text: str) -> str:
    escaped = text.replace("\\", "\\\\").replace('"', '\\"').replace("\n", "\\n")
    return f'"{escaped}"'
