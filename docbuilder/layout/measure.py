"""From blocks to measured boxes: one entry per block type."""

from __future__ import annotations

from collections.abc import Sequence

from docbuilder.document import blocks as b
from docbuilder.layout.boxes import Box, Break, Stack
from docbuilder.layout.calendars import measure_calendar
from docbuilder.layout.cards import measure_card
from docbuilder.layout.codes import measure_code
from docbuilder.layout.flow import Flow
from docbuilder.layout.forms import measure_check, measure_signature, measure_write_lines
from docbuilder.layout.lettering import TextBox
from docbuilder.layout.pairs import measure_columns, measure_pairs
from docbuilder.layout.panels import measure_panel
from docbuilder.layout.pictures import measure_figure
from docbuilder.layout.settings import measure_settings
from docbuilder.layout.steps import measure_steps
from docbuilder.layout.structure import Element
from docbuilder.layout.tables import measure_table
from docbuilder.layout.text_blocks import measure_heading, measure_list, measure_paragraph

__all__ = ["measure_all"]


_LEADING_LINES = 3
"""Lines of a paragraph between a heading and its steps that never part from them."""
_LED_TO = (
    b.CalendarGrid, b.Columns, b.FigureBlock, b.KeepTogether, b.ListBlock, b.Panel,
    b.SettingsPanel, b.Steps, b.Table,
)  # fmt: skip


def measure_all(blocks: Sequence[b.Block], width: float, flow: Flow, parent: Element) -> list[Box]:
    """Return the boxes of *blocks*, in order; neighbouring check items make one list.

    A short paragraph between a heading and what it introduces stays with both; a drawing
    above steps stays with the first of them.
    """
    boxes: list[Box] = []
    checks: Element | None = None
    for index, block in enumerate(blocks):
        if isinstance(block, b.CheckItem):
            checks = checks or parent.child("L")
            boxes += measure_check(block, width, flow, checks)
            continue
        checks = None
        leads, shows = _introduces(blocks, index), _shows(blocks, index)
        stays = leads or shows
        if flow.loans is None:
            made = _measure(block, width, flow, parent)
        else:
            made = flow.loans.measured(block, width, flow, parent, _measure, stays)
        if stays:
            for box in made:
                if shows or (isinstance(box, TextBox) and box.line_count <= _LEADING_LINES):
                    box.keep_next = True
        boxes += made
    return boxes


def _introduces(blocks: Sequence[b.Block], index: int) -> bool:
    """Tell whether the block stands between a heading and what the heading is about."""
    return (
        0 < index < len(blocks) - 1
        and isinstance(blocks[index], b.Paragraph)
        and isinstance(blocks[index - 1], b.Heading)
        and isinstance(blocks[index + 1], _LED_TO)
    )


def _shows(blocks: Sequence[b.Block], index: int) -> bool:
    """Tell whether the block is a drawing that the steps right below it are about."""
    return (
        index < len(blocks) - 1
        and isinstance(blocks[index], b.Columns | b.FigureBlock)
        and isinstance(blocks[index + 1], b.Steps)
    )


def _measure(block: b.Block, width: float, flow: Flow, parent: Element) -> list[Box]:
    match block:
        case b.Heading():
            return measure_heading(block, width, flow, parent)
        case b.Paragraph():
            return measure_paragraph(block, width, flow, parent)
        case b.ListBlock():
            return measure_list(block, width, flow, parent, measure_all)
        case b.Steps():
            return measure_steps(block, width, flow, parent)
        case b.Table():
            return measure_table(block, width, flow, parent)
        case b.SettingsPanel():
            return measure_settings(block, width, flow, parent)
        case b.Panel():
            return measure_panel(block, width, flow, parent, measure_all)
        case b.FigureBlock():
            return measure_figure(block, width, flow, parent)
        case b.CalendarGrid():
            return measure_calendar(block, width, flow, parent)
        case b.WriteLines():
            return measure_write_lines(block, width, flow, parent)
        case b.SignatureBlock():
            return measure_signature(block, width, flow, parent)
        case b.QrCode():
            return measure_code(block, width, flow, parent)
        case b.Pairs():
            return measure_pairs(block, width, flow, parent, measure_all)
        case b.Columns():
            return measure_columns(block, width, flow, parent, measure_all)
        case b.Card():
            return measure_card(block, width, flow, parent, measure_all)
        case b.Floating():
            return measure_all(block.blocks, width, flow, parent)
        case b.Landing():
            return []
        case b.KeepTogether():
            boxes = measure_all(block.blocks, width, flow, parent)
            kept = Stack(width, boxes, whole=True)
            kept.kind, kept.wanted_first = "kept", block.page_one
            return [kept]
        case b.PageBreak():
            return [Break()]
        case _:
            raise TypeError(f"no measure for {type(block).__name__}")
