"""Pages whose breaks are weighed: nothing lost, never more pages than plain filling makes."""

from __future__ import annotations

import pymupdf
import pytest
from every_block import WORDS, document, named_scene, paragraph, runs
from hypothesis import given, settings
from hypothesis import strategies as st
from structure_reader import painting_order, reading_order

from docbuilder.document.blocks import (
    Card,
    FigureBlock,
    Floating,
    Heading,
    KeepTogether,
    Landing,
    ListBlock,
    Pair,
    Pairs,
    Paragraph,
    Run,
    Table,
    WriteLines,
)
from docbuilder.document.blocks import Column as TableColumn
from docbuilder.layout.boxes import Gap, Room, Stack, fill
from docbuilder.layout.compose import compose
from docbuilder.layout.geometry import MM
from docbuilder.layout.lint import lint
from docbuilder.layout.pagination import Paginator
from docbuilder.layout.rows import Cell, Row


def lines(count, word="word"):
    return Paragraph((Run("\n".join([f"{word} " * 6] * count)),))


def boxes_of(sizes):
    made = []
    for height, kept, whole in sizes:
        box = Stack(100, [Gap(100, height / 2), Gap(100, height / 2)], whole=whole)
        box.keep_next = kept
        box.before = box.after = 6.0
        made.append(box)
    return made


SIZES = st.lists(st.tuples(st.integers(8, 150), st.booleans(), st.booleans()), max_size=14)


@settings(max_examples=150, deadline=None)
@given(SIZES, st.integers(160, 400))
def test_every_box_stands_once_in_its_order_and_inside_its_page(sizes, height):
    boxes = boxes_of([*sizes, (20, False, False)])
    pages = Paginator(height * 0.8, height).paginate(boxes).pages
    placed = [box.number for page in pages for box, _ in page.placed]
    wanted = [box.number for box in boxes]
    assert list(dict.fromkeys(placed)) == wanted
    assert sum(box.height for page in pages for box, _ in page.placed) == pytest.approx(
        sum(box.height for box in boxes), abs=len(placed) * 6.1
    )
    for index, page in enumerate(pages):
        feet = [at + box.height for box, at in page.placed]
        assert feet == sorted(feet)
        assert feet[-1] <= height * (1 if index else 0.8) + 0.01 or len(page.placed) == 1


@settings(max_examples=100, deadline=None)
@given(SIZES)
def test_weighing_never_takes_more_pages_than_filling(sizes):
    boxes = boxes_of([(height, False, False) for height, _, _ in sizes] or [(20, False, False)])
    plain, rest = 0, tuple(boxes)
    while rest:
        rest, plain = fill(rest, Room(300, 300)).rest, plain + 1
    assert len(Paginator(300, 300).paginate(boxes).pages) <= plain


CELL = st.lists(st.integers(10, 60), min_size=1, max_size=9)


def small_pieces(box):
    """Return the numbers of the pieces that nothing parts, in the order of the page."""
    if isinstance(box, Row):
        return [number for cell in box.cells for number in small_pieces(cell.stack)]
    if isinstance(box, Stack):
        return [number for inner in box.boxes for number in small_pieces(inner)]
    return [box.number]


def parted_row(sides, height, change=lambda stack: None):
    """Return two columns of pieces, which may part; *change* is made to each column before."""
    stacks = [Stack(50, [Gap(50, piece) for piece in side]) for side in sides]
    for stack in stacks:
        change(stack)
    row = Row(100, [Cell(0, stacks[0]), Cell(50, stacks[1])], False, long=height * 0.25)
    row.before = row.after = 9.0
    return row


def looser(stack):
    stack.gives = True
    for piece in stack.boxes:
        piece.before = piece.after = 12.0


def assert_nothing_is_lost(rows, height):
    pages = Paginator(height * 0.9, height).paginate(rows).pages
    placed = [number for page in pages for box, _ in page.placed for number in small_pieces(box)]
    assert sorted(placed) == sorted(number for row in rows for number in small_pieces(row))


@settings(max_examples=250, deadline=None)
@given(st.lists(st.tuples(CELL, CELL), min_size=2, max_size=6), st.integers(200, 320))
def test_nothing_is_lost_where_columns_of_unlike_pieces_are_parted(pairs, height):
    """Two ways to part a row can leave rests of one height that hold different pieces."""
    assert_nothing_is_lost([parted_row(sides, height) for sides in pairs], height)


@settings(max_examples=250, deadline=None)
@given(st.lists(st.tuples(CELL, CELL), min_size=2, max_size=6), st.integers(200, 320))
def test_nothing_is_lost_where_parted_columns_could_be_closer(pairs, height):
    """The part of a row that is on the page may be lower too; its rest must not go with it."""
    rows = [parted_row(sides, height, looser) for sides in pairs]
    assert_nothing_is_lost(rows, height)


