"""Inner side of the lower leg and foot, with the tibial pads.

Landmarks are millimetres of a left leg of a person 1750 mm tall: x forward from the
back of the heel, y up from the floor.
"""

from __future__ import annotations

from docbuilder.document.scene import Point
from docbuilder.figures import geometry
from docbuilder.figures.drawing import OUTLINE, SHADE, SKIN, Board
from docbuilder.figures.geometry import Segments
from docbuilder.figures.marks import cross, dimension
from docbuilder.figures.pads import draw_pad, pad_size, require_on_skin
from docbuilder.model.prescription import Pads, TibialVariant

__all__ = ["CENTRE_GAP_MM", "LANDMARKS", "leg_board", "pad_centres", "skin_ring"]

ANKLE_BONE: Point = (68.0, 79.0)
ARCH_PAD: Point = (128.0, 46.0)
LANDMARKS: dict[str, Point] = {
    "calf": (12.0, 345.0),
    "shin_edge": (89.5, 250.0),
    "inner_ankle_bone": (72.0, 76.0),
    "heel": (12.0, 26.0),
    "arch": (122.0, 18.0),
}
CENTRE_GAP_MM = 100.0
"""Distance of the pad centres above each other; the same for every stature."""
_TILT_DEGREES = -2.0
_ARCH_TILT_DEGREES = -18.0
_LEAST_GAP_MM = 10.0
BACK: tuple[Point, ...] = (
    (4, 440), (-5, 402), (-9, 362), (-7, 322), (1, 275), (11, 228), (18.5, 185), (22, 148),
    (21.5, 118), (17, 92), (9, 68), (2.5, 48), (0, 30), (2.5, 14), (10, 4), (24, 0), (42, 0),
    (58, 1.5), (74, 5.5), (90, 11), (106, 15.5), (122, 17), (138, 15), (153, 10), (167, 4.5),
    (180, 1), (194, 0), (208, 1), (219, 4), (227, 9),
)  # fmt: skip
TOE: tuple[Point, ...] = (
    (227, 9), (232, 4), (242, 1), (253, 2), (262, 8), (266, 16), (263, 23), (255, 28),
)  # fmt: skip
FRONT: tuple[Point, ...] = (
    (255, 28), (243, 30), (230, 30), (219, 33), (206, 39), (190, 46), (172, 54), (154, 64),
    (137, 76), (123, 91), (112, 108), (106, 127), (104, 150), (106, 190), (110, 235), (115, 285),
    (120, 335), (126, 385), (131, 420), (133, 440),
)  # fmt: skip
SHIN_EDGE: tuple[Point, ...] = (
    (80, 104), (82, 140), (85, 185), (88, 235), (92, 290), (98, 345), (106, 400),
)  # fmt: skip
ACHILLES: tuple[Point, ...] = ((36, 86), (39, 118), (39, 150), (36, 190), (30, 228))


def outline() -> tuple[Segments, Segments, Segments]:
    """Return back with sole, big toe and front as three curves that meet."""
    return geometry.smooth(BACK), geometry.smooth(TOE), geometry.smooth(FRONT)


def skin_ring(factor: float) -> tuple[Point, ...]:
    """Return the closed outline of leg and foot as points, in mm."""
    points = [point for run in outline() for point in geometry.flatten(run)]
    return tuple((x * factor, y * factor) for x, y in points)


def bare_leg(factor: float) -> Board:
    """Return the leg without pads."""
    board = Board()
    back, toe, front = outline()
    whole = (*back, *toe[1:], *front[1:])
    board.draw((*whole, ("Z",)), SKIN)
    board.draw(
        geometry.smooth(
            [
                (74, 5.5),
                (90, 11),
                (106, 15.5),
                (122, 17),
                (138, 15),
                (153, 10),
                (167, 4.5),
                (120, 1),
            ],
            True,
        ),
        SHADE,
    )
    board.curve((66, 3), (100, 1.2), (140, 0.8), (178, 1))
    board.draw(whole, OUTLINE)
    # ankle bone
    board.curve((52, 92), (50, 78), (56, 65), (68, 60), (79, 66), (84, 78), (82, 90))
    board.curve((61, 90), (66, 94), (73, 93))
    board.curve(*ACHILLES)
    board.curve(*SHIN_EDGE)
    # calf belly
    board.curve((20, 330), (27, 290), (38, 262), (54, 250))
    # tendon in front of the ankle
    board.curve((98, 160), (101, 130), (108, 108), (122, 90), (140, 74))
    # ball and heel
    board.curve((196, 8), (205, 14), (208, 22))
    board.curve((226, 10), (222, 14), (220, 19))
    # toe nail
    board.curve((250, 29), (253, 24), (262, 21))
    out = Board()
    out.place(board, 0, 0, factor)
    return out


