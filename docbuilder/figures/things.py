"""Step pictures of things alone: what to get ready, switching off, putting away."""

from __future__ import annotations

from docbuilder.document.scene import Ink
from docbuilder.figures import geometry
from docbuilder.figures.drawing import CONTOUR, OUTLINE, Board
from docbuilder.figures.hands import pointing_hand
from docbuilder.figures.pads import PAD

__all__ = ["FINE", "THICK", "kit", "pads_away", "pressing_hand", "switch_off", "two_keyed_unit"]

_WHITE = Ink(stroke="black", fill="white", width_pt=1.2)
FINE = Ink(stroke="black", fill="white", width_pt=0.6)
THICK = Ink(stroke="accent", width_pt=1.2)


def kit(board: Board) -> None:
    """The unit, its lead and two pads."""
    board.curve((12.6, 18.6), (15.4, 19.4), (16.2, 16.6), (18.0, 14.2), (20.0, 16.4), ink=OUTLINE)
    board.curve((18.0, 14.2), (17.8, 10.6), (18.6, 7.8), (20.0, 7.2), ink=OUTLINE)
    for y in (17.0, 6.8):
        board.draw(geometry.rounded_rectangle((24.2, y), 8.4, 7.6, 1.3), PAD)
    board.draw(geometry.rounded_rectangle((6.8, 12.0), 10.6, 20.6, 1.8), _WHITE)
    board.draw(geometry.rounded_rectangle((12.6, 18.6), 1.8, 2.6, 0.5), _WHITE)
    board.draw(geometry.rounded_rectangle((6.8, 18.0), 7.4, 4.4, 0.7), FINE)
    for y in (12.6, 8.4, 4.2):
        for x in (4.7, 8.9):
            board.draw(geometry.rounded_rectangle((x, y), 3.2, 2.4, 0.7), FINE)


def switch_off(board: Board, plus_first: bool) -> None:
    """The strength going down at the unit, then the sign for off."""
    less = two_keyed_unit(board, plus_first)[1]
    for index in range(5):
        height = 7.6 - 1.5 * index
        bar = geometry.rounded_rectangle((18.6 + 2.0 * index, 13.6 + height / 2), 1.4, height, 0.3)
        board.draw(bar, FINE)
    _arrow_down(board, 21.8, 22.6, 27.0, 18.0)
    pressing_hand(board, less)


def pressing_hand(board: Board, key_x: float) -> None:
    """A hand on the key at *key_x*, from below, so that the key beside it shows."""
    pointing_hand(board, (key_x + 1.0, 8.7), -24)


def two_keyed_unit(board: Board, plus_first: bool) -> tuple[float, float]:
    """Draw the unit with a key for more and one for less; return where they are, in this order.

    *plus_first*: the one for more is on the left, as on the patient's own unit.
    """
    left, right = 4.6, 10.6
    more, less = (left, right) if plus_first else (right, left)
    board.draw(geometry.rounded_rectangle((7.6, 12.4), 12.4, 20, 1.8), OUTLINE)
    board.draw(geometry.rounded_rectangle((7.6, 18.4), 9, 4.6, 0.7), FINE)
    for x in (left, right):
        board.draw(geometry.ellipse((x, 10.2), 2.2, 2.2), FINE)
        board.draw(geometry.line((x - 1.1, 10.2), (x + 1.1, 10.2)), OUTLINE)
    board.draw(geometry.line((more, 9.1), (more, 11.3)), OUTLINE)
    return more, less


def _arrow_down(board: Board, x0: float, y0: float, x1: float, y1: float) -> None:
    board.draw(geometry.line((x0, y0), (x1, y1)), THICK)
    board.draw(geometry.line((x1 - 2.2, y1 + 0.4), (x1, y1), (x1 - 0.3, y1 + 2.2)), THICK)


def pads_away(board: Board) -> None:
    """Pads on their sheet, going into a bag."""
    board.draw(geometry.rounded_rectangle((13.6, 15.2), 14.0, 14.0, 0.8), _WHITE)
    for x in (10.2, 17.0):
        board.draw(geometry.rounded_rectangle((x, 17.6), 5.0, 6.0, 1.0), PAD)
    board.draw(geometry.rounded_rectangle((13.6, 7.0), 21.0, 12.6, 1.2), _WHITE)
    board.draw(geometry.line((3.1, 11.2), (24.1, 11.2)), CONTOUR)
    board.draw(geometry.line((3.1, 10.2), (24.1, 10.2)), CONTOUR)
    board.draw(geometry.line((26.8, 20.8), (26.8, 13.8)), THICK)
    board.draw(geometry.line((25.3, 15.6), (26.8, 13.8), (28.3, 15.6)), THICK)
