"""Lower abdomen from the front, with the two pads above the pubic bone."""

from __future__ import annotations

from docbuilder.document.scene import Point
from docbuilder.figures import geometry
from docbuilder.figures.drawing import CONTOUR, DASHED, SHADE, Board
from docbuilder.figures.pads import draw_pad, pad_size, require_on_skin
from docbuilder.figures.torso import bare_torso, name_trunk, skin_ring
from docbuilder.model.prescription import Pads

__all__ = ["LANDMARKS", "PUBIC_TOP_Y", "abdomen_board", "pad_centres"]

PUBIC_TOP_Y = 901.0
"""Upper border of the pubic bone; by eye between crotch and navel, no source."""
ABOVE_BONE_MM = 15.0
"""Lower pad edge above the bone: 10 to 20 mm (common practice, no source)."""
CENTRES_MM = (60.0, 100.0)
"""Range for the distance of the pad centres (common practice, no source)."""
_GAP_MM = 20.0
LANDMARKS: dict[str, Point] = {
    "navel": (4.5, 1046.0),
    "hip_bone_right": (-122.0, 979.0),
    "hip_bone_left": (122.0, 979.0),
    "pubic_bone": (-34.0, 903.0),
}


def pad_centres(pads: Pads, factor: float) -> tuple[Point, Point]:
    """Return the pad centres: the patient's left (picture right), then right.

    Raises:
        ValueError: The pads do not fit side by side, or not on this person.
    """
    width, height = pad_size(pads)
    apart = max(70.0 if width >= 40 else CENTRES_MM[0], width + _GAP_MM)
    if apart > CENTRES_MM[1]:
        raise ValueError(
            f"pads {width:g} mm wide would have their centres more than "
            f"{CENTRES_MM[1]:g} mm apart; pads longer than wide stand upright here"
        )
    y = PUBIC_TOP_Y * factor + ABOVE_BONE_MM + height / 2
    centres = ((apart / 2, y), (-apart / 2, y))
    for centre in centres:
        require_on_skin(pads, centre, skin_ring(factor), "above the pubic bone")
    return centres


def abdomen_board(pads: Pads, factor: float) -> Board:
    """Return the drawing with pads and labels.

    Raises:
        ValueError: The pads do not fit.
    """
    board = Board()
    board.place(_bare(), 0, 0, factor)
    for index, (x, y) in enumerate(pad_centres(pads, factor)):
        sign = 1 if x > 0 else -1
        top = y + pad_size(pads)[1] / 2
        draw_pad(board, pads, (x, y), ((x + sign * 2, top + 8), (x + sign * 10, top + 24)))
        board.name(f"pad_{index + 1}", (x + sign * pad_size(pads)[0] / 4, y))
    name_trunk(board, LANDMARKS, factor, left=1)
    return board


def _bare() -> Board:
    board = bare_torso()
    for sign in (1, -1):

        def side(*points: Point, sign: int = sign) -> None:
            board.curve(*((x * sign, y) for x, y in points))

        side((113, 936), (86, 906), (58, 880), (34, 862), (12, 852))  # groin crease
        side((70, 1172), (82, 1156), (97, 1143), (114, 1134))  # edge of the ribs
        side((144, 1010), (138, 1010), (131, 1002), (126, 992))  # crest of the hip
        board.draw(geometry.ellipse((sign * 121, 979), 9, 12), SHADE)
        start, end = (150, 350) if sign > 0 else (190, 390)
        board.draw(geometry.arc((sign * 121, 979), 9, 12, start, end), CONTOUR)  # hip bone
    board.draw(geometry.ellipse((0, 1050), 5.5, 7.5), SHADE)
    board.draw(geometry.arc((0, 1050), 5.5, 7.5, 160, 380), CONTOUR)
    board.curve((-7, 1057), (-3, 1060.5), (3, 1060.5), (7, 1057))
    board.curve((0, 1172), (0, 1130), (0, 1086))
    board.curve((-46, 907), (-26, 901), (0, PUBIC_TOP_Y - 2), (26, 901), (46, 907), ink=DASHED)
    return board
