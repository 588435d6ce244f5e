"""Placement drawings: to scale, on the body, the right way round, nameable."""

from __future__ import annotations

import itertools
import math
import re
from decimal import Decimal

import numpy as np
import pytest

from docbuilder.figures import abdomen, ankle, back, body, geometry, lower_leg, pads, torso
from docbuilder.figures.drawing import mirror
from docbuilder.figures.placement import inset_scene, label_keys, placement_scene
from docbuilder.model.prescription import Pads

STATURES = [1000, 1340, 1650, 2100]
VIEWS = [
    ("tibial", "left", "above_first"),
    ("tibial", "right", "foot_arch"),
    ("tibial", "both", "above_first"),
    ("tibial", "both", "foot_arch"),
    ("lower_abdomen", "midline", "above_first"),
    ("sacral", "midline", "above_first"),
]
SIZES = [
    ("rectangle", 25, 25), ("round", 32, 32), ("rectangle", 40, 40), ("oval", 30, 40),
    ("rectangle", 50, 50), ("round", 50, 50), ("round", 70, 70), ("oval", 50, 90),
    ("rectangle", 50, 100), ("rectangle", 90, 50), ("rectangle", 100, 100),
]  # fmt: skip


def pad(shape, width, height):
    return Pads(shape, Decimal(width), Decimal(height))


def pad_rings(scene):
    return [
        geometry.flatten(path.segments, 16)
        for path in scene.paths
        if path.ink.fill == "accent_tint"
    ]


