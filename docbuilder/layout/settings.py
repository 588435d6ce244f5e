"""The settings panel: label above, value large, unit small; notes at full width below all."""

from __future__ import annotations

import unicodedata
from math import ceil

from docbuilder.document.blocks import Run, SettingsEntry, SettingsPanel
from docbuilder.layout.boxes import Box, Stack
from docbuilder.layout.flow import Flow
from docbuilder.layout.geometry import Frame
from docbuilder.layout.lettering import TextBox, isolated, least_width
from docbuilder.layout.panels import Dress, PanelBox
from docbuilder.layout.pen import Pen
from docbuilder.layout.rows import Cell, Row
from docbuilder.layout.structure import Element

__all__ = ["measure_settings"]

_SMALLEST_VALUE_PT = 18.0
_LEAST_NOTE_PT = 12.0


class _ValueBox(Box):
    """A value and its unit on one baseline, in the order in which they are read."""

    kind = "value"

    def __init__(self, width: float, value: TextBox, unit: TextBox | None, flow: Flow) -> None:
        super().__init__(width, value.height)
        self.value, self.unit, self.flow = value, unit, flow
        self.gap = 4.0

    def draw(self, pen: Pen, x: float, top: float) -> None:
        """Draw both; a unit in Latin letters stands right of its figure in every script."""
        room = Frame(x, top - self.height, x + self.width, top)
        value, unit = _tight(self.value), _tight(self.unit) if self.unit else None
        pair = value.width + (unit.width + self.gap if unit else 0.0)
        left = x + self.width - pair if self.flow.rtl else x
        unit_right = unit is None or not _reads_leftwards(unit)
        value.place(pen, left if unit_right else left + pair - value.width, top, room)
        if unit is not None:
            unit_x = left + value.width + self.gap if unit_right else left
            unit.place(pen, unit_x, top - value.first_baseline + unit.first_baseline, room)


def _tight(box: TextBox) -> TextBox:
    """Return the one-line box shrunk to its text."""
    return TextBox(box.runs, box.natural_width + 0.1, box.style, box.element)


def _reads_leftwards(box: TextBox) -> bool:
    return any(unicodedata.bidirectional(c) in ("R", "AL") for run in box.runs for c in run.text)


def measure_settings(block: SettingsPanel, width: float, flow: Flow, parent: Element) -> list[Box]:
    """Return a panel with the entries in one row, or in as few rows as they need."""
    if not block.entries:
        return []
    pad = flow.space(2)
    element = parent.child("Sect")
    inner = width - 2 * pad
    title: TextBox | None = None
    if block.title:
        style = flow.style(round(flow.text_pt * 1.1, 1), bold=True, leading=1.25)
        title = TextBox(block.title, inner, style, element.child("P"))
        title.kind, title.after = "title", flow.space(2)
    rows = _rows(block.entries, inner, flow, element.child("L"))
    rows += [_note(entry, inner, flow, element) for entry in block.entries if entry.note]
    dress = Dress(flow.look.tint, flow.look.accent, 0.0, pad)
    panel = PanelBox(width, title, Stack(inner, rows, whole=True), dress, flow)
    panel.kind = "settings"
    return [panel]


def _note(entry: SettingsEntry, width: float, flow: Flow, parent: Element) -> Box:
    """Return a note with the name of its setting: in a cell it would take line upon line."""
    size = max(flow.look.small_pt, min(_LEAST_NOTE_PT, flow.text_pt))
    runs = (Run(f"{isolated(entry.label)}\u00a0· ", bold=True), Run(entry.note))
    note = TextBox(runs, width, flow.style(size, leading=1.3), parent.child("P"))
    note.before = flow.space(2)
    return note


def _rows(
    entries: tuple[SettingsEntry, ...], width: float, flow: Flow, listed: Element
) -> list[Box]:
    gutter = flow.space(4)
    widths, size = _grid(entries, width, gutter, flow)
    columns = len(widths)
    rows: list[Box] = []
    for start in range(0, len(entries), columns):
        chunk = entries[start : start + columns]
        parts = [
            _cell(entry, cell_width, size, flow, listed)
            for entry, cell_width in zip(chunk, widths, strict=False)
        ]
        tallest = max(boxes[0].height for boxes in parts)
        cells, offset = [], 0.0
        for boxes, cell_width in zip(parts, widths, strict=False):
            # Labels end on one line, so that the values stand on one line.
            boxes[0].lower(tallest - boxes[0].height)
            cells.append(Cell(offset, Stack(cell_width, boxes)))
            offset += cell_width + gutter
        rows.append(_ruled(width, cells, gutter, flow))
    return rows


