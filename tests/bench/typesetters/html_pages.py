"""Parts as HTML and CSS for paged media."""

from __future__ import annotations

import base64
from collections.abc import Iterable, Mapping
from html import escape
from pathlib import Path

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

from docbuilder.document.blocks import Runs
from docbuilder.layout.styles import Look

_COUNTS = {
    "0": "decimal", "\u0660": "arabic-indic", "\u06f0": "persian", "\u0966": "devanagari",
    "\u09e6": "bengali", "\u0a66": "gurmukhi",
}  # fmt: skip
"""CSS counter styles by their zero."""


def html_source(lowered: Lowered, faces: Mapping[str, Path]) -> str:
    """Return one document as a page that needs nothing but the font files *faces*."""
    document, words = lowered.document, lowered.document.furniture
    look = Look.of(document.text_pt, document.accent)
    before, rest = words.page_of.split("{page}")
    between, after = rest.split("{pages}")
    families = ", ".join(f'"{name}"' for name in faces)
    start, end = ("right", "left") if document.rtl else ("left", "right")
    strips = "".join(
        f'<div class="strip">{escape(line)}</div>'
        for line in (words.draft_mark, words.review_line)
        if line
    )
    initials = f"{words.initials_label} " if words.initials_label else ""
    binding = f"margin-{start}: {19 + document.binding_mm}mm;" if document.binding_mm else ""
    font_faces = "".join(
        f'@font-face {{ font-family: "{name}"; src: url("{path.as_uri()}"); '
        "font-weight: 100 900; }\n"
        for name, path in faces.items()
    )
    count = _COUNTS[dict(document.zeros).get(document.language, "0")]
    counted = (
        f"{_css(initials + before)} counter(page, {count}) {_css(between)} "
        f"counter(pages, {count}) {_css(after)}"
    )
    about = _css(f"{words.document_id} · {words.version}\n{words.patient}")
    place = _css(f"\n{words.clinic} · {words.clinic_contact}")
    return f"""<!DOCTYPE html>
<html lang="{document.language}" dir="{"rtl" if document.rtl else "ltr"}"><head>
<meta charset="utf-8"><title>{escape(document.title)}</title><style>
{font_faces}
@page {{ size: {document.paper}; margin: {26 if strips else 17}mm 19mm 20mm; {binding}
  font: {look.furniture_pt}pt {families}; white-space: pre-line;
  @bottom-{start} {{ content: {about}; vertical-align: top; border-top: .5pt solid #999; }}
  @bottom-{end} {{ content: {counted} {place}; vertical-align: top; text-align: {end};
    border-top: .5pt solid #999; }}
  @top-{start} {{ content: element(strips) {_css(words.document_name)}; }} }}
@page :first {{ @top-{start} {{ content: element(strips); }} }}
.strips {{ position: running(strips); }}
.strip {{ border: 1pt solid; font-weight: 700; text-align: center; }}
body {{ font: {document.text_pt}pt/1.4 {families}; margin: 0; }}
p, ul, ol, h1, h2, h3, table, .box, svg {{ margin: 7pt 0; }}
h1, h2, h3 {{ line-height: 1.2; break-after: avoid; }}
p {{ orphans: 2; widows: 2; }}
strong, b {{ font-weight: 700; }}
table {{ width: 100%; border-collapse: collapse; table-layout: fixed; }}
table.bare {{ border-spacing: 6pt; border-collapse: separate; margin: 0; }}
td, th {{ vertical-align: top; text-align: start; padding: 0; font-weight: inherit; }}
.ruled td, .ruled th {{ border: .5pt solid #9e9e9e; padding: 4pt; }}
td > p, th > p {{ margin: 0; }}
.whole {{ break-inside: avoid; }}
.box {{ padding: 9pt; border-inline-start: 4pt solid; }}
.tick {{ display: inline-block; border: 1pt solid; }}
.rule {{ border-bottom: .8pt solid; }}
.page {{ break-before: page; }}
</style></head><body>{f'<div class="strips">{strips}</div>' if strips else ""}
<table class="bare"><tr><td><b>{escape(words.clinic)}</b><br>{escape(words.clinic_contact)}</td>
<td style="width: 28mm">{_picture(code_svg(words.document_id))}</td></tr></table>
{_all(lowered.parts)}</body></html>"""


def _all(parts: Iterable[Part]) -> str:
    return "\n".join(_part(part) for part in parts)


def _part(part: Part) -> str:
    match part:
        case Words():
            name = f"h{part.level}" if part.level else "p"
            style = f"font-size:{part.pt:g}pt"
            style += ";font-weight:700" if part.bold else ""
            style += ";text-align:center" if part.centred else ""
            return f'<{name} style="{style}">{_runs(part.runs)}</{name}>'
        case Items():
            items = "".join(f"<li>{_all(item)}</li>" for item in part.items)
            style = f'style="list-style-type:{_COUNTS[part.zero]}"'
            ordered = f'<ol start="{part.start}" {style}>{items}</ol>'
            return ordered if part.start else f"<ul>{items}</ul>"
        case Grid():
            return _grid(part)
        case Box():
            style = f"background:{part.ground};border-inline-start-color:{part.edge}"
            return f'<div class="box" style="{style}">{_all(part.parts)}</div>'
        case Picture():
            return _picture(part)
        case Tick():
            size = f"width:{part.width_mm:g}mm;height:{part.height_mm:g}mm"
            return f'<span class="tick" style="{size}"></span>'
        case Rule():
            return f'<div class="rule" style="height:{part.height_mm:g}mm"></div>'
        case Other():
            direction = "rtl" if part.rtl else "ltr"
            return f'<div lang="{part.language}" dir="{direction}">{_all(part.parts)}</div>'
        case Whole():
            return f'<div class="whole">{_all(part.parts)}</div>'
        case NewPage():
            return '<div class="page"></div>'


def _grid(part: Grid) -> str:
    total = sum(part.shares)
    columns = "".join(f'<col style="width:{100 * share / total:.2f}%">' for share in part.shares)
    high = f' style="height:{part.row_mm:g}mm"' if part.row_mm else ""

    def rows(chosen: Iterable[tuple[tuple[Part, ...], ...]], cell: str) -> str:
        return "".join(
            f"<tr{high}>" + "".join(f"<{cell}>{_all(parts)}</{cell}>" for parts in row) + "</tr>"
            for row in chosen
        )

    head = f"<thead>{rows(part.rows[: part.heads], 'th')}</thead>" if part.heads else ""
    body = f"<tbody>{rows(part.rows[part.heads :], 'td')}</tbody>"
    kind = ("ruled" if part.ruled else "bare") + (" whole" if part.whole else "")
    return f'<table class="{kind}"><colgroup>{columns}</colgroup>{head}{body}</table>'


def _picture(part: Picture) -> str:
    data = base64.b64encode(part.svg.encode()).decode()
    size = f"width:{part.width_mm:.3f}mm;height:{part.height_mm:.3f}mm"
    return f'<img style="{size}" alt="{escape(part.alt)}" src="data:image/svg+xml;base64,{data}">'


def _runs(runs: Runs) -> str:
    made = []
    for run in runs:
        text = escape(run.text).replace("\n", "<br>")
        text = f"<b>{text}</b>" if run.bold else text
        text = f'<span lang="{run.language}">{text}</span>' if run.language else text
        made.append(f'<a href="{escape(run.link)}">{text}</a>' if run.link else text)
    return "".join(made)


def _css(text: str) -> str:
    escaped = text.replace("\\", "\\\\").replace('"', '\\"').replace("\n", "\\A ")
    return f'"{escaped}"'
