"""Every protocol, site and side from the shipped knowledge makes all its documents."""

from __future__ import annotations

from datetime import date
from functools import cache

import pytest
from document_text import blocks_of, outline, sentences_of, strings_of, text_of
from every_case import CASES, plan
from example_plans import CLINIC, ISSUE

from docbuilder.content.assemble import assemble
from docbuilder.content.bilingual import pair_documents
from docbuilder.document.blocks import FigureBlock, Step
from docbuilder.figures.steps import step_scene
from docbuilder.language.isolates import without_isolates
from docbuilder.language.pseudo import PSEUDO, pseudo_words
from docbuilder.language.readability import measure_texts
from docbuilder.language.words import load_words
from docbuilder.pack.catalogue_tool import project_messages

KINDS = ("handout", "consent", "diary", "checklist")
KEYS = [((found.context, found.msgid), found.plural) for found in project_messages()]


@cache
def made(kind, case):
    return made_in(kind, case, load_words("en", "GB"))


def made_in(kind, case, words):
    return assemble(kind, plan(*case), words, issue=ISSUE)


@pytest.mark.parametrize("case", CASES, ids="-".join)
@pytest.mark.parametrize("kind", KINDS)
def test_documents_stand_and_read_easily(kind, case):
    document = made(kind, case)
    assert outline(document)[0][0] == 1
    if kind == "checklist":
        return
    reading = measure_texts(sentences_of(document), "en")
    grade = next(score for score in reading.scores if score.name == "Flesch-Kincaid grade")
    assert grade.value <= (8.0 if kind == "consent" else 6.0)
    if kind == "handout":
        assert reading.long_sentences == ()


@pytest.mark.parametrize("case", CASES, ids="-".join)
def test_safety_texts_and_settings_of_the_plan_all_print(case):
    computed, handout = plan(*case), text_of(made("handout", case))
    say = load_words("en", "GB")
    texts = [*computed.stop_and_call, *computed.never_place, *computed.do_not_use]
    texts += [*computed.handout_cautions, *computed.follow_up.red_flags, computed.strength_rule]
    for message in texts:
        assert without_isolates(say.text(message)) in handout
    steps = [*blocks_of(made("handout", case).blocks, Step)]
    shown = [step.display for step in steps if step.display]
    assert shown == [step.shows for step in computed.steps if step.shows]
    consent = text_of(made("consent", case))
    content = computed.consent
    for message in (
        *content.benefit, *content.uncertainty, *content.common_risks, *content.serious_risks,
        *content.personal_risks, *content.alternatives, *content.renew_if, content.condition,
        content.purpose, *(notice.patient_text for notice in computed.notices),
    ):  # fmt: skip
        assert without_isolates(say.text(message)) in consent
    checklist = text_of(made("checklist", case))
    for finding in computed.findings:
        if finding.severity != "note":
            assert without_isolates(say.text(finding.message)) in checklist


@pytest.mark.parametrize("case", CASES, ids="-".join)
def test_figures_are_told_in_words(case):
    for figure in blocks_of(made("handout", case).blocks, FigureBlock):
        assert len(figure.alt) > 20
    silent = []
    for step in blocks_of(made("handout", case).blocks, Step):
        assert not step.picture_alt or step.picture is not None
        silent += [step.picture] if step.picture and not step.picture_alt else []
    # These only repeat their sentences.
    words_alone = ("kit", "skin_look", "switch_off", "skin_look", "pads_away")
    assert silent == [step_scene(name) for name in words_alone]


SOME = [next(case for case in CASES if case[:2] == wanted) for wanted in (
    ("child_overactive_bladder", "sacral"), ("weak_pelvic_floor", "sacral"),
    ("urge_leakage", "tibial"), ("period_pain", "lower_abdomen"),
)]  # fmt: skip


@pytest.mark.parametrize("case", SOME, ids="-".join)
@pytest.mark.parametrize("kind", KINDS)
def test_no_english_is_left_in_another_language(kind, case):
    document = made_in(kind, case, pseudo_words("GB", KEYS))
    allowed = set(_words(" ".join(_written(plan(*case)))))
    left = [
        word for text in strings_of((document.blocks, document.furniture)) for word in _words(text)
    ]
    assert sorted({word for word in left if word not in allowed}) == []
    assert document.language == PSEUDO.tag


def _words(text):
    plain = without_isolates(text)
    letters = "".join(char if char.isascii() and char.isalpha() else " " for char in plain)
    whole = "".join(char if not char.isalpha() or char.isascii() else "\u0000" for char in plain)
    kept = "".join(a if b != "\u0000" else "\u0000" for a, b in zip(letters, whole, strict=True))
    return [word for word in kept.split() if "\u0000" not in word and len(word) > 2]


def _written(computed):
    """Yield what stands as it was written: names, keys, citations, formatted dates."""
    yield from (
        "Ada Example DEMO Pat Sample Jordan Placeholder physio Weighed together", CLINIC.name,
        CLINIC.email, computed.unit.name, " ".join(computed.unit.keys), "and min",
        "DOC HAND CONS Spanish English aa bb", ISSUE.document_id, computed.consent.digest, "page",
        "pages", "contact never",  # the names of floating pieces
    )  # fmt: skip
    english = load_words("en", "GB")
    for month in range(1, 13):
        for style in ("full", "long", "medium", "short"):
            yield english.date(date(2027, month, 1), style)
    yield from english.weekday_names("wide")
    yield from english.weekday_names("abbreviated")
    yield from (step.shows for step in computed.steps)
    for source in (
        *(setting.source for setting in computed.settings),
        *(finding.source for finding in computed.findings if finding.source),
    ):
        yield source.citation


@pytest.mark.parametrize("case", SOME, ids="-".join)
def test_any_consent_form_pairs_with_another_language(case):
    english = made("consent", case)
    other = made_in("consent", case, pseudo_words("GB", KEYS))
    joined = pair_documents(other, english, ("Pseudo", "English"))
    assert len(joined.blocks) > 5
