"""No answer but "no" is clear; a stop stands until somebody has written why."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest
from example_cases import knowledge, plan, prescription, screened
from hypothesis import given
from hypothesis import strategies as st

from docbuilder.clinical.screening import _CONDITIONS, SEVERITY_ORDER
from docbuilder.errors import Refused
from docbuilder.inputs.knowledge_reader import SITES
from docbuilder.model.prescription import Reason

CODES = [rule.code for rule in knowledge().screening]

# Written down by hand from clinical.md's table of cautions and evidence.md section 3, and
# not read from the data: (yes, unknown) on the trunk, then at the ankle where it differs.
EXPECTED = {
    "cardiac_device": ("stop", "stop"),
    "other_active_implant": ("stop", "stop"),
    "metal_implant": ("caution", "ask"),
    "pregnancy": ("stop", "stop"),
    "cancer_near_site": ("stop", "ask"),
    "unexplained_bleeding": ("stop", "ask"),
    "undiagnosed_pain": ("stop", "ask"),
    "dvt": ("stop", "ask"),
    "varicose_veins_site": ("note", "note", "stop", "ask"),
    "arterial_disease_leg": ("note", "note", "caution", "ask"),
    "bleeding_tendency": ("caution", "ask"),
    "recent_surgery": ("caution", "ask"),
    "recent_radiotherapy": ("stop", "ask", "caution", "ask"),
    "epilepsy": ("caution", "ask"),
    "heart_condition": ("ask", "ask"),
    "skin_problem_site": ("stop", "ask"),
    "adhesive_allergy": ("stop", "ask"),
    "reduced_sensation": ("caution", "ask"),
    "cannot_use_alone": ("caution", "ask"),
    "urinary_infection": ("stop", "ask"),
    "urinary_retention": ("stop", "ask"),
    "coil": ("caution", "ask", "note", "note"),
    "menstruation_heavy": ("caution", "ask", "note", "note"),
    "recent_childbirth": ("caution", "ask", "note", "note"),
    "near_diathermy": ("caution", "ask"),
}


def line(rx, code):
    return next(item for item in screened(rx).lines if item.code == code)


def test_the_questions_are_those_of_the_table():
    assert sorted(CODES) == sorted(EXPECTED)


@pytest.mark.parametrize("code", CODES)
@pytest.mark.parametrize("site", SITES)
def test_each_answer_at_each_site_has_the_class_of_the_table(code, site):
    yes, unknown = EXPECTED[code][-2:] if site == "tibial" else EXPECTED[code][:2]
    for answer, expected in (("yes", yes), ("unknown", unknown), ("no", "clear")):
        found = line(prescription(placement=site, **{code: answer}), code)
        assert (found.answer, found.severity) == (answer, expected)
        assert (found.reason is None) == (expected == "clear")


@pytest.mark.parametrize("code", CODES)
@pytest.mark.parametrize("site", SITES)
def test_a_question_left_out_weighs_as_unknown_and_is_never_clear(code, site):
    lines = {item.code: item for item in screened(prescription(placement=site, only=True)).lines}
    if code in lines:
        assert lines[code].answer == "missing"
        assert lines[code].severity in ("stop", "ask", "note")
    else:  # not asked at all: only questions of the ankle, on the trunk
        assert code in ("varicose_veins_site", "arterial_disease_leg")
        assert site != "tibial"


@pytest.mark.parametrize("code", [code for code in CODES if "stop" in EXPECTED[code]])
def test_a_stop_blocks_until_a_reason_about_it_is_written(code):
    rx = prescription("urgency", "tibial" if code == "varicose_veins_site" else "sacral",
                      **{code: "yes"})  # fmt: skip
    about = f"screening.{code}"
    assert [issue.field for issue in screened(rx).issues] == [about]
    with pytest.raises(Refused, match=about):
        plan(rx)
    other = replace(rx, reasons=(Reason("screening.epilepsy", "a", "b"),))
    assert [issue.field for issue in screened(other).issues] == [about]
    agreed = replace(rx, reasons=(Reason(about, "the team agreed on paper", "Dr Example"),))
    found = screened(agreed)
    assert found.issues == ()
    finding = next(item for item in found.findings if item.code == about)
    assert (finding.severity, finding.override) == ("stop", agreed.reasons[0])


@pytest.mark.parametrize("code", CODES)
def test_what_a_specialist_must_agree_to_is_not_lifted_by_the_prescriber(code):
    """clinical.md: implants "unless the implanting team agrees in writing"; pregnancy "only with
    a named specialist's agreement"."""
    about = f"screening.{code}"
    rx = prescription("urgency", "tibial", guardian="Kim Carer", **{code: "yes"})
    own = replace(rx, reasons=(Reason(about, "seems fine to me", rx.clinician.name.upper()),))
    fields = [issue.field for issue in screened(own).issues]
    specialist = code in ("cardiac_device", "other_active_implant", "pregnancy")
    assert fields == (["reasons.1.name"] if specialist else [])
    named = replace(rx, reasons=(Reason(about, "letter of 1 December", "Dr Else"),))
    assert screened(named).issues == ()


