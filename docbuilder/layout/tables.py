"""Tables: a head that repeats, row headers, shaded rows, column order by direction."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from docbuilder.document.blocks import Runs, Table
from docbuilder.document.scene import Segment
from docbuilder.layout.asking import Asker, plain
from docbuilder.layout.boxes import Box, Stack
from docbuilder.layout.flow import Flow
from docbuilder.layout.geometry import MM, Frame, start_x
from docbuilder.layout.lettering import Align, TextBox, TextStyle, least_width
from docbuilder.layout.pen import Pen
from docbuilder.layout.rows import Cell, Repeating, Row
from docbuilder.layout.structure import Element, text_string

__all__ = ["column_widths", "measure_table"]

_SMALLER = 0.94
_LEAST_HEAD_PT = 11.0
"""Heads shrink to the smallest size of what is read; to this only where a word would part."""

_LEAST_PAD = 0.5

SCOPE = "<</O/Table/Scope/{}>>"


def column_widths(shares: Sequence[float], least: Sequence[float], width: float) -> list[float]:
    """Share *width* out, but give every column its longest word if there is room.

    >>> column_widths([1, 1], [10, 60], 100)
    [40.0, 60.0]
    """
    total = sum(shares)
    widths = [width * share / total for share in shares]
    for _ in shares:
        short = {i for i, least_i in enumerate(least) if widths[i] < least_i - 0.01}
        wide = [i for i in range(len(shares)) if widths[i] > least[i] + 0.01]
        if not short or not wide:
            break
        needed = sum(least[i] - widths[i] for i in short)
        spare = sum(widths[i] - least[i] for i in wide)
        taken = min(needed, spare)
        for i in wide:
            widths[i] -= taken * (widths[i] - least[i]) / spare
        for i in short:
            widths[i] += taken * (least[i] - widths[i]) / needed
    return widths


def measure_table(block: Table, width: float, flow: Flow, parent: Element) -> list[Box]:
    """Return the table's box."""
    if block.compact:
        flow = flow.sized(min(flow.text_pt, flow.look.compact_pt))
    return [_Maker(block, width, flow, parent).table()]


