"""Boxes side by side, and rows under a head that repeats on each page."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cached_property

from docbuilder.layout.boxes import Box, Remainder, Room, Shape, Stack, fill
from docbuilder.layout.geometry import Frame, start_x
from docbuilder.layout.pen import Pen

__all__ = ["Cell", "Decoration", "Repeating", "Row"]

Decoration = Callable[[Pen, Frame], None]

_SHORT = 0.15
"""Share of an empty page below which a row should not stand alone."""
_LOWEST_PAGE_PT = 360.0
"""No page's body is lower than this."""


@dataclass(frozen=True, slots=True)
class Cell:
    """A stack in a row, *offset* points from the start edge."""

    offset: float
    stack: Stack


class Row(Box):
    """Cells side by side, their tops aligned, mirrored where text runs to the left."""

    kind = "row"

    def __init__(
        self,
        width: float,
        cells: Sequence[Cell],
        rtl: bool,
        *,
        pad: float = 0.0,
        least: float = 0.0,
        most: float = 0.0,
        long: float | None = None,
        behind: Decoration | None = None,
        middle: bool = False,
        foot: bool = False,
    ) -> None:
        self.cells = tuple(cells)
        self.rtl, self.pad, self.least, self.long = rtl, pad, least, long
        """*long*: a row higher than this may be split; None: only when forced."""
        self.most = most
        """Height up to which it may grow where the page has room."""
        self.behind, self.middle, self.foot = behind, middle, foot
        tallest = max((cell.stack.height for cell in cells), default=0.0)
        super().__init__(width, max(least, tallest + 2 * pad))
        self.before = max((cell.stack.before for cell in cells), default=0.0)
        self.after = max((cell.stack.after for cell in cells), default=0.0)
        self.keep_next = any(cell.stack.keep_next for cell in cells)

    def split(self, room: Room) -> tuple[Box, Box] | None:
        """Split every cell at the same height."""
        if self.firm:
            return None
        may = room.force or self.height > room.page
        if not may and (self.long is None or self.height <= self.long):
            return None
        inner = Room(room.height - 2 * self.pad, room.page, room.force)
        filled = [fill(cell.stack.boxes, inner, cell.stack.air) for cell in self.cells]
        stuck = [part for part in filled if part.rest and not part.placed]
        if not any(part.placed for part in filled) or (stuck and not room.force):
            return None
        if not any(part.rest for part in filled):
            return None
        least = min(self.least, self.height)
        first = self._part([[box for box, _ in part.placed] for part in filled], least)
        rest = self._part([list(part.rest) for part in filled], 0.0)
        return (first, rest) if first.height <= room.height + 0.01 else None

    @cached_property
    def firm(self) -> bool:
        """Whether it never parts: it fits on any page, and so should its cells, as months do."""
        low = self.long is None and self.height < _LOWEST_PAGE_PT
        return low and all(cell.stack.whole for cell in self.cells)

    @cached_property
    def shape(self) -> Shape:
        """Its outline, and what stands in the cells."""
        if self.firm and self.stiff:
            return self.outline
        inside = [cell.stack.shape for cell in self.cells]
        return *self.outline, self.pad, self.least, self.long, *inside

    @cached_property
    def stiff(self) -> bool:
        """Whether no cell has a lower form."""
        return all(cell.stack.stiff for cell in self.cells)

    def squeeze(self, height: float) -> Box | None:
        """Return the row with lower cells where they are too high, if all of them can be."""
        if self.stiff:
            return None
        stacks: list[Stack] = []
        for cell in self.cells:
            lower: Box | None = cell.stack
            if cell.stack.height > height - 2 * self.pad + 0.01:
                lower = cell.stack.squeeze(height - 2 * self.pad)
            if not isinstance(lower, Stack):
                return None
            stacks.append(lower)
        row = self._of(stacks, min(self.least, self.height))
        row.keep_next = self.keep_next
        return row if row.height <= height + 0.01 else None

    @property
    def growth(self) -> float:
        """What is missing to its greatest height."""
        return max(0.0, self.most - self.height)

    def higher(self, share: float) -> Box:
        """Return the row, *share* of its growth higher."""
        if not self.growth:
            return self
        height = self.height + share * self.growth
        return self._part([cell.stack.boxes for cell in self.cells], height)

    @cached_property
    def remainder(self) -> Remainder:
        """What is left in every cell."""
        return *super().remainder, *(cell.stack.remainder for cell in self.cells)

    def _part(self, parts: Sequence[Sequence[Box]], least: float) -> Row:
        return self._of(
            [cell.stack.like(boxes) for cell, boxes in zip(self.cells, parts, strict=True)], least
        )

    def _of(self, stacks: Sequence[Stack], least: float) -> Row:
        """Return the row with other stacks in its cells."""
        cells = [Cell(cell.offset, stack) for cell, stack in zip(self.cells, stacks, strict=True)]
        part = Row(
            self.width, cells, self.rtl, pad=self.pad, least=least, most=self.most,
            long=self.long, behind=self.behind, middle=self.middle, foot=self.foot,
        )  # fmt: skip
        part.kind, part.number = self.kind, self.number
        part.before, part.after = self.before, self.after
        return part

    def draw(self, pen: Pen, x: float, top: float) -> None:
        """Draw the cells from the start edge."""
        frame = Frame(x, top - self.height, x + self.width, top)
        if self.behind is not None:
            self.behind(pen, frame)
        for cell in self.cells:
            if not cell.stack.boxes:
                continue
            left = start_x(x, self.width, cell.offset, cell.stack.width, self.rtl)
            free = self.height - cell.stack.height
            drop = free / 2 if self.middle else free - self.pad if self.foot else self.pad
            cell.stack.place(pen, left, top - drop, frame)


