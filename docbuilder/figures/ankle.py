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
from docbuilder.figures.pads import draw_pad, on_skin, pad_shape, pad_size, require_on_skin
from docbuilder.model.prescription import Pads, TibialVariant

__all__ = [
    "ANKLE_BONE",
    "CENTRE_GAP_MM",
    "LANDMARKS",
    "TILTS",
    "leg_board",
    "pad_centres",
    "skin_ring",
]

BACK: tuple[Point, ...] = (
    (9, 442), (1, 405), (-3, 366), (-2, 328), (5, 282), (13, 235), (19.5, 190), (22.5, 152),
    (21.5, 120), (17, 94), (9.5, 70), (2.8, 49), (0, 30), (2.2, 15), (9, 5), (22, 0.4), (40, 0),
    (57, 1.5), (73, 5.5), (89, 11), (105, 15.5), (121, 17), (137, 15), (152, 10.4), (166, 5),
    (180, 1.2), (194, 0), (208, 0.8), (219, 3.8), (227.5, 9),
)  # fmt: skip
TOE: tuple[Point, ...] = (
    (227.5, 9), (232, 4), (242, 1), (253, 2), (262, 7.5), (266, 15.5), (263.5, 23), (255, 28),
)  # fmt: skip
FRONT: tuple[Point, ...] = (
    (255, 28), (243, 29.6), (231, 29.4), (219, 32.5), (206, 39), (190, 46.5), (172, 55),
    (154, 65), (137, 77), (122.5, 92), (111, 110), (104.5, 130), (102, 154), (103.5, 195),
    (107, 240), (111.5, 290), (116.5, 338), (122, 384), (127, 418), (129, 442),
)  # fmt: skip
SHIN_EDGE: tuple[Point, ...] = (
    (61, 101), (65, 125), (69.5, 160), (73.5, 205), (77, 250), (81, 300), (85.5, 345), (92, 394),
)  # fmt: skip
"""Hind edge of the flat inner face of the shin bone, which a finger can follow."""
ACHILLES: tuple[Point, ...] = (
    (30, 238), (34.5, 195), (37.5, 155), (36.5, 120), (31, 94), (25, 78),
)  # fmt: skip
CALF_EDGE: tuple[Point, ...] = (
    (71, 424), (67, 378), (59.5, 332), (48, 294), (34, 268), (21, 254),
)  # fmt: skip
FAR_SOLE: tuple[Point, ...] = ((62, 2.4), (92, 0.8), (130, 0.4), (182, 1))
"""Outer edge of the sole, seen under the arch."""
ARCH_HOLLOW: tuple[Point, ...] = (
    (73, 5.5), (89, 11), (105, 15.5), (121, 17), (137, 15), (152, 10.4), (166, 5), (178, 1.4),
)  # fmt: skip
ANKLE_BONE: Point = (67.0, 78.0)
BONE_BUMP: tuple[Point, ...] = (
    (52.5, 88), (51.5, 78), (55.5, 68), (63.5, 62), (72.5, 62.5), (80, 69), (83, 79), (82, 89),
    (76, 96), (60, 96),
)  # fmt: skip
_BONE_RADII = (15.0, 16.0)
LANDMARKS: dict[str, Point] = {
    "calf": (22.0, 345.0),
    "shin_edge": (77.5, 254.0),
    "inner_ankle_bone": (61.0, 76.0),
    "heel": (15.0, 28.0),
    "arch": (143.0, 6.5),
}
ARCH_PAD = ((126.0, 48.0), (104.0, 49.0))
"""Middle of the arch pad: where it should lie, and how far back a large one may move."""
CENTRE_GAP_MM = 100.0
"""Distance of the pad centres above each other, the same for every stature."""
_TILT_DEGREES, _ARCH_TILT_DEGREES = -3.0, -16.0
TILTS: dict[TibialVariant, tuple[float, float]] = {
    "above_first": (0.0, _TILT_DEGREES),
    "foot_arch": (0.0, _ARCH_TILT_DEGREES),
}
"""How far each pad is turned, in degrees, so that it lies along the limb."""
_LEAST_GAP_MM = 10.0
"""Least distance between two pads, so that current crosses the body and not the skin."""


def outline() -> tuple[Segments, Segments, Segments]:
    """Return back with sole, big toe and front as three curves that meet."""
    return geometry.smooth(BACK), geometry.smooth(TOE), geometry.smooth(FRONT)


def skin_ring(factor: float) -> tuple[Point, ...]:
    """Return the closed outline of leg and foot as points, in mm."""
    points = [point for run in outline() for point in geometry.flatten(run)]
    return tuple((x * factor, y * factor) for x, y in points)


def bare_leg(factor: float) -> Board:
    """Return the left leg without pads or labels."""
    board = Board()
    back, toe, front = outline()
    whole = (*back, *toe[1:], *front[1:])
    board.draw((*whole, ("Z",)), SKIN)
    board.draw((*geometry.smooth((*ARCH_HOLLOW, *reversed(FAR_SOLE))), ("Z",)), SHADE)
    board.curve(*FAR_SOLE)
    board.draw(geometry.smooth(BONE_BUMP, closed=True), SHADE)
    board.draw(whole, OUTLINE)
    _inner_lines(board)
    out = Board()
    out.place(board, 0, 0, factor)
    return out


