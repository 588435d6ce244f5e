"""Blocks side by side: bilingual rows, and plain columns."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import groupby

from docbuilder.document.blocks import Columns, ListBlock, Pairs, Paragraph, Runs
from docbuilder.layout.boxes import Box, Stack
from docbuilder.layout.flow import Flow, MeasureAll
from docbuilder.layout.geometry import Frame
from docbuilder.layout.lettering import TextBox, least_width
from docbuilder.layout.pen import Pen
from docbuilder.layout.rows import Cell, Repeating, Row
from docbuilder.layout.structure import Element
from docbuilder.layout.text_blocks import is_narrow, paragraph_style

__all__ = ["measure_columns", "measure_pairs"]

_LEAST_ITEMS = 3
"""Fewest items of a list whose ends are kept in company."""
_SHORT_LIST = 0.17
"""Share of an empty page up to which a list stays whole."""
_LONG = 0.25
"""Share of an empty page above which a bilingual row may be split."""


def measure_pairs(
    block: Pairs, width: float, flow: Flow, parent: Element, measure_all: MeasureAll
) -> list[Box]:
    """Return the bilingual body: a head with the language names, then a row per pair.

    The first language stands at the document's start edge. It reads row by row.
    """
    gutter = flow.space(6)
    side = (width - gutter) / 2
    other = replace(flow, language=block.second_language, rtl=block.second_rtl, outline=False)
    element = parent.child("Sect")
    head = _head(block.heads, side, gutter, width, (flow, other), element)
    rows: list[Box] = []
    for pair in block.pairs:
        first = measure_all([pair.first], side, flow, element.child("Div"))
        second = measure_all(
            [pair.second], side, other, element.child("Div", language=other.language)
        )
        cells = [Cell(0, Stack(side, first)), Cell(side + gutter, Stack(side, second))]
        row = Row(width, cells, flow.rtl, long=flow.page_height * _LONG)
        row.kind = "pair"
        # A label that leads on to a line to write on stands beside that line, not above it.
        row.keep_next = all(cell.stack.keep_next for cell in cells if cell.stack.boxes)
        rows.append(row)
    _keep_ends(block, rows, flow.page_height * _SHORT_LIST)

    def rule(pen: Pen, frame: Frame) -> None:
        x = (frame.x0 + frame.x1) / 2
        pen.rule((x, frame.y0), (x, frame.y1), flow.look.hairline, 0.5)

    named = any(run.text.strip() for runs in block.heads for run in runs)
    box = Repeating(width, head, rows, behind=rule, once=named, bare=not named)
    box.kind = "pairs"
    box.before, box.after = flow.space(2), rows[-1].after if rows else 0.0
    if rows:
        # A head that is shed, since the same stands above, leaves the first row's gap.
        box.before = max(box.before, rows[0].before) if named else rows[0].before
    return [box]


def _keep_ends(block: Pairs, rows: Sequence[Box], short: float) -> None:
    """Leave neither the first nor the last item of a list alone on a page.

    A list no higher than *short*, as that of the settings, is not parted at all.
    """
    lists = [isinstance(pair.first, ListBlock) for pair in block.pairs]
    start = 0
    for is_list, group in groupby(lists):
        end = start + len(list(group))
        if is_list and end - start >= _LEAST_ITEMS:
            rows[start].keep_next = rows[end - 2].keep_next = True
            if sum(row.height for row in rows[start:end]) <= short:
                for row in rows[start : end - 1]:
                    row.keep_next = True
        start = end


def _head(
    heads: tuple[Runs, Runs],
    side: float,
    gutter: float,
    width: float,
    flows: tuple[Flow, Flow],
    element: Element,
) -> Row:
    cells = []
    for index, (runs, flow) in enumerate(zip(heads, flows, strict=True)):
        part = element.child("P", language=flow.language if index else "")
        text = TextBox(runs, side, flow.style(flow.look.small_pt, bold=True, tone="accent"), part)
        cells.append(Cell(index * (side + gutter), Stack(side, [text])))
    first = flows[0]

    def behind(pen: Pen, frame: Frame) -> None:
        for cell in cells:
            left = frame.x1 - cell.offset - side if first.rtl else frame.x0 + cell.offset
            y = frame.y0 + 4
            pen.rule((left, y), (left + side, y), first.look.accent, 1.2)

    row = Row(width, cells, first.rtl, pad=5, behind=behind)
    row.kind, row.after = "pair head", first.space(2)
    return row


def measure_columns(
    block: Columns, width: float, flow: Flow, parent: Element, measure_all: MeasureAll
) -> list[Box]:
    """Return two stacks side by side."""
    gutter = flow.space(5)
    first_width = (width - gutter) * block.share
    if block.share < 0.5:
        # A narrow column is wide enough for its longest word.
        words = [
            least_width(one.runs, paragraph_style(one, flow)) + 1
            for one in block.first if isinstance(one, Paragraph)
        ]  # fmt: skip
        first_width = max(first_width, min(max(words, default=0.0), (width - gutter) / 2))
    second_width = width - gutter - first_width
    if is_narrow(min(first_width, second_width), flow):
        flow = replace(flow, narrow=True)
    divs = parent.child("Div"), parent.child("Div")
    notes = _notes(block) if block.spills else ()
    first = measure_all(block.first[: len(block.first) - len(notes)], first_width, flow, divs[0])
    second = measure_all(block.second, second_width, flow, divs[1])
    if _notes_stay(notes, (first, second), (first_width, second_width), flow):
        first += measure_all(notes, first_width, flow, divs[0])
    else:
        second += measure_all(notes, second_width, flow, divs[1])
    cells = [
        Cell(0, Stack(first_width, first)),
        Cell(first_width + gutter, Stack(second_width, second)),
    ]
    for cell in cells:
        cell.stack.gives = True
    row = Row(width, cells, flow.rtl, long=flow.page_height * 0.5, foot=block.on_one_line)
    row.kind = "columns"
    row.before, row.after = max(row.before, flow.space(2)), max(row.after, flow.space(2))
    row.keep_next = False
    return [row]


def _notes(block: Columns) -> tuple[Paragraph, ...]:
    """Return the notes that end the first column."""
    notes: list[Paragraph] = []
    for one in reversed(block.first):
        if not isinstance(one, Paragraph) or one.role != "note":
            break
        notes.insert(0, one)
    return tuple(notes)


def _notes_stay(
    notes: Sequence[Paragraph],
    columns: tuple[Sequence[Box], Sequence[Box]],
    widths: tuple[float, float],
    flow: Flow,
) -> bool:
    """Tell whether the row is as low with the notes in the first column.

    They go all together: one alone below the steps would read as part of the last step.
    """
    left, right = (Stack(width, boxes).height for width, boxes in zip(widths, columns, strict=True))
    below_left, below_right = (
        sum(
            TextBox(note.runs, width, paragraph_style(note, flow), None).height + flow.space(1)
            for note in notes
        )
        for width in widths
    )
    return max(left + below_left, right) <= max(left, right + below_right)
