"""Inner side of the lower leg and foot, without pads.

Landmarks are millimetres of a left leg of a person 1750 mm tall: x forward from the
back of the heel, y up from the floor. Drawn by eye to the published lengths.
"""

from __future__ import annotations

from docbuilder.caching import kept
from docbuilder.document.scene import Point
from docbuilder.figures import geometry
from docbuilder.figures.drawing import OUTLINE, SHADE, SKIN, Board
from docbuilder.figures.geometry import Segments

__all__ = [
    "ANKLE_BONE", "BACK", "BONE_RADII", "LANDMARKS", "SHIN_EDGE", "bare_leg", "chain", "skin_ring",
]  # fmt: skip

BACK: tuple[Point, ...] = (
    (9, 442), (1, 405), (-3, 366), (-2, 328), (5, 282), (13, 235), (19.5, 190), (22.5, 152),
    (21.5, 120), (17, 94), (9.5, 70), (2.8, 49), (0, 30), (2.2, 15), (9, 5), (22, 0.4), (40, 0),
    (57, 1.5), (73, 5.5), (89, 11), (105, 15.5), (121, 17), (137, 15), (152, 10.4), (166, 5),
    (180, 1.2), (194, 0), (208, 0.8), (219, 3.8), (227.5, 9),
)  # fmt: skip
TOE: tuple[Point, ...] = (
    (227.5, 9), (232, 4), (242, 1), (253, 2), (262, 7.5), (266, 15.5), (263.5, 23), (255, 28),
)  # fmt: skip
FRONT: tuple[Point, ...] = (
    (255, 28), (243, 29.6), (231, 29.4), (219, 32.5), (206, 39), (190, 46.5), (172, 55),
    (154, 65), (137, 77), (122.5, 92), (111, 110), (104.5, 130), (102, 154), (103.5, 195),
    (107, 240), (111.5, 290), (116.5, 338), (122, 384), (127, 418), (129, 442),
)  # fmt: skip
SHIN_EDGE: tuple[Point, ...] = (
    (61, 101), (65, 125), (69.5, 160), (73.5, 205), (77, 250), (81, 300), (85.5, 345), (92, 394),
)  # fmt: skip
"""Hind edge of the flat inner face of the shin bone, which a finger can follow."""
ACHILLES: tuple[Point, ...] = (
    (30, 238), (34.5, 195), (37.5, 155), (36.5, 120), (31, 94), (25, 78),
)  # fmt: skip
CALF_EDGE: tuple[Point, ...] = (
    (71, 424), (67, 378), (59.5, 332), (48, 294), (34, 268), (21, 254),
)  # fmt: skip
FAR_SOLE: tuple[Point, ...] = ((62, 2.4), (92, 0.8), (130, 0.4), (182, 1))
"""Outer edge of the sole, seen under the arch."""
ARCH_HOLLOW: tuple[Point, ...] = (
    (73, 5.5), (89, 11), (105, 15.5), (121, 17), (137, 15), (152, 10.4), (166, 5), (178, 1.4),
)  # fmt: skip
ANKLE_BONE: Point = (67.0, 78.0)
"""Most prominent point; the joint itself, at 0.039 of stature, is a little lower."""
BONE_BUMP: tuple[Point, ...] = (
    (52.5, 88), (51.5, 78), (55.5, 68), (63.5, 62), (72.5, 62.5), (80, 69), (83, 79), (82, 89),
    (76, 96), (60, 96),
)  # fmt: skip
BONE_RADII = (15.0, 16.0)
"""Half breadth and half height of the bump, for keeping a pad off it."""
LANDMARKS: dict[str, Point] = {
    "calf": (22.0, 345.0),
    "shin_edge": (77.5, 254.0),
    "inner_ankle_bone": (61.0, 76.0),
    "heel": (15.0, 28.0),
    "arch": (143.0, 6.5),
}


def outline() -> tuple[Segments, Segments, Segments]:
    """Return back with sole, big toe and front as three curves that meet."""
    return geometry.smooth(BACK), geometry.smooth(TOE), geometry.smooth(FRONT)


@kept(64)
def skin_ring(factor: float) -> tuple[Point, ...]:
    """Return the closed outline of leg and foot as points, in mm."""
    points = [point for run in outline() for point in geometry.flatten(run, 10)]
    return tuple((x * factor, y * factor) for x, y in points)


def bare_leg(factor: float) -> Board:
    """Return the left leg without pads or labels."""
    board = Board()
    back, toe, front = outline()
    whole = (*back, *toe[1:], *front[1:])
    board.draw((*whole, ("Z",)), SKIN)
    board.draw((*geometry.smooth((*ARCH_HOLLOW, *reversed(FAR_SOLE))), ("Z",)), SHADE)
    board.curve(*FAR_SOLE)
    board.draw(geometry.smooth(BONE_BUMP, closed=True), SHADE)
    board.draw(whole, OUTLINE)
    _inner_lines(board)
    out = Board()
    out.place(board, 0, 0, factor)
    return out


def _inner_lines(board: Board) -> None:
    board.curve(*BONE_BUMP[:-2])
    board.curve(*ACHILLES)
    board.curve(*SHIN_EDGE)
    board.curve(*CALF_EDGE)
    # Tendon and crease in front of the ankle.
    board.curve((93, 178), (95, 148), (100, 122), (109, 102), (120, 88))
    # Ball of the foot, fold of the big toe, nail.
    board.curve((193, 8), (203, 13), (208, 22))
    board.curve((227, 9.4), (222.5, 14), (221, 20))
    board.curve((244, 28.6), (247, 25.2), (255, 23.2), (262, 20.6))


@kept(256)
def chain(points: tuple[Point, ...], factor: float) -> tuple[Point, ...]:
    """Return the smooth curve through landmarks as points, in mm."""
    return tuple((x * factor, y * factor) for x, y in geometry.flatten(geometry.smooth(points), 10))