def test_a_floating_piece_stands_where_pages_are_used_best_and_is_read_there():
    piece = Floating("note", (Heading(2, runs("Note")), lines(6, "note")))
    big = KeepTogether((Heading(2, runs("Big")), lines(30)))
    blocks = (Heading(1, runs("Title")), lines(18), Landing("note"), big, lines(12), piece)
    composed = compose(document("en", blocks))
    with pymupdf.open(stream=composed.pdf) as pdf:
        first = pdf[0].get_text()
    assert "Note" in first
    assert "Big" not in first
    assert reading_order(composed.pdf) == painting_order(composed.pdf)
    fixed = compose(document("en", tuple(b for b in blocks if not isinstance(b, Landing))))
    with pymupdf.open(stream=fixed.pdf) as pdf:
        assert "Note" not in pdf[0].get_text()
    assert lint(composed) == []


def test_of_two_floating_pieces_of_one_name_neither_is_lost():
    blocks = (
        Heading(1, runs("Title")), Landing("note"), lines(2, "between"),
        Floating("note", (lines(1, "first"),)), Floating("note", (lines(1, "second"),)),
    )  # fmt: skip
    with pymupdf.open(stream=compose(document("en", blocks)).pdf) as pdf:
        text = pdf[0].get_text()
    assert text.count("first") == text.count("second") == 6


def test_what_belongs_on_page_one_stands_closer_and_smaller_to_be_there():
    figure = FigureBlock(named_scene(WORDS["en"]), "alt", width_mm=90, least_mm=40)
    wanted = KeepTogether((Heading(2, runs("Where")), figure), page_one=True)
    for before in (18, 20, 22):
        blocks = (Heading(1, runs("Title")), lines(before), wanted, lines(30))
        composed = compose(document("en", blocks))
        (frame,) = [
            (page.number, box.frame)
            for page in composed.log
            for box in page.placed
            if box.kind == "picture"
        ]
        assert frame[0] == 1
        assert 40 * MM - 0.1 <= frame[1].width <= 90 * MM + 0.1
    assert frame[1].width < 90 * MM - 1


@pytest.mark.parametrize("tag", ["en", "ar"])
def test_a_card_stays_in_one_piece_with_two_equal_halves(tag):
    for before in range(30, 44, 3):
        card = Card((paragraph("front " * 30),), (paragraph("back " * 30),))
        composed = compose(document(tag, (lines(before), card)))
        (box,) = [box for page in composed.log for box in page.placed if box.kind == "card"]
        middle = (box.frame.x0 + box.frame.x1) / 2
        page = next(p for p in composed.log if box in p.placed)
        inside = [one.frame for one in page.lettering if box.frame.holds(one.frame)]
        assert all(f.x1 < middle or f.x0 > middle for f in inside)
        assert len(inside) >= 4


def test_a_table_that_belongs_to_the_one_above_stands_right_below_it():
    columns = (TableColumn(runs("One"), 1), TableColumn(runs("Two"), 1))
    table = Table(columns, (((), ()),) * 2, min_row_mm=9.1)
    below = Table(columns, (((), ()),), min_row_mm=9.1, attached=True)
    composed = compose(document("en", (table, below)))
    frames = [b.frame for b in composed.log[0].placed if b.kind == "table"]
    assert frames[0].y0 == pytest.approx(frames[1].y1)
    rows = [b.frame for b in composed.log[0].placed if b.kind == "table row"]
    assert all(frame.height >= 9 * MM for frame in rows)


def test_a_line_beside_its_label_is_clear_for_nine_millimetres():
    composed = compose(document("en", (WriteLines(runs("Date"), beside=True),)))
    (line,) = [b.frame for b in composed.log[0].placed if b.kind == "write line"]
    (label,) = [one.frame for one in composed.log[0].lettering if not one.furniture][:1]
    assert line.height >= 9 * MM - 0.01
    assert label.x1 < line.x0
    assert line.y0 - 4 < label.y0 < line.y0 + 6


@pytest.mark.parametrize("before", range(24, 40, 2))
def test_a_list_in_two_languages_leaves_no_item_alone(before):
    items = [ListBlock(((paragraph(f"item{n}"),),)) for n in range(4)]
    rows = [paragraph("before"), *items, *[lines(2)] * 9]
    pairs = Pairs(tuple(Pair(i, i) for i in rows), "hi", False, (runs("en"), runs("hi")))
    composed = compose(document("en", (lines(before), pairs)))
    with pymupdf.open(stream=composed.pdf) as pdf:
        for page in pdf:
            assert len({n for n in range(4) if f"item{n}" in page.get_text()}) in (0, 2, 4)