def _inner_lines(board: Board) -> None:
    board.curve(*BONE_BUMP[:-2])
    board.curve(*ACHILLES)
    board.curve(*SHIN_EDGE)
    board.curve(*CALF_EDGE)
    # Tendon and crease in front of the ankle.
    board.curve((93, 178), (95, 148), (100, 122), (109, 102), (120, 88))
    # Ball of the foot, fold of the big toe, nail.
    board.curve((193, 8), (203, 13), (208, 22))
    board.curve((227, 9.4), (222.5, 14), (221, 20))
    board.curve((244, 28.6), (247, 25.2), (255, 23.2), (262, 20.6))


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
        second = _arch_centre(pads, skin, factor)
        require_on_skin(pads, second, skin, "on the inner side of the foot", _ARCH_TILT_DEGREES)
    tilt = _TILT_DEGREES if variant == "above_first" else _ARCH_TILT_DEGREES
    one = geometry.flatten(pad_shape(pads, first), 8)
    other = geometry.flatten(pad_shape(pads, second, tilt), 8)
    if min(geometry.nearest(point, other) for point in one) < _LEAST_GAP_MM:
        raise ValueError(
            f"two pads of this size would lie closer than {_LEAST_GAP_MM:g} mm on this leg"
        )
    return first, second


def leg_board(
    pads: Pads, variant: TibialVariant, factor: float, room: float = 36.0, gap: float = 30.0
) -> Board:
    """Return the left leg with both pads and its labels, seen from the inner side.

    Args:
        pads: Their size and shape.
        variant: Place of the second pad.
        factor: Size of the person against the reference.
        room: Distance of the 10 cm line from the shin, for the figure beside it.
        gap: What the line leaves open for its figure.

    Raises:
        ValueError: The pads do not fit a leg of this size.
    """
    first, second = pad_centres(pads, variant, factor)
    board = bare_leg(factor)
    above = variant == "above_first"
    width, height = (size / 2 for size in pad_size(pads))
    upward = ((-1.0, height + 8), (-6.0, height + 20))
    backward = ((-width - 7, -6.0), (-width - 18, -3.0))
    _draw_pad_at(board, pads, first, 0.0, upward)
    if above:
        _draw_pad_at(board, pads, second, _TILT_DEGREES, upward)
    else:
        _draw_pad_at(board, pads, second, _ARCH_TILT_DEGREES, backward)
    if above:
        clear = 112 * factor + room - second[0]
        dimension(board, "distance_10_cm", first, second, -clear, gap, 12)
        cross(board, first, 5)
        cross(board, second, 5)
    for key, (x, y) in LANDMARKS.items():
        if key != "arch" or not above:
            board.name(key, (x * factor, y * factor))
    quarter = pad_size(pads)[0] / 4
    board.name("pad_1", (first[0] - quarter, first[1] + quarter / 2))
    side = -quarter if above else quarter
    board.name("pad_2", (second[0] + side, second[1] + quarter / 2))
    return board


def _first_centre(pads: Pads, factor: float) -> Point:
    """Behind and just above the ankle bone, as low as the pad stays clear of the bone."""
    width, height = pad_size(pads)
    edge = _scaled(BACK[3:15], factor)
    rx, ry = _BONE_RADII
    bone = geometry.ellipse(ANKLE_BONE, rx + 2, ry + 2)
    ring = geometry.flatten(geometry.scaled(bone, factor), 12)
    y = (ANKLE_BONE[1] + 20) * factor
    while True:
        heights = (y - height / 2, y, y + height / 2)
        back = max(geometry.along(edge, min(max(h, 8.0), 275 * factor)) for h in heights)
        centre = (max(back + width / 2 + 4, (ANKLE_BONE[0] - 24) * factor), y)
        pad = geometry.flatten(pad_shape(pads, centre), 6)
        if not any(geometry.inside(p, ring) for p in pad) and not any(
            geometry.inside(p, pad) for p in ring
        ):
            return centre
        y += 1.0


def _centre_above(first: Point, pads: Pads, factor: float) -> Point:
    """The point 10 cm from the first centre where the pad lies just behind the shin edge."""
    edge, hind = _scaled(SHIN_EDGE, factor), _scaled(BACK[1:12], factor)
    half = pad_size(pads)[0] / 2

    def beside(y: float) -> float:
        """A large pad has to reach over the edge rather than round the calf."""
        return max(geometry.along(edge, y) - half - 2, geometry.along(hind, y) + half + 4)

    low, high = first[1], first[1] + CENTRE_GAP_MM
    for _ in range(60):
        y = (low + high) / 2
        if geometry.distance((beside(y), y), first) < CENTRE_GAP_MM:
            low = y
        else:
            high = y
    return (beside(low), low)


def _arch_centre(pads: Pads, skin: tuple[Point, ...], factor: float) -> Point:
    """Above the arch, as far toward the toes as the pad lies on the foot."""
    (x0, y0), (x1, y1) = ARCH_PAD
    for step in range(12):
        t = step / 11
        centre = ((x0 + (x1 - x0) * t) * factor, (y0 + (y1 - y0) * t) * factor)
        if on_skin(pads, centre, skin, _ARCH_TILT_DEGREES):
            break
    return centre


def _scaled(points: tuple[Point, ...], factor: float) -> tuple[Point, ...]:
    return tuple((x * factor, y * factor) for x, y in geometry.flatten(geometry.smooth(points)))


def _draw_pad_at(
    board: Board, pads: Pads, centre: Point, degrees: float, wire: tuple[Point, ...]
) -> None:
    x, y = centre
    draw_pad(board, pads, centre, tuple((x + dx, y + dy) for dx, dy in wire), degrees)
