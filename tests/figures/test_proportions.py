"""The outlines against published body proportions, measured on the curves themselves.

Fractions of stature from Drillis and Contini (1966) as printed in Winter; written out
here a second time on purpose.
"""

from __future__ import annotations

import pytest

from docbuilder.figures import abdomen, back, body, geometry, lower_leg, torso, whole_body

STATURES = [1000, 1340, 1620, 1750, 2100]
FOOT_LENGTH, ANKLE_HEIGHT, KNEE_HEIGHT = 0.152, 0.039, 0.285
HIP_BREADTH, CROTCH_HEIGHT, HIP_HEIGHT = 0.191, 0.485, 0.530
SHOULDER_BREADTH, SHOULDER_HEIGHT, FOOT_BREADTH = 0.259, 0.818, 0.055


@pytest.mark.parametrize("stature", STATURES)
def test_foot_length(stature):
    ring = lower_leg.skin_ring(body.checked_factor(stature))
    foot = [x for x, y in ring if y < ANKLE_HEIGHT * stature]
    assert max(foot) - min(foot) == pytest.approx(FOOT_LENGTH * stature, rel=0.005)


@pytest.mark.parametrize("stature", STATURES)
def test_the_ankle_joint_is_behind_the_bone_that_is_drawn(stature):
    # The published height is the joint's; the bone's prominence is a little higher.
    factor = body.checked_factor(stature)
    prominence = lower_leg.ANKLE_BONE[1] * factor
    assert ANKLE_HEIGHT * stature < prominence < 1.25 * ANKLE_HEIGHT * stature


def test_the_leg_is_thin_above_the_ankle_and_thick_in_the_upper_calf():
    ring = lower_leg.skin_ring(1.0)
    half = max(range(len(ring)), key=lambda i: ring[i][0])  # the toe parts back from front
    back_edge, front = ring[:half], ring[half:]

    def depth(height):
        return geometry.along(front, height) - geometry.along(back_edge, height)

    heights = range(110, 436, 5)
    shank = (KNEE_HEIGHT - ANKLE_HEIGHT) * 1750
    thickest = (max(heights, key=depth) - ANKLE_HEIGHT * 1750) / shank
    thinnest = (min(heights, key=depth) - ANKLE_HEIGHT * 1750) / shank
    assert 0.55 < thickest < 0.85
    assert 0.10 < thinnest < 0.30
    # Girth of calf to girth of ankle is about 1.6 in adults (from memory); depth alike.
    assert 1.35 < max(map(depth, heights)) / min(map(depth, heights)) < 1.8


@pytest.mark.parametrize("stature", STATURES)
def test_hip_breadth_and_crotch(stature):
    ring = torso.skin_ring(body.checked_factor(stature))
    widest = max(ring)
    assert 2 * widest[0] == pytest.approx(HIP_BREADTH * stature, rel=0.005)
    assert 0.49 < widest[1] / stature < HIP_HEIGHT
    middle = max(y for x, y in ring if abs(x) < 1e-9)
    assert middle == pytest.approx(CROTCH_HEIGHT * stature, rel=0.005)


def test_landmarks_of_the_trunk_stand_in_anatomical_order():
    front = abdomen.LANDMARKS
    order = [
        torso.CROTCH_Y, abdomen.PUBIC_TOP_Y, front["hip_bone_left"][1], front["navel"][1],
        torso.FLANK[0][1],
    ]  # fmt: skip
    assert order == sorted(order)
    behind = back.LANDMARKS
    assert torso.CROTCH_Y < behind["cleft_top"][1] < behind["dimple_left"][1]
    # Dimples 8 to 10 cm apart in an adult.
    assert 80 <= behind["dimple_right"][0] - behind["dimple_left"][0] <= 100


def test_the_small_body_has_published_proportions():
    half = [
        *geometry.flatten(geometry.smooth(whole_body.ARM_SIDE)),
        *geometry.flatten(geometry.smooth(whole_body.TRUNK)),
    ]
    trunk = geometry.flatten(geometry.smooth(whole_body.TRUNK))
    head = geometry.flatten(geometry.smooth(whole_body.HEAD, closed=True))
    assert max(y for _, y in head) == pytest.approx(1000, abs=1)
    assert min(y for _, y in half) == pytest.approx(0, abs=1)
    hips = max(x for x, y in trunk if 480 < y < 560)
    assert 2 * hips == pytest.approx(1000 * HIP_BREADTH, rel=0.01)
    shoulder = geometry.along(half, 1000 * SHOULDER_HEIGHT - 30)
    assert 2 * shoulder == pytest.approx(1000 * SHOULDER_BREADTH, rel=0.02)
    assert max(y for x, y in half if x < 1) == pytest.approx(1000 * CROTCH_HEIGHT, abs=1)
    foot = [x for x, y in trunk if y < 20]
    assert max(foot) - min(foot) == pytest.approx(1000 * FOOT_BREADTH, rel=0.05)


@pytest.mark.parametrize("name", sorted(body.RATIOS))
def test_sizes_follow_the_published_table(name):
    # Evidence table for two statures, in mm to one decimal.
    table = {
        "ankle_height": (63.2, 68.3), "knee_height": (461.7, 498.8), "hip_height": (858.6, 927.5),
        "crotch_height": (785.7, 848.8), "foot_length": (246.2, 266.0),
        "foot_breadth": (89.1, 96.3), "hip_breadth": (309.4, 334.3),
        "shoulder_breadth": (419.6, 453.3), "shoulder_height": (1325.2, 1431.5),
    }  # fmt: skip
    for stature, wanted in zip((1620, 1750), table[name], strict=True):
        assert body.size_mm(name, stature) == pytest.approx(wanted, abs=0.051)


@pytest.mark.parametrize("stature", [0, -5, 175, 899, 2301, float("inf"), float("nan")])
def test_a_stature_that_cannot_be_is_told(stature):
    with pytest.raises(ValueError, match="stature"):
        body.checked_factor(stature)
