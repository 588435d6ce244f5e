"""Pages weighed before: boxes that break alike are broken alike.

Papers of one plan differ from patient to patient in names and dates, which seldom change
where a line or a page ends. Weighing the breaks takes a quarter of the time of a pack, so what
was found is kept by the *shapes* of the boxes, and pages are filled in the known ways again.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from docbuilder.caching import Ledger
from docbuilder.layout.boxes import Box, Filled
from docbuilder.layout.pagination import Pages, Paginator, Way

__all__ = ["Broken", "break_into_pages"]


class Broken(NamedTuple):
    """A document broken into pages."""

    order: tuple[int, ...]
    """The order of its parts that costs least."""
    pages: list[Filled]
    cost: float


class _Found(NamedTuple):
    """The best of several orders, and in which ways its pages are filled."""

    order: tuple[int, ...]
    ways: tuple[Way, ...]
    cost: float


_ledger: Ledger[tuple[object, ...], _Found] = Ledger("docbuilder.layout.weighed", 512)


def break_into_pages(
    parts: Sequence[Sequence[Box]],
    orders: Sequence[tuple[int, ...]],
    first: float,
    later: float,
) -> Broken:
    """Return *parts* in the order that costs least, on pages.

    Args:
        parts: The boxes of every piece of the document.
        orders: The orders in which the pieces may stand, the author's own first.
        first: Height of the first page, in points.
        later: Height of the others.
    """
    shapes = tuple(tuple(box.shape for box in part) for part in parts)
    key = (shapes, tuple(orders), first, later)
    paginator = Paginator(first, later)
    found = _ledger.look_up(key)
    if found is not None:
        boxes = [box for index in found.order for box in parts[index]]
        return Broken(found.order, paginator.again(boxes, found.ways), found.cost)
    best: tuple[Pages, tuple[int, ...]] | None = None
    for order in orders:
        broken = paginator.paginate([box for index in order for box in parts[index]])
        if best is None or broken.cost < best[0].cost:
            best = broken, order
    assert best is not None
    pages, order = best
    _ledger.note(key, _Found(order, pages.ways, pages.cost))
    return Broken(order, pages.pages, pages.cost)
