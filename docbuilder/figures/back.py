"""Lower back from behind, with the two pads beside the sacrum."""

from __future__ import annotations

from docbuilder.document.scene import Ink, Point
from docbuilder.figures import geometry
from docbuilder.figures.drawing import CONTOUR, DASHED, OUTLINE, SHADE, Board
from docbuilder.figures.pads import draw_pad, pad_size, require_on_skin
from docbuilder.figures.torso import CROTCH_Y, bare_torso, name_trunk, skin_ring
from docbuilder.model.prescription import Pads

__all__ = ["LANDMARKS", "back_board", "pad_centres"]

DIMPLE: Point = (45.0, 1005.0)
"""Skin dimple over the posterior superior iliac spine; 8 to 10 cm apart (from memory)."""
CLEFT_TOP_Y = 945.0
INNER_EDGE_MM = 10.0
"""Inner pad edge from the midline, so that a 50 mm pad covers the S2 to S4 foramina."""
SACRUM: tuple[Point, ...] = (
    (-30, 1026), (0, 1030), (30, 1026), (33, 1014), (24, 982), (11, 948), (0, 938), (-11, 948),
    (-24, 982), (-33, 1014),
)  # fmt: skip
LANDMARKS: dict[str, Point] = {
    "dimple_left": (-47.0, 1011.0),
    "dimple_right": (47.0, 1011.0),
    "sacrum": (8.0, 1023.0),
    "cleft_top": (-1.5, 932.0),
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
        half, low = pad_size(pads)[0] / 2, y - pad_size(pads)[1] / 4
        wire = ((x + sign * (half + 6), low), (x + sign * (half + 20), low - 7))
        draw_pad(board, pads, (x, y), wire)
        board.name(f"pad_{index + 1}", (x + sign * half / 2, y + half / 4))
    _dimples(board, factor)
    name_trunk(board, LANDMARKS, factor, left=-1)
    return board


def _dimples(board: Board, factor: float) -> None:
    x, y = DIMPLE
    marks = Board()
    for sign in (1, -1):
        marks.draw(geometry.ellipse((x * sign, y + 6), 7, 5), SHADE)
        start, end = (0, 215) if sign < 0 else (-35, 180)
        marks.draw(geometry.arc((x * sign, y + 6), 7, 5, start, end), CONTOUR)
    board.place(marks, 0, 0, factor)


def _bare() -> Board:
    board = bare_torso()
    board.draw(geometry.smooth(SACRUM, closed=True), SHADE)
    board.draw(geometry.smooth(SACRUM, closed=True), DASHED)
    cleft = ((0, CLEFT_TOP_Y), (0.8, 922), (0, 900), (0, 870), (0, CROTCH_Y))
    board.draw(geometry.smooth(cleft), OUTLINE)
    board.curve((0, 1172), (0, 1120), (0, 1062))
    for sign in (1, -1):

        def side(*points: Point, ink: Ink = CONTOUR, sign: int = sign) -> None:
            board.curve(*((x * sign, y) for x, y in points), ink=ink)

        fold = ((0.5, 853), (9, 842), (28, 833), (54, 829.5), (82, 832), (108, 840))
        side(*fold, ink=OUTLINE)
        side((30, 1172), (28, 1130), (27, 1090), (31, 1056))  # long back muscle
        side((132, 1056), (120, 1048), (104, 1040))  # crest of the hip
    return board
