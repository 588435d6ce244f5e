"""What is said to be of a size is of that size on a 300 dpi picture of the page.

The pictures are pdfium's, the measuring is counting of dark pixels: nothing of ours takes
part. A pixel is 0.085 mm. Where a part stands on its page is read from the form fields of
the fillable paper, or found by its shape.

Sources: ISO 216:2007, A4 is 210 x 297 mm; ANSI/ASME Y14.1, size A (Letter) is 8.5 x 11 in;
ISO/IEC 7810:2019, ID-1 cards are 85.60 x 53.98 mm. That 9 mm is room to write is common
practice, no source.
"""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from io import BytesIO
from itertools import pairwise, product
from math import sqrt

import numpy as np
import pikepdf
import pypdfium2
import pytest

from docbuilder.content.assemble import assemble
from docbuilder.content.job import IssueInfo
from docbuilder.inputs.clinic import demo_clinic_folder
from docbuilder.language.words import load_words
from docbuilder.layout.compose import compose
from docbuilder.layout.geometry import PAPERS
from docbuilder.model import lengths
from docbuilder.pack.desk import Desk

DPI = 300
PX = DPI / 25.4
"""Pixels in a millimetre."""
TOLERANCE_MM = 0.1
CARD_MM, RULER_MM, ROOM_MM = 85.60, 100.0, 9.0
PACKS = {"en": "urgency-tibial-en", "ar": "urgency-lower-abdomen-ar"}
LOOKS = [*product(("A4", "Letter"), (False, True), ("en", "ar"))]


@cache
def plan(tag):
    return Desk(demo_clinic_folder()).plan(
        demo_clinic_folder() / "prescriptions" / f"{PACKS[tag]}.yaml"
    )


@cache
def pdf_of(kind, paper, large, tag):
    computed = plan(tag)
    patient = replace(computed.prescription.patient, large_print=large)
    computed = replace(computed, prescription=replace(computed.prescription, patient=patient))
    issue = IssueInfo("H-1", computed.prescription.prescribed_on)
    made = assemble(kind, computed, load_words(tag, "US"), issue=issue)
    return compose(replace(made, paper=paper, fillable=True)).pdf


@cache
def grey(pdf, number):
    """Return the grey values of a page, without what a viewer draws over fields."""
    page = pypdfium2.PdfDocument(pdf)[number]
    found = page.render(scale=DPI / 72, grayscale=True, may_draw_forms=False).to_numpy()
    return found.reshape(found.shape[0], -1)


def dark(pdf, number):
    return grey(pdf, number) < 200


def inked(pdf, number):
    """Return what is not white: lines, and the tint of a head that begins where a row ends."""
    return grey(pdf, number) < 250


def runs(line):
    """Return first and last pixel of each dark stretch of a row or a column."""
    edges = np.flatnonzero(np.diff(np.concatenate(([0], line.astype(np.int8), [0]))))
    return list(zip(edges[::2], edges[1::2] - 1, strict=True))


def middles(line):
    return [(first + last) / 2 for first, last in runs(line)]


def ruler(pdf):
    """Return page, row and middles of the scale: 101 ticks with a millimetre between them."""
    for number in reversed(range(len(pypdfium2.PdfDocument(pdf)))):
        page = dark(pdf, number)
        changes = np.abs(np.diff(page.astype(np.int8), axis=1)).sum(axis=1)
        for row in np.flatnonzero(changes >= 2 * 101):
            ticks = middles(page[row])
            for start in range(len(ticks) - 100):
                if _evenly(ticks[start : start + 101]):
                    return number, int(row), ticks[start : start + 101]
    raise AssertionError("no ruler on any page")


