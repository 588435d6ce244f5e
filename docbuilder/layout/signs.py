"""Signs and marks, drawn by us: shapes that stay apart in black and white.

The octagon and the triangle follow common road-sign and ISO 7010 practice (a shape
each for "stop" and "caution"); a word always stands with them.
"""

from __future__ import annotations

from collections.abc import Callable
from math import cos, pi, sin

from docbuilder.document.scene import Point, Segment
from docbuilder.layout.geometry import Frame
from docbuilder.layout.pen import Pen, circle, polygon
from docbuilder.layout.styles import Look

__all__ = ["MARKS", "draw_mark", "octagon", "scissors", "warning_triangle"]


def octagon(x: float, y: float, radius: float) -> list[Segment]:
    """Return a regular octagon that stands on a side."""
    corners = [(k + 0.5) * pi / 4 for k in range(8)]
    return polygon([(x + radius * cos(a), y + radius * sin(a)) for a in corners])


def warning_triangle(pen: Pen, x: float, y: float, side: float) -> None:
    """Draw a triangle with an exclamation mark, centred at (*x*, *y*)."""
    half, height = side * 0.46, side * 0.81
    foot = y - height * 0.47
    corners: list[Point] = [(x - half, foot), (x + half, foot), (x, foot + height)]
    pen.shape(polygon(corners), fill=(1, 1, 1), stroke=(0, 0, 0), width_pt=side * 0.075)
    bar = side * 0.055
    pen.shape(
        polygon(
            [
                (x - bar, foot + height * 0.66), (x + bar, foot + height * 0.66),
                (x + bar * 0.7, foot + height * 0.29), (x - bar * 0.7, foot + height * 0.29),
            ]
        ),
        fill=(0, 0, 0),
    )  # fmt: skip
    pen.shape(circle(x, foot + height * 0.175, bar * 1.05), fill=(0, 0, 0))


def scissors(pen: Pen, x: float, y: float, r: float, direction: int) -> None:
    """Draw open scissors that cut along a line at *y*; *direction* is 1 rightwards, else -1."""
    ground = Frame(x - 1.8 * r, y - 1.1 * r, x + 1.8 * r, y + 1.1 * r)
    pen.box(ground, fill=(1, 1, 1))
    for side in (1, -1):
        ring = (x - direction * 1.1 * r, y + side * 0.55 * r)
        pen.shape(circle(*ring, 0.42 * r), stroke=(0, 0, 0), width_pt=1.0)
        start = (ring[0] + direction * 0.36 * r, ring[1] - side * 0.2 * r)
        pen.rule(start, (x + direction * 1.6 * r, y - side * 0.42 * r), (0, 0, 0), 1.1)


def _review(pen: Pen, x: float, y: float, r: float, look: Look) -> None:
    """A solid diamond."""
    pen.shape(polygon([(x, y - r), (x + r, y), (x, y + r), (x - r, y)]), fill=(0, 0, 0))


def _pads(pen: Pen, x: float, y: float, r: float, look: Look) -> None:
    """Two open squares, one over the other."""
    for dx, dy in ((-0.32, 0.32), (0.32, -0.32)):
        half = r * 0.62
        frame = Frame(x + dx * r - half, y + dy * r - half, x + dx * r + half, y + dy * r + half)
        pen.box(frame, fill=(1, 1, 1), stroke=(0, 0, 0), width_pt=max(0.9, r * 0.14), radius=r / 5)


def _battery(pen: Pen, x: float, y: float, r: float, look: Look) -> None:
    """A lying cell with its pole, half filled."""
    body = Frame(x - r, y - r * 0.55, x + r * 0.8, y + r * 0.55)
    pen.box(body, fill=(1, 1, 1), stroke=(0, 0, 0), width_pt=max(0.9, r * 0.14), radius=r / 6)
    pen.box(Frame(x + r * 0.8, y - r * 0.25, x + r * 1.05, y + r * 0.25), fill=(0, 0, 0))
    pen.box(Frame(body.x0, body.y0, x, body.y1), fill=(0, 0, 0), radius=r / 6)


def _call(pen: Pen, x: float, y: float, r: float, look: Look) -> None:
    """A handset, as a thick bow with two ends."""
    bow: list[Segment] = [
        ("M", x - r * 0.62, y + r * 0.62),
        ("C", x - r * 0.6, y - r * 0.25, x - r * 0.25, y - r * 0.6, x + r * 0.62, y - r * 0.62),
    ]
    pen.shape(bow, stroke=(0, 0, 0), width_pt=r * 0.34)
    for ends in (
        [(-0.95, 0.5), (-0.5, 0.95), (-0.2, 0.55), (-0.6, 0.2)],
        [(0.5, -0.95), (0.95, -0.5), (0.6, -0.2), (0.2, -0.55)],
    ):
        corners: list[Point] = [(x + dx * r, y + dy * r) for dx, dy in ends]
        pen.shape(polygon(corners), fill=(0, 0, 0), stroke=(0, 0, 0), width_pt=r * 0.16)


def _session(pen: Pen, x: float, y: float, r: float, look: Look) -> None:
    """A filled disc; in the grid it carries the session's number."""
    pen.shape(circle(x, y, r), fill=look.accent)


def _rest(pen: Pen, x: float, y: float, r: float, look: Look) -> None:
    """An empty cell: rest days stay plain."""
    half = r * 0.85
    frame = Frame(x - half, y - half, x + half, y + half)
    pen.box(frame, fill=(1, 1, 1), stroke=look.hairline, width_pt=0.8)


MARKS: dict[str, Callable[[Pen, float, float, float, Look], None]] = {
    "session": _session,
    "rest": _rest,
    "review": _review,
    "pads": _pads,
    "battery": _battery,
    "call": _call,
}
"""How each mark of the calendar is drawn."""


def draw_mark(pen: Pen, mark: str, at: Point, radius: float, look: Look) -> None:
    """Draw a calendar mark centred at *at*."""
    MARKS[mark](pen, at[0], at[1], radius, look)
