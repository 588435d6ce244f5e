"""The upper body with pads crossed out where none may ever go: head, neck, chest."""

from __future__ import annotations

from docbuilder.caching import kept
from docbuilder.document.scene import Ink, Point, Scene
from docbuilder.figures import geometry
from docbuilder.figures.drawing import CONTOUR, OUTLINE, Board, Frame
from docbuilder.figures.pads import PAD
from docbuilder.figures.whole_body import ARM_SIDE, HEAD, HEIGHT, TRUNK

__all__ = ["FORBIDDEN", "never_scene"]

FORBIDDEN: tuple[Point, ...] = ((0, 942), (0, 848), (-47, 768), (47, 768))
"""Middles of the crossed pads, in thousandths of stature: head, neck, both sides of the chest."""
_PAD, _ARM = 32.0, 25.0
"""Side of a pad, and half the height and width of its cross."""
_CROSS = Ink(stroke="stop", width_pt=2.6)
_FOOT, _ELBOW = 690.0, 700.0
"""Where the trunk and the arms end."""
_MARGIN = 8.0
_WIDTH_MM = 26.0


@kept(1)
def never_scene() -> Scene:
    """Return the figure, without labels, `_WIDTH_MM` wide."""
    body = Board()
    outer = [point for point in ARM_SIDE[:12] if point[1] >= _ELBOW]
    inner = [point for point in ARM_SIDE[-3:] if point[1] >= _ELBOW]
    flank = [point for point in TRUNK[:5] if point[1] >= _FOOT]
    for run in (geometry.smooth(outer), geometry.smooth([*inner, *flank])):
        body.draw(run, OUTLINE)
        body.draw(geometry.mirrored(run), OUTLINE)
    body.draw(geometry.smooth(HEAD, closed=True), Ink(fill="white", width_pt=1.2))
    for sign in (1, -1):
        body.curve((sign * 6, 822), (sign * 40, 826), (sign * 78, 822), ink=CONTOUR)
    for x, y in FORBIDDEN:
        body.draw(geometry.rounded_rectangle((x, y), _PAD, _PAD, 5), PAD)
        for rise in (_ARM, -_ARM):
            body.draw(geometry.line((x - _ARM, y - rise), (x + _ARM, y + rise)), _CROSS)
    half = max(x for x, _ in outer) + _MARGIN
    board, factor = Board(), _WIDTH_MM / (2 * half)
    board.place(body, 0, 0, factor)
    edges = (-half, _FOOT - _MARGIN, half, HEIGHT + _MARGIN)
    return board.scene(Frame(*(edge * factor for edge in edges)))
