"""Short items in two balanced columns: down the first, then down the second."""

from __future__ import annotations

from collections.abc import Sequence

from docbuilder.layout.boxes import Box, Remainder, Room, gaps
from docbuilder.layout.geometry import Frame, start_x
from docbuilder.layout.pen import Pen

__all__ = ["BalancedColumns"]

_LEAST_ITEMS = 4
"""Fewest items that stand in two columns on one page; two a column."""
_FEW = 4
"""Fewest items that go on to the next page."""


class BalancedColumns(Box):
    """Boxes of half the width in two columns of nearly one height.

    They read down the first column, then down the second. On a page that has no room for
    all, as many go in as fit balanced, so that the order holds on every page.
    """

    kind = "list columns"

    def __init__(self, width: float, gutter: float, items: Sequence[Box], rtl: bool) -> None:
        self.items, self.gutter, self.rtl = tuple(items), gutter, rtl
        self.cut, height = _balance(self.items)
        super().__init__(width, height)
        if self.items:
            self.before, self.after = self.items[0].before, self.items[-1].after

    def split(self, room: Room) -> tuple[Box, Box] | None:
        """Split between items, those that fit balanced in two columns again."""
        for count in range(len(self.items) - _FEW, _LEAST_ITEMS - 1, -1):
            if _balance(self.items[:count])[1] <= room.height + 0.01:
                return self._part(self.items[:count]), self._part(self.items[count:])
        return None

    @property
    def remainder(self) -> Remainder:
        """How many items are left."""
        return *super().remainder, len(self.items)

    def _part(self, items: Sequence[Box]) -> BalancedColumns:
        part = BalancedColumns(self.width, self.gutter, items, self.rtl)
        part.number = self.number
        return part

    def draw(self, pen: Pen, x: float, top: float) -> None:
        """Draw the first column at the start edge, then the second."""
        room = Frame(x, top - self.height, x + self.width, top)
        half = (self.width - self.gutter) / 2
        for column, boxes in enumerate((self.items[: self.cut], self.items[self.cut :])):
            left = start_x(x, self.width, column * (half + self.gutter), half, self.rtl)
            y = top
            for gap, box in zip(gaps(boxes), boxes, strict=True):
                y -= gap
                box.place(pen, left, y, room)
                y -= box.height


def _balance(items: Sequence[Box]) -> tuple[int, float]:
    """Return how many items stand in the first column, and the height of the taller one."""
    feet, above = [0.0], gaps(items)
    for box, gap in zip(items, above, strict=True):
        feet.append(feet[-1] + gap + box.height)
    count = len(items)
    best = (count, feet[-1])
    middle = (count + 1) // 2
    for cut in (*range(middle, count), *range(middle - 1, 0, -1)):
        taller = max(feet[cut], feet[-1] - feet[cut] - above[cut])
        if taller < best[1] - 0.01:
            best = (cut, taller)
    return best
