"""The unit's face: every key in place, no key over another."""

from __future__ import annotations

import itertools

import pytest

from docbuilder.figures import geometry
from docbuilder.figures.unit_face import unit_face_scene
from docbuilder.text.bidi import resolve, visual_order

DUO = ("POWER", "SET", "UP", "DOWN", "A+", "A-", "B+", "B-")
SOLO = ("I/O", "MENU", "STEP", "MORE", "LESS")


def shown(item):
    """A label's text as it is seen: isolates are never drawn."""
    assert item.text[0] == "\u2066"
    assert item.text[-1] == "\u2069"
    return item.text[1:-1]


def key_boxes(scene, keys):
    """The smallest closed path round each key's name."""
    boxes = {}
    for item in scene.labels:
        if not item.key.startswith("key_"):
            continue
        rings = [
            geometry.flatten(path.segments, 4)
            for path in scene.paths
            if path.segments[-1][0] == "Z"
        ]
        around = [ring for ring in rings if geometry.inside(item.at, ring)]
        boxes[shown(item)] = min(around, key=geometry.area)
    assert set(boxes) == set(keys)
    return boxes


@pytest.mark.parametrize(
    ("keys", "strength", "channels"),
    [
        (DUO, ("A+", "A-", "B+", "B-"), 2),
        (SOLO, ("MORE", "LESS"), 1),
        (("ON",), (), 1),
        (tuple(f"KEY {n}" for n in range(16)), (), 4),
    ],
    ids=["duo", "solo", "one", "sixteen"],
)
def test_keys_are_named_inside_and_do_not_overlap(keys, strength, channels):
    scene = unit_face_scene(keys, "150 us", channels, strength)
    boxes = key_boxes(scene, keys)
    for one, other in itertools.combinations(boxes.values(), 2):
        assert not any(geometry.inside(point, other) for point in one)
    assert sum(item.key.startswith("socket_") for item in scene.labels) == channels
    assert [shown(item) for item in scene.labels if item.key == "display"] == ["150 us"]
    assert all(item.text and item.inline for item in scene.labels)
    assert scene.true_size


def test_names_fit_their_keys_by_a_wide_measure():
    # 0.68 em is wider than the mean capital of common sans-serif faces.
    keys = ("POWER ON/OFF", "MODE", "A+")
    scene = unit_face_scene(keys, "CONT 200 us 150 Hz", 1)
    boxes = key_boxes(scene, keys)
    for item in scene.labels:
        if item.key.startswith("key_"):
            xs = [x for x, _ in boxes[shown(item)]]
            assert len(shown(item)) * 0.68 * item.size_pt * 25.4 / 72 <= max(xs) - min(xs)


def test_keys_read_in_the_order_given():
    scene = unit_face_scene(DUO, "", 2)
    at = {shown(item): item.at for item in scene.labels if item.key.startswith("key_")}
    reading = sorted(DUO, key=lambda key: (-round(at[key][1]), at[key][0]))
    assert tuple(reading) == DUO


@pytest.mark.parametrize("base", [0, 1], ids=["left to right", "right to left"])
def test_a_key_reads_the_same_on_every_page(base):
    # By our bidi rules, which Unicode's own file checks in tests/text.
    scene = unit_face_scene(("A+", "A-", "+"), "ON/OFF 5/10", 1)
    for item in scene.labels:
        if item.key == "display" or item.key.startswith("key_"):
            order = visual_order(resolve(item.text, base).levels)
            seen = "".join(item.text[index] for index in order)
            assert seen.strip("\u2066\u2069") == shown(item)


def test_the_pressed_key_alone_is_marked():
    plain, marked = unit_face_scene(DUO, "", 2), unit_face_scene(DUO, "", 2, pressed="SET")
    changed = [new for old, new in zip(plain.paths, marked.paths, strict=True) if old != new]
    assert len(changed) == 1
    spot = next(item.at for item in marked.labels if "SET" in item.text)
    assert geometry.inside(spot, geometry.flatten(changed[0].segments))


@pytest.mark.parametrize(
    ("keys", "channels", "pressed", "word"),
    [
        ((), 1, None, "keys"),
        (DUO, 0, None, "channels"),
        (DUO, 2, "OK", "OK"),
        (DUO * 3, 1, None, "24"),
    ],
)
def test_what_cannot_be_drawn_is_told(keys, channels, pressed, word):
    with pytest.raises(ValueError, match=word):
        unit_face_scene(keys, "", channels, pressed=pressed)
