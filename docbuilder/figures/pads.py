"""Pads at their own size, with a stub of the lead wire."""

from __future__ import annotations

from collections.abc import Sequence

from docbuilder.document.scene import Ink, Point
from docbuilder.figures import geometry
from docbuilder.figures.drawing import Board
from docbuilder.figures.geometry import Segments
from docbuilder.model.prescription import Pads

__all__ = ["CORNER_MM", "draw_pad", "on_skin", "pad_shape", "pad_size", "require_on_skin"]

CORNER_MM = 5.0
"""Corner radius of a rectangular pad (common practice, no source)."""
_EDGE_MM = 2.0
"""Least skin round a pad in a drawing, so that its edge does not fall on the outline."""
PAD = Ink(stroke="black", fill="accent_tint", width_pt=1.2)
WIRE = Ink(stroke="black", width_pt=1.2)


def pad_size(pads: Pads) -> tuple[float, float]:
    """Return width and height of one pad in mm."""
    return float(pads.width_mm), float(pads.height_mm)


def pad_shape(pads: Pads, centre: Point, degrees: float = 0.0) -> Segments:
    """Return the outline of one pad, turned anticlockwise by *degrees*."""
    width, height = pad_size(pads)
    if pads.shape == "rectangle":
        shape = geometry.rounded_rectangle(centre, width, height, CORNER_MM)
    else:
        shape = geometry.ellipse(centre, width / 2, height / 2)
    return geometry.turned(shape, centre, degrees) if degrees else shape


def draw_pad(
    board: Board, pads: Pads, centre: Point, wire: Sequence[Point], degrees: float = 0.0
) -> None:
    """Draw one pad and its wire, which runs from under the pad through *wire*."""
    board.draw(geometry.smooth([centre, *wire]), WIRE)
    board.draw(pad_shape(pads, centre, degrees), PAD)


def on_skin(pads: Pads, centre: Point, skin: Sequence[Point], degrees: float = 0.0) -> bool:
    """Return whether a pad lies inside the outline *skin*, clear of its edge."""
    ring = geometry.flatten(pad_shape(pads, centre, degrees), 8)
    return (
        all(geometry.inside(point, skin) for point in ring)
        and min(geometry.nearest(point, skin) for point in ring) >= _EDGE_MM
    )


def require_on_skin(
    pads: Pads, centre: Point, skin: Sequence[Point], where: str, degrees: float = 0.0
) -> None:
    """Check that a pad lies on the part of the body that is drawn.

    Raises:
        ValueError: Some of its edge would lie outside *skin*.
    """
    if not on_skin(pads, centre, skin, degrees):
        width, height = pad_size(pads)
        raise ValueError(
            f"a pad of {width:g} x {height:g} mm does not fit {where} on a person of this height"
        )
