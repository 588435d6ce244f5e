"""Where pages end: the ways to break a stack of boxes, weighed against one another.

Filling page after page leaves half a page empty wherever the next piece is large. So each
page may also end earlier, or hold its pieces a little closer, and the breaks that are best
over all pages are taken: the fewest pages first, then no large gap at a foot, no piece
parted, no section begun that could start a page.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from docbuilder.layout.boxes import LEAST_AIR, Box, Filled, Remainder, Room, fill, gaps, spread

__all__ = ["NEARLY_EMPTY", "Pages", "Paginator", "Way"]

_Mark = tuple[int, Remainder]
_Key = tuple[bool, Remainder, tuple[int, ...]]

NEARLY_EMPTY = 0.2
"""Share of a page below which boxes that would rather stay whole are split after all."""
_AIR = (1.0, 0.82, 0.64, LEAST_AIR)
"""How close the pieces of one page may stand, against their full distance."""
_SMALLER = (0.9, 0.8, 0.7, 0.6)
"""Heights tried for a box with a drawing that may shrink."""
_EARLIER = 5
"""So many places before the last are tried as the end of a page."""
_LEAST_FILLED = 0.4
"""A page does not end earlier than here by choice."""

# What a page costs. One page less is worth nearly any break; a third of a page left empty
# is as bad as a parted panel.
_PAGE = 100.0
_EMPTY = 100.0
_TIGHT = 10.0
_FIRST_FULL = 2.0
"""How much worse a gap is on the first page, which is the one that lies on top."""
_NOT_FIRST = 30.0
"""What belongs on the first page stands on a later one."""
_SHORT_END = 40.0
_PARTED = {
    "panel": 28.0,
    "columns": 60.0,
    "months": 14.0,
    "table": 3.0,
    "pairs": 2.0,
    "list columns": 12.0,
}
_PARTED_ELSE = 6.0
_WITHIN = {"step": 20.0, "steps": 14.0, "item": 5.0, "signature": 30.0, "months": 12.0}
_WITHIN_ELSE = 3.0
_LEANT_ON = frozenset({"item", "text"})
_LEFT_BEHIND = 30.0
"""A caution on another page than the list that it belongs to; a signature on another than
what is signed."""
_SIGNED = "signature"
_STARTS = frozenset({"heading", "panel", "kept", "figure block", "settings"})
"""What may well start a page."""
_LIKE = "kept"
"""Pages that hold nothing but such pieces, as the weeks of a diary, are filled evenly."""
_LAST_LIKE = 0.9
"""A gap on the last of them is a little better than one before."""


class Way(NamedTuple):
    """How one page is filled: how close its boxes stand, and what else was tried."""

    air: float = 1.0
    smaller: tuple[int, float] | None = None
    """The box that is lower than it was, and its share of its height."""
    end: int | None = None
    """The page ends early, behind so many boxes."""


@dataclass(frozen=True, slots=True)
class Pages:
    """Boxes broken into pages, in which ways, and what the breaks cost."""

    pages: list[Filled]
    cost: float
    ways: tuple[Way, ...]


class Paginator:
    """Breaks boxes into pages; what it has worked out once holds for every order of them."""

    def __init__(self, first: float, later: float) -> None:
        """Take the height of the first page and of the others, in points."""
        self.first, self.later = first, later
        self._found: dict[_Key, tuple[float, Filled, Way]] = {}

    def paginate(self, boxes: Sequence[Box]) -> Pages:
        """Return the best pages for *boxes* in this order."""
        pages: list[Filled] = []
        ways: list[Way] = []
        rest = tuple(boxes)
        cost = self._best(rest, True)
        while rest or not pages:
            _, page, way = self._found[_key(rest, not pages)]
            pages.append(page)
            ways.append(way)
            rest = page.rest
        return Pages(self._spread(pages), cost, tuple(ways))

    def again(self, boxes: Sequence[Box], ways: Sequence[Way]) -> list[Filled]:
        """Return the pages for *boxes* of which it is known in which *ways* they are best."""
        pages: list[Filled] = []
        rest = tuple(boxes)
        for way in ways:
            pages.append(_page(rest, self._room(not pages), way))
            rest = pages[-1].rest
        return self._spread(pages)

    def _spread(self, pages: Sequence[Filled]) -> list[Filled]:
        """Return the pages with room to write in that uses theirs."""
        return [spread(page, self._room(not index).height) for index, page in enumerate(pages)]

    def _room(self, opening: bool) -> Room:
        return Room(self.first if opening else self.later, self.later)

    def _best(self, rest: tuple[Box, ...], opening: bool) -> float:
        """Return the least cost of setting *rest*."""
        key = _key(rest, opening)
        if key not in self._found:
            self._found[key] = min(
                (
                    (cost + (self._best(page.rest, False) if page.rest else 0.0), page, way)
                    for way, page, cost in _ways(rest, self._room(opening), opening)
                ),
                key=lambda way: way[0],
            )
        return self._found[key][0]


def _key(rest: Sequence[Box], opening: bool) -> _Key:
    """Return what tells one state from another: which boxes are left, and how much of the first."""
    first = rest[0].remainder if rest else ()
    return opening, first, tuple(box.number for box in rest)


def _page(rest: tuple[Box, ...], room: Room, way: Way) -> Filled:
    """Return the page that *rest* begins with, filled in this way."""
    if way.end is not None:
        return _cut(rest, _filled(rest, room, 1.0), room, way.end)
    if way.smaller is not None:
        index, share = way.smaller
        box = _filled(rest, room, 1.0).placed[index][0]
        lower = box.squeeze(box.height * share)
        assert lower is not None
        rest = (*rest[:index], lower, *rest[index + 1 :])
    return _filled(rest, room, way.air)


def _ways(rest: tuple[Box, ...], room: Room, opening: bool) -> Iterator[tuple[Way, Filled, float]]:
    """Yield ways to fill the page that *rest* begins with, each with the page and its cost."""
    full = _filled(rest, room, 1.0)
    seen = {_mark(full)}
    yield Way(), full, _cost(rest, full, room, 1.0, opening)
    if full.rest and not _ended(rest, full):
        yield from _closer(rest, room, seen, opening)
        yield from _with_smaller(rest, full, room, seen, opening)
        for count in _earlier(rest, full, room):
            page = _cut(rest, full, room, count)
            yield Way(end=count), page, _cost(rest, page, room, 1.0, opening)


def _cut(rest: tuple[Box, ...], full: Filled, room: Room, count: int) -> Filled:
    """Return the *full* page ended behind *count* of its boxes, all of them whole."""
    last, at = full.placed[count - 1]
    last = last.grown(room.height - at)
    return Filled((*full.placed[: count - 1], (last, at)), rest[count:], at + last.height)


def _closer(
    rest: tuple[Box, ...], room: Room, seen: set[_Mark], opening: bool
) -> Iterator[tuple[Way, Filled, float]]:
    """Yield ways to have more on the page because its boxes stand closer."""
    if _mark(_filled(rest, room, LEAST_AIR)) in seen:
        return  # not even as close as may be does anything more go in
    for air in _AIR[1:]:
        page = _filled(rest, room, air)
        mark = _mark(page)
        if mark in seen:
            continue
        seen.add(mark)
        yield Way(air), page, _cost(rest, page, room, air, opening)
        if not page.rest or _ended(rest, page):
            return


def _with_smaller(
    rest: tuple[Box, ...], full: Filled, room: Room, seen: set[_Mark], opening: bool
) -> Iterator[tuple[Way, Filled, float]]:
    """Yield ways to have more on the page because a drawing on it is smaller."""
    for index, (box, _) in enumerate(full.placed):
        if box.number == full.rest[0].number:
            return  # a part: in the place of the whole box, its rest would be lost
        for share in _SMALLER:
            lower = box.squeeze(box.height * share)
            if lower is None:
                break
            for air in (1.0, _AIR[-1]):
                page = _filled((*rest[:index], lower, *rest[index + 1 :]), room, air)
                if _mark(page) not in seen:
                    seen.add(_mark(page))
                    cost = _cost(rest, page, room, air, opening) + _TIGHT * (1 - share)
                    yield Way(air, (index, share)), page, cost


def _mark(page: Filled) -> _Mark:
    """Return where a page ends."""
    return len(page.rest), page.rest[0].remainder if page.rest else ()


def _earlier(rest: Sequence[Box], full: Filled, room: Room) -> Iterator[int]:
    """Yield after how many boxes the page could end before it is full."""
    parted = bool(full.placed) and full.rest[0].number == full.placed[-1][0].number
    found = 0
    for count in range(len(full.placed) - (0 if not parted else 1), 0, -1):
        if not parted and count == len(full.placed):
            continue
        box, at = full.placed[count - 1]
        if at + box.height < _LEAST_FILLED * room.height or found >= _EARLIER:
            return
        if not rest[count - 1].keep_next and (rest[count].kind in _STARTS or parted):
            found += 1
            yield count


def _filled(rest: Sequence[Box], room: Room, air: float) -> Filled:
    page = fill(rest, room, air)
    if page.rest and not _ended(rest, page) and page.height < room.height * NEARLY_EMPTY:
        return _fuller(rest, page, Room(room.height, room.page, force=True))
    return page


def _ended(rest: Sequence[Box], page: Filled) -> bool:
    """Tell whether the page ends because its author said so."""
    return len(page.placed) < len(rest) and rest[len(page.placed)].ends_page


def _cost(rest: Sequence[Box], page: Filled, room: Room, air: float, opening: bool) -> float:
    cost = _PAGE + _TIGHT * (1 - air)
    cost += _NOT_FIRST * sum(box.wanted_first for box, _ in page.placed) if not opening else 0.0
    empty = _EMPTY * max(0.0, 1 - page.height / room.height) ** 2
    if not page.rest or _ended(rest, page):
        cost += _SHORT_END if page.height < NEARLY_EMPTY * room.height else 0.0
        like = all(box.kind == _LIKE for box, _ in page.placed)
        return cost + (_LAST_LIKE * empty if like else 0.0)
    cost += empty * (_FIRST_FULL if opening else 1.0)
    if not page.placed:
        return cost
    last, following = page.placed[-1][0], page.rest[0]
    if last.number == following.number:
        return cost + _PARTED.get(last.kind, _PARTED_ELSE)
    if following.leans_back and last.kind in _LEANT_ON:
        return cost + _LEFT_BEHIND
    if following.kind == _SIGNED != last.kind:
        return cost + _LEFT_BEHIND
    if following.kind in _STARTS:
        return cost
    return cost + (_WITHIN.get(last.kind, _WITHIN_ELSE) if last.kind == following.kind else 4.0)


def _fuller(rest: Sequence[Box], page: Filled, room: Room) -> Filled:
    """Return a fuller page by splitting what would rather stay whole.

    A box that cannot be split and is taller than the page goes in as it is; the page
    lint reports it.
    """
    forced = fill(rest, room)
    if forced.placed and forced.height > page.height:
        return forced
    if page.placed:
        return page
    count = next((i + 1 for i, box in enumerate(rest) if not box.keep_next), len(rest))
    placed, y = [], 0.0
    for index, box in enumerate(rest[:count]):
        y += gaps(rest[index - 1 : index + 1])[1] if index else 0.0
        placed.append((box, y))
        y += box.height
    return Filled(tuple(placed), tuple(rest[count:]), y)
