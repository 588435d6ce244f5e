"""Random documents of random blocks print without a fault of the page lint."""

from __future__ import annotations

from every_block import WORDS, all_blocks, document, paragraph, runs, signature
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from docbuilder.document.blocks import (
    Block,
    CalendarGrid,
    FigureBlock,
    Heading,
    KeepTogether,
    ListBlock,
    PageBreak,
    Pair,
    Pairs,
    Panel,
    Paragraph,
    SettingsPanel,
)
from docbuilder.layout.compose import compose
from docbuilder.layout.lint import lint

# A break or a document's first page may leave a page nearly empty, and a compact table in a
# page of 12 pt is small: the author's choice.
AUTHORS_CHOICE = {"near-empty", "small words"}
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


# Too wide for half a page, or not part of a bilingual text.
ALONE = (CalendarGrid, PageBreak, Pairs, SettingsPanel)


@st.composite
def random_pairs(draw: st.DrawFn, first: str, second: str) -> tuple[Block, ...]:
    both = [
        (one, other)
        for one, other in zip(all_blocks(first), all_blocks(second), strict=True)
        if not isinstance(one, ALONE) and not (isinstance(one, FigureBlock) and one.scene.true_size)
    ]
    chosen: list[Block] = []
    for group in draw(
        st.lists(st.lists(st.sampled_from(both), min_size=1, max_size=6), max_size=4)
    ):
        heads = runs(WORDS[first]["word"]), runs(WORDS[second]["word"])
        if draw(st.booleans()):
            heads = ((), ())
        rows = tuple(
            Pair(one, other)
            for (one, other), (before, _) in zip(group, [group[-1], *group], strict=False)
            if not (isinstance(one, Heading) and isinstance(before, Heading))
        )
        body = Pairs(rows, second, second == "ar", heads)
        chosen.append(KeepTogether((body,)) if draw(st.booleans()) else body)
        chosen.append(
            draw(st.sampled_from([paragraph(WORDS[first]["body"]), signature(WORDS[first])]))
        )
    return (*chosen, paragraph(WORDS[first]["body"]))


@settings(max_examples=40, deadline=None, suppress_health_check=list(HealthCheck))
@given(data=st.data(), first=LANGUAGES, second=LANGUAGES, paper=st.sampled_from(["A4", "Letter"]))
def test_bilingual_documents_are_clean(data, first, second, paper):
    text_pt = data.draw(st.sampled_from([12.0, 14.0, 18.0]))
    blocks = data.draw(random_pairs(first, second))
    composed = compose(document(first, blocks, text_pt=text_pt, paper=paper))
    assert [fault for fault in lint(composed) if fault.name not in AUTHORS_CHOICE] == []


def test_a_lower_form_of_the_last_row_makes_the_rows_fit():
    """A panel may stand closer inside: then the pairs around it fit, and none is too tall."""
    title = runs("Your treatment at home")
    said = runs(
        "The current goes through the skin to the nerve. It should feel strong, but it must "
        "never hurt. You can stop at any time."
    )
    items = ListBlock(((paragraph("Two pads, \u206650\u00a0mm × 50\u00a0mm\u2069"),),))
    panel = Panel("stop", title, (Paragraph(said), items), sign_word="STOP")
    lead, heading = Paragraph(said, "lead"), Heading(1, title)
    rows = tuple(Pair(one, one) for one in (lead, heading, panel))
    pairs = Pairs(rows, "en", False, (runs("Session"), runs("Session")))
    for size in range(68, 80):
        blocks = (pairs, Paragraph(said), Paragraph(said))
        made = document("en", blocks, text_pt=size / 4, paper="Letter")
        assert [fault for fault in lint(compose(made)) if fault.name not in AUTHORS_CHOICE] == []
