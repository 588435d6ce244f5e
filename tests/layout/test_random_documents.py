"""Random documents of random blocks print without a fault of the page lint."""

from __future__ import annotations

from every_block import WORDS, all_blocks, document, pairs, paragraph, runs
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from docbuilder.document.blocks import Block, Heading, PageBreak, Paragraph
from docbuilder.layout.compose import compose
from docbuilder.layout.lint import lint

# A break or a document's first page may leave a page nearly empty: the author's choice.
AUTHORS_CHOICE = {"near-empty"}
LANGUAGES = st.sampled_from(["en", "ar", "hi"])


@st.composite
def blocks(draw: st.DrawFn, language: str) -> tuple[Block, ...]:
    words = WORDS[language]
    chosen: list[Block] = []
    for block in draw(st.lists(st.sampled_from(all_blocks(language)), min_size=1, max_size=12)):
        repeat = draw(st.integers(1, 25))
        is_break = isinstance(block, PageBreak)
        if isinstance(block, Heading) or (draw(st.booleans()) and not is_break):
            chosen.append(Heading(2, runs(words["title"])))
        if isinstance(block, Paragraph) and block.role == "body":
            block = paragraph(words["body"] * repeat)
        if not isinstance(block, Heading):
            chosen.append(block)
        elif chosen and isinstance(chosen[-1], Heading):
            chosen.append(paragraph(words["body"]))
    return (*chosen, paragraph(words["body"]))


@settings(max_examples=60, deadline=None, suppress_health_check=list(HealthCheck))
@given(data=st.data(), language=LANGUAGES, paper=st.sampled_from(["A4", "Letter"]))
def test_random_documents_are_clean(data, language, paper):
    text_pt = data.draw(st.sampled_from([12.0, 14.0, 18.0]))
    composed = compose(
        document(language, data.draw(blocks(language)), paper=paper, text_pt=text_pt)
    )
    assert [fault for fault in lint(composed) if fault.name not in AUTHORS_CHOICE] == []


@settings(max_examples=12, deadline=None)
@given(first=LANGUAGES, second=LANGUAGES, text_pt=st.sampled_from([12.0, 14.0, 18.0]),
       paper=st.sampled_from(["A4", "Letter"]))  # fmt: skip
def test_bilingual_documents_are_clean(first, second, text_pt, paper):
    composed = compose(document(first, (pairs(first, second),), text_pt=text_pt, paper=paper))
    assert [fault for fault in lint(composed) if fault.name not in AUTHORS_CHOICE] == []
