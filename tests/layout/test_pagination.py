"""How pages break: read back from the printed page and from the log."""

from __future__ import annotations

import pymupdf
import pytest
from every_block import WORDS, document, named_scene, paragraph, runs, signature
from structure_reader import read_structure

from docbuilder.document.blocks import (
    Column,
    FigureBlock,
    Heading,
    KeepTogether,
    ListBlock,
    PageBreak,
    Pair,
    Pairs,
    Panel,
    Paragraph,
    Run,
    SignatureBlock,
    Step,
    Steps,
    Table,
)
from docbuilder.errors import Refused
from docbuilder.layout.compose import compose
from docbuilder.layout.lint import lint

LINE = "word " * 6


def lines(count: int) -> Paragraph:
    return Paragraph((Run("\n".join([LINE] * count)),))


def pages_of(blocks: tuple[object, ...], **more: object) -> list[str]:
    composed = compose(document("en", blocks, **more))  # type: ignore[arg-type]
    assert [fault for fault in lint(composed) if fault.name != "near-empty"] == []
    with pymupdf.open(stream=composed.pdf) as pdf:
        return [" ".join(page.get_text().split()) for page in pdf]


@pytest.mark.parametrize("before", range(26, 40))
def test_a_heading_is_never_last_on_a_page(before):
    heading = Heading(2, runs("Heading stays"))
    pages = pages_of((lines(before), heading, lines(6)))
    (home,) = [page for page in pages if "Heading stays" in page]
    after = home.split("Heading stays")[1]
    assert after.count("word") >= 2 * 6


@pytest.mark.parametrize("before", range(28, 40))
def test_no_single_line_stands_alone(before):
    marked = Paragraph((Run("\n".join(f"alpha{i}" for i in range(6))),))
    for page in pages_of((lines(before), marked)):
        assert page.count("alpha") in (0, 2, 3, 4, 6)


@pytest.mark.parametrize("before", range(22, 38, 3))
def test_steps_and_signatures_stay_whole(before):
    step = Step(runs("first words " + LINE * 8 + "last words"), display="ON")
    pages = pages_of((lines(before), Steps((step, step)), lines(20), signature(WORDS["en"])))
    for page in pages:
        assert page.count("first words") == page.count("last words")
    with_lines = [page for page in pages if WORDS["en"]["sign"] in page]
    assert len(with_lines) == 1
    assert with_lines[0].count(WORDS["en"]["title"]) == 2
    assert WORDS["en"]["body"][:30] in with_lines[0]


def test_the_table_head_stands_on_every_page_with_at_least_two_rows():
    columns = (Column(runs("Head A"), 1), Column(runs("Head B"), 1))
    rows = tuple((runs(f"cell{i}"), runs("x")) for i in range(70))
    for before in range(20, 36, 5):
        pages = pages_of((lines(before), Table(columns, rows, caption=runs("Caption"))))
        with_cells = [page for page in pages if "cell" in page]
        assert len(with_cells) > 2
        assert all("Head A" in page and page.count("cell") >= 2 for page in with_cells)
        assert sum("Caption" in page for page in pages) == 1
        cells = " ".join(pages).split()
        assert [word for word in cells if word.startswith("cell")] == [
            f"cell{i}" for i in range(70)
        ]


def test_kept_blocks_share_a_page_and_a_break_ends_one():
    kept = KeepTogether((paragraph("one"), lines(8), paragraph("two")))
    pages = pages_of((lines(30), kept, PageBreak(), paragraph("three")))
    assert [("one" in page, "two" in page) for page in pages] == [
        (False, False),
        (True, True),
        (False, False),
    ]
    assert "three" in pages[2]


def test_blocks_kept_together_beyond_a_page_are_split_rather_than_lost():
    kept = KeepTogether(tuple(paragraph(f"part{i} {LINE * 20}") for i in range(30)))
    pages = pages_of((kept,))
    assert len(pages) > 1
    assert [f"part{i}" for i in range(30)] == [
        word for page in pages for word in page.split() if word.startswith("part")
    ]


