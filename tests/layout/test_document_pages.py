"""The project's own documents on both papers and in both sizes of type, page by page."""

from __future__ import annotations

from dataclasses import replace

import pytest
from checkers import open_findings
from own_papers import KINDS, PLANS, TAGS, document
from structure_reader import painting_order, reading_order

from docbuilder.layout.compose import compose
from docbuilder.layout.lint import lint


def sample():
    """Every language with every kind, plan, paper and size by turns."""
    turn = 0
    for tag in TAGS:
        for kind in KINDS:
            if kind == "checklist" and tag != "en":
                continue
            paper = ("A4", "Letter")[turn % 2]
            large = turn // 2 % 2 == 1 if tag != "fr" else True
            yield kind, PLANS[turn % len(PLANS)], tag, paper, large
            turn += 1


@pytest.mark.parametrize(("kind", "name", "tag", "paper", "large"), [*sample()])
def test_no_page_has_a_fault(kind, name, tag, paper, large):
    composed = compose(replace(document(kind, name, tag, large), paper=paper))
    assert [str(fault) for fault in lint(composed)] == []
    # What a screen reader gets: three checkers' view, and the order as printed.
    assert open_findings(composed.pdf) == []
    assert reading_order(composed.pdf) == painting_order(composed.pdf)


@pytest.mark.parametrize(
    ("kind", "name", "tag", "large", "most"),
    [
        ("handout", "urgency-tibial-en", "en", False, 6),
        ("handout", "child-sacral-en", "en", False, 7),
        ("handout", "urgency-lower-abdomen-ar", "ar", True, 11),
        ("handout", "mixed-tibial-fr", "fr", False, 8),
        ("diary", "urgency-tibial-en", "en", False, 7),
        ("consent", "urgency-tibial-en", "en", False, 4),
        ("checklist", "urgency-tibial-en", "en", False, 3),
    ],
)
def test_documents_stay_short(kind, name, tag, large, most):
    assert compose(document(kind, name, tag, large)).pages <= most


def test_where_the_pads_go_stands_on_one_page_with_its_drawing():
    composed = compose(document("handout", "urgency-tibial-en", "en", False))
    figures = [page.number for page in composed.log for box in page.placed if box.kind == "figure"]
    assert figures[0] == 1
