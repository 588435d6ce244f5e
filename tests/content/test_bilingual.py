"""Two languages side by side: aligned, filled in once, nothing lost."""

from __future__ import annotations

from dataclasses import replace

import pytest
from document_text import blocks_of, text_of
from example_plans import ISSUE, example_plan

from docbuilder.content.assemble import assemble
from docbuilder.content.bilingual import pair_documents
from docbuilder.document.blocks import (
    CheckItem,
    Heading,
    ListBlock,
    Pairs,
    Panel,
    Paragraph,
    Run,
    SignatureBlock,
    SignatureLine,
    Table,
    WriteLines,
)
from docbuilder.language.words import Words, load_words
from docbuilder.pack.catalogue_tool import project_messages

KEYS = {(found.context, found.msgid): found.plural for found in project_messages()}


ENGLISH = load_words("en", "GB")


class Marked(Words):
    """Words that mark each sentence with its language, so that it can be followed."""

    def date(self, day, style="long"):
        return ENGLISH.date(day, style)

    def list(self, items, kind="and"):
        return ENGLISH.list(items, kind)

    def weekday(self, weekday, width="wide"):
        return ENGLISH.weekday(weekday, width)

    def _look_up(self, context, msgid, plural, count):
        found = plural if plural and count != 1 else msgid
        return f"{found}⟦{self.tag}⟧"


def words(tag):
    return Marked(load_words(tag, "GB").language, "GB", {})


def made(tag, **changes):
    changes = {"language": "es", "interpreter_name": "Noor Sample", **changes}
    return assemble("consent", example_plan(**changes), words(tag), issue=ISSUE)


def paired(first, second, **changes):
    heads = (first.upper(), second.upper())
    return pair_documents(made(first, **changes), made(second, **changes), heads)


PEOPLE = [
    {},
    {"large_print": True},
    {"guardian_name": "Pat Sample"},
    {"indication": "child_overactive_bladder", "born": None, "guardian_name": "Pat Sample"},
    {"witness_line": False, "notices": ()},
]


@pytest.mark.parametrize("changes", PEOPLE)
@pytest.mark.parametrize(
    ("first", "second"), [("es", "en"), ("ar", "en"), ("ar", "ur"), ("en", "ar")]
)
def test_every_sentence_of_both_stands_in_the_joined_document(first, second, changes):
    document = paired(first, second, **changes)
    words_there = text_of(document)
    for tag in (first, second):
        alone = made(tag, **changes)
        for line in text_of(replace(alone, furniture=document.furniture)).splitlines()[:-1]:
            if f"⟦{tag}⟧" in line and "/" not in line:
                assert all(part in words_there for part in line.split("\n"))


def test_rows_are_the_same_block_in_both_languages():
    for pairs in blocks_of(paired("ar", "en").blocks, Pairs):
        for pair in pairs.pairs:
            first, second = sides(pair)
            assert first.replace("⟦ar⟧", "") == second.replace("⟦en⟧", "")


def sides(pair):
    parts = []
    for block in (pair.first, pair.second):
        text = "".join(run.text for run in runs(block))
        text = "".join(char for char in text if char not in "\u2066\u2067\u2068\u2069")
        parts.append(text.partition(" (Yes")[0])
    return parts


def runs(block):
    return blocks_of(block, Run)


def test_long_lists_are_aligned_item_by_item():
    document = paired("es", "en")
    lists = [
        pair.first
        for pairs in blocks_of(document.blocks, Pairs)
        for pair in pairs.pairs
        if isinstance(pair.first, ListBlock)
    ]
    assert lists
    assert all(len(block.items) == 1 for block in lists)


def test_a_box_and_a_line_to_write_on_stand_once():
    document = paired("es", "en")
    alone = made("es")
    for kind in (CheckItem, WriteLines, SignatureLine, SignatureBlock):
        assert len([*blocks_of(document.blocks, kind)]) == len([*blocks_of(alone.blocks, kind)])
    for pairs in blocks_of(document.blocks, Pairs):
        for pair in pairs.pairs:
            assert not [*blocks_of(pair.second, CheckItem), *blocks_of(pair.second, WriteLines)]


def test_signature_labels_name_both_languages_each_in_its_own():
    document = paired("ar", "en")
    lines = [*blocks_of(document.blocks, SignatureLine)]
    for item in lines:
        assert item.role or item is lines[-1]  # the withdrawal's statement says who signs
        assert not item.role or {run.language for run in item.role if "⟦en⟧" in run.text} == {"en"}
        assert all("⟦ar⟧" in label and "⟦en⟧" not in label for label, _ in item.fields)
        assert len(item.second_labels) == len(item.fields)
        assert all("⟦en⟧" in label for label in item.second_labels)
        assert (item.second_language, item.second_rtl) == ("en", False)


def test_the_statement_stays_with_its_signature():
    for block in blocks_of(paired("es", "en").blocks, SignatureBlock):
        assert block.statement == ()
    assert "I agree to use TENS at home as this form says.⟦en⟧" in text_of(paired("es", "en"))


def test_empty_tables_are_joined_and_titles_stand_in_the_first_pair():
    document = paired("es", "en")
    (table,) = blocks_of(document.blocks, Table)
    assert "⟦es⟧\nDate⟦en⟧" in "".join(run.text for run in table.columns[0].header)
    first = document.blocks[0]
    assert isinstance(first, Pairs)
    assert isinstance(first.pairs[0].first, Heading)
    assert first.heads == ((Run("ES"),), (Run("EN", language="en"),))
    assert (first.second_language, first.second_rtl) == ("en", False)


def test_direction_and_furniture_follow_the_first_language():
    document = paired("ar", "en")
    assert document.rtl
    assert document.language == "ar"
    assert document.furniture.initials_label.count("⟦") == 2
    assert paired("en", "ar").blocks[0].second_rtl


def test_large_print_is_sixteen_point_in_two_columns():
    assert paired("es", "en", large_print=True).text_pt == 16.0
    assert paired("es", "en").text_pt == 12.0


def test_other_structures_are_refused():
    one, other = made("es"), made("en")
    with pytest.raises(ValueError, match="zip"):
        pair_documents(one, replace(other, blocks=other.blocks[:-1]), ("a", "b"))
    swapped = (Paragraph((Run("x"),)), *other.blocks[1:])
    with pytest.raises(ValueError, match="stands beside"):
        pair_documents(one, replace(other, blocks=swapped), ("a", "b"))
    with pytest.raises(ValueError, match="two languages"):
        pair_documents(one, one, ("a", "b"))
    panels = [block for block in other.blocks if isinstance(block, Panel)]
    bare = tuple(replace(b, blocks=()) if b in panels else b for b in other.blocks)
    with pytest.raises(ValueError, match="panels"):
        pair_documents(one, replace(other, blocks=bare), ("a", "b"))
