"""Measured boxes: each knows its height at its width, how to split, how to draw.

A page, a panel, a list item and a bilingual cell are all stacks of boxes, and one
function, `fill`, decides for all of them what still goes in.
"""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import count
from typing import Any, ClassVar

from docbuilder.layout.geometry import Frame
from docbuilder.layout.pen import Pen
from docbuilder.layout.tapes import Tape, drawn_on_tape

__all__ = [
    "LEAST_AIR", "Box", "Break", "Filled", "Gap", "Remainder", "Room", "Shape", "Stack", "fill",
    "gaps", "spread",
]  # fmt: skip

Remainder = tuple[Any, ...]
Shape = tuple[Any, ...]

LEAST_AIR = 0.44
"""How close boxes may stand, against their full distance."""
_SLACK = 0.01
_FORMS = ("split", "squeeze", "grown", "below", "shed")
"""Methods that return a box in another form."""
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
    ends_page = False
    """What follows begins a page. Asked for every box of every way to break pages."""
    attached = False
    """Stands right below the box before it."""
    wanted_first = False
    """Belongs on the first page."""
    tapes: list[Tape] | None = None
    """The last drawing, of a box that is lent to one document after the other."""
    leans_back = False
    """Belongs to what stands before it: better not the first thing of a page."""

    rigid: ClassVar[bool] = True
    """Whether all boxes of the class have one form only."""

    def __init_subclass__(cls) -> None:
        """Find out whether the class gives its boxes other forms.

        One that does, and does not tell their shape, has none to share.
        """
        cls.rigid = all(getattr(cls, name) is getattr(Box, name) for name in _FORMS)
        if "shape" not in vars(cls) and any(name in vars(cls) for name in _FORMS):
            cls.shape = Box.shape  # type: ignore[method-assign]

    def __init__(self, width: float, height: float) -> None:
        self.width = width
        self.height = height
        self.number = next(_numbers)

    def split(self, room: Room) -> tuple[Box, Box] | None:
        """Return a part that fits into *room* and the rest, or None."""
        return None

    @property
    def headed(self) -> bool:
        """Whether it brings column heads that hold for what follows in the frame."""
        return False

    def below(self, headed: bool) -> Box:
        """Return the box as it stands below others, some with the same heads if *headed*."""
        return self

    @property
    def remainder(self) -> Remainder:
        """What tells this part of a box from the other parts that may be left of it.

        Parts of one box can be of one height and yet hold different words: of two columns the
        higher one gives the height.
        """
        return self.number, round(self.height, 1)

    def shed(self) -> tuple[Box, Box] | None:
        """Return the box without the end that must not stand last, and that end."""
        return None

    @property
    def shape(self) -> Shape:
        """All that decides how the box breaks: boxes of one shape break alike.

        Of a box that has but one form it is the outline; of any other the box itself, which
        is always right. What is measured anew for every patient tells more, so that its
        pages need not be weighed anew (see `weighed`).
        """
        return self.outline if self.rigid else (self.number,)

    @property
    def outline(self) -> Shape:
        """What of its shape every box has."""
        return (
            type(self), self.kind, self.height, self.before, self.after, self.keep_next,
            self.ends_page, self.attached, self.wanted_first, self.leans_back,
        )  # fmt: skip

    @property
    def stiff(self) -> bool:
        """Whether it has no lower form, whatever the height: known before any is tried."""
        return type(self).squeeze is Box.squeeze

    def squeeze(self, height: float) -> Box | None:
        """Return a lower form of the box that fits into *height*, or None."""
        return None

    def grown(self, height: float) -> Box:
        """Return the box as it stands last on its page, with *height* for it there."""
        return self

    @property
    def growth(self) -> float:
        """By how much the room to write in may become higher, where the page has room for it."""
        return 0.0

    def higher(self, share: float) -> Box:
        """Return the box grown by *share* of its growth."""
        return self

    @abstractmethod
    def draw(self, pen: Pen, x: float, top: float) -> None:
        """Draw with the upper left corner at (*x*, *top*)."""

    def place(self, pen: Pen, x: float, top: float, room: Frame) -> None:
        """Log and draw, or play what was drawn at this place in another document."""
        if self.tapes is None:
            self._place(pen, x, top, room)
            return
        place = (x, top, room, pen.surroundings)
        if self.tapes and self.tapes[0].play(pen, place):
            return
        tape = drawn_on_tape(pen, place, lambda: self._place(pen, x, top, room))
        self.tapes = [tape] if tape else None

    def _place(self, pen: Pen, x: float, top: float, room: Frame) -> None:
        frame = Frame(x, top - self.height, x + self.width, top)
        pen.enter(self.kind, frame, self.number, room)
        self.draw(pen, x, top)
        pen.leave()


