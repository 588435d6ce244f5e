"""What independent readers get out of a PDF of ours, language by language."""

from __future__ import annotations

import io
import re
from collections import Counter

import pikepdf
import pymupdf
import pypdfium2
import pytest
from text_samples import RTL, SAMPLES, draw, set_text

from docbuilder.text import TextBlock
from docbuilder.text.items import drawn_text


def source_of(block: TextBlock) -> str:
    return drawn_text("".join(run.text for run in block.runs))


def codes_to_text(data: bytes) -> str:
    """Decode the page's show operators by the ToUnicode maps alone, in file order."""
    pdf = pikepdf.open(io.BytesIO(data))
    page = pdf.pages[0]
    maps = {}
    for name, font in page.Resources.Font.items():
        if "/ToUnicode" in font:
            cmap = font.ToUnicode.read_bytes().decode("ascii")
            pairs = re.findall(r"<([0-9A-F]{4})> <([0-9A-F]*)>", cmap.split("beginbfchar", 1)[1])
            assert len(dict(pairs)) == len(pairs), "a code has one text"
            maps[name] = {
                int(code, 16): bytes.fromhex(text).decode("utf-16-be") for code, text in pairs
            }
    found, font = [], {}
    for operands, operator in pikepdf.parse_content_stream(page):
        if str(operator) == "Tf":
            font = maps.get(str(operands[0]), {})
        elif str(operator) in ("TJ", "Tj"):
            parts = operands[0] if str(operator) == "TJ" else [operands[0]]
            for part in parts:
                if isinstance(part, pikepdf.String):
                    codes = bytes(part)
                    found += [
                        font[int.from_bytes(codes[at : at + 2], "big")]
                        for at in range(0, len(codes), 2)
                    ]
    return "".join(found)


def mupdf_text(data: bytes) -> str:
    """Return the characters that MuPDF finds, in file order, with its own spaces left out."""
    flags = pymupdf.TEXT_PRESERVE_WHITESPACE | pymupdf.TEXT_PRESERVE_LIGATURES
    page = pymupdf.open("pdf", data)[0].get_text("rawdict", flags=flags)
    return "".join(
        character["c"]
        for block in page["blocks"]
        for line in block["lines"]
        for span in line["spans"]
        for character in span["chars"]
        if not character.get("synthetic")
    )


def pdfium_text(data: bytes) -> str:
    page = pypdfium2.PdfDocument(data)[0]
    return page.get_textpage().get_text_range()


def squeezed(text: str) -> str:
    return " ".join(text.split())


@pytest.mark.parametrize("language", SAMPLES)
def test_to_unicode_spells_the_source_in_reading_order(language: str) -> None:
    block = set_text(SAMPLES[language], language)
    assert len(block.lines) > 1 or language in ("el", "th")
    assert codes_to_text(draw(block)) == source_of(block)


@pytest.mark.parametrize("language", SAMPLES)
def test_mupdf_reads_the_source(language: str) -> None:
    block = set_text(SAMPLES[language], language)
    assert mupdf_text(draw(block)) == source_of(block)


@pytest.mark.parametrize("language", [tag for tag in SAMPLES if tag not in RTL])
def test_pdfium_reads_the_source(language: str) -> None:
    block = set_text(SAMPLES[language], language)
    # It breaks the text where a line ends, also inside a Chinese sentence.
    lines = "\n".join(line.text for line in block.lines)
    assert squeezed(pdfium_text(draw(block))) == squeezed(lines)


@pytest.mark.parametrize("language", sorted(RTL))
def test_pdfium_finds_each_character_of_right_to_left_text(language: str) -> None:
    """PDFium takes right-to-left text for visual order and turns it round, so only count."""
    block = set_text(SAMPLES[language], language)
    found, source = pdfium_text(draw(block)), source_of(block)
    assert Counter("".join(found.split())) == Counter("".join(source.split()))


@pytest.mark.parametrize(
    ("language", "source"),
    [("en", "A Α А\u00a0B Β В"), ("ar", "قبل النوم\u00a0بعد ء \ufe80"), ("ar", "بعد\u00a0ء ب")],
)
def test_each_character_keeps_its_own_text_where_outlines_are_shared(
    language: str, source: str
) -> None:
    """The Arabic font draws space and no-break space, U+0621 and U+FE80, with one glyph."""
    assert codes_to_text(draw(set_text(source, language))) == source


def test_mixed_arabic_line_stands_right() -> None:
    block = set_text(SAMPLES["ar"], "ar", width_pt=320.0)
    page = pymupdf.open("pdf", draw(block))[0].get_text("rawdict")
    characters = [
        (character["c"], character["origin"][0], character["origin"][1])
        for part in page["blocks"]
        for line in part["lines"]
        for span in line["spans"]
        for character in span["chars"]
    ]
    text = "".join(character for character, _, _ in characters)

    def places(wanted: str) -> list[float]:
        start = text.index(wanted)
        lines = {round(y) for _, _, y in characters[start : start + len(wanted)]}
        assert len(lines) == 1, f"{wanted} stands on one line"
        return [x for _, x, _ in characters[start : start + len(wanted)]]

    for wanted in ("10\u00a0Hz", "200\u00a0µs", "020-555 0100", "Ana López"):
        xs = places(wanted)
        assert xs == sorted(xs), f"{wanted} reads from left to right"
    for before, after in (("على", "10\u00a0Hz"), ("10\u00a0Hz", "وعرض"), ("عن", "Ana López")):
        assert min(places(before)) > max(places(after)), f"{before} is right of {after}"
    arabic = places("الجهاز")
    assert arabic == sorted(arabic, reverse=True)
    # Parentheses are mirrored: the one that opens stands on the right.
    assert places("(مريح)")[0] > places("(مريح)")[-1]
