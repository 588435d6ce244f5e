"""Names beside drawings: in order, apart, near, and their leaders do not cross."""

from __future__ import annotations

from itertools import combinations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from docbuilder.layout.labels import crossing, place_labels, spread

points = st.tuples(st.floats(0, 200), st.floats(0, 300))


@given(st.lists(st.tuples(st.floats(0, 300), st.floats(8, 50)), min_size=1, max_size=8))
def test_spread_keeps_order_and_gaps_and_is_the_least_squares(labels):
    wanted, heights = zip(*labels, strict=True)
    middles = spread(wanted, heights, 4)
    for (one, h1), (two, h2) in zip(
        zip(middles, heights, strict=True),
        list(zip(middles, heights, strict=True))[1:],
        strict=False,
    ):
        assert one - two >= (h1 + h2) / 2 + 4 - 1e-6
    # No feasible neighbour is nearer to what was wanted.
    cost = np.sum((np.array(middles) - wanted) ** 2)
    rng = np.random.default_rng(1)
    for _ in range(200):
        tried = np.array(middles) + rng.normal(0, 3, len(middles))
        feasible = all(
            tried[i] - tried[i + 1] >= (heights[i] + heights[i + 1]) / 2 + 4
            for i in range(len(tried) - 1)
        )
        if feasible:
            assert np.sum((tried - wanted) ** 2) >= cost - 1e-6


@settings(max_examples=300)
@given(st.lists(points, min_size=1, max_size=9, unique=True), st.data())
def test_leaders_do_not_cross_and_names_do_not_overlap(anchors, data):
    heights = [data.draw(st.sampled_from([12.0, 24.0, 36.0])) for _ in anchors]
    leaders = place_labels(anchors, heights, (-12, 212), 4)
    assert [leader.index for leader in leaders] == list(range(len(anchors)))
    assert [leader.anchor for leader in leaders] == anchors
    for one, other in combinations(leaders, 2):
        assert not crossing(one, other)
        if one.side == other.side:
            apart = (heights[one.index] + heights[other.index]) / 2
            assert abs(one.middle - other.middle) >= apart - 1e-6


@pytest.mark.parametrize("x", [10, 190])
def test_a_name_stands_on_its_anchor_s_side(x):
    (leader,) = place_labels([(x, 50)], [12], (0, 200), 4)
    assert leader.side == ("left" if x < 100 else "right")
    assert leader.middle == pytest.approx(50)
