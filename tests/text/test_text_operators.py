"""Operators and outlines, judged by what two renderers make of them."""

from __future__ import annotations

import io
import re

import numpy as np
import page
import pymupdf
import pytest
from reportlab.pdfgen.canvas import Canvas
from text_samples import SAMPLES, draw, set_text

from docbuilder.document.blocks import Run
from docbuilder.text import FontBook, TextBlock, outlines, segments

LINKED = (
    Run("Call "),
    Run("020-555 0100", bold=True, link="tel:0205550100"),
    Run(" or ask "),
    Run("Ana López, who answers on every working day", link="mailto:a@example.org"),
    Run(" "),
    Run("کلینک", language="ur"),
)


BLOCK = 12


def ink_of(data: bytes) -> np.ndarray:
    """Return how black each square of 3 points is."""
    page = pymupdf.open("pdf", data)[0]
    image = page.get_pixmap(matrix=pymupdf.Matrix(4, 4), colorspace="gray", clip=(36, 0, 372, 240))
    grey = np.frombuffer(image.samples, dtype=np.uint8).reshape(image.h, image.w)
    squares = (1 - grey / 255).reshape(image.h // BLOCK, BLOCK, image.w // BLOCK, BLOCK)
    return squares.mean(axis=(1, 3))


def draw_outlines(*blocks: TextBlock) -> bytes:
    stream = io.BytesIO()
    canvas = Canvas(stream, pagesize=(400, 800), invariant=1)
    top = 780.0
    for block in blocks:
        path = canvas.beginPath()
        for kind, *numbers in outlines(block, 50, top):
            {"M": path.moveTo, "L": path.lineTo, "C": path.curveTo, "Z": path.close}[kind](*numbers)
        canvas.drawPath(path, stroke=0, fill=1, fillMode=1)
        top -= block.height_pt + 10
    canvas.save()
    return stream.getvalue()


@pytest.mark.parametrize("language", SAMPLES)
def test_text_and_outlines_render_alike(language: str) -> None:
    """HarfBuzz's outlines of the variable font against MuPDF's reading of the subset.

    Measured: 0.08 at the most, from the smoothing of edges; a lost dot makes 0.16.
    """
    blocks = [set_text(SAMPLES[language], language, bold=bold) for bold in (False, True)]
    text, drawn = ink_of(draw(*blocks)), ink_of(draw_outlines(*blocks))
    assert drawn.max() > 0.7
    assert np.abs(text - drawn).max() < 0.12


def test_curves_of_outlines_are_the_curves_of_the_font() -> None:
    """Large letters, where a wrong control point shows."""
    for letters in ("o&@", "ضع"):
        block = set_text(letters, "ar" if letters > "z" else "en", size_pt=90.0, width_pt=300.0)
        assert np.abs(ink_of(draw(block)) - ink_of(draw_outlines(block))).max() < 0.05


def characters(data: bytes) -> list[tuple[str, float, float]]:
    """Return each character that MuPDF finds with its origin (y down)."""
    content = pymupdf.open("pdf", data)[0].get_text("rawdict")
    return [
        (character["c"], *character["origin"])
        for part in content["blocks"]
        for line in part["lines"]
        for span in line["spans"]
        for character in span["chars"]
    ]


def test_segments_follow_links_and_languages_in_reading_order() -> None:
    block = set_text(LINKED, "en", width_pt=260.0)
    parts = segments(block, 50, 700, FontBook(Canvas(io.BytesIO())._doc))
    assert [part.run for part in parts] == [0, 1, 2, 3, 5], "a space that hangs draws nothing"
    assert parts[-1].group == (None, "ur")
    assert [len(part.boxes) for part in parts][3] == 2, "a link over two lines has two boxes"
    for part in parts:
        assert part.operators.startswith("BT\n")
        assert part.operators.endswith("\nET")
        assert part.operators.splitlines()[1].endswith(" Td")
        assert part.operators.splitlines()[2].endswith(" Tf")
    whole = segments(
        block, 50, 700, FontBook(Canvas(io.BytesIO())._doc), group=lambda run: run.language
    )
    assert [part.run for part in whole] == [0, 5]


def test_boxes_of_links_enclose_what_mupdf_finds_there() -> None:
    block = set_text(LINKED, "en", width_pt=260.0)
    parts = segments(block, 50, 780, FontBook(Canvas(io.BytesIO())._doc))
    found = characters(draw(block))
    for run in (1, 3):
        boxes = next(part.boxes for part in parts if part.run == run)
        text = "".join(
            c
            for box in boxes
            for c, x, y in found
            if box.left - 0.01 <= x < box.right and box.bottom < 800 - y < box.top
        )
        assert text.strip() == LINKED[run].text


def test_colours_change_with_the_run() -> None:
    block = set_text((Run("a "), Run("b "), Run("c")), "en")
    inks = ["0 0 0 rg", "1 0 0 rg", "1 0 0 rg"]
    (part,) = segments(block, 0, 0, FontBook(Canvas(io.BytesIO())._doc), inks=inks)
    assert re.findall(r".* rg", part.operators) == ["0 0 0 rg", "1 0 0 rg"]


def test_no_character_stands_outside_the_block() -> None:
    for language, text in SAMPLES.items():
        block = set_text(text, language, width_pt=150.0)
        xs = [x for _, x, _ in characters(draw(block))]
        assert len(xs) > 20
        assert 49.9 < min(xs) < max(xs) < 200.1


PAGE_RULES = {
    "CONTENT-TAGGING", "ID-PART", "ID-SCHEMA", "METADATA-STRUCTURE", "METADATA-TITLE",
    "STRUCT-TREE-ROOT", "TAGGED-DOCUMENT", "TEXT-LANGUAGE", "VIEWER-PREFERENCES",
    "DEVICE-GRAY", "STREAM-EOL", "STREAM-LENGTH",
}  # fmt: skip


def test_fonts_keep_the_rules_of_pdf_ua_and_pdf_a() -> None:
    """An independent checker on a page without tags: only what the page lacks may fail."""
    blocks = [set_text(text, language) for language, text in SAMPLES.items()]
    for profile in (page.ValidationProfile.PDF_UA_1, page.ValidationProfile.PDF_A_2U):
        failed = page.validate_pdf_bytes(draw(*blocks), profile=profile).failures
        rules = {fault.rule_id.split("-", 1)[1].rsplit("-", 1)[0] for fault in failed}
        assert rules, "an untagged page cannot comply"
        assert rules <= PAGE_RULES
