"""Two hands from the side, for the step pictures: one points, one pinches.

Fingertip at the origin, wrist to the right, in paper millimetres.
"""

from __future__ import annotations

from collections.abc import Iterable

from docbuilder.document.scene import Point, Segment
from docbuilder.figures import geometry
from docbuilder.figures.drawing import CONTOUR, OUTLINE, SKIN, Board

__all__ = ["pinching_hand", "pointing_hand"]

_POINT_TOP: tuple[Point, ...] = (
    (0, 0), (0.25, 0.75), (1.2, 1.15), (3.2, 1.45), (5.2, 2.1), (7.4, 3.4), (9.6, 4.2),
    (12.5, 4.4), (17, 4.4),
)  # fmt: skip
_POINT_BELOW: tuple[Point, ...] = (
    (17, -1.5), (15.5, -1.6), (13.5, -2.2), (11, -3.4), (8.6, -4.1), (6.4, -4.0), (5.2, -3.1),
    (4.9, -1.9), (5.4, -0.7), (4.2, -0.5), (2.2, -0.8), (0.7, -0.75), (0, 0),
)  # fmt: skip
_PINCH_TOP: tuple[Point, ...] = (
    (0, 0.1), (0.3, 0.9), (1.6, 2.3), (3.6, 3.4), (6.2, 4.0), (8.8, 4.9), (11.5, 5.0), (14, 4.9),
)  # fmt: skip
_PINCH_BELOW: tuple[Point, ...] = (
    (14, -2.2), (12.5, -2.6), (9.4, -3.0), (6, -2.4), (3, -1.9), (1.0, -1.5),
    (0.1, -0.8), (0, 0.1),
)  # fmt: skip


def pointing_hand(board: Board, tip: Point, degrees: float) -> None:
    """Draw a hand whose index finger ends at *tip*; 0 points left, 90 down."""
    top, below = geometry.smooth(_POINT_TOP), geometry.smooth(_POINT_BELOW)
    inner = (
        ((5.4, -0.7), (7.2, -0.5), (8.8, -1.0), (10.4, -1.2)),
        ((5.1, -2.5), (6.6, -2.1), (8.4, -2.3)),
        ((6.0, -3.9), (7.2, -3.3), (8.8, -3.3)),
    )
    _hand(board, top, below, inner, tip, degrees)


def pinching_hand(board: Board, tip: Point, degrees: float) -> None:
    """Draw a hand that holds something thin between index finger and thumb at *tip*."""
    top, below = geometry.smooth(_PINCH_TOP), geometry.smooth(_PINCH_BELOW)
    inner = (
        ((0.7, -0.1), (2.4, 1.2), (4.6, 1.9), (6.4, 1.8), (7.0, 1.1)),
        ((0.7, -0.1), (2.6, 0.0), (4.8, 0.5), (7.0, 1.1)),
    )
    _hand(board, top, below, inner, tip, degrees)


def _hand(
    board: Board,
    top: geometry.Segments,
    below: geometry.Segments,
    inner: Iterable[tuple[Point, ...]],
    tip: Point,
    degrees: float,
) -> None:
    def put(segments: Iterable[Segment]) -> geometry.Segments:
        return geometry.moved(geometry.turned(segments, (0, 0), degrees), *tip)

    board.draw(put((*top, ("L", *_end(below)), *below[1:], ("Z",))), SKIN)
    board.draw(put(top), OUTLINE)
    board.draw(put(below), OUTLINE)
    for points in inner:
        board.draw(put(geometry.smooth(points)), CONTOUR)


def _end(segments: geometry.Segments) -> Point:
    first = segments[0]
    assert first[0] == "M"
    return first[1], first[2]
