"""Marks on drawings: dimension lines and crosses."""

from __future__ import annotations

from docbuilder.document.scene import Ink, Point
from docbuilder.figures import geometry
from docbuilder.figures.drawing import MARK, Board

__all__ = ["cross", "dimension"]

_THIN = Ink(stroke="accent", width_pt=0.4)


def dimension(
    board: Board, key: str, first: Point, second: Point, offset: float, gap: float, tick: float
) -> None:
    """Draw a dimension line beside *first*-*second* with end ticks and room for its figure.

    Args:
        board: Where to draw.
        key: Label key of the figure, set in the middle of the line.
        first: One end of what is measured.
        second: The other end.
        offset: Distance of the line to the left of first-to-second; negative: to the right.
        gap: Length left open for the figure.
        tick: Length of each end tick.
    """
    size = geometry.distance(first, second)
    ux, uy = (second[0] - first[0]) / size, (second[1] - first[1]) / size
    nx, ny = -uy, ux

    def point(t: float, side: float) -> Point:
        return (first[0] + ux * t + nx * side, first[1] + uy * t + ny * side)

    reach = offset + (tick / 2 if offset > 0 else -tick / 2)
    for t in (0.0, size):
        board.draw(geometry.line(point(t, 0), point(t, reach)), _THIN)
        board.draw(geometry.line(point(t, offset - tick / 2), point(t, offset + tick / 2)), MARK)
    board.draw(geometry.line(point(0, offset), point((size - gap) / 2, offset)), MARK)
    board.draw(geometry.line(point((size + gap) / 2, offset), point(size, offset)), MARK)
    board.write(key, point(size / 2, offset))


def cross(board: Board, at: Point, size: float) -> None:
    """Mark a point with a small cross."""
    x, y = at
    half = size / 2
    board.draw(geometry.line((x - half, y), (x + half, y)), MARK)
    board.draw(geometry.line((x, y - half), (x, y + half)), MARK)