class Break(Box):
    """Ends the page."""

    kind = "break"
    ends_page = True

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
    return [_gap(boxes[index - 1], box) if index else 0.0 for index, box in enumerate(boxes)]


def _gap(above: Box, below: Box) -> float:
    if below.attached:
        return 0.0
    return above.after if above.after > below.before else below.before


def fill(boxes: Sequence[Box], room: Room, air: float = 1.0) -> Filled:
    """Put as many boxes into *room* as go, splitting the last where it may be split.

    *air* is how far apart they stand, against their full distance.
    """
    placed: list[tuple[Box, float]] = []
    headed, y = False, 0.0
    for index, box in enumerate(boxes):
        if box.ends_page:
            return Filled(tuple(placed), tuple(boxes[index + 1 :]), y)
        at = y + (air * _gap(placed[-1][0], box) if placed else 0.0)
        box = box.below(headed)
        if at + box.height <= room.height + _SLACK:
            if index + 1 == len(boxes) or boxes[index + 1].ends_page:
                box = box.grown(room.height - at)
            placed.append((box, at))
            headed, y = headed or box.headed, at + box.height
            continue
        lower = None if box.keep_next else box.squeeze(room.height - at)
        if lower is not None:
            placed.append((lower, at))
            return Filled(tuple(placed), tuple(boxes[index + 1 :]), at + lower.height)
        parts = box.split(Room(room.height - at, room.page, room.force))
        if parts is not None:
            placed.append((parts[0], at))
            return Filled(tuple(placed), (parts[1], *boxes[index + 1 :]), at + parts[0].height)
        rest = list(boxes[index:])
        kept = list(placed)
        _take_back(kept, rest)
        if not kept and room.force:
            # A chain of headings longer than a page: broken rather than lost.
            kept, rest = placed, list(boxes[index:])
        return Filled(tuple(kept), tuple(rest), _foot(kept))
    return Filled(tuple(placed), (), y)


def spread(page: Filled, height: float) -> Filled:
    """Return the page with higher rows to write in, as far as its *height* allows."""
    growth = sum(box.growth for box, _ in page.placed)
    free = height - page.height
    if growth <= 0.0 or free <= _SLACK:
        return page
    share, lower = min(1.0, free / growth), 0.0
    placed: list[tuple[Box, float]] = []
    for box, at in page.placed:
        grown = box.higher(share)
        placed.append((grown, at + lower))
        lower += grown.height - box.height
    return Filled(tuple(placed), page.rest, page.height + lower)


def _take_back(placed: list[tuple[Box, float]], rest: list[Box]) -> None:
    """Move to *rest* what must not be the last thing in the frame."""
    while placed and placed[-1][0].keep_next:
        last, at = placed.pop()
        parts = last.shed()
        if parts is not None:
            placed.append((parts[0], at))
            rest.insert(0, parts[1])
            return
        rest.insert(0, last)


def _foot(placed: Sequence[tuple[Box, float]]) -> float:
    return placed[-1][1] + placed[-1][0].height if placed else 0.0


