"""Month grids side by side, with marks that tell apart by shape, and a key."""

from __future__ import annotations

from docbuilder.document.blocks import CalendarDay, CalendarGrid, CalendarMonth, Run
from docbuilder.layout.boxes import Box, Stack
from docbuilder.layout.flow import Flow
from docbuilder.layout.geometry import Frame, start_x
from docbuilder.layout.lettering import TextBox, least_width
from docbuilder.layout.pen import Pen
from docbuilder.layout.rows import Cell, Row
from docbuilder.layout.signs import MARKS, draw_mark
from docbuilder.layout.structure import Element
from docbuilder.layout.tables import SCOPE

__all__ = ["measure_calendar"]

_LEAST_CELL_EM = 2.3
_WIDEST_CELL_EM = 3.7
_WIDE_CELL_EM = 3.3
"""From this width on the mark stands beside the day's number."""
_LEAST_WEEKDAY_PT = 9.0
"""Smallest size of the weekdays' names; longer names leave room for fewer months a row."""
_BETWEEN_NAMES_PT = 3.0


class _Day(Box):
    """One day: its number at the start, the mark below or beside it."""

    kind = "day"

    def __init__(self, day: CalendarDay, size: tuple[float, float], flow: Flow, cell: Element):
        super().__init__(*size)
        self.day, self.flow, self.cell = day, flow, cell
        pt = round(flow.text_pt * 0.86, 1)
        self.number_text = TextBox(
            (Run(day.number),),
            self.width - 6,
            flow.style(max(10.0, pt), leading=1.1),
            cell.child("P"),
        )
        self.session: TextBox | None = None
        self.marked = day.mark not in ("none", "rest") or bool(day.session)
        self.says = _spoken(day)
        self.marker = cell.child("Span") if self.marked else None
        if day.session:
            style = flow.style(max(10.0, pt), bold=True, tone="white", align="centre", leading=1.1)
            self.session = TextBox((Run(day.session),), self.width, style, None)

    def draw(self, pen: Pen, x: float, top: float) -> None:
        """Draw number, then mark."""
        frame = Frame(x, top - self.height, x + self.width, top)
        pen.box(frame, stroke=self.flow.look.hairline, width_pt=0.5)
        drop = (self.height - self.number_text.height) / 2 if self.wide else 2
        self.number_text.place(pen, x + 3, top - drop, frame)
        if not self.marked or self.marker is None:
            return
        with pen.marked(self.marker, actual_text=self.says or None):
            self._mark(pen, frame)

    @property
    def wide(self) -> bool:
        """Whether the mark stands beside the number, not below it."""
        return self.width >= self.flow.text_pt * _WIDE_CELL_EM

    def _mark(self, pen: Pen, frame: Frame) -> None:
        look, rtl = self.flow.look, self.flow.rtl
        radius = self.flow.text_pt * 0.72
        x, y = (frame.x0 + frame.x1) / 2, frame.y0 + radius + 2.0
        if self.wide:
            side = 2 * radius
            x = start_x(frame.x0, self.width, self.width - side - 4, side, rtl) + radius
            y = (frame.y0 + frame.y1) / 2
        if self.session is None:
            size = radius if self.day.mark == "session" else radius * 0.72
            draw_mark(pen, self.day.mark, (x, y), size, look)
            return
        draw_mark(pen, "session", (x, y), radius, look)
        with pen.on_ground(look.accent):
            disc = Frame(x - radius, y - radius, x + radius, y + radius)
            self.session.place_centred(pen, disc)
        if self.day.mark in ("none", "rest", "session"):
            return
        small = radius * 0.42
        corner = start_x(frame.x0, self.width, self.width - 2 * small - 3, 2 * small, rtl) + small
        beside = x + (radius + small + 2.5) * (1 if rtl else -1)
        at = (beside, y) if self.wide else (corner, frame.y1 - small - 4)
        draw_mark(pen, self.day.mark, at, small, look)


def _spoken(day: CalendarDay) -> str:
    """Return what a mark reads as: its word, and the session's number unless named."""
    if not day.session or day.session in day.word.split():
        return day.word
    return f"{day.word} {day.session}".strip()


class _Blank(Box):
    """A cell outside the month."""

    kind = "no day"

    def draw(self, pen: Pen, x: float, top: float) -> None:
        """Draw nothing."""


class _KeyMark(Box):
    """A mark in the key."""

    kind = "key mark"

    def __init__(self, mark: str, size: float, flow: Flow) -> None:
        super().__init__(size, size)
        self.mark, self.flow = mark, flow

    def draw(self, pen: Pen, x: float, top: float) -> None:
        """Draw the mark in the middle."""
        radius = self.width * (0.42 if self.mark == "session" else 0.36)
        draw_mark(
            pen, self.mark, (x + self.width / 2, top - self.height / 2), radius, self.flow.look
        )


