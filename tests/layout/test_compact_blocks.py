"""Short lists in two columns, steps in a grid, tables that fill their page."""

from __future__ import annotations

import pytest
from every_block import document, runs

from docbuilder.document.blocks import (
    CalendarDay,
    CalendarGrid,
    CalendarMonth,
    Column,
    Heading,
    ListBlock,
    Paragraph,
    Step,
    Steps,
    Table,
)
from docbuilder.layout.balanced import BalancedColumns
from docbuilder.layout.boxes import Gap, Room
from docbuilder.layout.compose import compose_unchecked
from docbuilder.layout.lint import faults_that_hurt, lint

SHORT = tuple((Paragraph(runs(f"Do not use it while you sleep or drive, number {n}.")),)
              for n in range(12))  # fmt: skip


def frames(composed, kind):
    return [box.frame for page in composed.log for box in page.placed if box.kind == kind]


@pytest.mark.parametrize("tag", ["en", "ar"])
def test_many_short_items_read_down_the_first_column_then_the_second(tag):
    composed = compose_unchecked(document(tag, (ListBlock(SHORT),)))
    items = frames(composed, "item")
    starts = [round(frame.x0) for frame in items]
    first, second = starts[0], starts[-1]
    assert (first < second) == (tag == "en")
    cut = starts.index(second)
    assert starts == [first] * cut + [second] * (12 - cut)
    assert cut in (6, 7)
    for column in (items[:cut], items[cut:]):
        tops = [frame.y1 for frame in column]
        assert tops == sorted(tops, reverse=True)
    assert lint(composed) == []


def test_few_or_long_items_stay_in_one_column():
    long = tuple(
        (Paragraph(runs("A long sentence that goes on for lines. " * 6)),) for _ in "abcdefg"
    )
    for items in (SHORT[:5], long):
        composed = compose_unchecked(document("en", (ListBlock(items),)))
        assert len({round(frame.x0) for frame in frames(composed, "item")}) == 1


@pytest.mark.parametrize("height", range(20, 140, 7))
def test_balanced_columns_lose_nothing_over_pages(height):
    items = [Gap(100, 8 + index % 3 * 6) for index in range(11)]
    rest, seen = BalancedColumns(220, 20, items, rtl=False), []
    while rest is not None:
        parts = rest.split(Room(height, 400)) if rest.height > height else None
        if parts is None:
            seen += rest.items
            break
        assert parts[0].height <= height + 0.01
        seen += parts[0].items
        rest = parts[1]
    assert seen == items


@pytest.mark.parametrize(
    ("tag", "text_pt", "across"), [("en", 14.0, 3), ("ar", 14.0, 3), ("en", 18.0, 2)]
)
def test_steps_stand_in_rows_in_reading_order(tag, text_pt, across):
    steps = Steps(tuple(Step(runs(f"Do this thing number {n} now.")) for n in range(5)), columns=3)
    composed = compose_unchecked(document(tag, (steps,), text_pt=text_pt))
    cells = frames(composed, "step")
    assert len(cells) == 5
    assert len({round(cell.y1) for cell in cells}) == -(-5 // across)
    row = [cell.x0 for cell in cells[:across]]
    assert row == sorted(row, reverse=tag == "ar")
    assert lint(composed) == []


def test_a_table_fills_its_page_and_no_more():
    columns = (Column(runs("Time"), 0.5), Column(runs("Drink"), 0.5))
    table = Table(columns, (((), ()),) * 3, min_row_mm=9.5, fill_page=True)
    filled = compose_unchecked(document("en", (table,)))
    plain = compose_unchecked(document("en", (Table(columns, table.rows, min_row_mm=9.5),)))
    assert filled.pages == plain.pages == 1
    assert len(frames(plain, "table row")) == 3
    rows = frames(filled, "table row")
    assert len(rows) > 10
    assert rows[-1].y0 - filled.log[0].body.y0 < rows[0].height
    followed = compose_unchecked(document("en", (table, Paragraph(runs("after")))))
    assert len(frames(followed, "table row")) == 3


def test_a_short_introduction_never_parts_from_what_it_introduces():
    for lines in range(20, 40):
        before = tuple(Paragraph(runs("x")) for _ in range(lines))
        blocks = (*before, Heading(2, runs("Head")), Paragraph(runs("You need these.")),
                  Steps(tuple(Step(runs("Do it.")) for _ in range(4))))  # fmt: skip
        composed = compose_unchecked(document("en", blocks))
        page_of = {
            kind: [page.number for page in composed.log for box in page.placed if box.kind == kind]
            for kind in ("heading", "step")
        }
        assert page_of["heading"][-1] == page_of["step"][0]


def test_narrow_months_take_shorter_names_that_read_in_full():
    wide, short = ("Donnerstags",) * 7, ("D",) * 7
    week = tuple(CalendarDay(str(day), "session", "Session", str(day)) for day in range(21, 28))
    months = tuple(CalendarMonth(f"Month {n}", wide, (week,) * 4, (short,)) for n in range(2))
    composed = compose_unchecked(document("en", (CalendarGrid(months, ()),), text_pt=14.0))
    assert len({round(frame.y1) for frame in frames(composed, "month")}) == 1
    assert faults_that_hurt(composed) == []
    large = compose_unchecked(document("en", (CalendarGrid(months, ()),), text_pt=18.0))
    assert len({round(frame.y1) for frame in frames(large, "month")}) == 2
    assert faults_that_hurt(large) == []


def test_heads_of_narrow_columns_shrink_before_a_word_is_parted():
    heads = ("Wochentag", "Stromstärke", "Hautzustand", "Beschwerden", "Anmerkungen")
    columns = tuple(Column(runs(head), 0.2) for head in heads)
    composed = compose_unchecked(document("en", (Table(columns, (((),) * 5,)),), text_pt=18.0))
    assert [fault.name for fault in lint(composed)] == []


def test_a_tied_code_wider_than_its_frame_breaks_at_a_hyphen():
    code = "H-\u2060" + "ABCDEFGH-\u2060" * 12 + "END"
    assert lint(compose_unchecked(document("en", (Paragraph(runs(code)),)))) == []
