"""Where the tibial pads lie on the inner side of the leg, and the drawing with them."""

from __future__ import annotations

from docbuilder.document.scene import Point
from docbuilder.figures import geometry
from docbuilder.figures.drawing import Board
from docbuilder.figures.lower_leg import (
    ANKLE_BONE,
    BACK,
    BONE_RADII,
    LANDMARKS,
    SHIN_EDGE,
    bare_leg,
    chain,
    skin_ring,
)
from docbuilder.figures.marks import cross, dimension
from docbuilder.figures.pads import draw_pad, on_skin, pad_shape, pad_size, require_on_skin
from docbuilder.model.lengths import TIBIAL_CENTRES_MM
from docbuilder.model.prescription import Pads, TibialVariant

__all__ = ["CENTRE_GAP_MM", "TILTS", "leg_board", "pad_centres"]

ARCH_PAD = ((126.0, 48.0), (104.0, 49.0))
"""Middle of the arch pad: where it should lie, and how far back a large one may move."""
CENTRE_GAP_MM = float(TIBIAL_CENTRES_MM)
"""Distance of the pad centres above each other, the same for every stature."""
_TILT_DEGREES, _ARCH_TILT_DEGREES = -3.0, -16.0
TILTS: dict[TibialVariant, tuple[float, float]] = {
    "above_first": (0.0, _TILT_DEGREES),
    "foot_arch": (0.0, _ARCH_TILT_DEGREES),
}
"""How far each pad is turned, in degrees, so that it lies along the limb."""
_LEAST_GAP_MM = 10.0
"""Least distance between two pads, so that current does not pass along
the skin between them (common practice, no source)."""


def pad_centres(pads: Pads, variant: TibialVariant, factor: float) -> tuple[Point, Point]:
    """Return the centres of both pads on the left leg.

    Raises:
        ValueError: The pads do not fit a leg of this size.
    """
    skin = skin_ring(factor)
    first = _first_centre(pads, factor)
    require_on_skin(pads, first, skin, "behind the inner ankle bone")
    if first[0] > ANKLE_BONE[0] * factor:
        raise ValueError(
            f"a pad {pad_size(pads)[0]:g} mm wide would lie over the inner ankle bone of a person "
            "of this height and not behind it"
        )
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
    pads: Pads, variant: TibialVariant, factor: float, room: float = 80.0, gap: float = 56.0
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
    width, _ = pad_size(pads)
    rx, ry = BONE_RADII
    bone = geometry.ellipse(ANKLE_BONE, rx + 2, ry + 2)
    ring = geometry.flatten(geometry.scaled(bone, factor), 12)
    y = (ANKLE_BONE[1] + 20) * factor
    while True:
        x = max(_hind(pads, y, factor) + width / 2 + 4, (ANKLE_BONE[0] - 24) * factor)
        pad = geometry.flatten(pad_shape(pads, (x, y)), 6)
        if not any(geometry.inside(p, ring) for p in pad) and not any(
            geometry.inside(p, pad) for p in ring
        ):
            return x, y
        y += 1.0


def _centre_above(first: Point, pads: Pads, factor: float) -> Point:
    """The point 10 cm from the first centre where the pad lies just behind the shin edge."""
    edge = chain(SHIN_EDGE, factor)
    half = pad_size(pads)[0] / 2

    def beside(y: float) -> float:
        """A large pad has to reach over the edge rather than round the calf."""
        return max(geometry.along(edge, y) - half - 2, _hind(pads, y, factor) + half + 5)

    low, high = first[1], first[1] + CENTRE_GAP_MM
    for _ in range(60):
        y = (low + high) / 2
        if geometry.distance((beside(y), y), first) < CENTRE_GAP_MM:
            low = y
        else:
            high = y
    return (beside(low), low)


def _hind(pads: Pads, y: float, factor: float) -> float:
    """Return the foremost x of the leg's hind outline along a pad's height."""
    edge = chain(BACK[:15], factor)
    half = pad_size(pads)[1] / 2
    highest, lowest = BACK[0][1] * factor, BACK[14][1] * factor
    return max(
        geometry.along(edge, min(max(y + half * part, lowest), highest))
        for part in (-1.0, -0.5, 0.0, 0.5, 1.0)
    )


def _arch_centre(pads: Pads, skin: tuple[Point, ...], factor: float) -> Point:
    """Above the arch, as far toward the toes as the pad lies on the foot."""
    (x0, y0), (x1, y1) = ARCH_PAD
    for step in range(12):
        t = step / 11
        centre = ((x0 + (x1 - x0) * t) * factor, (y0 + (y1 - y0) * t) * factor)
        if on_skin(pads, centre, skin, _ARCH_TILT_DEGREES):
            break
    return centre


def _draw_pad_at(
    board: Board, pads: Pads, centre: Point, degrees: float, wire: tuple[Point, ...]
) -> None:
    x, y = centre
    draw_pad(board, pads, centre, tuple((x + dx, y + dy) for dx, dy in wire), degrees)
