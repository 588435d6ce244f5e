"""Measured blocks, lent to one document after the other.

Most blocks of a paper are the same for every patient, so a block is measured once for its
width and surroundings and kept. Drawing marks its structure elements, so it cannot be shared
as it is: it is *lent*. While a document has it, no other can take it (a second one measures
its own, and equal blocks of one document have a copy each), and when it comes back its
elements are put back as they were measured. A block that is met for the first time is not
kept: it may be this patient's alone.

Blocks that only hold others (columns, pairs, what is kept together) are not kept: the blocks
inside are.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any

from docbuilder.caching import Shelf
from docbuilder.document import blocks as b
from docbuilder.layout.boxes import Box
from docbuilder.layout.flow import Flow
from docbuilder.layout.structure import Element

__all__ = ["Loans"]

_HOLDERS = (b.Columns, b.KeepTogether, b.Pairs, b.PageBreak)

Measure = Callable[[b.Block, float, Flow, Element], list[Box]]


@dataclass(frozen=True, slots=True)
class _Measured:
    """One measured block: its boxes, its topmost elements, and the state of all elements."""

    boxes: tuple[Box, ...]
    topmost: tuple[Element, ...]
    states: tuple[tuple[Element, tuple[Any, ...], str], ...]

    def join(self, parent: Element) -> None:
        """Hang the elements below *parent*, behind what is there."""
        parent.kids += self.topmost

    def restore(self) -> None:
        """Put every element back as it was measured: no marks, no places on a page."""
        for element, kids, attributes in self.states:
            element.kids, element.attributes = list(kids), attributes


class _Key:
    """What decides how a block is measured, and which of its equals in a document.

    Blocks are deep, so they are digested once.
    """

    __slots__ = ("_digest", "_told")

    def __init__(self, digest: int, told: tuple[Any, ...]) -> None:
        self._digest, self._told = digest, told

    def __hash__(self) -> int:
        return self._digest

    def __eq__(self, other: object) -> bool:
        same = isinstance(other, _Key) and self._digest == other._digest
        return same and self._told == other._told  # type: ignore[attr-defined]


_shelf: Shelf[_Key, _Measured] = Shelf("docbuilder.layout.loans", 3000)


class Loans:
    """What one document has borrowed."""

    def __init__(self) -> None:
        self._out: list[tuple[_Key, _Measured]] = []
        self._equals: Counter[int] = Counter()

    def measured(
        self,
        block: b.Block,
        width: float,
        flow: Flow,
        parent: Element,
        measure: Measure,
        stays: bool,
    ) -> list[Box]:
        """Return the boxes of *block*, from the shelf or measured anew.

        Args:
            block: What to measure.
            width: Its width in points.
            flow: Its surroundings.
            parent: The element that its own join.
            measure: Measures it; what it holds is measured with it.
            stays: It is to stay with what follows; its boxes are changed for that.
        """
        if isinstance(block, _HOLDERS):
            return measure(block, width, flow, parent)
        titled = parent.is_titled
        key = self._key(block, width, flow, titled, stays)
        found = _shelf.take(key)
        if found is None:
            if not _shelf.worth_it(key):
                return measure(block, width, replace(flow, loans=None), parent)
            found = _measured(block, width, flow, titled, measure)
        found.join(parent)
        self._out.append((key, found))
        return list(found.boxes)

    def _key(self, *told: Any) -> _Key:
        digest = hash(told)
        self._equals[digest] += 1
        nth = self._equals[digest]
        return _Key(digest + nth, (*told, nth))

    def give_back(self) -> None:
        """Return everything: the document is written."""
        for key, measured in self._out:
            measured.restore()
            _shelf.put(key, measured)
        self._out = []


def _measured(
    block: b.Block, width: float, flow: Flow, titled: bool, measure: Measure
) -> _Measured:
    # A document's root with or without a title, or an element somewhere below.
    around = Element("Document" if titled else "Div")
    first = len([around.child("H1")] if titled else [])
    boxes = measure(block, width, replace(flow, loans=None), around)
    if not flow.fillable:
        for box in boxes:
            box.tapes = []
    topmost = [kid for kid in around.kids[first:] if isinstance(kid, Element)]
    states = tuple(
        (element, tuple(element.kids), element.attributes)
        for top in topmost
        for element in top.walk()
    )
    return _Measured(tuple(boxes), tuple(topmost), states)
