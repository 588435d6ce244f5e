"""Small pictures beside the steps, 30 x 24 mm, in the hand of the placement drawings."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from docbuilder.caching import kept
from docbuilder.document.scene import Ink, Point, Scene
from docbuilder.figures import geometry
from docbuilder.figures.drawing import CONTOUR, OUTLINE, Board, Frame
from docbuilder.figures.hands import pinching_hand, pointing_hand
from docbuilder.figures.pads import PAD
from docbuilder.figures.postures import lying, sitting
from docbuilder.figures.things import (
    FINE,
    THICK,
    kit,
    pads_away,
    pressing_hand,
    switch_off,
    two_keyed_unit,
)

__all__ = ["HEIGHT_MM", "STEP_NAMES", "WIDTH_MM", "step_scene"]

WIDTH_MM, HEIGHT_MM = 30.0, 24.0
_PLUG = Ink(stroke="black", fill="white", width_pt=1.2)
_FILLED = Ink(stroke="black", fill="accent_tint", width_pt=0.6)


@kept(64)
def step_scene(name: str, plus_first: bool = True) -> Scene:
    """Return the picture called *name*, without labels.

    *plus_first*: on the unit the key for more strength stands left of the one for less.

    Raises:
        ValueError: There is no such picture.
    """
    if name not in STEP_NAMES:
        raise ValueError(f"no step picture {name!r}; there are {', '.join(STEP_NAMES)}")
    board = Board()
    if name in _AT_THE_KEYS:
        _AT_THE_KEYS[name](board, plus_first)
    else:
        _PICTURES[name](board)
    return board.scene(Frame(0, 0, WIDTH_MM, HEIGHT_MM))


def _limb(board: Board) -> None:
    """A stretch of skin that lies across the picture."""
    for points in (
        ((0.8, 13.2), (7, 14.2), (15, 14.6), (23, 14.2), (29.2, 13.0)),
        ((0.8, 2.4), (8, 1.8), (16, 1.9), (23, 2.6), (29.2, 3.4)),
    ):
        board.draw(geometry.smooth(points), OUTLINE)


def _lying_pad(board: Board) -> None:
    """A pad on the limb, seen at a slant."""
    board.curve((6.8, 6.6), (4.5, 6.2), (2.6, 7.2), (0.8, 7.0), ink=OUTLINE)
    board.draw(_slanted(12.2, 7.6, 11.0, 6.0), PAD)


def _slanted(x: float, y: float, width: float, height: float) -> geometry.Segments:
    return geometry.moved(
        geometry.sheared(geometry.rounded_rectangle((0, 0), width, height, 1.4), 0.35), x, y
    )


def _arrow(board: Board, start: Point, end: Point) -> None:
    size = geometry.distance(start, end)
    ux, uy = (end[0] - start[0]) / size, (end[1] - start[1]) / size
    board.draw(geometry.line(start, end), THICK)
    for sign in (1, -1):
        back = (end[0] - 1.6 * ux - 1.1 * sign * uy, end[1] - 1.6 * uy + 1.1 * sign * ux)
        board.draw(geometry.line(back, end), THICK)


def _skin_clean_dry(board: Board) -> None:
    _limb(board)
    cloth = geometry.smooth(
        [(6.0, 7.4), (8.6, 9.4), (12.4, 10.0), (17.4, 9.0), (19.4, 7.0), (16.6, 5.4), (13.6, 6.0),
         (10.8, 4.8), (8.4, 6.0)],
        closed=True,
    )  # fmt: skip
    board.draw(cloth, Ink(stroke="black", fill="tint", width_pt=1.2))
    board.curve((9.2, 8.4), (11.2, 7.2), (12.0, 6.0))
    pointing_hand(board, (11.4, 8.8), 28)
    for x, y in ((3.2, 10.6), (4.8, 5.0)):
        drop: geometry.Segments = (
            ("M", x, y + 1.7),
            ("C", x + 0.5, y + 0.7, x + 1.0, y + 0.3, x + 1.0, y - 0.3),
            ("C", x + 1.0, y - 1.5, x - 1.0, y - 1.5, x - 1.0, y - 0.3),
            ("C", x - 1.0, y + 0.3, x - 0.5, y + 0.7, x, y + 1.7),
            ("Z",),
        )
        board.draw(drop, _FILLED)


def _skin_look(board: Board) -> None:
    """An eye above the limb, looking at the place of a pad."""
    _limb(board)
    board.draw(_slanted(14.2, 7.6, 11.0, 6.0), Ink(stroke="black", width_pt=0.6, dash_pt=(2, 2)))
    for x, foot in ((12.2, 10.2), (18.8, 10.2)):
        ray = geometry.line((15.3 + (x - 15.3) * 0.34, 15.9), (x, foot))
        board.draw(ray, Ink(stroke="accent", width_pt=0.6, dash_pt=(2, 2)))
    lid: geometry.Segments = (
        ("M", 10.4, 19.2),
        ("C", 12.4, 22.4, 18.2, 22.4, 20.2, 19.2),
        ("C", 18.2, 16.4, 12.4, 16.4, 10.4, 19.2),
        ("Z",),
    )
    board.draw(lid, Ink(stroke="black", fill="white", width_pt=1.2))
    board.draw(geometry.ellipse((15.3, 19.1), 2.1, 2.1), _FILLED)
    board.draw(geometry.ellipse((15.3, 19.1), 0.9, 0.9), Ink(fill="black", width_pt=0.6))


def _pad_on(board: Board) -> None:
    _limb(board)
    _lying_pad(board)
    pointing_hand(board, (12.6, 8.2), 38)


def _lead_in(board: Board) -> None:
    board.draw(geometry.rounded_rectangle((6.4, 12), 9.4, 9.4, 1.5), PAD)
    board.curve((11.2, 12), (12.6, 12), (13.6, 12), ink=OUTLINE)
    board.draw(geometry.rounded_rectangle((15.6, 12), 4.6, 3.2, 0.9), _PLUG)
    for x in (14.7, 15.6, 16.5):
        board.draw(geometry.line((x, 11.2), (x, 12.8)), CONTOUR)
    board.draw(geometry.line((17.9, 12), (20.2, 12)), OUTLINE)
    _arrow(board, (14.4, 16.2), (20.0, 16.2))
    case: geometry.Segments = (
        ("M", 29.4, 21.6),
        ("L", 25, 21.6),
        ("C", 23.6, 21.6, 23, 21, 23, 19.6),
        ("L", 23, 4.4),
        ("C", 23, 3, 23.6, 2.4, 25, 2.4),
        ("L", 29.4, 2.4),
    )
    board.draw(case, OUTLINE)
    board.draw(geometry.rounded_rectangle((23.2, 12), 2.2, 4.4, 0.5), _PLUG)
    board.draw(geometry.ellipse((23.2, 12), 0.45, 0.9), Ink(fill="black", width_pt=0.6))


def _bars(board: Board, x: float, y: float, filled: int) -> None:
    for index in range(5):
        height = 1.6 + 1.5 * index
        board.draw(
            geometry.rounded_rectangle((x + 2.0 * index, y + height / 2), 1.4, height, 0.3),
            _FILLED if index < filled else FINE,
        )


def _strength_up_slowly(board: Board, plus_first: bool) -> None:
    more = two_keyed_unit(board, plus_first)[0]
    _bars(board, 18.6, 13.6, 2)
    _arrow(board, (17.4, 17.2), (22.4, 22.2))
    pressing_hand(board, more)


def _how_it_should_feel(board: Board) -> None:
    board.draw(geometry.rounded_rectangle((15, 15.4), 7.6, 7.6, 1.2), PAD)
    for turn in (0, 180):
        for radius in (6.4, 8.6, 10.8):
            board.draw(geometry.arc((15, 15.4), radius, radius, turn - 28, turn + 28), CONTOUR)
    for index in range(5):
        cell = geometry.rounded_rectangle((4.6 + 5.2 * index, 4.2), 4.6, 3.6, 0.5)
        board.draw(cell, _FILLED if index == 3 else FINE)
    board.draw(geometry.line((18.6, 4.2), (19.8, 2.9), (22.0, 5.8)), THICK)
    for rise in (1.3, -1.3):
        board.draw(geometry.line((24.1, 4.2 - rise), (26.7, 4.2 + rise)), OUTLINE)


def _stop_peel_off(board: Board) -> None:
    _limb(board)
    board.curve((6.4, 6.4), (4.6, 6.2), (3.2, 5.8), (2.2, 6.6), (0.8, 6.4), ink=OUTLINE)
    flat: geometry.Segments = (
        ("M", 4.9, 5.0),
        ("C", 4.6, 4.2, 5.0, 3.6, 5.9, 3.6),
        ("L", 13.0, 3.6),
        ("C", 13.8, 3.6, 14.3, 4.0, 14.5, 4.8),
        ("L", 15.2, 7.0),
        ("C", 13.4, 7.8, 11.4, 9.2, 10.2, 11.0),
        ("L", 7.8, 11.0),
        ("C", 7.0, 11.0, 6.6, 10.6, 6.4, 9.8),
        ("Z",),
    )
    board.draw(flat, PAD)
    lifted: geometry.Segments = (
        ("M", 10.2, 11.0),
        ("C", 10.8, 12.8, 12.6, 14.8, 15.4, 15.4),
        ("C", 16.4, 15.6, 17.0, 15.0, 16.8, 14.0),
        ("C", 16.4, 11.6, 15.8, 9.0, 15.2, 7.0),
        ("C", 13.4, 7.8, 11.4, 9.2, 10.2, 11.0),
        ("Z",),
    )
    board.draw(lifted, _PLUG)
    pinching_hand(board, (15.6, 14.6), 16)


_PICTURES: Mapping[str, Callable[[Board], None]] = {
    "kit": kit,
    "skin_clean_dry": _skin_clean_dry,
    "skin_look": _skin_look,
    "pad_on": _pad_on,
    "lead_in": _lead_in,
    "how_it_should_feel": _how_it_should_feel,
    "stop_peel_off": _stop_peel_off,
    "pads_away": pads_away,
    "sitting_position": sitting,
    "lying_position": lying,
}
_AT_THE_KEYS: Mapping[str, Callable[[Board, bool], None]] = {
    "strength_up_slowly": _strength_up_slowly,
    "switch_off": switch_off,
}
"""These show the keys for more and less strength."""
STEP_NAMES: tuple[str, ...] = (*_PICTURES, *_AT_THE_KEYS)