def measure_calendar(block: CalendarGrid, width: float, flow: Flow, parent: Element) -> list[Box]:
    """Return rows of months and the key."""
    gap = flow.space(5)
    across = max(1, min(len(block.months), _fitting(block, width, gap, flow)))
    cell = min((width - gap * (across - 1)) / across / 7, flow.text_pt * _WIDEST_CELL_EM)
    month_width = 7 * cell
    boxes: list[Box] = []
    for start in range(0, len(block.months), across):
        cells = [
            Cell(i * (month_width + gap), _month(month, cell, flow, parent))
            for i, month in enumerate(block.months[start : start + across])
        ]
        row = Row(width, cells, flow.rtl)
        row.kind = "months"
        row.before = row.after = flow.space(3)
        boxes.append(row)
    if block.key:
        if boxes:
            boxes[-1].keep_next = True
        boxes.append(_key(block, width, flow, parent))
    return boxes


def _fitting(block: CalendarGrid, width: float, gap: float, flow: Flow) -> int:
    """Return how many months fit side by side with their weekdays' names."""
    style = flow.style(_LEAST_WEEKDAY_PT)
    names = {(Run(day),) for month in block.months for day in month.weekdays}
    widest = max((least_width(runs, style) for runs in names), default=0.0)
    cell = max(flow.text_pt * _LEAST_CELL_EM, widest + _BETWEEN_NAMES_PT)
    return int((width + gap) // (7 * cell + gap))


def _month(month: CalendarMonth, cell: float, flow: Flow, parent: Element) -> Stack:
    width = 7 * cell
    table = parent.child("Table")
    title = TextBox(
        (Run(month.title),), width, flow.style(bold=True, leading=1.2), table.child("Caption")
    )
    title.after = flow.space(1)
    boxes: list[Box] = [title, _weekdays(month, cell, flow, table)]
    height = flow.text_pt * (1.8 if cell >= flow.text_pt * _WIDE_CELL_EM else 2.8)
    for week in month.weeks:
        line = table.child("TR")
        cells = []
        for index, day in enumerate(week):
            element = line.child("TD")
            box: Box = _Blank(cell, height)
            if day is not None:
                box = _Day(day, (cell, height), flow, element)
            cells.append(Cell(index * cell, Stack(cell, [box])))
        row = Row(width, cells, flow.rtl)
        row.kind = "week"
        boxes.append(row)
    stack = Stack(width, boxes, whole=True)
    stack.kind = "month"
    return stack


def _weekdays(month: CalendarMonth, cell: float, flow: Flow, table: Element) -> Row:
    line = table.child("TR")
    size = round(flow.text_pt * 0.8, 1)
    widest = max(
        TextBox((Run(day),), 1000, flow.style(size), None).natural_width for day in month.weekdays
    )
    size = max(_LEAST_WEEKDAY_PT, min(size, size * (cell - _BETWEEN_NAMES_PT) / max(widest, 1)))
    style = flow.style(int(size * 10) / 10, align="centre", leading=1.2)
    cells = [
        Cell(
            index * cell,
            Stack(
                cell,
                [
                    TextBox(
                        (Run(day),), cell, style,
                        line.child("TH", attributes=SCOPE.format("Column")),
                    )
                ],
            ),
        )
        for index, day in enumerate(month.weekdays)
    ]  # fmt: skip
    row = Row(7 * cell, cells, flow.rtl, pad=2)
    row.kind = "weekdays"
    return row


def _key(block: CalendarGrid, width: float, flow: Flow, parent: Element) -> Box:
    """Return the key: as many entries a line as fit."""
    listed = parent.child("L")
    size, gap = flow.text_pt * 1.4, flow.space(5)
    style = flow.style(flow.look.compact_pt)
    rows: list[Box] = []
    cells: list[Cell] = []
    offset = 0.0
    for mark, word in block.key:
        item = listed.child("LI")
        wide = TextBox((Run(word),), 10_000, style, None).natural_width + 1
        text_width = min(wide, width - size - 4)
        needed = size + 4 + text_width
        if cells and offset + needed > width:
            rows.append(_key_row(width, cells, flow))
            cells, offset = [], 0.0
        text = TextBox((Run(word),), text_width, style, item.child("LBody"))
        if mark in MARKS:
            cells.append(Cell(offset, Stack(size, [_KeyMark(mark, size, flow)])))
        cells.append(Cell(offset + size + 4, Stack(text_width, [text])))
        offset += needed + gap
    if cells:
        rows.append(_key_row(width, cells, flow))
    stack = Stack(width, rows, whole=True)
    stack.kind, stack.before, stack.after = "key", flow.space(2), flow.space(3)
    return stack


def _key_row(width: float, cells: list[Cell], flow: Flow) -> Row:
    row = Row(width, cells, flow.rtl, middle=True)
    row.before = row.after = flow.space(0.5)
    return row
