"""A box that was drawn for one document is put into the next as it would be drawn."""

from __future__ import annotations

from dataclasses import replace

import pytest
from every_block import document, runs

from docbuilder import caching
from docbuilder.document.blocks import Heading, ListBlock, Paragraph, Run
from docbuilder.layout import tapes
from docbuilder.layout.compose import compose

BODY = (
    Heading(1, runs("Title")),
    Paragraph(runs("Same for all: 10\u00a0Hz, office, 200\u00a0µs.")),
    Heading(2, runs("A section")),
    ListBlock(tuple((Paragraph(runs(word)),) for word in ("one", "two", "three"))),
)


@pytest.fixture
def played(monkeypatch):
    """Count the tapes that were put on a page."""
    found = []
    play = tapes.Tape.play

    def counted(tape, pen, place):
        put = play(tape, pen, place)
        found.append(put)
        return put

    monkeypatch.setattr(tapes.Tape, "play", counted)
    return found


def fresh(one):
    caching.forget()
    return compose(one)


@pytest.mark.parametrize(
    "blocks",
    [
        BODY,
        (*BODY, Paragraph(runs("Another patient."))),
        # What follows stands lower, and in another order of first use.
        (BODY[0], Paragraph(runs("Ten lines. " * 40)), *BODY[1:]),
        # Glyphs that a document has put to another use, or given another code.
        (BODY[0], Paragraph(runs("ﬁrst oﬀer 5\u00a0km")), *BODY[1:]),
        (*BODY, Paragraph((Run("A link", link="https://example.org/"),))),
    ],
    ids=["same", "more behind", "lower", "other codes", "link"],
)
def test_bytes_and_log_are_those_of_a_drawing(blocks, played):
    plain, other = document("en", BODY), document("en", blocks)
    wanted, wanted_plain = fresh(other), fresh(plain)
    caching.forget()
    for _ in range(3):
        compose(plain)
    assert any(played)
    found = compose(other)
    assert found.pdf == wanted.pdf
    for page, drawn in zip(found.log, wanted.log, strict=True):
        assert unnumbered(page.placed) == unnumbered(drawn.placed)
        assert page.lettering == drawn.lettering
    assert compose(plain).pdf == wanted_plain.pdf


def unnumbered(placed):
    return [one._replace(box=0) for one in placed]


def test_what_moved_is_drawn_and_what_stayed_is_played(played):
    one = document("en", BODY)
    for _ in range(3):
        compose(one)
    played.clear()
    compose(one)
    assert played
    assert all(played)
    played.clear()
    compose(replace(one, blocks=(BODY[0], Paragraph(runs("More. " * 60)), *BODY[1:])))
    assert True in played
    assert False in played
