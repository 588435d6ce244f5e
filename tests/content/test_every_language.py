"""Every language on paper: read back by others, names of all scripts, pairs, longer texts."""

from __future__ import annotations

import re

import pymupdf
import pytest
from document_text import groups_of, text_of
from every_language import (
    CLINIC_AT,
    KINDS,
    NAMES,
    PLACEMENTS,
    PLURALS,
    TAGS,
    longer_words,
    longer_words_rtl,
    made,
    named,
    paired,
    sized,
)
from printed_text import (
    missing_sentences,
    name_places,
    printed_text,
    read_structure,
    squeezed,
    structure_text,
)

from docbuilder.content.bilingual import pair_documents
from docbuilder.language.isolates import has_rtl, without_isolates
from docbuilder.language.registry import known_languages
from docbuilder.language.words import load_words
from docbuilder.layout.compose import compose
from docbuilder.layout.lint import lint

TURNS = [*enumerate(TAGS)]


@pytest.mark.parametrize(("turn", "tag"), TURNS)
def test_pages_hold_every_sentence_of_the_catalogue_in_reading_order(turn, tag):
    """A paper of each language by turns; tests/bench/languages.py takes all of them."""
    words = load_words(tag, "GB")
    composed = compose(made(KINDS[turn % 4], PLACEMENTS[turn // 4], words))
    assert len(words.used) > 20
    assert missing_sentences(composed, words, PLURALS) == []
    assert "\ufffd" not in printed_text(composed)[0]


def test_a_sentence_that_is_not_on_the_pages_is_missed():
    words = load_words("ar", "GB")
    composed = compose(made("diary", PLACEMENTS[0], words))
    lost = next(key for key in words.entries if key[0] == "safety" and key not in words.used)
    words.used.add(lost)
    assert missing_sentences(composed, words, PLURALS) == [(lost[0], words.entries[lost].texts[0])]


@pytest.mark.parametrize("tag", TAGS)
def test_an_english_note_on_a_source_stays_on_english_paper(tag):
    """Elsewhere the reference stands bare, and a sentence says that the range is not all of it."""
    ranged = [one for one in sized(PLACEMENTS[0], False).settings if one.range_low is not None]
    noted = [one.source for one in ranged if one.source.note and one.source.mark == "published"]
    assert len(noted) > 1
    words = load_words(tag, "GB")
    text = without_isolates(text_of(made("checklist", PLACEMENTS[0], words)))
    text = text.replace("\u00a0", " ")
    told = words.gettext("%(citation)s; not every value of the range is from there")
    told = told.replace("\u00a0", " ")
    for source in noted:
        assert source.reference in text
        assert (source.note in text) == (tag == "en")
        assert (told % {"citation": source.reference} in text) == (tag != "en")
    numbers = {int(number) for number in re.findall(r"\[(\d+)\]", text)}
    assert numbers == set(range(1, len(numbers) + 1))


@pytest.mark.parametrize("kind", KINDS)
def test_no_space_follows_a_full_width_mark(kind):
    words = load_words("zh-Hans", "GB")
    for group in groups_of(made(kind, PLACEMENTS[0], words).blocks):
        text = "".join(run.text for run in group)
        assert not re.search("[、。！，：；？] ", text), text


OWN_DIGITS = {lang.tag: lang.native_zero for lang in known_languages() if lang.native_zero != "0"}


@pytest.mark.parametrize("tag", OWN_DIGITS)
def test_pages_steps_and_lists_count_in_the_digits_that_the_clinic_chose(tag):
    own = "".join(chr(ord(OWN_DIGITS[tag]) + digit) for digit in range(10))
    for digits, others in (("native", "0123456789"), ("latin", own)):
        words = load_words(tag, "GB", digits=digits)
        composed = compose(made("handout", PLACEMENTS[0], words))
        marks = [node.text for node in read_structure(composed.pdf).of("Lbl")]
        counted = [mark for mark in marks if any(char.isdigit() for char in mark)]
        assert len(counted) > 10
        assert not [mark for mark in counted if set(mark) & set(others)]
        two = f"{own[2]}" if digits == "native" else "2"
        total = str(composed.pages)
        if digits == "native":
            total = total.translate({ord("0") + at: char for at, char in enumerate(own)})
        foot = words.gettext("Page %(page)s of %(pages)s") % {"page": two, "pages": total}
        text = printed_text(composed)[0]
        assert squeezed(foot) in text
        assert "20Hz" in text


@pytest.mark.parametrize("digits", [("native", "latin"), ("latin", "native")])
def test_each_side_of_a_consent_form_keeps_its_digits(digits):
    both = [
        made("consent", PLACEMENTS[0], load_words(tag, "GB", digits=chosen))
        for tag, chosen in zip(("ar", "bn"), digits, strict=True)
    ]
    joined = pair_documents(*both, ("ar", "bn"))
    assert dict(joined.zeros) == {
        tag: OWN_DIGITS[tag]
        for tag, chosen in zip(("ar", "bn"), digits, strict=True) if chosen == "native"
    }  # fmt: skip


@pytest.mark.parametrize(("turn", "first"), TURNS)
def test_a_consent_form_in_two_languages_of_any_kind(turn, first):
    """Each language once on either side, by turns; the bench takes all 240 ordered pairs."""
    second = TAGS[(turn + 5) % len(TAGS)]
    case = PLACEMENTS[turn % len(PLACEMENTS)]
    large, paper = turn % 3 == 0, ("A4", "Letter")[turn % 2]
    document, both = paired(first, second, case, large, paper)
    composed = compose(document)
    assert [str(fault) for fault in lint(composed)] == []
    lost = [missing_sentences(composed, words, PLURALS) for words in both]
    # Head and foot of the pages are in the first language.
    assert (lost[0], [text for context, text in lost[1] if context]) == ([], [])


@pytest.mark.parametrize(("turn", "tag"), TURNS)
def test_names_of_any_script_stand_right_in_a_page_of_any_language(turn, tag):
    document, names = named(tag, turn)
    pdf = compose(document).pdf
    tags = structure_text(pdf)
    with pymupdf.open("pdf", pdf) as pages:
        for name in names:
            # The clinic's stands in the foot of the pages, which has no tags.
            assert squeezed(name) in tags or name == names[CLINIC_AT], name
            for word in name.split():
                places = name_places(pages, word)
                assert places, word
                for xs in places:
                    assert xs == sorted(xs, reverse=has_rtl(word)), word


def test_the_names_are_of_thirteen_kinds_of_letters_beyond_plain_english():
    assert len([name for name in NAMES.values() if not name.isascii()]) == len(TAGS) - 1
    together = {name for turn in range(len(TAGS)) for name in named("en", turn)[1]}
    assert together == set(NAMES.values())


@pytest.mark.parametrize("make", [longer_words, longer_words_rtl])
@pytest.mark.parametrize("case", PLACEMENTS, ids="-".join)
def test_two_fifths_longer_words_fit_in_both_directions(make, case):
    """Labels of drawings too. A single word may be parted in the head of a narrow table."""
    turn = PLACEMENTS.index(case)
    for kind, large in (("handout", turn % 2 == 0), (KINDS[1 + turn % 3], turn % 2 == 1)):
        composed = compose(made(kind, case, make(), large, ("Letter", "A4")[turn % 2]))
        faults = lint(composed)
        if kind != "handout":
            faults = [fault for fault in faults if fault.name != "parted word"]
        assert [str(fault) for fault in faults] == []