def pad_centres(pads: Pads, variant: TibialVariant, factor: float) -> tuple[Point, Point]:
    """Return the centres of both pads on the left leg.

    Raises:
        ValueError: The pads do not fit a leg of this size.
    """
    skin = skin_ring(factor)
    first = _first_centre(pads, factor)
    require_on_skin(pads, first, skin, "behind the inner ankle bone")
    if variant == "above_first":
        second = _centre_above(first, pads, factor)
        require_on_skin(pads, second, skin, "10 cm above the first pad", _TILT_DEGREES)
    else:
        second = (ARCH_PAD[0] * factor, ARCH_PAD[1] * factor)
        require_on_skin(pads, second, skin, "on the inner side of the foot", _ARCH_TILT_DEGREES)
    if geometry.distance(first, second) < max(pad_size(pads)) + _LEAST_GAP_MM:
        raise ValueError(
            f"the two pads would lie closer than {_LEAST_GAP_MM:g} mm to each other on this leg"
        )
    return first, second


def leg_board(pads: Pads, variant: TibialVariant, factor: float) -> Board:
    """Return the left leg with both pads and its labels, seen from the inner side.

    Raises:
        ValueError: The pads do not fit a leg of this size.
    """
    first, second = pad_centres(pads, variant, factor)
    board = bare_leg(factor)
    above = variant == "above_first"
    _draw_pad_at(board, pads, first, 0.0)
    _draw_pad_at(board, pads, second, _TILT_DEGREES if above else _ARCH_TILT_DEGREES)
    if above:
        clear = first[0] - min(x for x, _ in BACK) * factor + 22
        dimension(board, "distance_10_cm", first, second, clear, 30, 12)
        cross(board, first, 5)
        cross(board, second, 5)
    for key, (x, y) in LANDMARKS.items():
        if key != "arch" or not above:
            board.name(key, (x * factor, y * factor))
    quarter = pad_size(pads)[0] / 4
    board.name("pad_1", (first[0] - quarter, first[1] + quarter))
    side = -quarter if above else quarter
    board.name("pad_2", (second[0] + side, second[1] + quarter))
    return board


def _first_centre(pads: Pads, factor: float) -> Point:
    """Behind and just above the ankle bone, as far back as the pad's width allows."""
    width, height = pad_size(pads)
    y = ANKLE_BONE[1] * factor + max(height / 2 + 4, 20)
    back = max(
        geometry.along(_scaled(BACK[4:14], factor), min(y + offset, 300 * factor))
        for offset in (-height / 2, 0, height / 2)
    )
    return (max(back + width / 2 + 5, ANKLE_BONE[0] * factor - 22), y)


def _centre_above(first: Point, pads: Pads, factor: float) -> Point:
    """The point 10 cm from the first centre where the pad lies just behind the shin edge."""
    edge = _scaled(SHIN_EDGE, factor)
    inset = pad_size(pads)[0] / 2 + 2
    low, high = first[1], first[1] + CENTRE_GAP_MM
    for _ in range(60):
        y = (low + high) / 2
        x = geometry.along(edge, y) - inset
        if geometry.distance((x, y), first) < CENTRE_GAP_MM:
            low = y
        else:
            high = y
    return (geometry.along(edge, low) - inset, low)


def _scaled(points: tuple[Point, ...], factor: float) -> tuple[Point, ...]:
    return tuple((x * factor, y * factor) for x, y in geometry.flatten(geometry.smooth(points)))


def _draw_pad_at(board: Board, pads: Pads, centre: Point, degrees: float) -> None:
    x, top = centre[0], centre[1] + pad_size(pads)[1] / 2
    draw_pad(board, pads, centre, ((x - 1, top + 8), (x - 6, top + 20)), degrees)
