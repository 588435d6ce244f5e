"""Headings, paragraphs and lists."""

from __future__ import annotations

from dataclasses import replace

from docbuilder.document.blocks import Heading, ListBlock, Paragraph, Run, Runs
from docbuilder.document.scene import Tone
from docbuilder.layout.balanced import BalancedColumns
from docbuilder.layout.boxes import Box, Stack, gaps
from docbuilder.layout.flow import Flow, MeasureAll
from docbuilder.layout.geometry import Frame
from docbuilder.layout.lettering import TextBox, TextStyle
from docbuilder.layout.outline import Bookmark
from docbuilder.layout.pen import Pen
from docbuilder.layout.rows import Cell, Row
from docbuilder.layout.structure import Element

__all__ = [
    "DraftMark",
    "HeadingBox",
    "is_narrow",
    "keep_ends",
    "measure_heading",
    "measure_list",
    "measure_paragraph",
    "paragraph_style",
    "section_title",
]


_LOOKED_UP = 1.6
"""How much longer lines may be that are looked up, not read through."""
_LEAST_TITLE_EM = 1.45
"""Smallest title, in sizes of the body."""
_LEAST_COLUMN_ITEMS = 6
_HALF_EM = 13
"""Least width of one of two columns, in font sizes."""
_MOSTLY = 0.5
"""Share of the items that must fit on two lines for two columns."""
_WORTH = 0.94
"""Two columns must be lower than one by at least this factor."""


class HeadingBox(TextBox):
    """A heading: stays with what follows and becomes a bookmark."""

    kind = "heading"
    keep_next = True
    runt = 0.35
    level = 1
    bookmark = ""

    def draw(self, pen: Pen, x: float, top: float) -> None:
        """Draw, and note the page for the outline."""
        if self.bookmark and not pen.in_artifact:
            pen.file.bookmarks.append(Bookmark(self.level, self.bookmark, pen.page, top + 6))
        super().draw(pen, x, top)


def measure_heading(block: Heading, width: float, flow: Flow, parent: Element) -> list[Box]:
    """Return the heading's box."""
    size = flow.look.heading_pt(block.level)
    if flow.narrow or is_narrow(width, flow):
        size = min(size, flow.text_pt * {1: 1.4, 2: 1.15, 3: 1.05}[block.level])
    tone: Tone = "accent" if block.level < 3 else "black"
    style = flow.style(size, bold=True, tone=tone, leading=1.2)
    if block.level == 1:
        style = _on_one_line(block, width, style, flow)
    box = HeadingBox(block.runs, width, style, parent.child(f"H{block.level}"))
    box.level = block.level
    if flow.outline:
        box.bookmark = "".join(run.text for run in block.runs)
    box.before = flow.space({1: 6, 2: 5, 3: 3}[block.level])
    box.after = flow.space({1: 3, 2: 2, 3: 1}[block.level])
    return [box]


def is_narrow(width: float, flow: Flow) -> bool:
    """Tell whether a column takes smaller headings."""
    return width < flow.look.measure * 0.6


def _on_one_line(block: Heading, width: float, style: TextStyle, flow: Flow) -> TextStyle:
    """Return a title's style: smaller where that keeps it on one line, or two lines lower."""
    wide = TextBox(block.runs, 10_000, style, None).natural_width + 1
    if wide <= width:
        return style
    size = style.size_pt * width / wide
    least = flow.text_pt * _LEAST_TITLE_EM
    return replace(style, size_pt=int(10 * (size if size >= least else least)) / 10)


def section_title(runs: Runs, width: float, style: TextStyle, element: Element) -> HeadingBox:
    """Return a section's heading in a style of its own, with its bookmark."""
    box = HeadingBox(runs, width, style, element)
    box.level, box.bookmark = 2, "".join(run.text for run in runs)
    return box


class DraftMark(Stack):
    """The awaiting-review line: a framed strip."""

    kind = "draft"

    def draw(self, pen: Pen, x: float, top: float) -> None:
        """Draw the frame behind the words."""
        frame = Frame(x, top - self.height, x + self.width, top)
        pen.box(frame, stroke=(0, 0, 0), width_pt=1.2)
        super().draw(pen, x, top)


def measure_paragraph(block: Paragraph, width: float, flow: Flow, parent: Element) -> list[Box]:
    """Return the paragraph's box, in the measure that its size allows; none if it is empty."""
    if not any(run.text.strip() for run in block.runs):
        return []
    if block.role == "draft":
        return [_draft(block, width, flow, parent)]
    style = paragraph_style(block, flow)
    element = parent.child("P")
    # Sources and legal lines are looked up, not read through: their lines may be longer.
    share = _LOOKED_UP if block.role == "small" else max(1.0, style.size_pt / flow.look.text_pt)
    measure = min(width, flow.look.measure * share)
    box = TextBox(block.runs, width, style, element, measure=measure)
    if block.role == "small":
        box.kind = "small"
    box.before = box.after = flow.space({"small": 1.5, "note": 1}.get(block.role, 2))
    box.keep_next = _leads_on(block, box)
    return [box]


