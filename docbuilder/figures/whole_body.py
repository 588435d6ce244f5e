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
HALF: tuple[Point, ...] = (
    (28, 866), (30, 850), (38, 840), (66, 832), (98, 825), (119, 812), (129.5, 788), (134, 750),
    (137, 705), (141, 660), (147, 610), (154, 555), (157, 515), (159, 488), (164, 455),
    (163, 425), (157, 398), (150, 384), (144, 392), (141, 420), (139, 445), (141, 470),
    (140, 492), (133, 520), (127, 570), (121, 630), (114, 690), (105, 738), (100, 752),
)  # fmt: skip
TRUNK: tuple[Point, ...] = (
    (100, 752), (95, 715), (86, 670), (78, 632), (80, 600), (88, 565), (94, 535), (95.5, 512),
    (93, 470), (87, 420), (77, 350), (70, 300), (68, 275), (69, 235), (66, 190), (57, 130),
    (48, 80), (46, 52), (50, 34), (60, 16), (63, 6), (55, 1), (38, 0), (26, 3), (23, 14),
    (25, 34), (25, 55), (22, 90), (16, 150), (13, 210), (17, 260), (17, 300), (11, 350),
    (5, 420), (2, 470), (0, 485),
)  # fmt: skip
HEAD: tuple[Point, ...] = (
    (0, 1000), (24, 993), (39, 971), (42, 940), (38, 905), (28, 880), (14, 868), (0, 865),
)  # fmt: skip
_FRAMES: dict[str, tuple[float, float, float, float]] = {
    "lower_abdomen": (-108, 455, 108, 655),
    "sacral": (-108, 455, 108, 655),
    "left": (6, -14, 76, 252),
    "right": (-76, -14, -6, 252),
    "both": (-76, -14, 76, 252),
}


def whole_body_board(view: Literal["front", "back"]) -> Board:
    """Return the figure in thousandths of stature, standing on y = 0."""
    board = Board()
    arm, trunk, head = geometry.smooth(HALF), geometry.smooth(TRUNK), geometry.smooth(HEAD)
    half = (*arm, *trunk[1:])
    other = geometry.reverse(geometry.mirrored(half))
    board.draw((*half, *other[1:], ("Z",)), SKIN)
    for run in (half, geometry.mirrored(half)):
        board.draw(run, CONTOUR)
    whole = (*head, *geometry.reverse(geometry.mirrored(head))[1:], ("Z",))
    board.draw(whole, Ink(stroke="black", fill="white", width_pt=0.6))
    if view == "front":
        board.draw(geometry.ellipse((0, 600), 3, 4), CONTOUR)
        for sign in (1, -1):
            board.curve((sign * 60, 535), (sign * 32, 503), (sign * 8, 488))
    else:
        board.curve((0, 540), (0, 515), (0, 486))
        board.curve((0, 800), (0, 700), (0, 600))
        for sign in (1, -1):
            board.curve((sign * 2, 482), (sign * 28, 472), (sign * 60, 478))
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
