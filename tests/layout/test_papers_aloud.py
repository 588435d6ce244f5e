"""What a screen reader is given of our own papers, read back by pikepdf and by poppler."""

from __future__ import annotations

import re
import shutil
import subprocess
from collections.abc import Iterator
from dataclasses import replace
from functools import cache
from io import BytesIO
from itertools import pairwise

import own_papers
import pikepdf
import pytest
from own_papers import plan
from structure_reader import Node, read_structure

from docbuilder.document.blocks import Document, Pairs
from docbuilder.layout.compose import compose

TIBIAL, ABDOMEN, SACRAL = "urgency-tibial-en", "urgency-lower-abdomen-ar", "child-sacral-en"
PAPERS = [
    ("handout", TIBIAL, "en"), ("handout", ABDOMEN, "ar"), ("handout", SACRAL, "es"),
    ("consent", TIBIAL, "en"), ("consent", ABDOMEN, "ar"), ("consent", "mixed-tibial-fr", "fr"),
    ("diary", TIBIAL, "en"), ("diary", ABDOMEN, "ur"), ("checklist", TIBIAL, "en"),
]  # fmt: skip
UNSEEN = re.compile("[\u2066-\u2069\u200b\u2060]")
UNSEEN_AND_SPACES = re.compile(r"[\u2066-\u2069\u200b\u2060\s]")


@cache
def paper(kind: str, name: str, tag: str) -> tuple[Document, bytes]:
    made = own_papers.document(kind, name, tag, False)
    return made, compose(made).pdf


@pytest.fixture(params=PAPERS, ids="-".join)
def made(request) -> tuple[Document, bytes]:
    return paper(*request.param)


def seen(text: str) -> str:
    return " ".join(UNSEEN.sub("", text).split())


def test_headings_go_down_one_level_at_a_time(made):
    document, pdf = made
    heads = [node for node in read_structure(pdf).walk() if re.fullmatch("H[1-6]", node.tag)]
    levels = [int(node.tag[1]) for node in heads]
    assert levels[0] == 1
    assert all(later - before <= 1 for before, later in pairwise(levels))
    assert all(node.text.strip() for node in heads)
    # A paper in two languages says its title in both.
    assert levels.count(1) == len({document.language, *seconds(document)})


def seconds(document: Document) -> set[str]:
    return {block.second_language for block in document.blocks if isinstance(block, Pairs)}


def test_lists_and_tables_are_whole(made):
    root = read_structure(made[1])
    for listed in root.of("L"):
        assert listed.kids
        assert {kid.tag for kid in listed.kids} == {"LI"}
    for item in root.of("LI"):
        assert {kid.tag for kid in item.kids} <= {"Lbl", "LBody"}
        assert "LBody" in {kid.tag for kid in item.kids}
    for table in root.of("Table"):
        rows = table.of("TR")
        assert {kid.tag for kid in table.kids} <= {"Caption", "TR"}
        assert len({len(row.kids) for row in rows}) == 1
        assert len(rows) * len(rows[0].kids) > 2, "one cell is no table"
        assert [cell.tag for cell in rows[0].kids] == ["TH"] * len(rows[0].kids)
        for head in table.of("TH"):
            assert head.scope in ("Column", "Row")
            assert head.text.strip() or head.alt


def test_the_title_is_shown_and_the_outline_repeats_the_headings(made):
    document_made, pdf = made
    with pikepdf.open(BytesIO(pdf)) as opened:
        assert seen(str(opened.docinfo.Title)) == seen(document_made.title)
        assert opened.Root.ViewerPreferences.DisplayDocTitle is True
        assert str(opened.Root.Lang) == document_made.language
        with opened.open_outline() as outline:
            listed = [str(item.title) for item in _items(outline.root)]
    # A paper in two languages is found by the headings of the first.
    headings = [
        seen(node.text)
        for node, language in told_in(read_structure(pdf), document_made.language)
        if re.fullmatch("H[1-3]", node.tag) and language == document_made.language
    ]
    assert headings
    assert [seen(title) for title in listed] == headings


def told_in(node: Node, language: str) -> Iterator[tuple[Node, str]]:
    """Yield every node with the language that holds for it."""
    language = node.language or language
    yield node, language
    for kid in node.kids:
        yield from told_in(kid, language)


def _items(items):
    for item in items:
        yield item
        yield from _items(item.children)


def test_poppler_reads_the_same_words_in_the_same_order(made, tmp_path):
    assert shutil.which("pdfinfo"), "Debian package poppler-utils"
    path = tmp_path / "paper.pdf"
    path.write_bytes(made[1])
    told = subprocess.run(
        ["pdfinfo", "-struct-text", str(path)], check=True, capture_output=True, text=True
    ).stdout
    words = "".join(re.findall(r'^ *"(.*)"$', told, re.M))
    ours = read_structure(made[1]).text

    def bare(text: str) -> str:
        return UNSEEN_AND_SPACES.sub("", text)

    # Poppler leaves out what a drawn shape reads as; all else is there in our order.
    assert len(bare(words)) > 0.9 * len(bare(ours))
    place = 0
    for line in re.findall(r'^ *"(.*)"$', told, re.M):
        found = bare(ours).find(bare(line), place)
        assert found >= 0, line
        place = found + len(bare(line))


@pytest.mark.parametrize("side", ["left", "right"])
def test_the_drawing_is_told_as_planned(side, monkeypatch):
    """Which pad where, how far and on which side stands in the alternate text."""
    computed = plan(TIBIAL, False)
    changed = replace(computed, prescription=replace(computed.prescription, side=side))
    monkeypatch.setattr(own_papers, "plan", lambda name, large: changed)
    root = read_structure(compose(own_papers.document("handout", TIBIAL, "en", False)).pdf)
    drawing = root.of("Figure")[0].alt
    for words in ("Pad 1", "inner ankle bone", "pad 2", "10 cm above", f"your {side} leg"):
        assert words in seen(drawing)
    assert {"left": "right leg", "right": "left leg"}[side] not in drawing


@pytest.mark.parametrize(
    ("name", "words"),
    [
        (ABDOMEN, ("front", "two pads", "pubic bone", "each side")),
        (SACRAL, ("behind", "pads", "each side")),
    ],
)
def test_the_trunk_is_told_by_view_and_pads(name, words):
    root = read_structure(compose(own_papers.document("handout", name, "en", False)).pdf)
    drawing = seen(root.of("Figure")[0].alt)
    assert all(word.lower() in drawing.lower() for word in words), drawing


@pytest.mark.parametrize("tag", ["ar", "fr"])
def test_the_second_language_is_told_where_it_stands(tag):
    name = {"ar": ABDOMEN, "fr": "mixed-tibial-fr"}[tag]
    spoken = {tag: "", "en": ""}
    for node, language in told_in(read_structure(paper("consent", name, tag)[1]), tag):
        if not node.kids and language in spoken:
            spoken[language] += node.text
    latin = re.compile(r"\b(the|you|your|and)\b")
    assert len(latin.findall(spoken["en"])) > 40
    assert latin.findall(spoken[tag]) == []
    if tag == "ar":
        # A name stays as it is written.
        english = spoken["en"].replace(plan(name, False).prescription.patient.name, "")
        assert not re.search("[\u0621-\u064a]{3}", english)
        assert re.search("[\u0621-\u064a]{3}", spoken["ar"])
