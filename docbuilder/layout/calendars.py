"""Month grids side by side, with marks that tell apart by shape, and a key."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from docbuilder.document.blocks import CalendarDay, CalendarGrid, CalendarMonth, Run
from docbuilder.layout.boxes import Box, Stack
from docbuilder.layout.flow import Flow
from docbuilder.layout.geometry import Frame, start_x
from docbuilder.layout.lettering import TextBox, TextStyle, least_width
from docbuilder.layout.pen import Pen
from docbuilder.layout.rows import Cell, Row
from docbuilder.layout.signs import MARKS, draw_mark
from docbuilder.layout.structure import Element
from docbuilder.layout.tables import SCOPE

__all__ = ["measure_calendar"]

_LEAST_CELL_EM = 1.72
_WIDEST_CELL_EM = 3.7
_WIDE_CELL_EM = 3.65
"""From this width on a day's number, a second mark and the session's disc stand in a row."""
_DISC_EM = 0.64
"""Radius of a session's disc."""
_SMALL_MARK = 0.37
"""Size of a second mark in a narrow cell, against the disc."""
_SECOND_MARK = 0.46
"""The same in a wide cell."""
_NEAR_PT = 1.5
"""Least distance of a day's number and its disc."""
_LEAST_WEEKDAY_PT = 9.0
"""Smallest size of the weekdays' names; longer names leave room for fewer months a row."""
_BETWEEN_NAMES_PT = 3.0

_LARGE_PRINT_PT = 16.0
_SMALLER_PT = 12.0
"""Smallest type of a calendar on a patient's page."""
_LEAST_KEY_EM = 9
"""Width of a key beside the last months, in font sizes."""
_WORTH = 0.8
"""Smaller type must save a fifth of the height."""


class _Day(Box):
    """One day: its number at the start, the mark below or beside it."""

    kind = "day"

    def __init__(self, day: CalendarDay, size: tuple[float, float], flow: Flow, cell: Element):
        super().__init__(*size)
        self.day, self.flow, self.cell = day, flow, cell
        self.number_text = TextBox(
            (Run(day.number),),
            self.width - (6 if self.wide else 3),
            _number_style(flow),
            cell.child("P"),
        )
        self.session: TextBox | None = None
        self.marked = day.mark not in ("none", "rest") or bool(day.session)
        self.says = _spoken(day)
        self.marker = cell.child("Span") if self.marked else None
        if day.session:
            self.session = _in_disc(day.session, flow)

    def draw(self, pen: Pen, x: float, top: float) -> None:
        """Draw number, then mark."""
        frame = Frame(x, top - self.height, x + self.width, top)
        pen.box(frame, stroke=self.flow.look.hairline, width_pt=0.5)
        drop = (self.height - self.number_text.height) / 2 if self.wide else 1
        self.number_text.place(pen, x + (3 if self.wide else 1.5), top - drop, frame)
        if not self.marked or self.marker is None:
            return
        with pen.marked(self.marker, actual_text=self.says or None):
            self._mark(pen, frame)

    @property
    def wide(self) -> bool:
        """Whether the mark stands beside the number, not below it."""
        return self.width >= self.flow.text_pt * _WIDE_CELL_EM

    def _mark(self, pen: Pen, frame: Frame) -> None:
        look = self.flow.look
        (x, y, radius), *second = self.circles(frame)
        if self.session is None:
            size = radius if self.day.mark == "session" else radius * 0.8
            draw_mark(pen, self.day.mark, (x, y), size, look)
            return
        draw_mark(pen, "session", (x, y), radius, look)
        with pen.on_ground(look.accent):
            disc = Frame(x - radius, y - radius, x + radius, y + radius)
            self.session.place_centred(pen, disc)
        for x, y, radius in second:
            draw_mark(pen, self.day.mark, (x, y), radius, look)

    def circles(self, frame: Frame) -> list[tuple[float, float, float]]:
        """Return x, y and radius in points of the mark and, if there is one, the second mark.

        Neither touches the other or the day's number.
        """
        rtl = self.flow.rtl
        radius = self.flow.text_pt * _DISC_EM
        y = (frame.y0 + frame.y1) / 2 if self.wide else frame.y0 + radius + 1.5
        from_end = radius + (4 if self.wide else 1.5)
        x = start_x(frame.x0, self.width, self.width - from_end, 0, rtl)
        mark = (x, y, radius)
        if self.session is None or self.day.mark in ("none", "rest", "session"):
            return [mark]
        if self.wide:
            small = radius * _SECOND_MARK
            return [mark, (x + (radius + small + 2.0) * (1 if rtl else -1), y, small)]
        small = radius * _SMALL_MARK
        above = start_x(frame.x0, self.width, self.width - small - 1.5, 0, rtl)
        return [mark, (above, frame.y1 - small - 2.0, small)]