class Repeating(Box):
    """Rows under a head; on later pages the head is an artifact."""

    kind = "rows"

    def __init__(
        self,
        width: float,
        head: Box,
        rows: Sequence[Box],
        *,
        lead: Sequence[Box] = (),
        first: bool = True,
        behind: Decoration | None = None,
        once: bool = False,
        bare: bool = False,
        spare: Callable[[], Box] | None = None,
    ) -> None:
        self.spare = spare
        """Makes one more empty row, where rows go on to the foot of the page."""
        self.once, self.bare = once, bare
        """*once*: one head a page is enough for all such rows; *bare*: it is there already."""
        self.lead, self.head, self.rows, self.first = tuple(lead), head, tuple(rows), first
        """*lead* (a caption) stands above the head on the first page only."""
        self.behind = behind
        """Drawn behind the rows, without the head."""
        self._body = Stack(width, rows)
        self._top = Stack(width, [] if bare else [*lead, head])
        self._gap = 0.0 if bare else head.after
        super().__init__(width, self._top.height + self._gap + self._body.height)
        self.keep_next = self._body.keep_next

    def split(self, room: Room) -> tuple[Box, Box] | None:
        """Split between rows, or inside a row that allows it."""
        height = room.height - self._top.height - self._gap
        filled = fill(self.rows, Room(height, room.page, room.force))
        if not filled.placed or not filled.rest:
            return None
        placed, rest = [box for box, _ in filled.placed], list(filled.rest)
        if not room.force and self._lonely(placed, rest, room):
            return None
        # A heading is no row: it goes on with what follows it, and draws nothing to itself.
        lone = len(rest) == 1 and not rest[0].keep_next
        alone = lone and rest[0].height < room.page * _SHORT
        if alone and len(placed) > 2 and not placed[-2].keep_next:
            rest.insert(0, placed.pop())
        first = self._part(placed, self.lead, self.first, self.bare)
        return first, self._part(rest, (), self.bare and not self.once)

    @cached_property
    def stiff(self) -> bool:
        """Whether no row has a lower form."""
        return all(row.stiff for row in self.rows)

    def squeeze(self, height: float) -> Box | None:
        """Return the rows with a lower last one, where that makes all of them fit."""
        if self.stiff or self.spare is not None:
            return None
        inner = height - self._top.height - self._gap
        filled = fill(self.rows, Room(inner, inner))
        if filled.rest or not filled.placed:
            return None
        lower = self._part([box for box, _ in filled.placed], self.lead, self.first, self.bare)
        return lower if lower.height <= height + 0.01 else None

    def grown(self, height: float) -> Box:
        """Add empty rows to the foot of the page, if there are to be any."""
        if self.spare is None:
            return self
        row = self.spare()
        count = int((height - self.height + 0.01) // row.height)
        rows = [*self.rows, *(self.spare() for _ in range(count))]
        return self._part(rows, self.lead, self.first, self.bare)

    def _lonely(self, placed: Sequence[Box], rest: Sequence[Box], room: Room) -> bool:
        """Tell whether the head would stand above a single short row."""
        alone = self.first and len(placed) == 1 and rest[0].number != placed[0].number
        return alone and placed[0].height < room.page * _SHORT

    @cached_property
    def remainder(self) -> Remainder:
        """What is left: how many rows, and what of the first."""
        first = (row.remainder for row in self.rows[:1])
        return *super().remainder, self.bare, len(self.rows), *first

    @property
    def growth(self) -> float:
        """What the rows may grow by."""
        return self._body.growth

    def higher(self, share: float) -> Box:
        """Return the table with higher rows."""
        if not self.growth:
            return self
        rows = [row.higher(share) for row in self.rows]
        return self._part(rows, self.lead, self.first, self.bare)

    @cached_property
    def shape(self) -> Shape:
        """Its outline, its head, and the rows."""
        if self.spare is not None:
            return super().shape
        told = self.once, self.bare, self.first, self._gap, self._top.shape
        return *self.outline, *told, self._body.shape

    @property
    def headed(self) -> bool:
        """Whether the head holds for such rows further down."""
        return self.once

    def below(self, headed: bool) -> Box:
        """Return the rows without their head if one stands above already."""
        if self.once and headed and not self.bare:
            return self._part(self.rows, self.lead, self.first, bare=True)
        return self

    def shed(self) -> tuple[Box, Box] | None:
        """Split off the rows at the end that must not stand last."""
        kept = list(self.rows)
        while kept and kept[-1].keep_next:
            kept.pop()
        if not kept:
            return None
        first = self._part(kept, self.lead, self.first, self.bare)
        return first, self._part(self.rows[len(kept) :], (), self.bare and not self.once)

    def _part(
        self, rows: Sequence[Box], lead: Sequence[Box], first: bool, bare: bool = False
    ) -> Repeating:
        part = Repeating(
            self.width, self.head, rows, lead=lead, first=first, behind=self.behind,
            once=self.once, bare=bare, spare=self.spare,
        )  # fmt: skip
        part.kind, part.number = self.kind, self.number
        part.before, part.after = self.before, self.after
        part.attached = self.attached and first
        if bare and rows:
            part.before = max(self.before, rows[0].before)
        return part

    def draw(self, pen: Pen, x: float, top: float) -> None:
        """Draw the head, then the rows."""
        frame = Frame(x, top - self.height, x + self.width, top)
        if self.first:
            self._top.place(pen, x, top, frame)
        else:
            with pen.artifact():
                self._top.place(pen, x, top, frame)
        body_top = top - self._top.height - self._gap
        if self.behind is not None:
            self.behind(pen, Frame(x, frame.y0, frame.x1, body_top))
        self._body.place(pen, x, body_top, frame)