@pytest.mark.parametrize(("paper", "large", "tag"), LOOKS)
def test_the_ruler_the_bar_and_the_pad_are_true(paper, large, tag):
    pdf = pdf_of("handout", paper, large, tag)
    number, row, scale = ruler(pdf)
    page = dark(pdf, number)
    assert (scale[-1] - scale[0]) / PX == pytest.approx(RULER_MM, abs=TOLERANCE_MM)
    # The bar: the one line of about its length below the scale, with a stop at each end.
    bars = [
        (y, first, last)
        for y in range(row, len(page))
        for first, last in runs(page[y])
        if abs((last - first) / PX - CARD_MM) < 1.5
    ]
    y, first, last = bars[len(bars) // 2]
    stops = [at for at in middles(page[y - int(1.5 * PX)]) if first - 9 <= at <= last + 9]
    assert (stops[-1] - stops[0]) / PX == pytest.approx(CARD_MM, abs=TOLERANCE_MM)
    # The pad: a dashed outline beside the ruler's strip, whose foot is the drawing's.
    pads = plan(tag).pads
    width, height = float(pads.width_mm), float(pads.height_mm)
    foot = row + int((max(49.0, height + 2) + 3) * PX)
    window = page[row - int(3 * PX) : foot, int(scale[-1] + 6 * PX) :]
    sides = [x for x, column in enumerate(window.T) if column.sum() > 0.35 * height * PX]
    assert (sides[-1] - sides[0]) / PX == pytest.approx(width, abs=0.3)
    levels = [y for y, line in enumerate(window) if line.sum() > 0.35 * width * PX]
    # The rule above the page's foot may come into the window: it stands further down.
    lowest = max(y for y in levels if y - levels[0] < (height + 2) * PX)
    assert (lowest - levels[0]) / PX == pytest.approx(height, abs=0.3)


def _evenly(ticks):
    gaps = [b - a for a, b in pairwise(ticks)]
    return len(ticks) == 101 and max(gaps) - min(gaps) <= 2 and abs(gaps[0] - PX) <= 1.5


def fields(pdf, kind):
    """Yield page and box, in pixels from the upper left corner, of each field of a kind."""
    with pikepdf.open(BytesIO(pdf)) as opened:
        for number, page in enumerate(opened.pages):
            top = float(page.MediaBox[3])
            for note in page.obj.get("/Annots", []):
                if str(note.get("/T", "")).startswith(kind):
                    x0, y0, x1, y1 = (float(edge) for edge in note.Rect)
                    yield number, [v * DPI / 72 for v in (x0, top - y1, x1, top - y0)]


def clear_above(page, x, foot):
    """Return the white room above the line at *foot*, in mm, and whether the line is there."""
    column = page[:, int(x)]
    line = [y for y in range(int(foot) - 4, int(foot) + 5) if column[y]]
    if not line:
        return 0.0
    y = line[0] - 1
    while y > 0 and not column[y]:
        y -= 1
    return (line[0] - 1 - y) / PX


@pytest.mark.parametrize(("paper", "large", "tag"), LOOKS)
def test_a_signature_has_9_mm_of_white_above_its_line(paper, large, tag):
    pdf = pdf_of("consent", paper, large, tag)
    found = [*fields(pdf, "signature")]
    assert len(found) >= 3
    for number, (x0, _top, x1, foot) in found:
        for share in (0.1, 0.5, 0.9):
            at = x0 + (x1 - x0) * share
            assert clear_above(inked(pdf, number), at, foot) >= ROOM_MM


@pytest.mark.parametrize(("paper", "large", "tag"), LOOKS)
def test_a_row_of_the_diary_is_9_mm_of_white(paper, large, tag):
    pdf = pdf_of("diary", paper, large, tag)
    found = [*fields(pdf, "cell")]
    assert len(found) > 200
    for number, (x0, _top, x1, foot) in found[::17]:
        assert clear_above(inked(pdf, number), (x0 + x1) / 2, foot) >= ROOM_MM


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_paper_has_its_standard_size(paper):
    # ISO 216: A0 is a square metre with sides as 1 to the square root of 2; each size halves
    # the one before, in whole millimetres. Letter: inches.
    sides = {"A4": _iso_a(4), "Letter": (8.5 * 25.4, 11 * 25.4)}[paper]
    assert sides == pytest.approx({"A4": (210, 297), "Letter": (215.9, 279.4)}[paper])
    for kind, tag in (("handout", "en"), ("diary", "ar")):
        with pikepdf.open(BytesIO(pdf_of(kind, paper, False, tag))) as opened:
            for page in opened.pages:
                box = [float(edge) / 72 * 25.4 for edge in page.MediaBox]
                assert box == pytest.approx([0, 0, *sides], abs=0.01)
    assert tuple(side / 72 * 25.4 for side in PAPERS[paper]) == pytest.approx(sides, abs=0.001)


def _iso_a(number):
    long, short = 1000 * sqrt(sqrt(2)), 1000 / sqrt(sqrt(2))
    long, short = round(long), round(short)
    for _ in range(number):
        long, short = short, long // 2
    return short, long


def test_the_bar_is_as_wide_as_a_card_by_the_standard():
    assert float(lengths.CARD_WIDTH_MM) == CARD_MM
    assert float(lengths.RULER_MM) == RULER_MM
