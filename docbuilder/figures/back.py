"""Lower back from behind, with the two pads beside the sacrum."""

from __future__ import annotations

from docbuilder.document.scene import Point
from docbuilder.figures import geometry
from docbuilder.figures.drawing import DASHED, OUTLINE, SHADE, Board
from docbuilder.figures.pads import draw_pad, pad_size, require_on_skin
from docbuilder.figures.torso import CROTCH_Y, bare_torso, skin_ring
from docbuilder.model.prescription import Pads

__all__ = ["LANDMARKS", "back_board", "pad_centres"]

DIMPLE: Point = (45.0, 1005.0)
"""Skin dimple over the posterior superior iliac spine; 8 to 10 cm apart (from memory)."""
CLEFT_TOP_Y = 945.0
INNER_EDGE_MM = 10.0
"""Inner pad edge from the midline, so that a 50 mm pad covers the S2 to S4 foramina."""
LANDMARKS: dict[str, Point] = {
    "dimple_left": (-46.0, 1009.0),
    "dimple_right": (46.0, 1009.0),
    "sacrum": (3.0, 990.0),
    "cleft_top": (-1.0, 941.0),
}


def pad_centres(pads: Pads, factor: float) -> tuple[Point, Point]:
    """Return the pad centres: the patient's left (picture left), then right.

    Raises:
        ValueError: The pads do not fit this person.
    """
    width, height = pad_size(pads)
    x, y = INNER_EDGE_MM + width / 2, DIMPLE[1] * factor - height / 2
    if y - height / 2 < CROTCH_Y * factor:
        raise ValueError(f"pads {height:g} mm high would reach below the buttocks of this person")
    for centre in ((-x, y), (x, y)):
        require_on_skin(pads, centre, skin_ring(factor), "beside the sacrum")
    return (-x, y), (x, y)


def back_board(pads: Pads, factor: float) -> Board:
    """Return the drawing with pads and labels.

    Raises:
        ValueError: The pads do not fit.
    """
    board = Board()
    board.place(_bare(), 0, 0, factor)
    for index, (x, y) in enumerate(pad_centres(pads, factor)):
        sign = 1 if x > 0 else -1
        half = pad_size(pads)[0] / 2
        wire = ((x + sign * (half + 8), y), (x + sign * (half + 22), y + 6))
        draw_pad(board, pads, (x, y), wire)
        board.name(f"pad_{index + 1}", (x + sign * half / 2, y))
    _dimples(board, factor)
    for key, (x, y) in LANDMARKS.items():
        board.name(key, (x * factor, y * factor))
    for key, side in (("your_left", -1), ("your_right", 1)):
        board.write(key, (side * 85 * factor, 748 * factor - 8))
    return board


def _dimples(board: Board, factor: float) -> None:
    marks = Board()
    for sign in (1, -1):
        marks.curve(*((x * sign, y) for x, y in ((38, 1006), (42, 1013), (50, 1013), (54, 1006))))
    board.place(marks, 0, 0, factor)


def _bare() -> Board:
    board = bare_torso()
    sacrum = geometry.smooth(
        [
            (-40, 1012),
            (0, 1020),
            (40, 1012),
            (30, 980),
            (14, 950),
            (0, 938),
            (-14, 950),
            (-30, 980),
        ],
        True,
    )
    board.draw(sacrum, SHADE)
    board.draw(sacrum, DASHED)
    board.draw(geometry.smooth([(0, 945), (0.8, 915), (0, 880), (0, CROTCH_Y)]), OUTLINE)
    for sign in (1, -1):

        def side(*points: Point, sign: int = sign) -> tuple[Point, ...]:
            return tuple((x * sign, y) for x, y in points)

        board.draw(
            geometry.smooth(side((1, 850), (18, 838), (45, 831), (78, 832), (112, 842))), OUTLINE
        )
        board.curve(*side((0, 947), (5, 953), (14, 958)))
        board.curve(*side((30, 1165), (28, 1120), (26, 1080)))
    board.curve((0, 1165), (0, 1110), (0, 1050))
    return board