def test_an_unknown_pacemaker_stops_but_an_unknown_coil_only_asks():
    assert [issue.field for issue in screened(prescription(cardiac_device="unknown")).issues] == [
        "screening.cardiac_device"
    ]
    assert screened(prescription(placement="sacral", coil="unknown")).issues == ()


def test_a_misspelt_answer_is_not_lost():
    issues = screened(prescription(pace_maker="yes")).issues
    assert [issue.field for issue in issues] == ["screening.pace_maker"]
    assert "cardiac_device" in issues[0].allowed


def test_a_reason_about_nothing_known_is_not_lost():
    rx = prescription(pregnancy="yes", reasons=("screening.pregnant",))
    issues = screened(rx).issues
    assert [issue.field for issue in issues] == ["reasons.1.about", "screening.pregnancy"]
    assert "screening.pregnancy" in issues[0].hint
    assert screened(prescription(reasons=("settings.pulse_rate_hz",))).issues == ()


ANSWERS = st.dictionaries(st.sampled_from(CODES), st.sampled_from(["yes", "unknown"]))


@given(ANSWERS, st.sampled_from(CODES), st.sampled_from(["yes", "unknown"]), st.sampled_from(SITES))
def test_one_more_worry_never_makes_a_plan_safer(answers, code, answer, site):
    """No answer hides another: every finding and every stop stays when one is added."""
    rest = {name: value for name, value in answers.items() if name != code}
    before = screened(prescription("urgency", site, **rest))
    after = screened(prescription("urgency", site, **rest, **{code: answer}))
    assert {(item.code, item.severity) for item in before.findings} < {
        (item.code, item.severity) for item in after.findings
    }
    assert set(before.issues) <= set(after.issues)
    assert set(before.handout_cautions) <= set(after.handout_cautions)
    assert set(before.personal_risks) <= set(after.personal_risks)


def test_findings_put_stop_first_and_miss_none():
    rx = prescription(
        placement="sacral", coil="yes", dvt="yes", epilepsy="unknown", metal_implant="yes"
    )
    found = [item for item in screened(rx).findings if item.code.startswith("screening.")]
    ranks = [SEVERITY_ORDER.index(item.severity) for item in found]
    assert ranks == sorted(ranks)
    assert {item.code.partition(".")[2] for item in found} == {
        "coil", "dvt", "epilepsy", "metal_implant",
    }  # fmt: skip


@pytest.mark.parametrize("code", CODES)
def test_yes_puts_its_sentence_on_handout_and_consent(code):
    rule = next(item for item in knowledge().screening if item.code == code)
    found = screened(prescription("urgency", "sacral", **{code: "yes"}))
    assert rule.handout is not None
    assert rule.consent is not None
    printed = EXPECTED[code][0] != "note"
    assert (rule.handout in found.handout_cautions) == printed
    assert (rule.consent in found.personal_risks) == printed
    assert screened(prescription("urgency", "sacral")).personal_risks == ()


def test_men_and_the_old_are_not_asked_about_pregnancy_but_are_heard_when_they_answer():
    codes = {"pregnancy", "coil", "menstruation_heavy", "recent_childbirth"}
    for person in ({"sex": "male"}, {"born": date(1948, 1, 1)}):
        asked = {item.code for item in screened(prescription(only=True, **person)).lines}
        assert not codes & asked
        assert screened(prescription(pregnancy="yes", **person)).issues
    for sex in ("female", "other", None):
        asked = {item.code for item in screened(prescription(only=True, sex=sex)).lines}
        assert codes <= asked


def derived(rx):
    found = screened(rx)
    return (
        {item.code.partition(".")[2]: item.severity for item in found.findings
         if item.code.startswith("derived.")},
        [issue.allowed for issue in found.issues if "derived." in issue.allowed],
    )  # fmt: skip


CHILD = {"indication": "child_overactive_bladder", "placement": "sacral", "born": date(2017, 3, 2)}


def test_a_child_needs_a_guardian():
    codes, blocked = derived(prescription(**CHILD))
    assert codes["child_guardian"] == "stop"
    assert codes["child_supervision"] == "caution"
    assert blocked == ["your written reason about derived.child_guardian"]
    codes, blocked = derived(prescription(**CHILD, guardian="Kim Sample"))
    assert "child_guardian" not in codes
    assert blocked == []


def test_ages_on_the_day_of_prescribing():
    base = {"indication": "urgency", "placement": "sacral"}
    # prescribed on 1 December 2026
    day_before_16 = derived(prescription(**base, born=date(2010, 12, 2)))[0]
    sixteen = derived(prescription(**base, born=date(2010, 12, 1)))[0]
    day_before_18 = derived(prescription(**base, born=date(2008, 12, 2)))[0]
    eighteen = derived(prescription(**base, born=date(2008, 12, 1)))[0]
    assert "child_guardian" in day_before_16
    assert "child_guardian" not in sixteen
    assert "young_person" in sixteen
    assert "young_person" in day_before_18
    assert eighteen == {}
    assert sixteen["adult_values_for_child"] == "ask"


