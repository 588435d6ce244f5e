"""A small whole body, front or back, that shows where a view is taken from.

Landmarks are thousandths of stature: x sideways from the midline, y up from the floor.
"""

from __future__ import annotations

from typing import Literal

from docbuilder.document.scene import Ink, Point
from docbuilder.figures import geometry
from docbuilder.figures.drawing import CONTOUR, SKIN, Board
from docbuilder.model.prescription import PlacementSite, Side

__all__ = ["HEIGHT", "body_board", "region_frame", "whole_body_board"]

HEIGHT = 1000.0
ARM_SIDE: tuple[Point, ...] = (
    (27, 888), (29, 862), (33, 846), (46, 837), (70, 831), (98, 824), (118, 812), (129.5, 788),
    (134, 750), (137, 705), (141, 660), (147, 610), (153, 560), (157, 515), (159.5, 488),
    (165, 456), (165, 425), (160, 400), (153, 385), (147, 385), (143, 398), (141, 420),
    (137, 436), (139, 452), (141, 474), (139, 496), (133, 525), (127, 572), (121, 630),
    (114, 690), (106, 735), (101, 753),
)  # fmt: skip
TRUNK: tuple[Point, ...] = (
    (101, 753), (96, 715), (88, 670), (80, 632), (81, 600), (88, 565), (94, 535), (95.5, 512),
    (93.5, 470), (88, 420), (79, 350), (71, 300), (69, 275), (71, 235), (68, 190), (58, 130),
    (48, 80), (47, 52), (53, 34), (64, 17), (68, 6), (60, 1), (38, 0), (20, 2), (14, 9),
    (19, 26), (24, 52), (22, 90), (16, 150), (12, 210), (16, 262), (16, 300), (10, 350),
    (4.5, 420), (2, 465), (0, 485),
)  # fmt: skip
HEAD: tuple[Point, ...] = (
    (0, 1000), (22, 994), (38, 974), (42, 944), (38, 908), (28, 882), (14, 868), (0, 864),
    (-14, 868), (-28, 882), (-38, 908), (-42, 944), (-38, 974), (-22, 994),
)  # fmt: skip
_FRAMES: dict[str, tuple[float, float, float, float]] = {
    "lower_abdomen": (-108, 455, 108, 655),
    "sacral": (-108, 455, 108, 655),
    "left": (2, -14, 82, 252),
    "right": (-82, -14, -2, 252),
    "both": (-82, -14, 82, 252),
}


def whole_body_board(view: Literal["front", "back"]) -> Board:
    """Return the figure in thousandths of stature, standing on y = 0."""
    board = Board()
    arm, trunk = geometry.smooth(ARM_SIDE), geometry.smooth(TRUNK)
    half = (*arm, *trunk[1:])
    other = geometry.reverse(geometry.mirrored(half))
    board.draw((*half, *other[1:], ("Z",)), SKIN)
    for run in (half, geometry.mirrored(half)):
        board.draw(run, CONTOUR)
    head = geometry.smooth(HEAD, closed=True)
    board.draw(head, Ink(stroke="black", fill="white", width_pt=0.6))
    if view == "front":
        board.draw(geometry.ellipse((0, 600), 3, 4), CONTOUR)
        for sign in (1, -1):
            board.curve((sign * 60, 535), (sign * 32, 503), (sign * 8, 488))
    else:
        board.curve((0, 540), (0, 515), (0, 486))
        board.curve((0, 800), (0, 700), (0, 600))
        for sign in (1, -1):
            board.curve((sign * 1, 484), (sign * 12, 476), (sign * 34, 472), (sign * 60, 479))
    return board


def region_frame(site: PlacementSite, side: Side) -> tuple[float, float, float, float]:
    """Return left, bottom, right, top of the region in thousandths of stature."""
    return _FRAMES[side if site == "tibial" else site]


def body_board(site: PlacementSite, side: Side) -> Board:
    """Return the whole body with the region framed, in thousandths of stature."""
    board = whole_body_board("back" if site == "sacral" else "front")
    left, bottom, right, top = region_frame(site, side)
    middle = ((left + right) / 2, (bottom + top) / 2)
    shape = geometry.rounded_rectangle(middle, right - left, top - bottom, 10)
    board.draw(shape, Ink(stroke="accent", width_pt=1.2))
    return board
