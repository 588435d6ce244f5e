"""True-size aids, measured in a PDF that another library made from our SVG."""

from __future__ import annotations

from decimal import Decimal
from itertools import pairwise

import pymupdf
import pytest

from docbuilder.figures import true_size
from docbuilder.figures.svg import scene_to_svg
from docbuilder.figures.true_size import true_size_scene
from docbuilder.model.prescription import Pads

SIZES = [("rectangle", 25, 25), ("round", 32, 32), ("rectangle", 50, 90), ("oval", 100, 60)]
MM_PER_PT = 25.4 / 72


def scene(shape, width, height):
    return true_size_scene(Pads(shape, Decimal(width), Decimal(height)))


def printed_boxes(drawing):
    """Boxes of all paths on paper, in mm, as pymupdf reads them."""
    source = pymupdf.open(stream=scene_to_svg(drawing, "sans-serif").encode(), filetype="svg")
    page = pymupdf.open("pdf", source.convert_to_pdf())[0]
    return [
        tuple(
            value * MM_PER_PT for value in (box["rect"].x0, box["rect"].width, box["rect"].height)
        )
        for box in page.get_drawings()
    ]


@pytest.mark.parametrize("size", SIZES, ids=str)
def test_ruler_check_line_and_pad_measure_right_on_paper(size):
    boxes = printed_boxes(scene(*size))
    ticks = sorted(x for x, w, h in boxes if w < 0.02 and 3 < h < 9)
    assert ticks[-1] - ticks[0] == pytest.approx(100.0, abs=0.02)
    assert any(w == pytest.approx(85.60, abs=0.02) and h < 0.02 for _, w, h in boxes)
    assert any(
        w == pytest.approx(size[1], abs=0.05) and h == pytest.approx(size[2], abs=0.05)
        for _, w, h in boxes
    )


def test_the_scale_has_a_tick_each_millimetre():
    drawing = scene("round", 32, 32)
    ticks = sorted(
        path.segments[0][1]
        for path in drawing.paths
        if len(path.segments) == 2
        and path.segments[0][1] == path.segments[1][1]
        and path.segments[0][2] > path.segments[1][2]
    )
    assert len(ticks) == 101
    assert ticks[-1] - ticks[0] == pytest.approx(100)
    gaps = {round(b - a, 6) for a, b in pairwise(ticks)}
    assert gaps == {1.0}
    digits = [item for item in drawing.labels if item.key == "ruler_digit"]
    assert [(item.text, round(item.at[0] - ticks[0])) for item in digits] == [
        (str(cm), 10 * cm) for cm in range(11)
    ]


@pytest.mark.parametrize("size", SIZES, ids=str)
def test_it_fits_a_page_and_is_never_scaled(size):
    drawing = scene(*size)
    assert drawing.true_size
    assert drawing.width_mm <= 170
    assert drawing.height_mm <= 240
    assert {item.key for item in drawing.labels if not item.text} == true_size.LABEL_KEYS


def test_a_pad_larger_than_the_page_is_told():
    with pytest.raises(ValueError, match="too large"):
        scene("rectangle", 165, 50)