class _Maker:
    """Measures one table."""

    def __init__(self, block: Table, width: float, flow: Flow, parent: Element) -> None:
        self.block, self.width, self.flow = block, width, flow
        summary = f"<</O/Table/Summary{text_string(block.alt)}>>" if block.alt else ""
        self.element = parent.child("Table", attributes=summary)
        self.pad_x = flow.space(1 if block.compact else 1.5)
        self.pad_y = flow.space(0.25 if block.dense else 0.75 if block.compact else 1.5)
        self.head_pad = min(self.pad_y, flow.space(0.5 if block.attached else 1.0))
        if block.min_row_mm:
            self.pad_y = min(self.pad_y, flow.space(0.25))  # such rows are high by themselves
        self.edge = 0.0
        self.head_style = flow.style(
            max(flow.look.least_read_pt, flow.look.compact_pt) if block.attached else None,
            bold=True, leading=1.2,
        )  # fmt: skip
        # Heads of what is to be written in stay on one line, if they can; words stay whole.
        whole = block.min_row_mm and not block.attached and not block.wrapped_heads
        read = min(flow.look.least_read_pt, flow.text_pt)
        least = self._fitted(read, whole=True) if whole else None
        least = least or self._fitted(read, whole=False)
        least = least or self._fitted(min(_LEAST_HEAD_PT, read), whole=False)
        least = least or self._least_widths()
        self.widths = column_widths([column.share for column in block.columns], least, width)

    def _fitted(self, smallest: float, *, whole: bool) -> list[float] | None:
        """Return the columns' least widths, with heads as large as fits; None if none fit."""
        full_style, full_pad = self.head_style, self.pad_x
        for pad in (full_pad, self.flow.space(_LEAST_PAD)):
            self.pad_x, self.head_style = pad, full_style
            while True:
                least = self._least_widths(whole)
                if sum(least) <= self.width:
                    return least
                if self.head_style.size_pt <= smallest:
                    break
                size = max(smallest, round(self.head_style.size_pt * _SMALLER, 1))
                self.head_style = replace(self.head_style, size_pt=size)
        self.pad_x, self.head_style = full_pad, full_style
        return None

    def _least_widths(self, whole: bool = False) -> list[float]:
        """Return each column's least width; with *whole* its head is not broken."""
        columns: list[float] = []
        for index, column in enumerate(self.block.columns):
            words = [least_width(column.header, self.head_style)]
            if whole:
                words = [TextBox(column.header, 10_000, self.head_style, None).natural_width + 1]
            words += [
                least_width(row[index], self._cell_style(index)) for row in self.block.rows[:60]
            ]
            columns.append(max(words) + 2 * self.pad_x + 0.5)
        return columns

    def _cell_style(self, column: int) -> TextStyle:
        align: Align = self.block.columns[column].align
        bold = self.block.row_headers and column == 0
        # Rows to write in are high by themselves.
        leading = 1.25 if self.block.compact else 1.2 if self.block.min_row_mm else None
        return self.flow.style(bold=bold, align=align, leading=leading)

    def table(self) -> Box:
        """Return caption, head and rows."""
        lead: list[Box] = []
        if self.block.caption:
            style = self.flow.style(bold=True)
            caption = TextBox(self.block.caption, self.width, style, self.element.child("Caption"))
            caption.kind, caption.after = "caption", self.flow.space(1.5)
            caption.keep_next = True
            lead.append(caption)
        head = self._head()
        rows: list[Box] = [self._row(index, row) for index, row in enumerate(self.block.rows)]
        spare = self._spare if self.block.fill_page else None
        box = Repeating(self.width, head, rows, lead=lead, spare=spare)
        box.kind = "table"
        box.before = box.after = self.flow.space(3)
        box.attached = self.block.attached
        return box

    def _cells(
        self, texts: Sequence[Runs], styles: Sequence[TextStyle], elements: Sequence[Element]
    ) -> list[Cell]:
        cells, offset = [], 0.0
        for runs, style, element, width in zip(texts, styles, elements, self.widths, strict=True):
            inner = width - 2 * self.pad_x
            boxes = [TextBox(runs, inner, style, element)] if _says(runs) else []
            cells.append(Cell(offset + self.pad_x, Stack(inner, boxes)))
            offset += width
        return cells

    def _head(self) -> Row:
        row = self.element.child("TR")
        columns = self.block.columns
        elements = [row.child("TH", attributes=SCOPE.format("Column")) for _ in columns]
        styles = [replace(self.head_style, align=column.align) for column in columns]
        cells = self._cells([column.header for column in columns], styles, elements)

        def behind(pen: Pen, frame: Frame) -> None:
            pen.box(frame, fill=self.flow.look.tint)
            pen.rule((frame.x0, frame.y0), (frame.x1, frame.y0), self.flow.look.accent, 1.2)

        head = Row(self.width, cells, self.flow.rtl, pad=self.head_pad, behind=behind)
        head.kind = "table head"
        return head

    def _spare(self) -> Row:
        """Return an empty row that joins the table only when it is drawn."""
        columns = len(self.block.columns)
        row = Element("TR")
        empty = self._row_in(row, -1, ((),) * columns)
        return _Late(empty, row, self.element)

    def _row(self, index: int, texts: Sequence[Runs]) -> Row:
        return self._row_in(self.element.child("TR"), index, texts)

    def _row_in(self, row: Element, index: int, texts: Sequence[Runs]) -> Row:
        elements = [
            row.child("TH", attributes=SCOPE.format("Row"))
            if self.block.row_headers and column == 0
            else row.child("TD")
            for column in range(len(texts))
        ]
        styles = [self._cell_style(column) for column in range(len(texts))]
        cells = self._cells(texts, styles, elements)
        shaded = index in self.block.shaded_rows
        asks = self._asks(row, texts, elements)

        def behind(pen: Pen, frame: Frame) -> None:
            if shaded:
                pen.box(frame, fill=self.flow.look.neutral)
            colour = self.flow.look.hairline
            pen.rule((frame.x0, frame.y0), (frame.x1, frame.y0), colour, 0.5)
            if self.block.min_row_mm:
                self._uprights(pen, frame)
            if asks:
                for ask, cell in zip(asks, self._frames(frame), strict=True):
                    if ask is not None:
                        ask(pen, cell)

        box = Row(
            self.width, cells, self.flow.rtl, pad=self.pad_y, least=self.block.min_row_mm * MM,
            most=self.block.most_row_mm * MM, behind=behind, middle=bool(self.block.min_row_mm),
        )  # fmt: skip
        box.kind = "table row"
        return box

    def _asks(
        self, row: Element, texts: Sequence[Runs], elements: Sequence[Element]
    ) -> list[Asker | None]:
        """Return what the cells that are to be written in ask for, named by their heads."""
        if not self.flow.fillable:
            return []
        asks: list[Asker | None] = []
        for column, (runs, element) in enumerate(zip(texts, elements, strict=True)):
            ask = None
            if self.block.min_row_mm and not _says(runs):
                ask = self._ask(row, plain(texts[0]), column, element)
            asks.append(ask)
        return asks

    def _ask(self, row: Element, head: str, column: int, element: Element) -> Asker:
        form = element.child("Form")
        name = plain(self.block.columns[column].header)

        def ask(pen: Pen, frame: Frame) -> None:
            # A row without a head is told by its number, known when all rows are there.
            rows = [
                kid for kid in self.element.kids if isinstance(kid, Element) and kid.tag == "TR"
            ]
            told = head if self.block.row_headers else str(rows.index(row))
            pen.file.fields.text(
                form, pen.page, frame, f"{told}: {name}", self.flow.text_pt, kind="cell",
                rtl=self.flow.rtl,
            )  # fmt: skip

        return ask

    def _frames(self, row: Frame) -> list[Frame]:
        """Return the cells of a row on paper."""
        frames, offset = [], 0.0
        for width in self.widths:
            x = start_x(row.x0, self.width, offset, width, self.flow.rtl)
            frames.append(Frame(x, row.y0, x + width, row.y1))
            offset += width
        return frames

    def _uprights(self, pen: Pen, frame: Frame) -> None:
        """Rules between columns, where a row is to be written in."""
        offset, lines = 0.0, list[Segment]()
        for width in self.widths[:-1]:
            offset += width
            x = frame.x1 - offset if self.flow.rtl else frame.x0 + offset
            lines += [("M", x, frame.y0), ("L", x, frame.y1)]
        pen.shape(lines, stroke=self.flow.look.hairline, width_pt=0.5)


class _Late(Row):
    """An empty row; how many there are is known only when the page is full."""

    def __init__(self, row: Row, element: Element, table: Element) -> None:
        self.__dict__.update(row.__dict__)
        self.element, self.table = element, table

    def draw(self, pen: Pen, x: float, top: float) -> None:
        """Join the table, then draw."""
        self.table.kids.append(self.element)
        super().draw(pen, x, top)


def _says(runs: Runs) -> bool:
    return any(run.text.strip() for run in runs)
