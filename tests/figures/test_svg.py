"""SVG: read back with an XML parser and drawn by another library."""

from __future__ import annotations

import re
from decimal import Decimal
from itertools import pairwise
from xml.etree import ElementTree

import pymupdf
import pytest

from docbuilder.figures.placement import placement_scene
from docbuilder.figures.steps import STEP_NAMES, step_scene
from docbuilder.figures.svg import TONES, scene_to_svg
from docbuilder.model.prescription import Pads

SVG = "{http://www.w3.org/2000/svg}"
PADS = Pads("round", Decimal(32), Decimal(32))


def placed(text):
    scene = placement_scene("tibial", "left", "above_first", PADS, 1650)
    return scene.with_texts({item.key: text(item.key) for item in scene.labels})


def test_text_stays_text_with_its_isolates():
    # Dropping the isolates turns "10 cm" round in a right-to-left line.
    svg = scene_to_svg(placed(lambda key: f"نقطة \u206610\u00a0cm\u2069 <{key[:3]}>"), "Noto Sans")
    texts = ["".join(node.itertext()) for node in ElementTree.fromstring(svg).iter(f"{SVG}text")]
    assert len(texts) == 8
    assert all("\u206610\u00a0cm\u2069" in text and "<" in text for text in texts)


def test_labels_stay_inside_the_picture_and_apart():
    root = ElementTree.fromstring(scene_to_svg(placed(str), "Noto Sans", width_mm=95))
    width, height = (float(value) for value in root.get("viewBox").split()[2:])
    columns = {}
    for node in root.iter(f"{SVG}text"):
        x, y = float(node.get("x")), float(node.get("y"))
        assert 0 <= x <= width
        assert 0 <= y <= height
        columns.setdefault(node.get("text-anchor"), []).append(y)
    for anchor in ("end", "start"):
        heights = sorted(columns.get(anchor, []))
        assert all(b - a >= 4 for a, b in pairwise(heights))


def test_line_weights_are_true_on_paper_at_any_scale():
    scene = placed(str)
    for width in (60, 120):
        root = ElementTree.fromstring(scene_to_svg(scene, "Noto Sans", width_mm=width))
        weights = {float(node.get("stroke-width")) for node in root.iter(f"{SVG}path")}
        assert round(1.2 * 25.4 / 72, 3) in weights
        assert round(0.6 * 25.4 / 72, 3) in weights


@pytest.mark.parametrize("name", STEP_NAMES)
def test_another_library_draws_what_we_wrote(name):
    svg = scene_to_svg(step_scene(name), "sans-serif")
    page = pymupdf.open(stream=svg.encode(), filetype="svg")[0]
    assert page.rect.width * 25.4 / 72 == pytest.approx(30, abs=0.1)
    ink = page.get_pixmap(dpi=72, colorspace=pymupdf.csGRAY).samples
    dark = sum(value < 128 for value in ink) / len(ink)
    assert 0.01 < dark < 0.4


def test_every_tone_has_a_colour():
    assert all(len(colour) == 7 and colour.startswith("#") for colour in TONES.values())
    assert "NaN" not in scene_to_svg(placed(str), "x").replace("data-key", "")


def test_colours_and_numbers_are_well_formed():
    root = ElementTree.fromstring(scene_to_svg(placed(str), "Noto Sans"))
    for node in root.iter(f"{SVG}path"):
        for paint in (node.get("fill"), node.get("stroke")):
            assert re.fullmatch(r"none|#[0-9A-F]{6}", paint)
        assert re.fullmatch(r"(M|L|C|Z|[-0-9. ])+", node.get("d"))


def test_long_labels_are_broken_and_none_is_lost():
    words = "the flat bone at the base of the spine, felt with two fingers"
    for text in (
        words,
        "脊柱底部的扁平骨头用两根手指可以摸到的地方在这里",
        "عظمة مسطحة عند قاعدة العمود الفقري تحت الحزام",
    ):
        root = ElementTree.fromstring(scene_to_svg(placed(lambda key, t=text: t), "x", width_mm=95))
        lines = [node.text for node in root.iter(f"{SVG}text") if node.get("data-key") == "heel"]
        assert len(lines) > 1
        assert re.sub("[ \u2067\u2069]", "", "".join(lines)) == text.replace(" ", "")


def test_an_isolate_is_never_broken():
    text = "a long label before the length \u206610 cm and more\u2069 and some words after it"
    root = ElementTree.fromstring(scene_to_svg(placed(lambda key: text), "x", width_mm=95))
    for node in root.iter(f"{SVG}text"):
        assert node.text.count("\u2066") == node.text.count("\u2069")


@pytest.mark.parametrize(
    ("text", "rtl"),
    [("Heel", False), ("الكعب", True), ("\u2066TENS\u2069 الكعب", True), ("10", False)],
)
def test_direction_is_that_of_the_first_strong_letter(text, rtl):
    root = ElementTree.fromstring(scene_to_svg(placed(lambda key: text), "x", width_mm=95))
    (node,) = (item for item in root.iter(f"{SVG}text") if item.get("data-key") == "heel")
    assert node.text == (f"\u2067{text}\u2069" if rtl else text)
    # The heel's label stands in the left column, with its right edge at the leader.
    assert node.get("text-anchor") == "end"
    assert node.get("direction") is None
