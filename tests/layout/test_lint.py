"""Every fault of the page lint can be found, and a clean page has none."""

from __future__ import annotations

import pytest
from every_block import WORDS, document, named_scene, runs

from docbuilder.document.blocks import FigureBlock, Heading, Paragraph, Step, Steps
from docbuilder.errors import Refused
from docbuilder.layout.compose import Composed, compose, compose_unchecked
from docbuilder.layout.geometry import Frame
from docbuilder.layout.lint import lint
from docbuilder.layout.page_log import Lettering, PageLog, Placed

PAPER = Frame(0, 0, 600, 800)
BODY = Frame(50, 50, 550, 750)
BLACK, WHITE = (0.0, 0.0, 0.0), (1.0, 1.0, 1.0)


def letters(y: float, x: float = 60, **more: object) -> Lettering:
    given: dict[str, object] = {"room": BODY, "size_pt": 12.0, "ink": BLACK, "ground": WHITE}
    return Lettering(Frame(x, y, x + 100, y + 10), **given | more)  # type: ignore[arg-type]


def page(*things: Placed | Lettering, number: int = 1) -> PageLog:
    log = PageLog(number, PAPER, BODY)
    for thing in things:
        (log.placed if isinstance(thing, Placed) else log.lettering).append(thing)  # type: ignore[arg-type]
    return log


def names(*pages: PageLog) -> list[str]:
    return [fault.name for fault in lint(Composed(b"", len(pages), pages))]


def at_12_pt(*things: Placed | Lettering, number: int = 1) -> PageLog:
    log = page(*things, number=number)
    log.least_pt = 12.0
    return log


FULL = Placed("text", Frame(50, 100, 550, 740), box=99)


def test_a_clean_page_has_no_fault():
    assert names(page(FULL, letters(600), letters(580))) == []


@pytest.mark.parametrize(
    ("things", "name"),
    [
        ([letters(600, x=480)], "outside"),
        ([letters(600, x=-5, room=Frame(-50, 0, 600, 800))], "outside"),
        # A name in a drawing may have any room of its own and yet reach into the foot.
        ([letters(30, room=Frame(50, 20, 550, 60))], "outside"),
        ([Placed("panel", Frame(50, 30, 550, 90), box=1, overflow=20)], "outside"),
        ([letters(600), letters(595, x=120)], "overlap"),
        ([Placed("text", Frame(50, 90, 550, 120), box=1)], "overlap"),
        ([letters(600, size_pt=8.9)], "small type"),
        ([letters(600, ink=(0.36, 0.36, 0.36))], "contrast"),
        ([letters(600, ground=(0.3, 0.3, 0.3))], "contrast"),
        ([letters(600, parted=True)], "parted word"),
        ([Placed("heading", Frame(50, 110, 550, 130), 1, 1), letters(112)], "widowed heading"),
    ],
)
def test_each_fault_is_named(things, name):
    found = names(page(FULL, *things))
    assert found == [name]


def test_a_heading_with_words_below_it_is_no_widow():
    heading = Placed("heading", Frame(50, 130, 550, 150), 1, 1)
    assert names(page(FULL, heading, letters(132), letters(112))) == []
    # The footer does not count, nor words in the other column.
    assert "widowed heading" in names(page(FULL, heading, letters(30, furniture=True, room=PAPER)))
    narrow = Placed("heading", Frame(50, 130, 250, 150), 1, 1)
    assert "widowed heading" in names(page(FULL, narrow, letters(112, x=300)))


def test_nearly_empty_pages_but_the_last():
    short = Placed("text", Frame(50, 650, 550, 750), box=1)
    assert names(page(short), page(FULL, number=2)) == ["near-empty"]
    assert names(page(FULL), page(short, number=2)) == []


@pytest.mark.parametrize("kind", ["step", "signature", "month", "figure"])
def test_what_must_stay_whole_on_two_pages(kind):
    part = Placed(kind, Frame(60, 110, 540, 300), 1, 7)
    assert names(page(FULL, part), page(FULL, part, number=2)) == ["split"]
    text = Placed("text", Frame(60, 110, 540, 300), 1, 7)
    assert names(page(FULL, text), page(FULL, text, number=2)) == []


def test_words_that_are_read_are_12_pt_at_least():
    small = letters(600, size_pt=11.0)
    assert names(at_12_pt(FULL, small)) == ["small words"]
    assert names(page(FULL, small)) == []
    for aside in ("figure", "months", "signing fields"):
        beside = letters(600, size_pt=11.0, within=frozenset({"kept", aside}))
        assert names(at_12_pt(FULL, beside)) == []
    assert names(at_12_pt(FULL, letters(600, size_pt=11.0, furniture=True))) == []
    # A real page asks for the size of its body, up to 12 pt.
    composed = compose_unchecked(document("en", (Paragraph(runs("Note"), "small"),), text_pt=14.0))
    assert [log.least_pt for log in composed.log] == [12.0]
    dense = compose_unchecked(document("en", (Paragraph(runs("Note"), "small"),), text_pt=9.5))
    assert [log.least_pt for log in dense.log] == [9.5]
    assert lint(dense) == []
    label = FigureBlock(named_scene(WORDS["en"]), "alt", width_mm=60)
    assert lint(compose_unchecked(document("en", (label,), text_pt=12.0))) == []


def test_a_line_alone_on_its_page_is_a_widow():
    head, tail = (Placed("text", Frame(50, y, 550, y + 40), 1, 7) for y in (110, 700))
    full = FULL._replace(kind="panel")
    two = (letters(130), letters(112))
    alone = letters(705)
    assert names(page(full, head, *two), page(full, tail, alone, number=2)) == ["widow"]
    assert names(page(full, head, *two), page(full, tail, alone, letters(720), number=2)) == []
    # A head that is drawn again is no part of a paragraph.
    again = tail._replace(repeated=True)
    assert names(page(full, head, *two), page(full, again, alone, number=2)) == []


def test_real_paragraphs_leave_no_line_alone():
    """Whatever a paragraph's length before the end of its page."""
    words = WORDS["en"]["body"]
    found = set()
    for count in range(8, 30):
        blocks = (Paragraph(runs(words * count)), Paragraph(runs(words * 5)))
        composed = compose_unchecked(document("en", blocks))
        assert lint(composed) == []
        found.add(composed.pages)
    assert found == {1, 2}


def test_a_character_that_no_font_has_stops_the_page():
    with pytest.raises(Refused, match=r"U\+10380"):
        compose(document("en", (Paragraph(runs("Ugaritic \U00010380")),)))


def test_real_pages_with_real_faults():
    widow = compose_unchecked(document("en", (Heading(2, runs("Alone")),)))
    assert [fault.name for fault in lint(widow)] == ["widowed heading"]
    tall = compose_unchecked(document("en", (Steps((Step(runs("word " * 1500)),)),), text_pt=18.0))
    assert "outside" in {fault.name for fault in lint(tall)} or "split" in {
        fault.name for fault in lint(tall)
    }
    long_word = Paragraph(runs("w" * 400))
    parted = compose_unchecked(document("en", (long_word,)))
    assert {fault.name for fault in lint(parted)} == {"parted word"}
