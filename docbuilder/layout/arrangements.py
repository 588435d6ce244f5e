"""The orders in which a document's pieces may stand, its author's own order first."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby, product

from docbuilder.document.blocks import Block, Floating, Landing

__all__ = ["Piece", "orders", "pieces"]


@dataclass(frozen=True, slots=True)
class Piece:
    """Neighbouring blocks that stay in their order.

    A floating piece has a *name*; its landings are empty pieces of that name.
    """

    blocks: tuple[Block, ...]
    name: str = ""

    @property
    def is_landing(self) -> bool:
        """Whether a floating piece may stand here."""
        return bool(self.name) and not self.blocks


def pieces(blocks: Sequence[Block]) -> tuple[Piece, ...]:
    """Return *blocks* parted where pieces may move."""
    found: list[Piece] = []
    named: set[str] = set()
    for moves, group in groupby(blocks, key=lambda block: isinstance(block, Floating | Landing)):
        if not moves:
            found.append(Piece(tuple(group)))
            continue
        for block in group:
            if isinstance(block, Floating):
                # Of two of one name the second stays where it is: a landing holds one.
                name = block.name if block.name not in named else ""
                named.add(block.name)
                found.append(Piece(block.blocks, name))
            elif isinstance(block, Landing):
                found.append(Piece((), block.name))
    return tuple(found)


def orders(parts: Sequence[Piece]) -> Iterator[tuple[int, ...]]:
    """Yield the indexes of *parts* in every order that their landings allow.

    >>> from docbuilder.document.blocks import PageBreak
    >>> a, b, land = Piece((PageBreak(),)), Piece((PageBreak(),), "b"), Piece((), "b")
    >>> list(orders([a, land, a, b]))
    [(0, 2, 3), (0, 3, 2)]
    """
    homes = {part.name: i for i, part in enumerate(parts) if part.name and not part.is_landing}
    places = {name: [home] for name, home in homes.items()}
    for index, part in enumerate(parts):
        if part.is_landing and part.name in places:
            places[part.name].append(index)
    for choice in product(*places.values()):
        taken = {place: homes[name] for name, place in zip(places, choice, strict=True)}
        yield tuple(
            taken.get(index, index)
            for index, part in enumerate(parts)
            if index in taken or not part.name
        )