def _ruled(width: float, cells: list[Cell], gutter: float, flow: Flow) -> Row:
    def behind(pen: Pen, frame: Frame) -> None:
        for cell in cells[1:]:
            offset = cell.offset - gutter / 2
            x = frame.x1 - offset if flow.rtl else frame.x0 + offset
            pen.rule((x, frame.y0 + 2), (x, frame.y1 - 2), flow.look.hairline, 0.6)

    row = Row(width, cells, flow.rtl, behind=behind)
    row.kind = "settings row"
    row.before = row.after = flow.space(3)
    return row


def _grid(
    entries: tuple[SettingsEntry, ...], width: float, gutter: float, flow: Flow
) -> tuple[list[float], float]:
    """Return the columns' widths and the size of the values.

    Every value goes on one line with its unit; sooner more rows than smaller figures,
    and sooner a label on two lines than more rows.
    """
    sizes = (flow.look.value_pt, 26.0, 22.0, _SMALLEST_VALUE_PT)
    room = width - gutter * (len(entries) - 1)
    for size in sizes[:2]:
        liked = [_cell_needs(entry, size, flow)[1] for entry in entries]
        if sum(liked) <= room:
            return _shared(liked, liked, room), size
    for size in sizes:
        needs = [_cell_needs(entry, size, flow) for entry in entries]
        for rows in range(1, len(entries) + 1):
            columns = ceil(len(entries) / rows)
            least = [max(n[0] for n in needs[column::columns]) for column in range(columns)]
            liked = [max(n[1] for n in needs[column::columns]) for column in range(columns)]
            room = width - gutter * (columns - 1)
            if sum(least) <= room:
                return _shared(least, liked, room), size
    return [width], _SMALLEST_VALUE_PT


def _shared(least: list[float], liked: list[float], room: float) -> list[float]:
    """Share *room* out: first what each column likes to have, the rest equally."""
    spare, wish = room - sum(least), sum(liked) - sum(least)
    part = min(1.0, spare / wish) if wish else 0.0
    widths = [a + (b - a) * part for a, b in zip(least, liked, strict=True)]
    return [width + (room - sum(widths)) / len(widths) for width in widths]


def _cell_needs(entry: SettingsEntry, size: float, flow: Flow) -> tuple[float, float]:
    """Return the least width of a cell, and the width that keeps its label on one line."""
    value, unit, label = _boxes(entry, 10_000, size, flow, None)
    pair = value.natural_width + (unit.natural_width + 4 if unit else 0) + 1
    least = max(pair, least_width(label.runs, label.style))
    return least, max(least, label.natural_width + 1)


def _boxes(
    entry: SettingsEntry, width: float, size: float, flow: Flow, item: Element | None
) -> tuple[TextBox, TextBox | None, TextBox]:
    name = item.child("Lbl") if item else None
    body = item.child("LBody") if item else None

    def text(words: str, pt: float, bold: bool, leading: float, part: Element | None) -> TextBox:
        return TextBox((Run(words),), width, flow.style(pt, bold=bold, leading=leading), part)

    label = text(entry.label, flow.text_pt, False, 1.2, name)
    # The space keeps figure and unit two words for who listens.
    shown = isolated(entry.value) + (" " if entry.unit else "")
    value = text(shown, size, True, 1.15, body.child("Span") if body else None)
    unit = (
        text(
            isolated(entry.unit),
            round(size * 0.5, 1),
            True,
            1.15,
            body.child("Span") if body else None,
        )
        if entry.unit
        else None
    )
    return value, unit, label


def _cell(
    entry: SettingsEntry, width: float, size: float, flow: Flow, listed: Element
) -> tuple[TextBox, _ValueBox]:
    value, unit, label = _boxes(entry, width, size, flow, listed.child("LI"))
    label.after = flow.space(0.5)
    return label, _ValueBox(width, value, unit, flow)
