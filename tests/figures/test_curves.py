"""Curves and shapes against numpy and against definitions."""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from docbuilder.figures import geometry

COORDINATE = st.floats(-500, 500).map(lambda value: round(value, 3))
POINT = st.tuples(COORDINATE, COORDINATE)


def bernstein(p0, p1, p2, p3, steps):
    """A cubic Bezier by its matrix form, independent of the code under test."""
    matrix = np.array([[1, 0, 0, 0], [-3, 3, 0, 0], [3, -6, 3, 0], [-1, 3, -3, 1]], float)
    t = np.linspace(0, 1, steps + 1)[:, None] ** np.arange(4)
    return t @ matrix @ np.array([p0, p1, p2, p3], float)


@settings(deadline=None)
@given(st.lists(POINT, min_size=2, max_size=8, unique=True))
def test_a_smooth_curve_passes_through_its_points(points):
    ends = [segment[-2:] for segment in geometry.smooth(points)]
    assert ends == [tuple(point) for point in points]


@settings(deadline=None)
@given(st.lists(POINT, min_size=3, max_size=8, unique=True))
def test_a_smooth_curve_has_no_kink(points):
    segments = geometry.smooth(points)
    for (x, y), before, after in zip(points[1:-1], segments[1:], segments[2:], strict=False):
        arriving = np.array([x - before[3], y - before[4]])
        leaving = np.array([after[1] - x, after[2] - y])
        size = np.linalg.norm(arriving) * np.linalg.norm(leaving)
        if size > 1e-6:
            assert arriving @ leaving / size > 1 - 1e-6


def test_flatten_agrees_with_the_matrix_form():
    segments = (("M", 1.0, 2.0), ("C", 3.0, 9.0, -4.0, 5.0, 7.0, -1.0))
    ours = np.array(geometry.flatten(segments, 24))
    assert np.allclose(ours, bernstein((1, 2), (3, 9), (-4, 5), (7, -1), 24))


@pytest.mark.parametrize(("rx", "ry"), [(1, 1), (16, 16), (25, 45), (5.5, 0.5)])
def test_an_ellipse_stays_within_its_stated_error(rx, ry):
    ring = np.array(geometry.flatten(geometry.ellipse((3, -4), rx, ry), 50))
    radius = np.hypot((ring[:, 0] - 3) / rx, (ring[:, 1] + 4) / ry)
    assert np.abs(radius - 1).max() < 3e-4


@pytest.mark.parametrize(("start", "end"), [(0, 90), (140, 385), (-28, 28), (200, 20), (10, 11)])
def test_an_arc_lies_on_its_ellipse_and_ends_where_it_should(start, end):
    points = np.array(geometry.flatten(geometry.arc((2, 1), 8, 5, start, end), 40))
    radius = np.hypot((points[:, 0] - 2) / 8, (points[:, 1] - 1) / 5)
    assert np.abs(radius - 1).max() < 3e-4
    for point, angle in ((points[0], start), (points[-1], end)):
        wanted = (2 + 8 * math.cos(math.radians(angle)), 1 + 5 * math.sin(math.radians(angle)))
        assert np.allclose(point, wanted)


def test_rounded_corners_take_the_area_that_the_formula_says():
    # (4 - pi) r^2 goes off: 50 x 50 mm with 5 mm corners is 24.79 cm2.
    ring = geometry.flatten(geometry.rounded_rectangle((0, 0), 50, 50, 5), 60)
    assert geometry.area(ring) == pytest.approx(2500 - (4 - math.pi) * 25, rel=2e-5)
    assert round(geometry.area(ring) / 100, 2) == 24.79


@settings(deadline=None)
@given(st.lists(POINT, min_size=2, max_size=6, unique=True), COORDINATE)
def test_mirroring_twice_is_nothing(points, axis):
    segments = geometry.smooth(points)
    twice = geometry.mirrored(geometry.mirrored(segments, axis), axis)
    assert np.allclose(geometry.flatten(twice), geometry.flatten(segments))


@settings(deadline=None)
@given(st.lists(POINT, min_size=2, max_size=6, unique=True))
def test_a_reversed_path_is_the_same_line(points):
    segments = geometry.smooth(points)
    back = geometry.flatten(geometry.reverse(segments))
    assert np.allclose(back[::-1], geometry.flatten(segments))


@settings(deadline=None)
@given(st.lists(POINT, min_size=2, max_size=6, unique=True), POINT, st.floats(-360, 360))
def test_turning_keeps_distances(points, centre, angle):
    before = geometry.flatten(geometry.smooth(points), 4)
    after = geometry.flatten(geometry.turned(geometry.smooth(points), centre, angle), 4)
    for (a, b), (c, d) in zip(itertools.pairwise(before), itertools.pairwise(after), strict=True):
        assert math.dist(a, b) == pytest.approx(math.dist(c, d), abs=1e-6)


def test_turning_by_ninety_degrees_goes_anticlockwise():
    assert np.allclose(geometry.turned((("M", 3.0, 1.0),), (1, 1), 90)[0][1:], (1, 3))


@settings(deadline=None)
@given(st.floats(0, 2 * math.pi), st.floats(0.05, 2.0))
def test_inside_tells_in_from_out_of_a_circle(angle, reach):
    if 0.98 < reach < 1.02:
        return
    ring = geometry.flatten(geometry.ellipse((0, 0), 10, 10))
    point = (10 * reach * math.cos(angle), 10 * reach * math.sin(angle))
    assert geometry.inside(point, ring) == (reach < 1)


def test_a_number_that_is_not_finite_is_told():
    with pytest.raises(ValueError, match="not finite"):
        geometry.flatten((("M", math.nan, 0.0),))
