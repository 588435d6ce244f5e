"""The figure of places where no pad may go; and keys on the side that the unit has."""

from __future__ import annotations

from docbuilder.figures import geometry
from docbuilder.figures.never_place import FORBIDDEN, never_scene
from docbuilder.figures.steps import step_scene


def test_every_forbidden_pad_is_crossed_twice():
    paths = never_scene().paths
    pads = [path for path in paths if path.ink.fill == "accent_tint"]
    crosses = [path for path in paths if path.ink.stroke == "stop"]
    assert len(pads) == len(FORBIDDEN)
    assert len(crosses) == 2 * len(pads)
    for pad, pair in zip(pads, zip(crosses[::2], crosses[1::2], strict=True), strict=True):
        ring = geometry.flatten(pad.segments, 8)
        xs, ys = [x for x, _ in ring], [y for _, y in ring]
        for stroke in pair:
            (x0, y0), (x1, y1) = geometry.flatten(stroke.segments, 1)[0::1][:2]
            assert min(x0, x1) < min(xs)
            assert max(x0, x1) > max(xs)
            assert min(y0, y1) < min(ys)
            assert max(y0, y1) > max(ys)


def test_the_figure_is_even_on_both_sides_and_has_no_words():
    scene = never_scene()
    assert scene.labels == ()
    assert 20 < scene.width_mm < 35
    places = {(round(x), y) for x, y in FORBIDDEN}
    assert {(-x, y) for x, y in places} == places


def test_the_keys_for_more_and_less_change_sides_with_the_unit_and_nowhere_else():
    for name in ("switch_off", "strength_up_slowly"):
        assert step_scene(name, True) != step_scene(name, False)
    assert step_scene("pad_on", True) == step_scene("pad_on", False)


def uprights(scene):
    """Return where the plus has its upright stroke."""
    found = []
    for path in scene.paths:
        ends = geometry.flatten(path.segments, 1)
        if len(ends) == 2 and ends[0][0] == ends[1][0] and abs(ends[0][1] - ends[1][1]) < 3:
            found.append(ends[0][0])
    return found


def test_plus_stands_on_one_side_in_both_pictures():
    for first in (True, False):
        off, up = (
            uprights(step_scene(name, first)) for name in ("switch_off", "strength_up_slowly")
        )
        assert off == up
        assert (off[0] < 7.6) == first