def test_under_five_needs_a_written_reason():
    """evidence.md 1.2: the trials took children of 4 (S4) or 5 (S3) years and older."""
    around = {}
    for born in (date(2021, 12, 1), date(2021, 12, 2)):  # prescribed on 1 December 2026
        rx = prescription(**CHILD | {"born": born}, guardian="Kim Sample")
        around[born] = derived(rx)
    assert "under_five" not in around[date(2021, 12, 1)][0]
    codes, blocked = around[date(2021, 12, 2)]
    assert codes["under_five"] == "ask"
    assert blocked == ["your written reason about derived.under_five"]


def test_a_child_protocol_without_a_date_of_birth_is_taken_for_a_child():
    codes, blocked = derived(prescription("child_overactive_bladder", "sacral", born=None))
    assert {"age_unknown", "child_guardian", "child_supervision"} <= set(codes)
    assert blocked
    adult = derived(prescription("child_overactive_bladder", "sacral"))[0]
    assert adult["child_values_for_adult"] == "ask"


def test_a_child_with_an_implant_needs_two_agreements():
    rx = prescription(**CHILD, guardian="Kim", cardiac_device="yes",
                      reasons=("screening.cardiac_device",))  # fmt: skip
    assert derived(rx)[1] == ["your written reason about derived.child_implant"]
    both = replace(rx, reasons=(*rx.reasons, Reason("derived.child_implant", "a", "Dr B")))
    assert screened(both).issues == ()


@pytest.mark.parametrize("answer", ["yes", "unknown"])
def test_the_ankle_is_no_way_round_pregnancy(answer):
    rx = prescription("urgency", "tibial", pregnancy=answer)
    codes, _ = derived(rx)
    assert codes["pregnancy_tibial"] == "caution"
    assert [issue.field for issue in screened(rx).issues] == ["screening.pregnancy"]
    assert line(rx, "pregnancy").disagreement is not None


@pytest.mark.parametrize(
    ("numb", "alone", "stops"),
    [("yes", "yes", True), ("yes", "unknown", True), ("unknown", "yes", True),
     ("unknown", "unknown", False), ("yes", "no", False), ("no", "yes", False)],
)  # fmt: skip
def test_numb_skin_and_nobody_to_watch(numb, alone, stops):
    rx = prescription(reduced_sensation=numb, cannot_use_alone=alone, guardian="Kim Carer")
    codes, blocked = derived(rx)
    assert ("numb_alone" in codes) == stops
    assert bool(blocked) == stops


def test_who_cannot_use_it_alone_needs_a_named_carer():
    assert derived(prescription(cannot_use_alone="yes"))[1] == [
        "your written reason about derived.alone_no_carer"
    ]
    assert derived(prescription(cannot_use_alone="yes", guardian="Kim Carer"))[1] == []


def test_period_pain_in_a_man_is_refused_so_that_pregnancy_is_asked():
    found = screened(prescription("period_pain", "lower_abdomen", sex="male",
                                  reasons=("derived.period_pain_decision",)))  # fmt: skip
    assert [issue.field for issue in found.issues] == ["patient.sex"]
    other = prescription("period_pain", "lower_abdomen", sex="other", only=True)
    assert "pregnancy" in {item.code for item in screened(other).lines}


def test_period_pain_asks_for_the_clinicians_decision():
    rx = prescription("period_pain", "lower_abdomen")
    codes, blocked = derived(rx)
    assert codes["period_pain_decision"] == "ask"
    assert blocked == ["your written reason about derived.period_pain_decision"]
    decided = prescription("period_pain", "lower_abdomen", menstruation_heavy="yes",
                           reasons=("derived.period_pain_decision",))  # fmt: skip
    assert screened(decided).issues == ()
    heavy = line(decided, "menstruation_heavy")
    assert heavy.severity == "caution"
    assert "Cochrane" in heavy.disagreement.msgid


def test_strengthening_wants_a_weak_floor_not_a_tense_one():
    codes, blocked = derived(prescription("weak_pelvic_floor", "sacral"))
    assert codes == {"low_tone_confirmed": "ask"}
    assert blocked == []
    rx = prescription("weak_pelvic_floor", "sacral", undiagnosed_pain="yes",
                      reasons=("screening.undiagnosed_pain",))  # fmt: skip
    codes, blocked = derived(rx)
    assert codes["high_tone_pain"] == "stop"
    assert blocked == ["your written reason about derived.high_tone_pain"]


def test_tibial_use_looks_at_both_ankles_and_keeps_a_channel_on_one_leg():
    assert derived(prescription())[0] == {"both_ankles_looked_at": "note"}
    both = derived(replace(prescription(), side="both"))[0]
    assert both == {"both_legs": "caution", "both_ankles_looked_at": "note"}


def test_every_combination_has_its_sentence_and_every_sentence_its_combination():
    assert set(_CONDITIONS) == set(knowledge().derived)
