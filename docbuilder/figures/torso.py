"""Outline of the trunk from waist to thigh, the same from the front and from behind.

Landmarks are millimetres of a person 1750 mm tall: x sideways from the midline,
y up from the floor. The outline is neither a man's nor a woman's.
"""

from __future__ import annotations

from collections.abc import Mapping

from docbuilder.document.scene import Point, Segment
from docbuilder.figures import geometry
from docbuilder.figures.drawing import OUTLINE, SKIN, Board

__all__ = ["CROTCH_Y", "FLANK", "WAIST_HALF_MM", "bare_torso", "name_trunk", "skin_ring"]

CROTCH_Y = 848.75
WAIST_HALF_MM = 141.0
"""Half breadth that the inset must clear, from the waist up."""
FLANK: tuple[Point, ...] = (
    (140, 1170), (137, 1142), (133.5, 1110), (133, 1082), (137, 1052), (145, 1022), (153.5, 990),
    (160.5, 958), (165.3, 928), (167.125, 900), (166.2, 872), (163, 840), (158, 802), (151, 762),
)  # fmt: skip
INNER_THIGH: tuple[Point, ...] = ((9, 762), (4, 782), (1.2, 805), (0.3, 828), (0, CROTCH_Y))


def skin_ring(factor: float) -> tuple[Point, ...]:
    """Return the closed outline as points, in mm; the thighs are closed below."""
    half = [
        *geometry.flatten(geometry.smooth(FLANK), 10),
        *geometry.flatten(geometry.smooth(INNER_THIGH), 10),
    ]
    ring = [*half, *((-x, y) for x, y in reversed(half))]
    return tuple((x * factor, y * factor) for x, y in ring)


def name_trunk(board: Board, landmarks: Mapping[str, Point], factor: float, left: int) -> None:
    """Name the landmarks, and which half is whose side.

    Args:
        board: The drawing.
        landmarks: Names and points at the reference stature.
        factor: Scale of the person.
        left: Where the patient's left is in the picture: 1 right of the middle, -1 left of it.
    """
    for key, (x, y) in landmarks.items():
        board.name(key, (x * factor, y * factor))
    for side in (-1, 1):
        key = "your_left" if side == left else "your_right"
        board.write(key, (side * 105 * factor, 762 * factor - 20))


def bare_torso() -> Board:
    """Return skin and outline at the reference stature."""
    board = Board()
    flank, thigh = geometry.smooth(FLANK), geometry.smooth(INNER_THIGH)
    thigh_run: tuple[Segment, ...] = (("L", *INNER_THIGH[0]), *thigh[1:])
    other = geometry.reverse(geometry.mirrored((*flank, *thigh_run)))
    board.draw((*flank, *thigh_run, *other[1:], ("Z",)), SKIN)
    for segments in (flank, thigh):
        board.draw(segments, OUTLINE)
        board.draw(geometry.mirrored(segments), OUTLINE)
    return board
