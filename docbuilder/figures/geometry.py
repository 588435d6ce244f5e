"""Curves, shapes and the moves that a drawing needs, on plain points and segments.

Lengths are in whatever unit the caller uses; nothing here knows the body or a page.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import pairwise
from math import ceil, cos, hypot, isfinite, radians, sin, tan

from docbuilder.document.scene import Point, Segment

__all__ = [
    "Segments", "along", "arc", "area", "distance", "ellipse", "flatten", "inside", "length",
    "line", "mirrored", "moved", "nearest", "polygon", "reverse", "rounded_rectangle", "scaled",
    "sheared", "smooth", "turned",
]  # fmt: skip

Segments = tuple[Segment, ...]

_KAPPA = 0.5522847498307936
"""Control length of a quarter circle as a cubic Bezier (definition)."""


def distance(first: Point, second: Point) -> float:
    """Return the distance between two points."""
    return hypot(second[0] - first[0], second[1] - first[1])


def line(*points: Point) -> Segments:
    """Return an open path of straight lines."""
    return (("M", *points[0]), *(("L", *point) for point in points[1:]))


def polygon(*points: Point) -> Segments:
    """Return a closed path of straight lines."""
    return (*line(*points), ("Z",))


def smooth(points: Sequence[Point], closed: bool = False) -> Segments:
    """Return a smooth curve through *points*.

    A centripetal Catmull-Rom spline (Yuksel, Schaefer and Keyser 2011), as Bezier
    segments: no loops or overshoot where points are spaced unevenly.
    """
    if len(points) < 2:
        raise ValueError("a curve needs two points")
    last = len(points) - 1
    if closed:
        ring = [points[-1], *points, points[0], points[1]]
    else:
        first, end = points[0], points[last]
        before = (2 * first[0] - points[1][0], 2 * first[1] - points[1][1])
        after = (2 * end[0] - points[last - 1][0], 2 * end[1] - points[last - 1][1])
        ring = [before, *points, after]
    out: list[Segment] = [("M", *points[0])]
    for index in range(len(ring) - 3):
        out.append(_catmull_rom(*ring[index : index + 4]))
    if closed:
        out.append(("Z",))
    return tuple(out)


def _catmull_rom(p0: Point, p1: Point, p2: Point, p3: Point) -> Segment:
    d1, d2, d3 = (max(distance(a, b), 1e-9) ** 0.5 for a, b in ((p0, p1), (p1, p2), (p2, p3)))
    out, back = 3 * d1 * (d1 + d2), 3 * d3 * (d3 + d2)
    c1 = tuple(
        (d1 * d1 * p2[i] - d2 * d2 * p0[i] + (2 * d1 * d1 + 3 * d1 * d2 + d2 * d2) * p1[i]) / out
        for i in (0, 1)
    )
    c2 = tuple(
        (d3 * d3 * p1[i] - d2 * d2 * p3[i] + (2 * d3 * d3 + 3 * d3 * d2 + d2 * d2) * p2[i]) / back
        for i in (0, 1)
    )
    return ("C", c1[0], c1[1], c2[0], c2[1], p2[0], p2[1])


def ellipse(centre: Point, rx: float, ry: float) -> Segments:
    """Return a closed ellipse of four Bezier quarters (radial error below 0.03 %)."""
    x, y = centre
    kx, ky = _KAPPA * rx, _KAPPA * ry
    return (
        ("M", x + rx, y),
        ("C", x + rx, y + ky, x + kx, y + ry, x, y + ry),
        ("C", x - kx, y + ry, x - rx, y + ky, x - rx, y),
        ("C", x - rx, y - ky, x - kx, y - ry, x, y - ry),
        ("C", x + kx, y - ry, x + rx, y - ky, x + rx, y),
        ("Z",),
    )


def arc(centre: Point, rx: float, ry: float, start: float, end: float) -> Segments:
    """Return an open part of an ellipse from *start* to *end* degrees, anticlockwise positive."""
    pieces = max(1, ceil(abs(end - start) / 90 - 1e-9))
    step = radians(end - start) / pieces
    reach = 4 / 3 * tan(step / 4)
    x, y = centre
    angle = radians(start)
    out: list[Segment] = [("M", x + rx * cos(angle), y + ry * sin(angle))]
    for _ in range(pieces):
        after = angle + step
        out.append((
            "C",
            x + rx * (cos(angle) - reach * sin(angle)),
            y + ry * (sin(angle) + reach * cos(angle)),
            x + rx * (cos(after) + reach * sin(after)),
            y + ry * (sin(after) - reach * cos(after)),
            x + rx * cos(after),
            y + ry * sin(after),
        ))  # fmt: skip
        angle = after
    return tuple(out)


def rounded_rectangle(centre: Point, width: float, height: float, radius: float) -> Segments:
    """Return a closed rectangle whose corners are quarter circles of *radius*."""
    r = min(radius, width / 2, height / 2)
    x0, x1 = centre[0] - width / 2, centre[0] + width / 2
    y0, y1 = centre[1] - height / 2, centre[1] + height / 2
    k = r * (1 - _KAPPA)
    return (
        ("M", x0 + r, y0),
        ("L", x1 - r, y0),
        ("C", x1 - k, y0, x1, y0 + k, x1, y0 + r),
        ("L", x1, y1 - r),
        ("C", x1, y1 - k, x1 - k, y1, x1 - r, y1),
        ("L", x0 + r, y1),
        ("C", x0 + k, y1, x0, y1 - k, x0, y1 - r),
        ("L", x0, y0 + r),
        ("C", x0, y0 + k, x0 + k, y0, x0 + r, y0),
        ("Z",),
    )


def _mapped(
    segments: Iterable[Segment], xx: float, xy: float, yx: float, yy: float, dx: float, dy: float
) -> Segments:
    """Return the segments under x' = xx x + xy y + dx, y' = yx x + yy y + dy."""

    def point(x: float, y: float) -> Point:
        return (xx * x + xy * y + dx, yx * x + yy * y + dy)

    out: list[Segment] = []
    for segment in segments:
        if segment[0] == "C":
            _, ax, ay, bx, by, cx, cy = segment
            out.append(("C", *point(ax, ay), *point(bx, by), *point(cx, cy)))
        elif segment[0] == "M":
            out.append(("M", *point(segment[1], segment[2])))
        elif segment[0] == "L":
            out.append(("L", *point(segment[1], segment[2])))
        else:
            out.append(segment)
    return tuple(out)


def moved(segments: Iterable[Segment], dx: float, dy: float) -> Segments:
    """Return the segments shifted."""
    return _mapped(segments, 1, 0, 0, 1, dx, dy)


def scaled(segments: Iterable[Segment], factor: float) -> Segments:
    """Return the segments scaled about the origin."""
    return _mapped(segments, factor, 0, 0, factor, 0, 0)


def mirrored(segments: Iterable[Segment], axis_x: float = 0.0) -> Segments:
    """Return the segments mirrored left to right about x = *axis_x*."""
    return _mapped(segments, -1, 0, 0, 1, 2 * axis_x, 0)


def sheared(segments: Iterable[Segment], slope: float) -> Segments:
    """Return the segments slanted: x grows by *slope* times y."""
    return _mapped(segments, 1, slope, 0, 1, 0, 0)


def turned(segments: Iterable[Segment], centre: Point, degrees: float) -> Segments:
    """Return the segments turned anticlockwise about *centre*."""
    c, s = cos(radians(degrees)), sin(radians(degrees))
    x, y = centre
    return _mapped(segments, c, -s, s, c, x - c * x + s * y, y - s * x - c * y)


def reverse(segments: Sequence[Segment]) -> Segments:
    """Return an open path drawn from its other end."""
    ends: list[Point] = []
    for segment in segments:
        if segment[0] == "C":
            ends.append((segment[5], segment[6]))
        elif segment[0] != "Z":
            ends.append((segment[1], segment[2]))
    out: list[Segment] = [("M", *ends[-1])]
    for index in range(len(segments) - 1, 0, -1):
        segment = segments[index]
        if segment[0] == "C":
            _, ax, ay, bx, by, _, _ = segment
            out.append(("C", bx, by, ax, ay, *ends[index - 1]))
        else:
            out.append(("L", *ends[index - 1]))
    return tuple(out)


def flatten(segments: Iterable[Segment], steps: int = 24) -> tuple[Point, ...]:
    """Return points along a path, *steps* to each curve."""
    out: list[Point] = []
    for segment in segments:
        if segment[0] == "C":
            _, ax, ay, bx, by, cx, cy = segment
            x0, y0 = out[-1]
            for step in range(1, steps + 1):
                t = step / steps
                a, b, c, d = (1 - t) ** 3, 3 * t * (1 - t) ** 2, 3 * t * t * (1 - t), t**3
                out.append((a * x0 + b * ax + c * bx + d * cx, a * y0 + b * ay + c * by + d * cy))
        elif segment[0] != "Z":
            out.append((segment[1], segment[2]))
    if not all(isfinite(value) for point in out for value in point):
        raise ValueError("a path holds a number that is not finite")
    return tuple(out)


def inside(point: Point, ring: Sequence[Point]) -> bool:
    """Return whether *point* lies in the closed polygon *ring* (even-odd rule)."""
    x, y = point
    odd = False
    for (x0, y0), (x1, y1) in zip(ring, (*ring[1:], ring[0]), strict=True):
        if (y0 > y) != (y1 > y) and x < x0 + (y - y0) * (x1 - x0) / (y1 - y0):
            odd = not odd
    return odd


def area(ring: Sequence[Point]) -> float:
    """Return the area of the closed polygon *ring* (shoelace formula)."""
    pairs = zip(ring, (*ring[1:], ring[0]), strict=True)
    return abs(sum(x0 * y1 - x1 * y0 for (x0, y0), (x1, y1) in pairs)) / 2


def length(points: Sequence[Point]) -> float:
    """Return the length of a chain of points."""
    return sum(distance(a, b) for a, b in pairwise(points))


def along(points: Sequence[Point], height: float) -> float:
    """Return x where a chain that rises steadily reaches y = *height*.

    Raises:
        ValueError: The chain does not reach that height.
    """
    for (x0, y0), (x1, y1) in pairwise(points):
        if min(y0, y1) <= height <= max(y0, y1) and y0 != y1:
            return x0 + (x1 - x0) * (height - y0) / (y1 - y0)
    raise ValueError(f"the curve does not reach {height:g}")


def nearest(point: Point, points: Sequence[Point]) -> float:
    """Return the distance from *point* to the closest of *points*."""
    return min(distance(point, other) for other in points)
