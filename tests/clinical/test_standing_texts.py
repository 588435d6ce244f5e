"""Standing safety sentences and the follow-up sheets."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest
from example_cases import knowledge, plan, prescription

from docbuilder.model.prescription import Reason


def said(messages):
    return [message.msgid for message in messages]


def test_every_handout_forbids_what_the_lists_forbid():
    """clinical.md, last paragraph of its cautions."""
    made = plan(prescription("urgency", "sacral"))
    never = " ".join(said(made.never_place))
    for place in ("neck", "chest", "head", "eyes", "mouth", "broken", "numb", "inside"):
        assert place in never, place
    use = " ".join(said(made.do_not_use))
    for act in (
        "drive",
        "machine",
        "bath",
        "sleep",
        "heat",
        "short-wave",
        "children",
        "off before",
    ):
        assert act in use, act
    assert {message.context for message in (*made.never_place, *made.do_not_use)} == {"safety"}
    assert len(made.stop_and_call) >= 6


def test_a_peeling_pad_is_told_of():
    assert any("peels" in text for text in said(plan(prescription()).do_not_use))


def test_only_those_who_can_be_pregnant_read_of_it():
    woman = plan(prescription())
    man = plan(prescription(sex="male"))
    for kind in ("never_place", "stop_and_call", "do_not_use"):
        assert any("pregnant" in text for text in said(getattr(woman, kind)))
        assert not any("pregnant" in text for text in said(getattr(man, kind)))


def test_an_agreed_exception_does_not_contradict_itself():
    """With a pacemaker and a written agreement, one sentence stands, not two that clash."""
    general = "Do not use the unit if you have a pacemaker or heart implant."
    own = "Use the unit only if your heart team has agreed in writing."
    without = plan(prescription())
    agreed = plan(prescription(cardiac_device="yes", reasons=("screening.cardiac_device",)))
    assert general in said(without.do_not_use)
    assert general not in said(agreed.do_not_use)
    assert own not in said(without.handout_cautions)
    assert own in said(agreed.handout_cautions)
    assert len(without.do_not_use) == len(agreed.do_not_use) + 1


def test_each_rule_named_by_a_safety_sentence_exists():
    codes = {rule.code for rule in knowledge().screening}
    texts = knowledge().safety
    named = {
        item.rule
        for group in (texts.never_place, texts.stop_and_call, texts.do_not_use)
        for item in group
        if item.rule
    }
    assert named <= codes
    assert {"cardiac_device", "pregnancy"} <= named


@pytest.mark.parametrize(
    ("sign", "how_soon"),
    [
        # A surgical emergency: the national pathway for suspected cauda equina syndrome, 2023.
        ("numb between", "Get emergency help at once"),
        # From memory: retention needs urgent help; a leg that may hold a clot, stop first.
        ("cannot pass urine", "Get help at once"),
        ("calf", "Stop and get help the same day"),
        # Common practice.
        ("blood in your urine", "Get help the same day"),
        ("fever", "Get help the same day"),
    ],
)
def test_red_flags_say_how_soon(sign, how_soon):
    flags = [text for text in said(plan(prescription()).follow_up.red_flags) if sign in text]
    assert len(flags) == 1
    assert flags[0].startswith(how_soon)


@pytest.mark.parametrize(
    "protocol", knowledge().protocols, ids=lambda p: f"{p.indication}-{p.site}"
)
def test_every_purpose_has_something_to_measure(protocol):
    texts = knowledge().follow_up.review_measures
    own = [item for item in texts if protocol.indication in item.scope.indications]
    assert len(own) >= 2


def test_sheets_for_call_and_review():
    sheet = plan(prescription("faecal_leakage", "tibial")).follow_up
    assert any("skin" in text for text in said(sheet.call_questions))
    assert any("Bowel leaks" in text for text in said(sheet.review_measures))
    assert not any("urine" in text for text in said(sheet.review_measures))


@pytest.mark.parametrize(
    ("weeks", "six", "twelve"), [(5, False, False), (7, True, False), (12, True, True)]
)
def test_no_rule_speaks_of_weeks_after_the_course(weeks, six, twelve):
    asked = prescription()
    asked = replace(asked, schedule=replace(asked.schedule, weeks=weeks))
    asked = replace(asked, reasons=(*asked.reasons, Reason("schedule.weeks", "short", "Example")))
    rules = said(plan(asked).follow_up.stop_rules)
    assert any("six weeks" in text for text in rules) == six
    assert any("twelve weeks" in text for text in rules) == twelve
    assert "We stop if it harms you." in rules
    assert "We stop at any time if you want to." in rules


@pytest.mark.parametrize(("count", "told"), [(2, False), (3, True)])
def test_fewer_sessions_are_planned_only_from_more(count, told):
    asked = prescription()
    asked = replace(asked, schedule=replace(asked.schedule, weekdays=(), sessions_per_week=count))
    rules = said(plan(asked).follow_up.taper_rules)
    assert any("3 sessions a week to 2, then 1" in text for text in rules) == told
    assert any("down by half" in text for text in rules)


@pytest.mark.parametrize(
    ("asked", "alone"),
    [
        (prescription(), True),
        (prescription(cannot_use_alone="yes", guardian="Gil Guardian"), False),
        (
            prescription(
                "child_overactive_bladder",
                "sacral",
                born=date(2017, 9, 30),
                guardian="Gil Guardian",
            ),
            False,
        ),
    ],
)
def test_the_call_does_not_ask_for_use_alone_where_a_carer_is_needed(asked, alone):
    questions = said(plan(asked).follow_up.call_questions)
    assert any("without help" in text for text in questions) == alone
    assert any("skin" in text for text in questions)