def _number_style(flow: Flow) -> TextStyle:
    return flow.style(max(10.0, round(flow.text_pt * 0.82, 1)), leading=1.1)


def _in_disc(number: str, flow: Flow) -> TextBox:
    """Return a session's number, as large as its disc holds."""
    size, room = flow.text_pt * 0.8, flow.text_pt * _DISC_EM * 1.7
    style = flow.style(round(size, 1), bold=True, tone="white", align="centre", leading=1.1)
    wide = TextBox((Run(number),), 1000, style, None).natural_width
    if wide > room:
        style = replace(style, size_pt=round(max(9.0, size * room / wide), 1))
    return TextBox((Run(number),), max(room, wide) + 1, style, None)


def _cell_height(width: float, flow: Flow, numbers: Sequence[str]) -> float:
    """Return the height of a day: its number and a disc may overlap in neither direction.

    The number stands in the upper corner at the start, the disc in the lower one at the
    end, so they nest as long as the number's inner corner stays outside the disc.
    """
    radius, style = flow.text_pt * _DISC_EM, _number_style(flow)
    if width >= flow.text_pt * _WIDE_CELL_EM:
        return 2 * radius + 5
    widest = max(TextBox((Run(n),), 1000, style, None).natural_width for n in numbers)
    across = (width - radius - 1.5) - (3 + widest)
    reach = radius + _NEAR_PT
    rise = math.sqrt(reach**2 - across**2) if 0 < across < reach else reach
    number_foot = 2 + style.size_pt * 0.95
    # A second mark stands above the disc, in the other upper corner.
    stacked = 2 * radius * (1 + _SMALL_MARK) + 4.5
    return max(number_foot + rise + radius + 1.5, stacked)


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
    return _rows(block, width, gap, _sized(block, width, gap, flow), parent)


def _rows(block: CalendarGrid, width: float, gap: float, flow: Flow, parent: Element) -> list[Box]:
    across, cell = _grid(block, width, gap, flow)
    month_width = 7 * cell
    boxes: list[Box] = []
    for start in range(0, len(block.months), across):
        cells = [
            Cell(i * (month_width + gap), _month(month, cell, flow, parent))
            for i, month in enumerate(block.months[start : start + across])
        ]
        ends = start + across >= len(block.months)
        beside = _key_beside(block, width, cells, gap, flow, parent) if ends else []
        row = Row(width, [*cells, *beside], flow.rtl)
        row.kind = "months"
        row.before = row.after = flow.space(3)
        boxes.append(row)
        if beside:
            return boxes
    if block.key:
        if boxes:
            boxes[-1].keep_next = True
        boxes.append(_key(block, width, flow, parent))
    return boxes


def _key_beside(
    block: CalendarGrid, width: float, cells: Sequence[Cell], gap: float, flow: Flow,
    parent: Element,
) -> list[Cell]:  # fmt: skip
    """Return the key as a cell in the room beside the last months, if that holds it."""
    offset = cells[-1].offset + cells[-1].stack.width + gap
    room = width - offset
    if not _holds_key(block, room, max(cell.stack.height for cell in cells), flow):
        return []
    return [Cell(offset, Stack(room, [_key(block, room, flow, parent)]))]


def _holds_key(block: CalendarGrid, room: float, highest: float, flow: Flow) -> bool:
    """Tell whether *room* is wide enough for the key, and the key no higher than the months."""
    if not block.key or room < flow.text_pt * _LEAST_KEY_EM:
        return False
    return _key(block, room, flow, Element("Sect")).height <= highest


def _grid(block: CalendarGrid, width: float, gap: float, flow: Flow) -> tuple[int, float]:
    """Return how many months stand in a row, and the width of a day."""
    across = max(1, min(len(block.months), _fitting(block, width, gap, flow)))
    return across, min((width - gap * (across - 1)) / across / 7, flow.text_pt * _WIDEST_CELL_EM)


