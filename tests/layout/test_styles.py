"""Colours and the colour profile against published numbers and an independent library."""

from __future__ import annotations

from io import BytesIO

import numpy as np
import pytest
from every_block import document
from PIL import Image, ImageCms

from docbuilder.layout.colour_profile import srgb_profile
from docbuilder.layout.compose import compose
from docbuilder.layout.styles import Look, contrast, hex_rgb


@pytest.mark.parametrize(
    ("one", "other", "ratio"),
    [
        # W3C, Understanding SC 1.4.3 and its techniques: #767676 passes 4.5:1, #777777 fails.
        ("#767676", "#FFFFFF", 4.54),
        ("#777777", "#FFFFFF", 4.48),
        ("#595959", "#FFFFFF", 7.0),
        ("#000000", "#FFFFFF", 21.0),
        ("#FF0000", "#FFFFFF", 4.0),
    ],
)
def test_contrast_is_the_published_ratio(one, other, ratio):
    assert contrast(hex_rgb(one), hex_rgb(other)) == pytest.approx(ratio, abs=0.006)
    assert contrast(hex_rgb(other), hex_rgb(one)) == contrast(hex_rgb(one), hex_rgb(other))


@pytest.mark.parametrize("accent", ["#777777", "#FF0000", "005A70", "#12345"])
def test_a_pale_or_malformed_accent_is_refused(accent):
    with pytest.raises(ValueError, match=r"7:1|form"):
        compose(document("en", (), accent=accent))


@pytest.mark.parametrize("accent", ["#005A70", "#5B2A86", "#7A1F1F", "#1F4E1F", "#000000"])
@pytest.mark.parametrize("text_pt", [12.0, 14.0, 18.0])
def test_all_lettering_colours_reach_7_to_1_on_their_grounds(accent, text_pt):
    look = Look.of(text_pt, accent)
    grounds = [(1, 1, 1), look.tint, look.neutral, look.stop_ground, look.caution_ground]
    for ground in grounds:
        assert contrast(look.accent_ink, ground) >= 7
        assert contrast(look.colour("black"), ground) >= 7
        assert contrast(look.colour("grey"), ground) >= 7
    assert contrast(look.colour("stop"), look.stop_ground) >= 7
    assert contrast(look.colour("white"), look.colour("stop")) >= 7
    assert contrast(look.colour("white"), look.accent) >= 7


def test_the_profile_is_srgb_to_a_colour_engine():
    ours = ImageCms.ImageCmsProfile(BytesIO(srgb_profile()))
    theirs = ImageCms.createProfile("sRGB")
    ramp = np.random.default_rng(2).integers(0, 256, (64, 64, 3), dtype=np.uint8)
    moved = ImageCms.profileToProfile(Image.fromarray(ramp), ours, theirs)
    assert np.abs(np.asarray(moved, dtype=int) - ramp).max() <= 2
    assert ImageCms.getProfileDescription(ours).strip() == "sRGB"