def centre(ring):
    xs, ys = zip(*ring, strict=True)
    return (min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2


def label(scene, key):
    (found,) = [item for item in scene.labels if item.key == key]
    return found


def drawn(view, size, stature):
    """The scene, or None when it is refused; a refusal must say what does not fit."""
    fault = ""
    try:
        return placement_scene(*view, pad(*size), stature)
    except ValueError as found:
        fault = str(found)
    assert re.search(r"\d+ (x \d+ )?mm", fault), fault
    return None


@pytest.mark.parametrize("view", VIEWS, ids=str)
@pytest.mark.parametrize("size", SIZES, ids=str)
def test_every_stature_gives_a_sound_scene_or_a_clear_refusal(view, size):
    for stature in STATURES:
        scene = drawn(view, size, stature)
        if scene is None:
            continue
        assert {item.key for item in scene.labels} == label_keys(*view)
        for path in scene.paths:
            for x, y in geometry.flatten(path.segments, 3):
                assert math.isfinite(x)
                assert math.isfinite(y)
                assert -0.01 <= x <= scene.width_mm + 0.01
                assert -0.01 <= y <= scene.height_mm + 0.01
        for item in scene.labels:
            assert 0 <= item.at[0] <= scene.width_mm
            assert 0 <= item.at[1] <= scene.height_mm
            assert item.text == ""


@pytest.mark.parametrize(
    ("view", "size", "stature"),
    [
        (("tibial", "left", "above_first"), ("round", 32, 32), 1000),
        (("tibial", "left", "above_first"), ("rectangle", 40, 40), 1340),
        (("tibial", "left", "above_first"), ("rectangle", 50, 50), 1650),
        (("tibial", "left", "foot_arch"), ("round", 32, 32), 1200),
        (("tibial", "left", "foot_arch"), ("rectangle", 40, 40), 1500),
        (("tibial", "left", "foot_arch"), ("oval", 30, 40), 1620),
        (("tibial", "left", "foot_arch"), ("rectangle", 50, 50), 1750),
        (("lower_abdomen", "midline", "above_first"), ("rectangle", 50, 50), 1000),
        (("lower_abdomen", "midline", "above_first"), ("oval", 50, 90), 1650),
        (("sacral", "midline", "above_first"), ("round", 32, 32), 1000),
        (("sacral", "midline", "above_first"), ("rectangle", 50, 100), 1650),
        (("sacral", "midline", "above_first"), ("rectangle", 70, 70), 1650),
    ],
    ids=str,
)
def test_common_pads_are_drawn(view, size, stature):
    assert drawn(view, size, stature) is not None


@pytest.mark.parametrize("view", VIEWS, ids=str)
@pytest.mark.parametrize("size", SIZES[:6], ids=str)
def test_pads_are_true_to_the_scale_of_the_body(view, size):
    for stature in (1200, 1650, 2100):
        scene = drawn(view, size, stature)
        if scene is None:
            continue
        shape, width, height = size
        wanted = {
            "rectangle": width * height - (4 - math.pi) * pads.CORNER_MM**2,
            "round": math.pi * width * height / 4,
            "oval": math.pi * width * height / 4,
        }[shape]
        rings = pad_rings(scene)
        assert len(rings) == (4 if view[1] == "both" else 2)
        for ring in rings:
            assert geometry.area(ring) == pytest.approx(wanted, rel=0.005)


@pytest.mark.parametrize("side", ["left", "right"])
@pytest.mark.parametrize("stature", STATURES)
def test_the_tibial_pads_are_ten_centimetres_apart(side, stature):
    scene = placement_scene("tibial", side, "above_first", pad("round", 25, 25), stature)
    one, other = map(centre, pad_rings(scene))
    assert math.dist(one, other) == pytest.approx(100, abs=0.01)
    ticks = [
        path.segments
        for path in scene.paths
        if path.ink.stroke == "accent" and len(path.segments) == 2
    ]
    # The figure stands at the middle of a line as long as what it measures.
    figure = label(scene, "distance_10_cm")
    assert figure.inline
    ends = sorted(
        (point[1:] for segments in ticks for point in segments),
        key=lambda point: abs(math.dist(point, figure.at) - 50),
    )[:2]
    assert math.dist(*ends) == pytest.approx(100, abs=0.01)


@pytest.mark.parametrize("variant", ["above_first", "foot_arch"])
@pytest.mark.parametrize("stature", [1100, 1650, 2000])
def test_left_is_right_mirrored_exactly(variant, stature):
    left, right = (
        placement_scene("tibial", side, variant, pad("round", 32, 32), stature)
        for side in ("left", "right")
    )
    turned = mirror(left)
    assert turned.paths == right.paths
    rename = {"your_left_leg": "your_right_leg"}
    assert [(rename.get(item.key, item.key), item.at) for item in turned.labels] == [
        (item.key, item.at) for item in right.labels
    ]


def test_the_inner_side_of_a_left_foot_points_right():
    # Seen from the inner side: big toe to the right on the left leg, to the left on the right.
    for side, sign in (("left", 1), ("right", -1)):
        scene = placement_scene("tibial", side, "foot_arch", pad("round", 25, 25), 1650)
        assert sign * (label(scene, "arch").at[0] - label(scene, "heel").at[0]) > 0


def test_left_and_right_of_the_trunk_are_the_patients():
    front = placement_scene("lower_abdomen", "midline", "above_first", pad("round", 50, 50))
    behind = placement_scene("sacral", "midline", "above_first", pad("round", 50, 50))
    for left, right in (
        ("hip_bone_left", "hip_bone_right"),
        ("your_left", "your_right"),
        ("pad_1", "pad_2"),
    ):
        assert label(front, left).at[0] > label(front, right).at[0]
    for left, right in (
        ("dimple_left", "dimple_right"),
        ("your_left", "your_right"),
        ("pad_1", "pad_2"),
    ):
        assert label(behind, left).at[0] < label(behind, right).at[0]


@pytest.mark.parametrize("stature", STATURES)
@pytest.mark.parametrize("size", SIZES, ids=str)
def test_pads_lie_on_the_body(size, stature):
    factor = body.checked_factor(stature)
    trunk, leg = torso.skin_ring(factor), lower_leg.skin_ring(factor)
    places = [
        (lambda p: abdomen.pad_centres(p, factor), trunk, (0, 0)),
        (lambda p: back.pad_centres(p, factor), trunk, (0, 0)),
        (lambda p: ankle.pad_centres(p, "above_first", factor), leg, ankle.TILTS["above_first"]),
        (lambda p: ankle.pad_centres(p, "foot_arch", factor), leg, ankle.TILTS["foot_arch"]),
    ]
    for centres, skin, tilts in places:
        try:
            found = centres(pad(*size))
        except ValueError:
            continue
        rings = [
            geometry.flatten(pads.pad_shape(pad(*size), at, tilt), 16)
            for at, tilt in zip(found, tilts, strict=True)
        ]
        for ring in rings:
            assert all(geometry.inside(point, skin) for point in ring)
        one, other = rings
        assert min(math.dist(a, b) for a, b in itertools.product(one[::3], other[::3])) >= 9.5


@pytest.mark.parametrize("size", SIZES[:8], ids=str)
@pytest.mark.parametrize("stature", [1300, 1650, 1900])
def test_trunk_pads_keep_the_written_distances(size, stature):
    factor = body.checked_factor(stature)
    _, width, height = size
    try:
        left, right = abdomen.pad_centres(pad(*size), factor)
    except ValueError:
        assert width > 80 or height > 80
    else:
        assert 60 <= left[0] - right[0] <= 100
        lower = left[1] - height / 2 - abdomen.PUBIC_TOP_Y * factor
        assert 10 <= lower <= 20
    left, right = back.pad_centres(pad(*size), factor)
    assert right[0] - width / 2 == pytest.approx(10)
    assert left[0] + width / 2 == pytest.approx(-10)
    assert right[1] + height / 2 == pytest.approx(back.DIMPLE[1] * factor)


def test_fifty_millimetre_sacral_pads_cover_the_foramina():
    # S2 to S4 foramina lie 15 to 23 mm from the midline; centres 70 mm apart.
    left, right = back.pad_centres(pad("rectangle", 50, 50), 1.0)
    assert right[0] - left[0] == 70
    assert right[0] - 25 < 15 < 23 < right[0] + 25


def test_the_first_tibial_pad_is_behind_and_just_above_the_bone():
    for size, stature in itertools.product(SIZES[:6], STATURES):
        factor = body.checked_factor(stature)
        try:
            (x, y), _ = ankle.pad_centres(pad(*size), "above_first", factor)
        except ValueError:
            continue
        bone = (lower_leg.ANKLE_BONE[0] * factor, lower_leg.ANKLE_BONE[1] * factor)
        assert x < bone[0]
        assert y > bone[1]
        # "Just": the skin between pad and bone is less than half a pad.
        ring = geometry.flatten(pads.pad_shape(pad(*size), (x, y)), 16)
        assert geometry.nearest(bone, ring) - 17 * factor < max(size[1:]) / 2


@pytest.mark.parametrize("stature", [1200, 1650, 2000])
def test_anchors_are_on_what_they_name(stature):
    factor = body.checked_factor(stature)
    for view in VIEWS[:2] + VIEWS[4:]:
        scene = placement_scene(*view, pad("round", 32, 32), stature)
        rings = pad_rings(scene)
        for key in ("pad_1", "pad_2"):
            assert any(geometry.inside(label(scene, key).at, ring) for ring in rings)
    leg = lower_leg.skin_ring(factor)
    for key, (x, y) in lower_leg.LANDMARKS.items():
        if key != "arch":
            assert geometry.inside((x * factor, y * factor), leg), key
    shin = geometry.flatten(geometry.smooth(lower_leg.SHIN_EDGE))
    assert geometry.nearest(lower_leg.LANDMARKS["shin_edge"], shin) < 3
    assert math.dist(lower_leg.LANDMARKS["inner_ankle_bone"], lower_leg.ANKLE_BONE) < 15
    assert math.dist(back.LANDMARKS["dimple_right"], back.DIMPLE) < 10
    assert abs(abdomen.LANDMARKS["pubic_bone"][1] - abdomen.PUBIC_TOP_Y) < 5


@pytest.mark.parametrize("view", VIEWS, ids=str)
def test_drawing_twice_gives_the_same_bytes(view):
    args = (*view, pad("round", 32, 32), 1620)
    assert repr(placement_scene(*args)) == repr(placement_scene(*args))


def test_a_childs_body_is_smaller_and_its_pads_are_not():
    small, tall = (
        placement_scene("sacral", "midline", "above_first", pad("round", 32, 32), stature)
        for stature in (1100, 1900)
    )
    assert small.height_mm < 0.65 * tall.height_mm
    assert geometry.area(pad_rings(small)[0]) == pytest.approx(
        geometry.area(pad_rings(tall)[0]), rel=1e-4
    )


@pytest.mark.parametrize(
    ("site", "side"),
    [("tibial", "midline"), ("sacral", "left"), ("lower_abdomen", "right")],
)
def test_a_side_that_does_not_go_with_the_site_is_told(site, side):
    with pytest.raises(ValueError, match="side"):
        placement_scene(site, side, "above_first", pad("round", 32, 32), 1650)


def test_the_inset_frames_the_leg_that_is_meant():
    left, right = (inset_scene("tibial", side) for side in ("left", "right"))
    frames = [geometry.flatten(scene.paths[-1].segments) for scene in (left, right)]
    # From the front, the patient's left leg is on the right of the picture.
    assert min(x for x, _ in frames[0]) > left.width_mm / 2
    assert max(x for x, _ in frames[1]) < right.width_mm / 2


@pytest.mark.parametrize("draw", [abdomen.abdomen_board, back.back_board])
def test_the_trunk_and_its_pads_are_the_same_on_both_sides(draw):
    board = draw(pad("rectangle", 50, 50), 1.0)
    points = np.array(
        [point for path in board.paths for point in geometry.flatten(path.segments, 4)]
    )
    turned = points * (-1, 1)
    gaps = np.linalg.norm(points[:, None] - turned[None, :], axis=2).min(axis=1)
    # The cleft wavers by a millimetre, as in life.
    assert gaps.max() < 2


@pytest.mark.parametrize("size", [("round", 70, 70), ("rectangle", 50, 50)], ids=str)
def test_a_pad_never_touches_the_outline(size):
    # The largest pad that is drawn somewhere between the smallest and the tallest person.
    for stature in range(1000, 2101, 100):
        factor = body.checked_factor(stature)
        leg = lower_leg.skin_ring(factor)
        try:
            first, _ = ankle.pad_centres(pad(*size), "above_first", factor)
        except ValueError:
            continue
        ring = geometry.flatten(pads.pad_shape(pad(*size), first), 16)
        assert min(geometry.nearest(point, leg) for point in ring) > 1.5
