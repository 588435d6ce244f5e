"""What stays together, what says that it goes on, and what may stand closer."""

from __future__ import annotations

import pymupdf
import pytest
from every_block import WORDS, document, named_scene, paragraph, runs
from hypothesis import given, settings
from hypothesis import strategies as st

from docbuilder.document.blocks import (
    CalendarDay,
    CalendarGrid,
    CalendarMonth,
    Columns,
    FigureBlock,
    Heading,
    ListBlock,
    Panel,
    Paragraph,
    Run,
    Step,
    Steps,
)
from docbuilder.layout.boxes import LEAST_AIR, Gap, Room, Stack
from docbuilder.layout.compose import compose
from docbuilder.layout.lint import lint

TAGS = st.sampled_from(["en", "ar", "hi"])
PAPERS, SIZES = st.sampled_from(["A4", "Letter"]), st.sampled_from([14.0, 18.0])


def lines(count):
    return Paragraph((Run("\n".join(["word " * 6] * count)),))


def texts(composed):
    with pymupdf.open(stream=composed.pdf) as pdf:
        return [page.get_text() for page in pdf]


@settings(max_examples=40, deadline=None)
@given(before=st.integers(5, 38), paper=PAPERS, size=SIZES, tag=TAGS)
def test_a_drawing_above_steps_is_on_the_page_of_the_first_two(before, paper, size, tag):
    drawing = FigureBlock(named_scene(WORDS[tag]), "alt", width_mm=40)
    steps = Steps(tuple(Step(runs(f"step{n}")) for n in range(9)))
    beside = Columns((drawing,), (paragraph(WORDS[tag]["body"]),), 0.4)
    blocks = (Heading(1, runs("Title")), lines(before), Heading(2, runs("How")), beside, steps)
    composed = compose(document(tag, blocks, paper=paper, text_pt=size))
    shown = [page.number for page in composed.log for box in page.placed if box.kind == "picture"]
    page = texts(composed)[shown[0] - 1]
    assert "How" in page
    assert "step0" in page
    assert "step1" in page


@settings(max_examples=40, deadline=None)
@given(before=st.integers(0, 30), items=st.integers(8, 60), paper=PAPERS, size=SIZES)
def test_a_panel_says_on_every_later_page_that_it_goes_on(before, items, paper, size):
    listed = ListBlock(tuple((paragraph(f"item{n} " + "word " * 12),) for n in range(items)))
    panel = Panel("stop", runs("Never"), (listed,), "STOP", runs("Never (continued)"))
    blocks = (Heading(1, runs("Title")), lines(before), panel)
    pages = texts(compose(document("en", blocks, paper=paper, text_pt=size)))
    holding = [page for page in pages if "item" in page]
    said = ["(continued)" in " ".join(page.split()) for page in holding]
    assert said == [False] + [True] * (len(holding) - 1)
    assert all("Never" in page for page in holding)


@settings(max_examples=60, deadline=None)
@given(st.lists(st.integers(5, 40), min_size=2, max_size=8), st.floats(0, 1.2))
def test_a_stack_that_gives_fits_what_it_says_it_fits(heights, share):
    boxes = [Gap(50, height) for height in heights]
    for box in boxes:
        box.before = box.after = 10.0
    assert Stack(50, boxes).squeeze(sum(heights)) is None
    stack = Stack(50, boxes)
    stack.gives = True
    spare = (1 - LEAST_AIR) * 10.0 * (len(boxes) - 1)
    wanted = stack.height - share * spare
    lower = stack.squeeze(wanted)
    if 0 < share <= 0.999 and wanted < stack.height:
        assert lower is not None
        assert lower.height == pytest.approx(wanted)
        assert lower.boxes == stack.boxes
        assert lower.split(Room(wanted, 500)) is None
    elif share > 1.001:
        assert lower is None


@pytest.mark.parametrize("count", [4, 5, 7, 8])
@pytest.mark.parametrize("tag", ["en", "ar"])
def test_the_last_row_of_a_grid_of_steps_leaves_no_hole(count, tag):
    steps = Steps(tuple(Step(runs("word " * 5)) for _ in range(count)), columns=3)
    composed = compose(document(tag, (steps,)))
    (page,) = composed.log
    cells = [box.frame for box in page.placed if box.kind == "step"]
    rows = [box.frame for box in page.placed if box.kind == "steps"]
    assert len(cells) == count
    for row in rows:
        inside = [cell for cell in cells if row.y0 - 0.1 <= cell.y0 and cell.y1 <= row.y1 + 0.1]
        assert max(cell.x1 for cell in inside) == pytest.approx(row.x1, abs=0.5)
        assert min(cell.x0 for cell in inside) == pytest.approx(row.x0, abs=0.5)


@pytest.mark.parametrize(("months", "beside"), [(1, True), (2, False), (3, False), (5, True)])
def test_the_key_stands_beside_the_last_months_where_they_leave_room(months, beside):
    weeks = tuple(tuple(CalendarDay(str(7 * w + d + 1)) for d in range(7)) for w in range(4))
    grid = CalendarGrid(
        tuple(CalendarMonth(f"Month {n}", tuple("MTWTFSS"), weeks) for n in range(months)),
        (("session", "Session"), ("rest", "Rest day")),
    )
    composed = compose(document("en", (grid,)))
    assert lint(composed) == []
    (page,) = composed.log
    months_frames = [box.frame for box in page.placed if box.kind == "month"]
    (key,) = [box.frame for box in page.placed if box.kind == "key"]
    last = min(frame.y0 for frame in months_frames)
    assert (key.y0 >= last - 0.1) == beside


@settings(max_examples=30, deadline=None)
@given(st.integers(1, 5), st.integers(1, 30), TAGS)
def test_notes_of_a_narrow_column_never_make_the_row_higher(notes, other, tag):
    words = WORDS[tag]
    first = (lines(3), *[Paragraph(runs(words["body"]), "note")] * notes)
    heights = []
    for spills in (False, True):
        block = Columns(first, (lines(other),), 0.3, spills=spills)
        composed = compose(document(tag, (block,)))
        heights.append(sum(
            box.frame.height for page in composed.log for box in page.placed
            if box.kind == "columns"
        ))  # fmt: skip
    assert heights[1] <= heights[0] + 9
