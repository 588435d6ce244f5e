"""No value is ever read as markup, whatever is written in it."""

from __future__ import annotations

from decimal import Decimal

import pytest
from document_text import blocks_of, runs_of
from example_plans import ISSUE, example_plan
from hypothesis import given
from hypothesis import strategies as st

from docbuilder.content.assemble import assemble
from docbuilder.content.job import Job
from docbuilder.content.markdown import parse_blocks
from docbuilder.content.tokens import Prose, TemplateFault, TokenStore
from docbuilder.document.blocks import (
    Heading,
    ListBlock,
    Paragraph,
    Run,
    SignatureLine,
    Table,
)
from docbuilder.language.words import load_words
from docbuilder.model.message import Quantity

HOSTILE = [
    "**bold** and _soft_",
    "# not a heading",
    "- not a list",
    "1. not a list",
    "| a | b |",
    "[click](javascript:alert(1))",
    "<b>fat</b> & &amp; &#8203;",
    "{{ plan }} {% if x %} {# no #}",
    "%(goal)s %s 100 %",
    "![x](https://example.org/x.png)",
    "`code` \\* \\n",
    "::: panel",
    "\ue000\ue100\ue00f",
    "https://example.org <desk@example.org>",
    "Ärger, 名前, اسم, नाम",
]
SHAPES = ["# {}", "## {}", "{}", "**{}**", "- {}", "1. {}", "| A | B |\n|---|---|\n| {} | x |"]


@pytest.mark.parametrize("shape", SHAPES)
@pytest.mark.parametrize("value", HOSTILE)
def test_a_value_comes_out_as_it_went_in_as_one_run(shape, value):
    store = TokenStore()
    blocks = parse_blocks(shape.format(store.fact(value)), store)
    assert [run.text for run in runs_of(blocks) if run.text not in ("A", "B", "x")] == [value]
    assert not any(run.link for run in runs_of(blocks))
    assert len(blocks) == 1


@given(st.text(st.characters(exclude_categories=("Cs",)), min_size=1))
def test_any_text_at_all(value):
    store = TokenStore()
    (block,) = parse_blocks(f"before {store.fact(value)} after", store)
    assert isinstance(block, Paragraph)
    kept = "".join(" " if char in "\r\n\t\v\f\x85\u2028\u2029" else char for char in value)
    text = "".join(run.text for run in block.runs)
    assert text.startswith("before ")
    assert text.endswith(" after")
    assert text[7:-6].replace(" ", "") == kept.replace(" ", "")


FIELDS = {
    "handout": ("goal",),
    "consent": ("name", "record_number", "guardian_name", "interpreter_name"),
    "diary": ("goal",),
    "checklist": ("name", "record_number"),
}


@pytest.mark.parametrize("kind", FIELDS)
@pytest.mark.parametrize("value", HOSTILE)
def test_written_fields_print_verbatim_in_every_document(kind, value):
    plan = example_plan(**dict.fromkeys(FIELDS[kind], value))
    document = assemble(kind, plan, load_words("en", "GB"), issue=ISSUE)
    held = [*runs_of(document.blocks), *prefilled(document)]
    holding = [text for text in map(run_text, held) if value in text]
    assert len(holding) >= len(FIELDS[kind]) - 1


def prefilled(document):
    for block in blocks_of(document.blocks, SignatureLine):
        yield from block.prefilled


def run_text(part):
    return part.text if isinstance(part, Run) else part


def test_a_forged_token_in_a_template_or_catalogue_is_a_fault():
    with pytest.raises(TemplateFault, match="token"):
        parse_blocks("Hello \ue000\ue105\ue00f", TokenStore())


@pytest.mark.parametrize(
    "source",
    [
        "*soft*",
        "_soft_",
        "`code`",
        "a\n\n    indented code",
        "> quoted",
        "a\n\n***\n\nb",
        "![x](https://example.org/x.png)",
        "<b>fat</b>",
        "<div>\nbox\n</div>",
        "a &copy; b",
        "[x](javascript:alert)",
        "[x](http://example.org)",
        "[x][y]\n\n[y]: https://example.org",
        "#### too deep",
        '[x](https://example.org "title")',
    ],
)
def test_what_a_document_cannot_hold_is_a_fault(source):
    with pytest.raises(TemplateFault):
        parse_blocks(source, TokenStore())


def test_what_a_document_can_hold():
    source = (
        "# One\n\nText with **bold** and [a page](https://example.org/a).\n\n- item\n- **item**\n\n"
        "Next.\n\n| A | B |\n|:--|--:|\n| 1 | 2 |\n"
    )
    heading, paragraph, bullets, following, table = parse_blocks(source, TokenStore())
    assert heading == Heading(1, (Run("One"),))
    assert paragraph == Paragraph(
        (
            Run("Text with "),
            Run("bold", bold=True),
            Run(" and "),
            Run("a page", link="https://example.org/a"),
            Run("."),
        )
    )
    assert isinstance(bullets, ListBlock)
    assert bullets.items[1] == (Paragraph((Run("item", bold=True),)),)
    assert following == Paragraph((Run("Next."),))
    assert isinstance(table, Table)
    assert [column.align for column in table.columns] == ["start", "end"]


@pytest.mark.parametrize(
    "text", ["# 1", "- one", "1. First", "12) Second", "> more", "+ plus", "a | b", "* star"]
)
def test_a_translation_cannot_open_a_block(text):
    store = TokenStore()
    blocks = parse_blocks(Prose.from_catalogue(text), store)
    assert blocks == (Paragraph((Run(text),)),)


def test_only_facts_fill_placeholders():
    with pytest.raises(TemplateFault, match="not filled with a fact"):
        _ = Prose("Call %(name)s") % {"name": "**Ada**"}


def job(tag: str) -> Job:
    return Job("handout", example_plan(), load_words(tag, "GB"), ISSUE)


def test_direction_controls_are_dropped_from_written_text():
    assert job("en").text("Ada\u202e Example\u2069").text == "Ada Example"


def test_names_and_numbers_are_isolated_in_a_right_to_left_language():
    arabic = job("ar")
    assert arabic.text("Ada").text == "\u2068Ada\u2069"
    assert arabic.phone("+44 20").text == "\u2066+44\u00a020\u2069"
    assert arabic.phone("+44 20").link == "tel:+4420"
    assert arabic.quantity(Quantity(Decimal(20), "min")).text == "\u206620\u00a0min\u2069"


def test_codes_are_not_broken_at_their_hyphens():
    for tag, text in (("en", "H-7Q-EN"), ("ar", "\u2066H-7Q-EN\u2069")):
        assert job(tag).ltr("H-7Q-EN").text == text.replace("-", "-\u2060")


def test_written_text_says_in_which_language_it_is():
    assert job("en").text("Hola", "es").language == "es"
    assert job("en").text("Hello", "en").language is None


@pytest.mark.parametrize("value", [None, True, "text", 1.5, ("a",)])
def test_a_value_of_no_printing_type_is_a_fault(value):
    with pytest.raises(TemplateFault):
        job("en").fact(value)