def test_a_long_panel_goes_on_on_the_next_page_on_its_ground():
    blocks = tuple(lines(4) for _ in range(14))
    composed = compose(document("en", (Panel("info", runs("Title"), blocks),)))
    parts = [box for page in composed.log for box in page.placed if box.kind == "panel"]
    assert len(parts) == 2
    assert len({part.box for part in parts}) == 1
    assert lint(composed) == []
    # The title stands on both pages and is read once.
    with pymupdf.open(stream=composed.pdf) as pdf:
        assert ["Title" in page.get_text() for page in pdf] == [True, True]
    root = read_structure(composed.pdf)
    assert [node.text for node in root.of("P")].count("Title") == 1


def test_a_short_list_does_not_leave_one_item_behind():
    items = tuple((paragraph(f"item{i}"),) for i in range(3))
    for before in range(26, 40):
        for page in pages_of((lines(before), ListBlock(items))):
            assert page.count("item") in (0, 3)


def test_what_no_page_can_hold_is_refused():
    line = signature(WORDS["en"]).lines[0]
    endless = SignatureBlock(runs("secret words"), (line,) * 16)
    with pytest.raises(Refused, match="too tall") as refused:
        compose(document("en", (endless,)))
    assert "secret" not in str(refused.value)


def test_a_missing_glyph_is_refused_by_its_number_alone():
    secret = "Mrs \u1b83 Example"
    with pytest.raises(Refused) as refused:
        compose(document("en", (paragraph(secret),)))
    assert "U+1B83" in str(refused.value)
    assert "Example" not in str(refused.value)
    assert refused.value.__cause__ is None


def test_a_picture_that_nearly_fits_does_not_leave_an_empty_page():
    tall = FigureBlock(named_scene(WORDS["en"]), "alt", width_mm=100)
    composed = compose(document("en", (lines(3), tall, tall, tall)))
    assert [fault for fault in lint(composed) if fault.name == "near-empty"] == []


def test_less_air_saves_a_page_of_a_few_lines(monkeypatch):
    blocks = tuple(block for i in range(8) for block in (Heading(2, runs(f"H{i}")), lines(3)))

    def pages(extra: int) -> int:
        composed = compose(document("en", (*blocks[:12], lines(extra))))
        assert lint(composed) == []
        return composed.pages

    counts = range(2, 12)
    airy = [pages(count) for count in counts]
    monkeypatch.setattr("docbuilder.layout.compose._AIR", (1.0,))
    plain = [pages(count) for count in counts]
    assert all(one <= other for one, other in zip(airy, plain, strict=True))
    assert sum(airy) < sum(plain)


def head_of(language: str) -> str:
    return "head-" + language


def some_pairs(*blocks: object) -> Pairs:
    heads = runs(head_of("en")), runs(head_of("hi"))
    return Pairs(tuple(Pair(block, block) for block in blocks), "hi", False, heads)  # type: ignore[arg-type]


@pytest.mark.parametrize("before", range(20, 38, 2))
def test_a_bilingual_heading_is_never_last_on_a_page(before):
    first = some_pairs(paragraph("one"), Heading(2, runs("Stays")))
    blocks = (lines(before), first, signature(WORDS["en"]), some_pairs(paragraph("two")))
    composed = compose(document("en", blocks))
    assert lint(composed) == []
    with pymupdf.open(stream=composed.pdf) as pdf:
        homes = [page.get_text() for page in pdf if "Stays" in page.get_text()]
    assert len(homes) == 1
    assert "Signature" in homes[0]


def test_language_names_stand_once_a_page():
    kept = KeepTogether((some_pairs(paragraph("one")), lines(2), some_pairs(paragraph("two"))))
    blocks = (some_pairs(*[paragraph("zero")] * 3), kept, some_pairs(*[paragraph("x")] * 40))
    pages = pages_of(blocks)
    assert len(pages) > 1
    assert [page.count(head_of("en")) for page in pages] == [1] * len(pages)
    unnamed = Pairs((Pair(paragraph("one"), paragraph("two")),), "hi", False, ((), ()))
    composed = compose(document("en", (unnamed,)))
    assert lint(composed) == []
    assert [node.tag for node in read_structure(composed.pdf).walk()].count("P") == 2