def _sized(block: CalendarGrid, width: float, gap: float, flow: Flow) -> Flow:
    """Return the size of type: smaller, but not small, where that saves much room."""
    if not _SMALLER_PT < flow.text_pt < _LARGE_PRINT_PT:
        return flow
    smaller = flow.sized(_SMALLER_PT)
    heights = [_height(block, width, gap, sized) for sized in (flow, smaller)]
    return smaller if heights[1] < _WORTH * heights[0] else flow


def _height(block: CalendarGrid, width: float, gap: float, flow: Flow) -> float:
    """Return the height of the rows of months and the key, without their days."""
    across, cell = _grid(block, width, gap, flow)
    months = [_month_height(month, cell, flow) for month in block.months]
    rows = [max(months[start : start + across]) for start in range(0, len(months), across)]
    last = len(months) % across or across
    beside = width - last * (7 * cell + gap)
    if not block.key or (rows and _holds_key(block, beside, rows[-1], flow)):
        return sum(rows)
    return sum(rows) + _key(block, width, flow, Element("Sect")).height


def _month_height(month: CalendarMonth, cell: float, flow: Flow) -> float:
    title = _title(month, 7 * cell, flow, None)
    names = _weekdays(month, cell, flow, Element("Table"))
    weeks = len(month.weeks) * _cell_height(cell, flow, _numbers(month))
    return title.height + title.after + names.height + weeks


def _fitting(block: CalendarGrid, width: float, gap: float, flow: Flow) -> int:
    """Return how many months fit side by side with some form of their weekdays' names."""
    if flow.text_pt >= _LARGE_PRINT_PT:
        return 1  # room for large names of days, and for each mark beside its circle
    most = 0
    forms = 1 + min((len(month.short_weekdays) for month in block.months), default=0)
    for form in range(forms):
        if form == forms - 1 and most > 1:
            break  # rather fewer months a row than days of one letter
        cell = max(flow.text_pt * _LEAST_CELL_EM, _widest_name(block, form, flow))
        most = max(most, int((width + gap) // (7 * cell + gap)))
    return most


def _names(month: CalendarMonth, form: int) -> tuple[str, ...]:
    return (month.weekdays, *month.short_weekdays)[form]


def _widest_name(block: CalendarGrid, form: int, flow: Flow) -> float:
    style = flow.style(_LEAST_WEEKDAY_PT)
    names = {(Run(day),) for month in block.months for day in _names(month, form)}
    widest = max((least_width(runs, style) for runs in names), default=0.0)
    return widest + _BETWEEN_NAMES_PT


def _month(month: CalendarMonth, cell: float, flow: Flow, parent: Element) -> Stack:
    width = 7 * cell
    table = parent.child("Table")
    title = _title(month, width, flow, table.child("Caption"))
    boxes: list[Box] = [title, _weekdays(month, cell, flow, table)]
    height = _cell_height(cell, flow, _numbers(month))
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


def _title(month: CalendarMonth, width: float, flow: Flow, element: Element | None) -> TextBox:
    style = flow.style(bold=True, leading=1.2)
    title = TextBox((Run(month.title),), width, style, element)
    title.after = flow.space(1)
    return title


def _numbers(month: CalendarMonth) -> list[str]:
    """Return the days' numbers."""
    return [day.number for week in month.weeks for day in week if day is not None] or [""]


def _weekdays(month: CalendarMonth, cell: float, flow: Flow, table: Element) -> Row:
    """Return the names of the weekdays: the longest form that fits, all in one size."""
    line = table.child("TR")
    liked = round(flow.text_pt * 0.8, 1)
    names, size = month.weekdays, _LEAST_WEEKDAY_PT
    for form in (month.weekdays, *month.short_weekdays):
        widest = max(
            TextBox((Run(day),), 1000, flow.style(liked), None).natural_width for day in form
        )
        fitting = min(liked, liked * (cell - _BETWEEN_NAMES_PT) / max(widest, 1))
        if fitting >= _LEAST_WEEKDAY_PT:
            names, size = form, fitting
            break
    style = flow.style(int(size * 10) / 10, align="centre", leading=1.2)
    cells = []
    for index, (day, full) in enumerate(zip(names, month.weekdays, strict=True)):
        head = line.child("TH", attributes=SCOPE.format("Column"))
        # A single letter would be read out as a letter.
        head.alt = full if day != full else ""
        cells.append(Cell(index * cell, Stack(cell, [TextBox((Run(day),), cell, style, head)])))
    row = Row(7 * cell, cells, flow.rtl, pad=1)
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
