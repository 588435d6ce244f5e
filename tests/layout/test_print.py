"""Sizes and places on paper, measured by a renderer that we did not write."""

from __future__ import annotations

from itertools import pairwise

import pymupdf
import pytest
import zxingcpp
from every_block import (
    WORDS,
    bar_of_100_mm,
    document,
    furniture,
    named_scene,
    pairs,
    paragraph,
    runs,
)
from PIL import Image
from structure_reader import read_structure

from docbuilder.document.blocks import (
    Column,
    FigureBlock,
    ListBlock,
    Panel,
    QrCode,
    SettingsEntry,
    SettingsPanel,
    SignatureBlock,
    SignatureLine,
    Table,
)
from docbuilder.layout.compose import compose
from docbuilder.layout.lint import lint

MM = 72 / 25.4


def first_page(blocks: tuple[object, ...], language: str = "en", **more: object) -> pymupdf.Page:
    composed = compose(document(language, blocks, **more))  # type: ignore[arg-type]
    assert lint(composed) == []
    return pymupdf.open(stream=composed.pdf)[0]


@pytest.mark.parametrize("paper", ["A4", "Letter"])
@pytest.mark.parametrize("text_pt", [12.0, 18.0])
def test_100_mm_are_100_mm(paper, text_pt):
    page = first_page((FigureBlock(bar_of_100_mm(), "bar"),), paper=paper, text_pt=text_pt)
    widths = [drawing["rect"].width for drawing in page.get_drawings()]
    assert min(abs(width - 283.4646) for width in widths) < 0.05
    assert page.rect.width == pytest.approx({"A4": 595.28, "Letter": 612}[paper], abs=0.01)


@pytest.mark.parametrize("language", ["en", "ar"])
def test_codes_can_be_read_from_the_rendered_page(language):
    page = first_page((QrCode("DB-9X2P-44", "Code"),), language)
    pixels = page.get_pixmap(dpi=150)
    image = Image.frombytes("RGB", (pixels.width, pixels.height), pixels.samples)
    found = {code.text: code for code in zxingcpp.read_barcodes(image)}
    assert set(found) == {"DB-9X2P-44", "DB-7F3K-22"}
    for code in found.values():
        side = code.position.top_right.x - code.position.top_left.x
        assert abs(side) / 150 * 25.4 >= 17.5
    assert "DB-9X2P-44" in page.get_text()


def test_right_to_left_mirrors_columns_settings_panels_and_bullets():
    columns = (Column(runs("first"), 1), Column(runs("second"), 1))
    entries = (SettingsEntry("one", "11"), SettingsEntry("two", "22"))
    blocks = (
        Table(columns, ((runs("a"), runs("b")),)),
        SettingsPanel(runs("Settings"), entries),
        ListBlock(((paragraph("entry"),),)),
        Panel("stop", runs("title"), (), "HALT"),
    )

    def places(language: str) -> dict[str, float]:
        words = first_page(blocks, language).get_text("words")
        return {word[4]: (word[0] + word[2]) / 2 for word in words}

    left, right = places("en"), places("ar")
    for one, other in (("first", "second"), ("11", "22"), ("•", "entry"), ("HALT", "title")):
        assert left[one] < left[other]
        assert right[one] > right[other]


def test_a_bilingual_page_sets_each_side_in_its_direction():
    page = first_page((pairs("en", "ar"),), text_pt=12.0)
    middle = page.rect.width / 2
    right_edges, left_edges = [], []
    for block in page.get_text("dict")["blocks"]:
        for line in block.get("lines", ()):
            text = "".join(span["text"] for span in line["spans"])
            x0, y0, x1, _y1 = line["bbox"]
            if text.strip() and 150 < y0 < 700:
                (right_edges if x0 > middle else left_edges).append(x1 if x0 > middle else x0)
    assert len(right_edges) > 5
    longest = max(right_edges)
    assert sum(longest - edge < 2 for edge in right_edges) > len(right_edges) / 2
    assert sum(edge - min(left_edges) < 2 for edge in left_edges) > len(left_edges) / 2


def test_room_to_sign_is_at_least_9_mm_high():
    line = SignatureLine((), (("Signature", 2), ("Date", 1)))
    page = first_page(
        (paragraph("before"), SignatureBlock((), (line, line), line_mm=2)),
    )
    words = {word[4]: word for word in page.get_text("words")}
    rules = sorted(
        {
            round(drawing["rect"].y0, 1)
            for drawing in page.get_drawings()
            if drawing["rect"].height < 0.1 and 100 < drawing["rect"].y0 < 700
        }
    )
    assert len(rules) == 2
    assert rules[0] - words["before"][3] >= 9 * MM - 3
    labels_foot = [word[3] for word in page.get_text("words") if word[4] == "Date"]
    assert rules[1] - min(labels_foot) >= 9 * MM - 3


def test_furniture_stands_on_every_page_and_the_code_on_the_first():
    marked = furniture(
        "en", review_line="Awaits review", initials_label="Initials", draft_mark="DRAFT"
    )
    composed = compose(document("en", furniture=marked, binding_mm=10.0))
    # The document holds a page break, which may leave any page short.
    assert {fault.name for fault in lint(composed)} <= {"near-empty"}
    with pymupdf.open(stream=composed.pdf) as pdf:
        for number, page in enumerate(pdf, 1):
            text = " ".join(page.get_text().split())
            for words in (
                "Awaits review", "DRAFT", "Initials", "DB-7F3K-22", "2026-11-25", "A. B. · 004711",
                "Elm Street Clinic", "020 555 0100", f"Page {number} of {composed.pages}",
            ):  # fmt: skip
                assert words in text, (words, number)
            left = min(word[0] for word in page.get_text("words"))
            assert left >= (19 + 10) * MM - 1
    # The marks are read once, before all else.
    root = read_structure(composed.pdf)
    assert [kid.text for kid in root.kids[:2]] == ["DRAFT", "Awaits review"]
    assert root.text.count("Awaits review") == 1


@pytest.mark.parametrize("text_pt", [12.0, 14.0, 18.0])
def test_running_text_has_at_most_72_letters_a_line(text_pt):
    page = first_page((paragraph(WORDS["en"]["body"] * 4),), text_pt=text_pt)
    counts = [
        len("".join(span["text"] for span in line["spans"]))
        for block in page.get_text("dict")["blocks"]
        for line in block["lines"]
        if abs(line["spans"][0]["size"] - text_pt) < 0.1
    ]
    assert len(counts) >= 6
    assert max(counts) <= 72
    # Large print is shorter: an A4 page has no room for more.
    assert sorted(counts)[len(counts) // 2] >= (55 if text_pt < 16 else 40)


def test_hatched_pads_show_without_colour():
    page = first_page((FigureBlock(named_scene(WORDS["en"]), "alt", width_mm=60),))
    grey = page.get_pixmap(dpi=150, colorspace=pymupdf.csGRAY)
    accents = [d["rect"] for d in page.get_drawings() if d["type"] == "s" and len(d["items"]) > 6]
    hatch = max(accents, key=lambda rect: rect.width)
    scale = 150 / 72
    row = int((hatch.y0 + hatch.y1) / 2 * scale)
    tones = [grey.pixel(x, row)[0] for x in range(int(hatch.x0 * scale), int(hatch.x1 * scale))]
    dark = [tone < 170 for tone in tones]
    strokes = sum(now and not before for before, now in pairwise(dark))
    assert strokes >= 5
    assert max(tones) > 200