class Stack(Box):
    """Boxes one above the other."""

    kind = "stack"
    gives = False
    """Its boxes may stand closer, where that makes it fit."""

    def __init__(
        self, width: float, boxes: Sequence[Box], whole: bool = False, air: float = 1.0
    ) -> None:
        self.boxes = tuple(boxes)
        self.whole, self.air = whole, air
        """*whole*: split only when forced; *air*: how far apart the boxes stand, at most 1."""
        height = self.boxes[0].height if self.boxes else 0.0
        if len(self.boxes) > 1:  # nearly every cell of a table holds one box
            height = sum(box.height for box in boxes) + air * sum(gaps(self.boxes))
        super().__init__(width, height)
        if self.boxes:
            self.before, self.after = self.boxes[0].before, self.boxes[-1].after
            self.keep_next = self.boxes[-1].keep_next

    def split(self, room: Room) -> tuple[Box, Box] | None:
        """Split between or inside the boxes."""
        if self.whole and not room.force and self.height <= room.page:
            return None
        filled = fill(self.boxes, room, self.air)
        if not filled.placed or not filled.rest:
            return None
        first = self.like([box for box, _ in filled.placed])
        rest = self.like(filled.rest)
        return first, rest

    @cached_property
    def shape(self) -> Shape:
        """Its outline, and the boxes inside."""
        return *self.outline, self.whole, self.gives, self.air, *[box.shape for box in self.boxes]

    @cached_property
    def stiff(self) -> bool:
        """Whether it can stand no closer and no box inside has a lower form."""
        return not self.gives and self._holds_stiff

    @cached_property
    def _holds_stiff(self) -> bool:
        return all(box.stiff for box in self.boxes)

    @cached_property
    def _spare(self) -> float:
        """By how much closer boxes make it lower at the most."""
        return (1 - LEAST_AIR) * sum(gaps(self.boxes)) if self.gives and self.air == 1 else 0.0

    def squeeze(self, height: float) -> Box | None:
        """Return the stack with its boxes closer, or with one lower box, the last that can."""
        if 0 < self.height - height <= self._spare:
            air = 1 - (1 - LEAST_AIR) * (self.height - height) / self._spare
            return self._copied(Stack(self.width, self.boxes, self.whole, air))
        if self._holds_stiff:
            return None
        for index in range(len(self.boxes) - 1, -1, -1):
            box = self.boxes[index]
            lower = box.squeeze(box.height - (self.height - height))
            if lower is not None:
                return self.like([*self.boxes[:index], lower, *self.boxes[index + 1 :]])
        return None

    @cached_property
    def growth(self) -> float:
        """What the boxes inside may grow by."""
        return sum(box.growth for box in self.boxes)

    def higher(self, share: float) -> Box:
        """Return the stack with higher boxes, where they can be."""
        return self.like([box.higher(share) for box in self.boxes]) if self.growth else self

    def grown(self, height: float) -> Box:
        """Return the stack with its last box grown."""
        if not self.boxes:
            return self
        last = self.boxes[-1]
        grown = last.grown(height - self.height + last.height)
        return self if grown is last else self.like([*self.boxes[:-1], grown])

    @cached_property
    def headed(self) -> bool:
        """Whether a box inside brings column heads."""
        return any(box.headed for box in self.boxes)

    def below(self, headed: bool) -> Box:
        """Return the stack with the heads that are not there already."""
        if not self.headed:
            return self
        boxes = []
        for box in self.boxes:
            boxes.append(box.below(headed))
            headed = headed or box.headed
        same = all(one is other for one, other in zip(boxes, self.boxes, strict=True))
        return self if same else self.like(boxes)

    @cached_property
    def remainder(self) -> Remainder:
        """What is left: how many boxes, and what of the first."""
        return *super().remainder, len(self.boxes), *(box.remainder for box in self.boxes[:1])

    def shed(self) -> tuple[Box, Box] | None:
        """Split off the boxes at the end that must not stand last."""
        kept, tail = list(self.boxes), list[Box]()
        while kept and kept[-1].keep_next:
            last = kept.pop()
            parts = last.shed()
            if parts is not None:
                kept.append(parts[0])
                tail.insert(0, parts[1])
                break
            tail.insert(0, last)
        return (self.like(kept), self.like(tail)) if kept else None

    def like(self, boxes: Sequence[Box]) -> Stack:
        """Return a part of this stack."""
        return self._copied(Stack(self.width, boxes, self.whole, self.air))

    def _copied(self, part: Stack) -> Stack:
        part.kind, part.number, part.wanted_first = self.kind, self.number, self.wanted_first
        part.gives = self.gives
        return part

    def draw(self, pen: Pen, x: float, top: float) -> None:
        """Draw the boxes downwards."""
        room = Frame(x, top - self.height, x + self.width, top)
        y = top
        for gap, box in zip(gaps(self.boxes), self.boxes, strict=True):
            y -= self.air * gap
            box.place(pen, x, y, room)
            y -= box.height
