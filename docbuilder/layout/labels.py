"""Where the names beside a drawing stand: two columns, no overlap, no crossed leaders.

Pure geometry in points, y upwards; no text and no page.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from docbuilder.document.scene import Point

__all__ = ["Leader", "crossing", "place_labels", "spread"]

Side = Literal["left", "right"]


@dataclass(frozen=True, slots=True)
class Leader:
    """One label: its side, the middle of its text, and the line to its anchor."""

    index: int
    side: Side
    middle: float
    port: Point
    anchor: Point


def spread(wanted: Sequence[float], heights: Sequence[float], gap: float) -> list[float]:
    """Return middles from the top down, as near to *wanted* as order and gaps allow.

    Least squares under an order: neighbours that would overlap are joined to a block
    that moves to the mean of what its members want (pool adjacent violators).

    >>> spread([50, 50], [10, 10], 2)
    [56.0, 44.0]
    """
    blocks: list[tuple[float, list[int]]] = []
    offsets: list[float] = []
    total = 0.0
    for height in heights:
        offsets.append(total + height / 2)
        total += height + gap
    shifted = [want + offset for want, offset in zip(wanted, offsets, strict=True)]
    for index, value in enumerate(shifted):
        blocks.append((value, [index]))
        while len(blocks) > 1 and blocks[-1][0] > blocks[-2][0]:
            mean, members = blocks.pop()
            above, others = blocks.pop()
            joined = others + members
            blocks.append(((above * len(others) + mean * len(members)) / len(joined), joined))
    middles = [0.0] * len(wanted)
    for value, members in blocks:
        for index in members:
            middles[index] = value - offsets[index]
    return middles


def crossing(one: Leader, other: Leader) -> bool:
    """Tell whether two leaders cross; a shared end is no crossing."""
    a, b, c, d = one.port, one.anchor, other.port, other.anchor
    return _turn(a, b, c) * _turn(a, b, d) < 0 and _turn(c, d, a) * _turn(c, d, b) < 0


def _turn(a: Point, b: Point, c: Point) -> float:
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])


def place_labels(
    anchors: Sequence[Point],
    heights: Sequence[float],
    edges: tuple[float, float],
    gap: float,
) -> list[Leader]:
    """Return a leader for each anchor.

    Args:
        anchors: Points to name.
        heights: Height of each label's text.
        edges: x of the left and of the right column's inner edge.
        gap: Least space between labels of a column.
    """
    middle = (edges[0] + edges[1]) / 2
    sides: list[Side] = ["left" if x < middle else "right" for x, _ in anchors]
    # Names of one height read from the top; the order within a side is by anchor.
    order = sorted(range(len(anchors)), key=lambda i: (-anchors[i][1], anchors[i][0]))
    for _ in range(4 * len(anchors) ** 2 + 1):
        leaders = _leaders(anchors, heights, edges, gap, sides, order)
        crossed = _first_crossing(leaders)
        if crossed is None:
            break
        one, other = crossed
        if sides[one] == sides[other]:
            i, j = order.index(one), order.index(other)
            order[i], order[j] = order[j], order[i]
        else:
            sides[one], sides[other] = sides[other], sides[one]
    return leaders


def _leaders(
    anchors: Sequence[Point],
    heights: Sequence[float],
    edges: tuple[float, float],
    gap: float,
    sides: Sequence[Side],
    order: Sequence[int],
) -> list[Leader]:
    leaders: list[Leader] = []
    for side, edge in (("left", edges[0]), ("right", edges[1])):
        column = [i for i in order if sides[i] == side]
        middles = spread([anchors[i][1] for i in column], [heights[i] for i in column], gap)
        leaders += [
            Leader(i, sides[i], y, (edge, y), anchors[i])
            for i, y in zip(column, middles, strict=True)
        ]
    return sorted(leaders, key=lambda leader: leader.index)


def _first_crossing(leaders: Sequence[Leader]) -> tuple[int, int] | None:
    for i, one in enumerate(leaders):
        for other in leaders[i + 1 :]:
            if crossing(one, other):
                return one.index, other.index
    return None
