"""Forms to write in: pages evenly filled, rows high enough, heads large enough to read."""

from __future__ import annotations

from dataclasses import replace

import pytest
from every_block import document, runs
from hypothesis import given, settings
from hypothesis import strategies as st
from own_papers import TAGS
from own_papers import document as own_paper

from docbuilder.document.blocks import Column, KeepTogether, PageBreak, Table
from docbuilder.layout.boxes import Filled, Gap, Stack, spread
from docbuilder.layout.compose import compose
from docbuilder.layout.geometry import MM
from docbuilder.layout.lint import lint
from docbuilder.layout.pagination import Paginator
from docbuilder.layout.rows import Cell, Row

COLUMNS = (Column(runs("Day"), 0.3), Column(runs("Strength"), 0.3), Column(runs("Notes"), 0.4))


def week(rows, least=9.45, most=12.5):
    empty = ((), (), ())
    above = Table(COLUMNS, (empty,) * rows, min_row_mm=least, most_row_mm=most)
    below = Table(COLUMNS, (empty,), min_row_mm=least, most_row_mm=most, attached=True)
    return KeepTogether((above, below))


def rows_of(page):
    return [box.frame for box in page.placed if box.kind == "table row"]


def row(height, most):
    return Row(100, [Cell(0, Stack(100, [Gap(100, height)]))], False, most=most)


@settings(max_examples=100, deadline=None)
@given(
    st.lists(st.tuples(st.integers(10, 30), st.integers(0, 45)), max_size=12), st.integers(0, 90)
)
def test_rows_grow_into_the_free_room_and_no_further(sizes, free):
    boxes, y = [], 0.0
    for height, most in sizes:
        boxes.append((row(height, most), y))
        y += height + 5
    page = Filled(tuple(boxes), (), y - 5 if boxes else 0.0)
    grown = spread(page, page.height + free)
    wanted = min(free, sum(max(0, most - height) for height, most in sizes))
    assert grown.height == pytest.approx(page.height + wanted)
    for (before, _), (after, at), (height, most) in zip(
        page.placed, grown.placed, sizes, strict=True
    ):
        assert height <= after.height + 0.01
        assert after.height <= max(height, most) + 0.01
        assert after.number == before.number
        assert at + after.height <= grown.height + 0.01
    tops = [at for _, at in grown.placed]
    feet = [at + box.height for box, at in grown.placed]
    assert tops[1:] == [pytest.approx(foot + 5) for foot in feet[:-1]]


@settings(max_examples=60, deadline=None)
@given(st.integers(1, 14), st.integers(60, 190), st.integers(400, 700))
def test_like_pieces_are_spread_over_no_more_pages_than_they_need(count, height, page):
    boxes = []
    for _ in range(count):
        box = Stack(100, [Gap(100, height)], whole=True)
        box.kind, box.before, box.after = "kept", 12.0, 12.0
        boxes.append(box)
    pages = Paginator(page, page).paginate(boxes).pages
    each = [len(found.placed) for found in pages]
    most = int((page + 12.01) // (height + 12))
    assert sum(each) == count
    assert len(each) <= -(-count // most)
    if most <= 5:  # so many places before the last are tried as the end of a page
        assert min(each) >= count // len(each) - 1


@pytest.mark.parametrize("paper", ["A4", "Letter"])
@pytest.mark.parametrize("weeks", [3, 5, 6, 9])
def test_weeks_leave_no_page_with_one_alone(paper, weeks):
    blocks = (*(week(3) for _ in range(weeks)), PageBreak(), week(3))
    composed = compose(replace(document("en", blocks), paper=paper, text_pt=12.0))
    *pages, _ = composed.log
    counts = [len(rows_of(page)) // 4 for page in pages]
    assert sum(counts) == weeks
    assert max(counts) - min(counts) <= 2
    assert min(counts) > 1 or weeks < 4
    assert not lint(composed)


def test_rows_stay_within_their_least_and_their_greatest_height():
    composed = compose(document("en", (week(3), week(3))))
    heights = {round(frame.height / MM, 1) for frame in rows_of(composed.log[0])}
    assert heights == {12.5}
    full = compose(replace(document("en", tuple(week(3) for _ in range(12))), text_pt=12.0))
    for page in full.log:
        for frame in rows_of(page):
            assert 9.44 <= frame.height / MM <= 12.51


@pytest.mark.parametrize("tag", TAGS)
def test_heads_of_a_large_diary_are_as_large_as_what_is_read(tag):
    paper = own_paper("diary", "urgency-tibial-en", tag, True)
    composed = compose(replace(paper, paper="Letter"))
    heads = [
        line.size_pt
        for page in composed.log
        for line in page.lettering
        if "table head" in line.within
    ]
    assert heads
    assert min(heads) >= 16
    assert not lint(composed)