def paragraph_style(block: Paragraph, flow: Flow) -> TextStyle:
    """Return the style that a paragraph's role gives it."""
    size = {
        "lead": flow.look.lead_pt, "small": min(flow.look.small_pt, flow.text_pt),
        "note": min(max(flow.look.small_pt, flow.look.least_read_pt), flow.text_pt),
    }.get(block.role, flow.text_pt)  # fmt: skip
    return flow.style(
        round(size, 1), tone="grey" if block.role == "small" else "black",
        leading=1.3 if block.role == "note" else None,
    )  # fmt: skip


def _leads_on(block: Paragraph, box: TextBox) -> bool:
    """Tell whether a paragraph is nothing without the next: it ends in a colon, or it is
    one bold line that heads what follows.
    """
    if "".join(run.text for run in block.runs).rstrip().endswith((":", "：")):
        return True
    words = [run for run in block.runs if run.text.strip()]
    return box.line_count == 1 and bool(words) and all(run.bold for run in words)


def _draft(block: Paragraph, width: float, flow: Flow, parent: Element) -> Box:
    pad = flow.space(2)
    text = TextBox(block.runs, width - 2 * pad, flow.style(bold=True), parent.child("P"))
    cell = Cell(pad, Stack(width - 2 * pad, [text]))
    box = DraftMark(width, [Row(width, [cell], flow.rtl, pad=pad)], whole=True)
    box.before = box.after = flow.space(3)
    return box


def measure_list(
    block: ListBlock, width: float, flow: Flow, parent: Element, measure_all: MeasureAll
) -> list[Box]:
    """Return one row per item: its mark, then its blocks; many short ones in two columns."""
    listed = parent.child(
        "L", attributes=f"<</O/List/ListNumbering/{'Decimal' if block.ordered else 'Disc'}>>"
    )
    gutter = flow.space(4)
    if _suits_columns(block, width, gutter, flow, measure_all):
        half = (width - gutter) / 2
        items = _items(block, half, flow, listed, measure_all)
        columns = BalancedColumns(width, gutter, items, flow.rtl)
        columns.before = columns.after = flow.space(2)
        return [columns]
    rows = _items(block, width, flow, listed, measure_all)
    keep_ends(rows, flow)
    if rows:
        rows[0].before = rows[-1].after = flow.space(2)
    return rows


def _suits_columns(
    block: ListBlock, width: float, gutter: float, flow: Flow, measure_all: MeasureAll
) -> bool:
    """Tell whether the items are many and short enough for two columns to save room."""
    half = (width - gutter) / 2
    plain = all(
        len(blocks) == 1 and isinstance(blocks[0], Paragraph) and blocks[0].role == "body"
        for blocks in block.items
    )
    if not plain or len(block.items) < _LEAST_COLUMN_ITEMS or half < flow.text_pt * _HALF_EM:
        return False
    single = _items(block, width, flow, Element("L"), measure_all)
    narrow = _items(block, half, flow, Element("L"), measure_all)
    short = 2 * TextBox((Run("x"),), half, flow.style(), None).line_height + 0.1
    if sum(row.height <= short for row in narrow) < _MOSTLY * len(narrow):
        return False
    alone = sum(row.height for row in single) + sum(gaps(single))
    return BalancedColumns(width, gutter, narrow, flow.rtl).height <= _WORTH * alone


def _items(
    block: ListBlock, width: float, flow: Flow, listed: Element, measure_all: MeasureAll
) -> list[Box]:
    numbers = [flow.own_digits(str(block.start + i)) for i in range(len(block.items))]
    marks = [f"{number}." if block.ordered else "•" for number in numbers]
    style = flow.style(bold=True, tone="accent")
    widest = max(
        (TextBox((Run(mark),), width, style, None).natural_width for mark in marks), default=0.0
    )
    indent = widest + flow.text_pt * (0.5 if block.ordered else 0.6)
    rows: list[Box] = []
    for mark, blocks in zip(marks, block.items, strict=True):
        item = listed.child("LI")
        label = TextBox((Run(mark),), widest + 1, style, item.child("Lbl"))
        body = item.child("LBody")
        boxes = measure_all(blocks, width - indent, flow, body)
        for box in boxes:
            box.keep_next = False
        row = Row(
            width,
            [Cell(0, Stack(widest + 1, [label])), Cell(indent, Stack(width - indent, boxes))],
            flow.rtl,
        )
        row.kind = "item"
        row.before = row.after = flow.space(1)
        rows.append(row)
    return rows


def keep_ends(rows: list[Box], flow: Flow) -> None:
    """Leave no short first or last item of a list alone on a page."""
    short = 4 * flow.text_pt * 1.4
    if len(rows) > 1:
        for row in (rows[0], rows[-2]):
            row.keep_next = row.height <= short
