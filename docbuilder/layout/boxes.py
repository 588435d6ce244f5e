"""Measured boxes: each knows its height at its width, how to split, how to draw.

A page, a panel, a list item and a bilingual cell are all stacks of boxes, and one
function, `fill`, decides for all of them what still goes in.
"""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import count

from docbuilder.layout.geometry import Frame
from docbuilder.layout.pen import Pen

__all__ = ["Box", "Break", "Filled", "Gap", "Room", "Stack", "fill"]

_SLACK = 0.01
_numbers = count(1)


@dataclass(frozen=True, slots=True)
class Room:
    """Height left for a box, and the height of an empty page.

    *force* lets boxes split that would rather stay whole: the box is taller than a
    page, or would leave a page nearly empty.
    """

    height: float
    page: float
    force: bool = False


class Box(ABC):
    """A piece of a page, *width* wide and *height* high, in points."""

    kind = ""
    before = 0.0
    """Least gap above; the larger of two neighbours' gaps holds."""
    after = 0.0
    keep_next = False
    """Never the last thing in its frame."""

    def __init__(self, width: float, height: float) -> None:
        self.width = width
        self.height = height
        self.number = next(_numbers)

    def split(self, room: Room) -> tuple[Box, Box] | None:
        """Return a part that fits into *room* and the rest, or None."""
        return None

    def squeeze(self, height: float) -> Box | None:
        """Return a lower form of the box that fits into *height*, or None."""
        return None

    @abstractmethod
    def draw(self, pen: Pen, x: float, top: float) -> None:
        """Draw with the upper left corner at (*x*, *top*)."""

    def place(self, pen: Pen, x: float, top: float, room: Frame) -> None:
        """Log and draw."""
        frame = Frame(x, top - self.height, x + self.width, top)
        with pen.placed(self.kind, frame, self.number, room):
            self.draw(pen, x, top)


class Break(Box):
    """Ends the page."""

    kind = "break"

    def __init__(self) -> None:
        super().__init__(0, 0)

    def draw(self, pen: Pen, x: float, top: float) -> None:
        """Draw nothing."""


class Gap(Box):
    """Empty room."""

    kind = "gap"

    def draw(self, pen: Pen, x: float, top: float) -> None:
        """Draw nothing."""


@dataclass(frozen=True, slots=True)
class Filled:
    """Boxes with their distance from the frame's top, and what did not fit."""

    placed: tuple[tuple[Box, float], ...]
    rest: tuple[Box, ...]
    height: float


def gaps(boxes: Sequence[Box]) -> list[float]:
    """Return the gap above each box; none above the first."""
    return [
        0.0 if not index else max(boxes[index - 1].after, box.before)
        for index, box in enumerate(boxes)
    ]


def fill(boxes: Sequence[Box], room: Room) -> Filled:
    """Put as many boxes into *room* as go, splitting the last where it may be split."""
    placed: list[tuple[Box, float]] = []
    y = 0.0
    for index, box in enumerate(boxes):
        if isinstance(box, Break):
            return Filled(tuple(placed), tuple(boxes[index + 1 :]), y)
        at = y + (max(placed[-1][0].after, box.before) if placed else 0.0)
        if at + box.height <= room.height + _SLACK:
            placed.append((box, at))
            y = at + box.height
            continue
        parts = box.split(Room(room.height - at, room.page, room.force))
        if parts is not None:
            placed.append((parts[0], at))
            return Filled(tuple(placed), (parts[1], *boxes[index + 1 :]), at + parts[0].height)
        lower = box.squeeze(room.height - at)
        if lower is not None:
            placed.append((lower, at))
            return Filled(tuple(placed), tuple(boxes[index + 1 :]), at + lower.height)
        rest = list(boxes[index:])
        while placed and placed[-1][0].keep_next:
            rest.insert(0, placed.pop()[0])
        return Filled(tuple(placed), tuple(rest), _foot(placed))
    return Filled(tuple(placed), (), y)


def _foot(placed: Sequence[tuple[Box, float]]) -> float:
    return placed[-1][1] + placed[-1][0].height if placed else 0.0


class Stack(Box):
    """Boxes one above the other."""

    kind = "stack"

    def __init__(self, width: float, boxes: Sequence[Box], whole: bool = False) -> None:
        self.boxes = tuple(boxes)
        self.whole = whole
        """Split only when forced."""
        height = sum(box.height for box in boxes) + sum(gaps(self.boxes))
        super().__init__(width, height)
        if self.boxes:
            self.before, self.after = self.boxes[0].before, self.boxes[-1].after
            self.keep_next = self.boxes[-1].keep_next

    def split(self, room: Room) -> tuple[Box, Box] | None:
        """Split between or inside the boxes."""
        if self.whole and not room.force and self.height <= room.page:
            return None
        filled = fill(self.boxes, room)
        if not filled.placed or not filled.rest:
            return None
        first = self.like([box for box, _ in filled.placed])
        rest = self.like(filled.rest)
        return first, rest

    def like(self, boxes: Sequence[Box]) -> Stack:
        """Return a part of this stack."""
        part = Stack(self.width, boxes, self.whole)
        part.kind, part.number = self.kind, self.number
        return part

    def draw(self, pen: Pen, x: float, top: float) -> None:
        """Draw the boxes downwards."""
        room = Frame(x, top - self.height, x + self.width, top)
        y = top
        for gap, box in zip(gaps(self.boxes), self.boxes, strict=True):
            y -= gap
            box.place(pen, x, y, room)
            y -= box.height
