"""Step pictures: inside their frame, in two weights, wordless."""

from __future__ import annotations

import pytest

from docbuilder.figures import geometry
from docbuilder.figures.steps import STEP_NAMES, step_scene

WANTED = {
    "skin_clean_dry", "skin_look", "pad_on", "lead_in", "strength_up_slowly", "how_it_should_feel",
    "stop_peel_off", "kit", "switch_off", "pads_away", "sitting_position", "lying_position",
}  # fmt: skip


def test_there_is_a_picture_for_each_step():
    assert set(STEP_NAMES) == WANTED
    with pytest.raises(ValueError, match="pad_on"):
        step_scene("pads_on")


@pytest.mark.parametrize("name", sorted(WANTED))
def test_a_picture_stays_in_its_frame_and_in_the_house_hand(name):
    scene = step_scene(name)
    assert (scene.width_mm, scene.height_mm) == (30, 24)
    assert scene.labels == ()
    for path in scene.paths:
        for x, y in geometry.flatten(path.segments, 12):
            assert 0.3 <= x <= 29.7
            assert 0.3 <= y <= 23.7
        if path.ink.stroke:
            assert path.ink.width_pt in (0.6, 1.2)


def test_every_picture_is_its_own():
    assert len({step_scene(name).paths for name in STEP_NAMES}) == len(STEP_NAMES)


@pytest.mark.parametrize(
    "name", ["kit", "pad_on", "lead_in", "how_it_should_feel", "stop_peel_off", "pads_away"]
)
def test_pads_have_the_pads_colour(name):
    assert any(path.ink.fill == "accent_tint" for path in step_scene(name).paths)
