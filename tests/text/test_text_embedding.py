"""The embedded font programs, read by fontTools, and the bytes around them."""

from __future__ import annotations

import hashlib
import io
import os
import subprocess
import sys
from pathlib import Path

import pikepdf
import pytest
from fontTools.pens.boundsPen import BoundsPen
from fontTools.pens.recordingPen import DecomposingRecordingPen
from fontTools.ttLib import TTFont
from text_samples import SAMPLES, draw, set_text

from docbuilder.document.blocks import Run
from docbuilder.text import outlines

OPEN: list[pikepdf.Pdf] = []


def embedded(data: bytes) -> list[tuple[pikepdf.Dictionary, TTFont]]:
    pdf = pikepdf.open(io.BytesIO(data))
    OPEN.append(pdf)  # its objects die with it
    found = []
    for font in pdf.pages[0].Resources.Font.values():
        if font.Subtype == "/Type0":
            child = font.DescendantFonts[0]
            program = child.FontDescriptor.FontFile2.read_bytes()
            assert child.FontDescriptor.FontFile2.Length1 == len(program)
            found.append((child, TTFont(io.BytesIO(program), checkChecksums=2)))
    return found


def width_of_codes(child: pikepdf.Dictionary) -> dict[int, int]:
    widths, entries = {}, list(child.W)
    for first, row in zip(entries[::2], entries[1::2], strict=True):
        widths.update({int(first) + number: int(width) for number, width in enumerate(row)})
    return widths


@pytest.mark.parametrize("bold", [False, True])
@pytest.mark.parametrize("language", SAMPLES)
def test_font_tools_reads_the_subset(language: str, bold: bool) -> None:
    data = draw(set_text(SAMPLES[language], language, bold=bold))
    for child, font in embedded(data):
        assert "fvar" not in font
        assert child.CIDToGIDMap == "/Identity"
        glyphs, metrics = font.getGlyphSet(), font["hmtx"].metrics
        order = font.getGlyphOrder()
        assert font["maxp"].numGlyphs == len(order)
        for code, width in width_of_codes(child).items():
            name = order[code]
            assert round(metrics[name][0] * 1000 / font["head"].unitsPerEm) == width
            pen = BoundsPen(glyphs)
            glyphs[name].draw(pen)
            if pen.bounds:
                # A header box that is too small would clip the glyph on some printers.
                box, glyph = pen.bounds, font["glyf"][name]
                assert glyph.xMin <= box[0] + 1
                assert glyph.yMin <= box[1] + 1
                assert glyph.xMax >= box[2] - 1
                assert glyph.yMax >= box[3] - 1
                assert metrics[name][1] == glyph.xMin


@pytest.mark.parametrize("language", ["ar", "hi", "vi", "bn"])
def test_composite_glyphs_have_the_outline_that_harfbuzz_draws(language: str) -> None:
    """One word, drawn from the embedded subset and from the variable font itself."""
    word = {"ar": "تُضبط", "hi": "क्लिनिक", "vi": "Nếu", "bn": "যন্ত্রটি"}[language]
    block = set_text(word, language, size_pt=1000.0, width_pt=9000.0, bold=True)
    (child, font), *others = embedded(draw(block))
    assert not others
    pen = BoundsPen(font.getGlyphSet())
    moves = 0
    boxes = []
    total = len(font.getGlyphOrder())
    source = TTFont(io.BytesIO(block.lines[0].items[0].word.font.file.locate().read_bytes()))
    added = [code for code in width_of_codes(child) if code >= source["maxp"].numGlyphs]
    if added:
        assert total == source["maxp"].numGlyphs + len(added)
    for code in width_of_codes(child):
        recording = DecomposingRecordingPen(font.getGlyphSet())
        glyph = font.getGlyphSet()[font.getGlyphOrder()[code]]
        glyph.draw(recording)
        moves += sum(operator == "moveTo" for operator, _ in recording.value)
        pen.bounds = None
        glyph.draw(pen)
        if pen.bounds:
            boxes.append(pen.bounds)
    drawn = outlines(block, 0.0, block.baseline_pt(0))
    codes = [cluster for item in block.lines[0].items for cluster in item.word.clusters]
    if len({(cluster.text, cluster.parts) for cluster in codes}) == len(codes):
        assert moves == sum(segment[0] == "M" for segment in drawn)
    ys = [value for segment in drawn for value in segment[2::2]]
    assert max(box[3] for box in boxes) == pytest.approx(max(ys), abs=12)
    assert min(box[1] for box in boxes) == pytest.approx(min(ys), abs=12)


def test_only_used_glyphs_are_embedded() -> None:
    small = embedded(draw(set_text("אבג", "he")))[0][1]
    assert len(filled_glyphs(small)) == 4, "three letters and the glyph for missing ones"


def test_nothing_of_earlier_papers_is_embedded() -> None:
    """Descriptions of glyphs are kept between papers; a paper holds its own letters only."""
    first, second = (embedded(draw(set_text(text, "en")))[0][1] for text in ("Ada 1", "Bo"))
    assert len(filled_glyphs(first)) == 5, "A, d, a, 1 and the glyph for missing ones"
    assert len(filled_glyphs(second)) == 3
    composed = embedded(draw(set_text("é", "en")))[0][1]
    assert len(filled_glyphs(composed)) in (2, 4), "whole, or with its letter and its accent"


def filled_glyphs(font: TTFont) -> set[str]:
    return {name for name in font.getGlyphOrder() if font["glyf"][name].numberOfContours}


def digest_of_samples() -> str:
    blocks = [set_text(text, language, width_pt=250.0) for language, text in SAMPLES.items()]
    runs = (Run("bold ", bold=True), Run("link", link="tel:1"), Run(" نص", language="ar"))
    return hashlib.sha256(draw(*blocks, set_text(runs, "en"))).hexdigest()


def test_same_bytes_in_any_process_and_after_any_work() -> None:
    first = digest_of_samples()
    draw(set_text("other work first: Ελληνικά, العربية, ελ 漢", "en"))
    draw(set_text(SAMPLES["ar"], "ar", bold=True), set_text(SAMPLES["hi"], "hi"))
    assert digest_of_samples() == first
    command = "import test_text_embedding as t; print(t.digest_of_samples())"
    for seed in ("0", "1"):
        done = subprocess.run(
            [sys.executable, "-c", command],
            cwd=Path(__file__).parent,
            env={**os.environ, "PYTHONHASHSEED": seed},
            capture_output=True,
            text=True,
            check=True,
        )
        assert done.stdout.strip() == first
