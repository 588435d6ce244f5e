"""What the clinic wrote itself: in the paper's language, or left out and told."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import time

import pytest
from document_text import text_of
from example_plans import ISSUE, example_plan

from docbuilder.content.assemble import assemble
from docbuilder.content.job import PackFile
from docbuilder.language.catalogue import catalogue_paths
from docbuilder.language.registry import known_languages
from docbuilder.language.words import load_words
from docbuilder.model.clinic import OpeningHours
from docbuilder.model.prescription import Clinician

WEEK = OpeningHours((0, 1, 2, 3, 4), time(8, 30), time(17))
TAGS = sorted(one.tag for one in known_languages() if one.tag != "en" and catalogue_paths(one.tag))


def printed(kind, tag, issue=ISSUE, *, role="Continence nurse", territory="US", **clinic):
    plan = example_plan(**clinic, clinician=Clinician("Jo Placeholder", role))
    return text_of(assemble(kind, plan, load_words(tag, territory), issue=issue))


@pytest.mark.parametrize(
    ("tag", "territory", "said"),
    [
        ("en", "US", "Open: Monday – Friday, 8:30 AM – 5:00 PM."),
        ("en", "GB", "Open: Monday – Friday, 08:30 – 17:00."),
        ("fr", "FR", "Ouverture : lundi – vendredi, 08:30 – 17:00."),
        ("ko", "KR", "여는 시간: 월요일 ~ 금요일 오전 8:30 ~ 오후 5:00."),
    ],
)
def test_days_and_times_print_as_the_language_says_them(tag, territory, said):
    """The forms are CLDR's, read off its charts of dates and times."""
    words = "".join(
        " " if c == "\u00a0" else c
        for c in printed("handout", tag, territory=territory, hours=(WEEK,))
    )
    plain = "".join(c for c in words if c not in "\u2066\u2068\u2069")
    assert said in plain


@pytest.mark.parametrize(("tag", "end"), [("pa", "ਬਾ.ਦੁ. ਹੈ।"), ("en", "PM."), ("es", "p.m.")])
def test_hours_keep_their_last_point_where_the_sentence_goes_on(tag, end):
    plain = printed("handout", tag, territory="US", hours=(WEEK,)).replace("\u00a0", " ")
    plain = re.sub("[\u2066-\u2069]", "", plain)
    assert end in plain
    assert f"{end}." not in plain


def test_days_apart_are_listed_and_several_hours_too():
    hours = (OpeningHours((0, 3), time(9), time(12)), OpeningHours((5,), time(10), time(11)))
    plain = printed("handout", "en", territory="GB", hours=hours).replace("\u00a0", " ")
    assert "Monday and Thursday, 09:00 – 12:00 and Saturday, 10:00 – 11:00" in plain.translate(
        dict.fromkeys(map(ord, "\u2066\u2068\u2069"))
    )


def test_words_print_in_their_own_language_alone_and_the_checklist_tells():
    files = (PackFile("handout", ("en", "es"), 5, "H", "original"),)
    issue = replace(ISSUE, pack=files)
    told = {"hours": (), "hours_in_words": {"en-GB": "Mondays"}}
    assert "Mondays" in printed("handout", "en", **told)
    assert "Mondays" not in printed("handout", "es", **told)
    note = "opening hours are left out of papers in Español"
    assert note in printed("checklist", "en", issue, **told)
    assert note not in printed("checklist", "en", issue, hours=(WEEK,))


@pytest.mark.parametrize("tag", TAGS)
def test_a_known_profession_is_said_in_the_language(tag):
    assert "ontinence nurse" not in printed("consent", tag)


def test_an_unknown_profession_prints_as_written_and_the_checklist_tells():
    files = (PackFile("consent", ("fr", "en"), 5, "C", "original"),)
    issue = replace(ISSUE, pack=files)
    assert "(Herbalist)" in printed("consent", "fr", role="Herbalist").translate(
        dict.fromkeys(map(ord, "\u2066\u2068\u2069"))
    )
    note = "is printed as written, also in Français"
    assert note in printed("checklist", "en", issue, role="Herbalist")
    assert note not in printed("checklist", "en", issue, role="midwife")
