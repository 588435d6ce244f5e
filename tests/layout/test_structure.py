"""The tags say what the page shows, in the order in which it reads."""

from __future__ import annotations

import re
from dataclasses import replace
from io import BytesIO

import pikepdf
import pymupdf
import pytest
from every_block import WORDS, document, pairs, paragraph, runs
from structure_reader import Node, read_structure

from docbuilder.document.blocks import (
    Block,
    CalendarGrid,
    Column,
    Columns,
    Heading,
    KeepTogether,
    ListBlock,
    Pairs,
    Panel,
    Paragraph,
    Run,
    SettingsPanel,
    SignatureBlock,
    Steps,
    Table,
    WriteLines,
)
from docbuilder.layout.compose import compose

UNSEEN = re.compile("[\u2066-\u2069\u200b]")


def seen(text: str) -> str:
    return " ".join(UNSEEN.sub("", text).split())


@pytest.fixture(scope="module", params=["en", "ar", "hi"])
def tree(request) -> tuple[str, Node]:
    return request.param, read_structure(compose(document(request.param)).pdf)


def test_the_order_of_text_is_the_order_of_blocks(tree):
    language, root = tree
    words = WORDS[language]
    text = seen(root.text)
    landmarks = [
        words["title"], words["body"], words["item"], words["step"], "ON", f"{words['body']} 11",
        words["stop"], words["yes"], words["no"], words["sign"], "DB-7F3K-22",
    ]  # fmt: skip
    place = 0
    for landmark in map(seen, landmarks):
        found = text.find(landmark, place)
        assert found >= 0, landmark
        place = found + len(landmark)


def test_headings_lists_links_and_languages(tree):
    language, root = tree
    words = WORDS[language]
    assert [seen(node.text) for node in root.of("H1")] == [words["title"]]
    assert [seen(node.text) for node in root.of("H2")] == [words["word"], *[words["title"]] * 2]
    value, unit = root.of("L")[0].of("LBody")[0].kids[:2]
    assert (value.text, unit.text) == ("200 ", "\u00b5s")
    assert [node.tag for node in root.of("L")[1].kids] == ["LI", "LI"]
    for item in root.of("LI"):
        assert {kid.tag for kid in item.kids} <= {"Lbl", "LBody"}
    assert [seen(node.text) for node in root.of("Link")] == [words["word"]]
    assert [n.text for n in root.of("Span") if n.language == "la"] == ["Musculus"]
    assert "3." in [seen(node.text) for node in root.of("Lbl")]
    assert [seen(node.text) for node in root.of("Lbl")].count("☐") == 2


def test_figures_have_alternate_text(tree):
    _language, root = tree
    figures = root.of("Figure")
    assert len(figures) == 4
    assert all(figure.alt for figure in figures)


def test_tables_have_scopes_and_one_head_over_many_pages(tree):
    language, root = tree
    long_table = root.of("Table")[0]
    rows = long_table.of("TR")
    assert len(rows) == 13
    assert len({page for row in rows for page in row.pages}) > 1
    assert [cell.scope for cell in rows[0].kids] == ["Column", "Column"]
    assert all([cell.tag for cell in row.kids] == ["TH", "TD"] for row in rows[1:])
    assert all(row.kids[0].scope == "Row" for row in rows[1:])
    assert seen(rows[0].text) == f"{WORDS[language]['word']}{WORDS[language]['title']}"


def test_calendar_cells_say_their_mark_in_words(tree):
    language, root = tree
    month = root.of("Table")[2]
    assert len(month.of("TR")) == 6
    assert [seen(cell.text) for cell in month.of("TH")] == WORDS[language]["days"].split()
    first_week = month.of("TR")[1].kids
    assert [cell.tag for cell in first_week] == ["TD"] * 7
    assert seen(first_week[0].text) == ""
    assert first_week[1].text == f"1{WORDS[language]['word']} 1"
    assert first_week[2].text == "2"


def test_one_element_for_a_paragraph_over_two_pages():
    long_text = " ".join([WORDS["en"]["body"]] * 24)
    root = read_structure(compose(document("en", (paragraph(long_text),))).pdf)
    (node,) = root.of("P")
    assert node.pages == {0, 1}
    assert seen(node.text) == seen(long_text)


@pytest.mark.parametrize(("first", "second"), [("en", "ar"), ("ar", "en"), ("en", "hi")])
def test_pairs_read_row_by_row_in_their_languages(first, second):
    root = read_structure(compose(document(first, (pairs(first, second),), text_pt=12.0)).pdf)
    (body,) = root.kids
    heads, sides = body.kids[:2], body.kids[2:]
    assert [seen(head.text) for head in heads] == [WORDS[first]["word"], WORDS[second]["word"]]
    assert [side.language for side in sides] == ["", second] * 8
    for one, other in zip(sides[::2], sides[1::2], strict=True):
        assert [kid.tag for kid in one.kids] == [kid.tag for kid in other.kids]
    assert seen(sides[0].text) == WORDS[first]["title"]
    assert seen(sides[1].text) == WORDS[second]["title"]


def test_columns_of_a_right_to_left_table_keep_their_logical_order():
    columns = tuple(Column(runs(name), 1) for name in ("ألف", "باء", "جيم"))
    table = Table(columns, ((runs("1"), runs("2"), runs("3")),))
    root = read_structure(compose(document("ar", (table,))).pdf)
    assert [cell.text.strip() for cell in root.of("TH")] == ["ألف", "باء", "جيم"]
    assert [cell.text.strip() for cell in root.of("TD")] == ["1", "2", "3"]


def test_a_block_without_words_leaves_no_element():
    empty: tuple[Block, ...] = (
        Paragraph((Run(""),)), ListBlock(()), Steps(()), Table((), ()), SettingsPanel((), ()),
        CalendarGrid((), ()), Columns((), ()), KeepTogether(()), Panel("plain", (), ()),
        Pairs((), "ar", True, ((), ())), SignatureBlock((), ()), WriteLines((), 0),
    )  # fmt: skip
    root = read_structure(compose(document("en", (Heading(1, runs("Title")), *empty))).pdf)
    assert [kid.tag for kid in root.kids] == ["H1"]


def test_isolates_steer_the_page_and_are_not_handed_on():
    title = "\u2068Title\u2069 12"
    heading = Heading(1, (Run(title, link="https://clinic.example/ä b(1)"),))
    pdf = compose(replace(document("en", (heading,)), title=title)).pdf
    with pikepdf.open(BytesIO(pdf)) as opened:
        assert str(opened.docinfo.Title) == "Title 12"
        (note,) = opened.pages[0].Annots
        assert str(note.A.URI) == "https://clinic.example/%C3%A4%20b(1)"
    with pymupdf.open(stream=pdf) as opened:
        assert opened.get_toc() == [[1, "Title 12", 1]]
