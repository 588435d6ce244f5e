"""Lower abdomen from the front, with the two pads above the pubic bone."""

from __future__ import annotations

from docbuilder.document.scene import Point
from docbuilder.figures.drawing import DASHED, Board
from docbuilder.figures.pads import draw_pad, pad_size, require_on_skin
from docbuilder.figures.torso import bare_torso, skin_ring
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
    "navel": (3.0, 1047.0),
    "hip_bone_right": (-121.0, 983.0),
    "hip_bone_left": (121.0, 983.0),
    "pubic_bone": (-24.0, 899.0),
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
    for key, (x, y) in LANDMARKS.items():
        board.name(key, (x * factor, y * factor))
    for key, side in (("your_right", -1), ("your_left", 1)):
        board.write(key, (side * 85 * factor, 748 * factor - 8))
    return board


def _bare() -> Board:
    board = bare_torso()
    for sign in (1, -1):

        def side(*points: Point, sign: int = sign) -> tuple[Point, ...]:
            return tuple((x * sign, y) for x, y in points)

        # Groin crease, hip bone and crest, edge of the ribs.
        board.curve(*side((108, 940), (82, 908), (54, 880), (30, 862), (13, 852)))
        board.curve(*side((150, 1012), (137, 1006), (126, 992), (119, 974)))
        board.curve(*side((128, 974), (124, 964), (117, 962)))
        board.curve(*side((60, 1165), (84, 1142), (104, 1126)))
    board.curve((-7, 1056), (-5, 1046), (0, 1042), (5, 1046), (7, 1056))
    board.curve((-4, 1058), (0, 1060), (4, 1058))
    board.curve((-46, 906), (-24, 900), (0, PUBIC_TOP_Y - 3), (24, 900), (46, 906), ink=DASHED)
    return board
