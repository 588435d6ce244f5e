"""What is refused, with line and remedy, and what prints with a written reason."""

from __future__ import annotations

import random
from dataclasses import replace
from datetime import date, time
from decimal import Decimal
from functools import cache

import pytest
from example_cases import CLINIC, knowledge, prescription, unit

from docbuilder.clinical.findings import output_findings
from docbuilder.clinical.output import PulseTrain, output_at, pad_area_cm2
from docbuilder.clinical.plan import make_plan
from docbuilder.errors import Refused
from docbuilder.inputs.clinic import read_clinic
from docbuilder.inputs.prescription import read_prescription
from docbuilder.inputs.unit import find_unit, read_unit
from docbuilder.model.clinic import OpeningHours
from docbuilder.model.message import Quantity
from docbuilder.model.prescription import Pads, Reason, ScheduleRequest, SettingsRequest
from docbuilder.paths import data_folder

DEMO = data_folder("demo")
D = Decimal
START = date(2026, 12, 7)


@cache
def solo():
    return read_unit(DEMO / "units" / "demo-solo.yaml")


def rx_with(
    indication="urgency", placement="tibial", reasons=(), pads=None, schedule=None, **values
):
    """A prescription with these settings; values that are not given come from the protocol."""
    written = {k: D(str(v)) if k not in ("mode", "session_minutes", "channel") else v
               for k, v in values.items()}  # fmt: skip
    return replace(
        prescription(indication, placement),
        settings=SettingsRequest(**written),
        schedule=schedule or ScheduleRequest(start=START),
        reasons=tuple(Reason(about, "written reason", "Dr Sample") for about in reasons),
        pads=pads,
    )


def plan_of(rx, at=None, clinic=CLINIC):
    return make_plan(rx, clinic, at or unit(), knowledge())


def refusals(rx, at=None, clinic=CLINIC):
    with pytest.raises(Refused) as caught:
        plan_of(rx, at, clinic)
    return {issue.field: issue for issue in caught.value.issues}


def test_all_that_is_left_out_comes_from_the_protocol():
    plan = plan_of(rx_with())
    assert {s.name: s.origin for s in plan.settings} == {
        "mode": "protocol", "pulse_width_us": "protocol", "pulse_rate_hz": "protocol",
        "session_minutes": "protocol", "channel": "computed",
    }  # fmt: skip
    shown = {s.name: s.shows for s in plan.settings if s.name != "channel"}
    assert shown == {"mode": "CONT", "pulse_width_us": "200 us", "pulse_rate_hz": "20 Hz",
                     "session_minutes": "30 min"}  # fmt: skip
    assert len(plan.schedule.sessions) == 36


def test_a_written_value_wins_and_says_so():
    setting = plan_of(rx_with(pulse_rate_hz=10)).setting("pulse_rate_hz")
    assert (setting.origin, setting.prescribed) == ("prescription", Quantity(D(10), "Hz"))
    assert not setting.outside_range


@pytest.mark.parametrize(
    ("name", "value"),
    [("pulse_width_us", 300), ("pulse_width_us", 100), ("pulse_rate_hz", 75), ("pulse_rate_hz", 2),
     ("session_minutes", 10), ("mode", "modulated")],
)  # fmt: skip
def test_outside_the_published_range_needs_a_written_reason(name, value):
    field = f"settings.{name}"
    issue = refusals(rx_with(**{name: value}))[field]
    assert f"about: {field}" in issue.hint
    plan = plan_of(rx_with(reasons=[field], **{name: value}))
    setting = plan.setting(name)
    assert setting.outside_range
    assert setting.reason.name == "Dr Sample"
    finding = next(f for f in plan.findings if f.code == f"{field}.range")
    assert finding.override is setting.reason


def test_a_reason_about_something_else_does_not_count():
    assert "settings.pulse_rate_hz" in refusals(
        rx_with(reasons=["settings.pulse_width_us"], pulse_rate_hz=75)
    )


def test_range_ends_are_inside():
    for rate in (10, 20):
        assert not plan_of(rx_with(pulse_rate_hz=rate)).setting("pulse_rate_hz").outside_range


def test_the_nearest_step_prints_with_its_distance():
    setting = plan_of(rx_with(pulse_rate_hz=11)).setting("pulse_rate_hz")
    assert (setting.settable, setting.distance) == (Quantity(D(10), "Hz"), D(-1))
    setting = plan_of(rx_with(pulse_width_us=178)).setting("pulse_width_us")
    assert (setting.settable, setting.distance) == (Quantity(D(180), "us"), D(2))


def test_of_two_steps_as_near_the_smaller_dose():
    """11 Hz lies between 10 and 12; 185 us between 180 and 190."""
    plan = plan_of(rx_with(pulse_rate_hz=11, pulse_width_us=185))
    assert plan.setting("pulse_rate_hz").settable.value == 10
    assert plan.setting("pulse_width_us").settable.value == 180


def test_a_step_outside_the_range_is_refused_though_the_value_is_inside():
    """A unit of whole tens: 175 us becomes 170, below the published 175 to 200."""
    at = unit()
    issue = refusals(rx_with(pulse_width_us=175), at)["settings.pulse_width_us"]
    assert "170 us, the nearest" in issue.found
    assert (
        plan_of(rx_with(pulse_width_us=175, reasons=["settings.pulse_width_us"]))
        .setting("pulse_width_us")
        .outside_range
    )


def test_further_than_a_tenth_from_every_step_is_refused():
    """14 Hz on a unit with 12 and 20: 12 is 14 % away."""
    issue = refusals(rx_with(pulse_rate_hz=14), solo())["settings.pulse_rate_hz"]
    assert "12 or 20" in issue.hint
    plan = plan_of(rx_with(pulse_rate_hz=14, reasons=["settings.pulse_rate_hz"]), solo())
    assert plan.setting("pulse_rate_hz").reason is not None


def test_a_mode_that_the_unit_lacks_cannot_be_reasoned_away():
    rx = rx_with(mode="burst", reasons=["settings.mode"])
    assert "a mode of demo-solo" in refusals(rx, solo())["settings.mode"].allowed


def test_in_burst_mode_the_rate_is_within_a_burst():
    """8 pulses twice a second: 16 pulses a second count for the output, not 80."""
    rx = rx_with(
        mode="burst", pulse_rate_hz=80, reasons=["settings.mode", "settings.pulse_rate_hz"]
    )
    plan = plan_of(rx)
    assert plan.output[0].duty == D("0.0064"), "2 phases x 200 us x 16"
    assert "output.burst" in {f.code for f in plan.findings}


def test_linked_limits_bound_the_width():
    """The one-channel unit has at most 150 us at 120 Hz; 200 us are 25 % away."""
    rx = rx_with("pelvic_pain", "sacral", pulse_width_us=200, pulse_rate_hz=120,
                 reasons=["settings.pulse_rate_hz"])  # fmt: skip
    issue = refusals(rx, solo())["settings.pulse_width_us"]
    assert "at most 150 us" in issue.allowed


def test_milliseconds_are_caught():
    """Abstracts print ms for us; 10,000 us at 100 Hz cannot be, whatever the reason."""
    rx = rx_with(pulse_width_us=10_000, pulse_rate_hz=100,
                 reasons=["settings.pulse_width_us", "settings.pulse_rate_hz"])  # fmt: skip
    assert "ms for us" in refusals(rx)["settings.pulse_width_us"].hint


def test_work_and_rest_come_from_the_protocol_and_are_set_on_the_unit():
    rx = replace(rx_with("weak_pelvic_floor", "sacral", reasons=["derived.low_tone_confirmed"]))
    plan = plan_of(rx)
    setting = plan.setting("on_off_s")
    assert (setting.settable, setting.shows) == ("5/10", "ON/OFF 5/10")
    step = next(s for s in plan.steps if s.parameter == "on_off_s" and s.action == "change")
    assert (step.key, step.presses) == ("UP", 2)


def test_a_unit_without_rest_cannot_do_work_and_rest():
    rx = rx_with("weak_pelvic_floor", "sacral",
                 reasons=["derived.low_tone_confirmed", "settings.on_s"])  # fmt: skip
    assert "settings.on_s" in refusals(rx, solo())


def test_work_shorter_than_a_second_is_flagged():
    """FDA 1999: for strengthening at least 1 s on and 1 s off."""
    at = replace(unit(), on_off_s=((D(0), D(0)), (D("0.5"), D("0.5"))))
    reasons = ["derived.low_tone_confirmed", "settings.on_s", "settings.off_s"]
    rx = rx_with("weak_pelvic_floor", "sacral", reasons, on_s="0.5", off_s="0.5")
    codes = {f.code: f.severity for f in plan_of(rx, at).findings}
    assert codes["output.short_work"] == "caution"


def test_both_legs_need_two_channels():
    rx = replace(rx_with(reasons=["derived.both_legs"]), side="both")
    plan = plan_of(rx)
    assert plan.setting("channel").settable == "1+2"
    assert [s.key for s in plan.steps if s.action == "strength"] == ["A+", "B+"]
    assert "side" in refusals(rx, solo())


def test_a_channel_that_is_not_there():
    assert "settings.channel" in refusals(rx_with(channel=3))
    assert plan_of(rx_with(channel=2)).steps[-1].key == "B+"


def test_stronger_than_the_unit():
    assert "settings.expected_strength_ma" in refusals(rx_with(expected_strength_ma=81))
    assert plan_of(rx_with(expected_strength_ma=80)).output[1].peak_ma == 80


def test_length_and_frequency_outside_the_protocol():
    schedule = ScheduleRequest(start=START, weeks=20, sessions_per_week=7)
    assert "schedule.weeks" in refusals(rx_with(schedule=schedule))
    plan = plan_of(rx_with(schedule=schedule, reasons=["schedule.weeks"]))
    finding = next(f for f in plan.findings if f.code == "schedule.weeks.range")
    assert finding.override is not None


def test_skipping_everything_is_refused():
    skip = tuple(date(2026, 12, 7 + n) for n in range(7))
    schedule = ScheduleRequest(start=START, weeks=1, sessions_per_week=3, skip=skip)
    fields = refusals(rx_with(schedule=schedule, reasons=["schedule.weeks"]))
    assert "schedule.skip" in fields


def test_clinic_holidays_move_sessions():
    clinic = replace(CLINIC, holidays=(date(2026, 12, 9),))
    plan = plan_of(rx_with(), clinic=clinic)
    assert plan.schedule.moved == ((date(2026, 12, 9), date(2026, 12, 10)),)
    assert any(f.code == "schedule.skipped" for f in plan.findings)


def test_unanswered_questions_are_listed_and_never_count_as_no():
    rx = rx_with()
    answers = {k: v for k, v in rx.screening.items() if k not in ("dvt", "epilepsy")}
    issue = refusals(replace(rx, screening=answers))["screening"]
    assert "dvt" in issue.found
    assert "epilepsy" in issue.found


def test_unknown_weighs_as_a_stop_where_yes_would():
    rx = rx_with()
    fields = refusals(replace(rx, screening={**rx.screening, "cardiac_device": "unknown"}))
    assert fields["screening.cardiac_device"].found == "unknown"


def test_a_stop_prints_only_with_a_reason_and_a_name():
    rx = rx_with()
    rx = replace(rx, screening={**rx.screening, "cardiac_device": "yes"})
    assert "screening.cardiac_device" in refusals(rx)
    reason = Reason("screening.cardiac_device", "agreed in writing", "Dr Heart")
    plan = plan_of(replace(rx, reasons=(reason,)))
    first = plan.findings[0]
    assert (first.code, first.severity, first.override) == (
        "screening.cardiac_device", "stop", reason,
    )  # fmt: skip


def test_no_consent_form_prints_over_an_open_answer():
    """evidence.md 5: "refuse to print a form when a screening item is unresolved"."""
    rx = rx_with()
    rx = replace(rx, screening={**rx.screening, "dvt": "unknown", "epilepsy": "unknown"})
    issues = refusals(rx)
    assert set(issues) == {"screening.dvt", "screening.epilepsy"}
    assert "consent form" in issues["screening.dvt"].found
    others = plan_of(replace(rx, documents=("handout", "diary", "checklist")))
    assert {f.code for f in others.findings if f.severity == "ask"} == set(issues)
    reasons = tuple(Reason(field, "asked by telephone", "Dr Sample") for field in issues)
    agreed = plan_of(replace(rx, reasons=reasons))
    assert {f.override for f in agreed.findings if f.severity == "ask"} == set(reasons)


def test_what_does_not_matter_at_the_site_may_stay_open():
    rx = rx_with(placement="sacral")
    assert plan_of(replace(rx, screening={**rx.screening, "varicose_veins_site": "unknown"}))


def test_nothing_starts_after_the_consent_has_ended():
    """clinical.md: renew consent "after the period that the clinic sets"."""
    clinic = replace(CLINIC, consent_valid_months=6)
    last = rx_with(schedule=ScheduleRequest(start=date(2027, 6, 1)))
    assert plan_of(last, clinic=clinic)
    late = rx_with(schedule=ScheduleRequest(start=date(2027, 6, 2)))
    assert "2027-06-01" in refusals(late, clinic=clinic)["schedule.start"].allowed
    assert plan_of(late)


@pytest.mark.parametrize("taper", [(7,), (4, 1), (2, 3)])
def test_a_taper_never_rises(taper):
    """clinical.md: "taper to the least that keeps the effect"."""
    asked = ScheduleRequest(start=START, sessions_per_week=3, taper_sessions_per_week=taper)
    assert set(refusals(rx_with(schedule=asked))) == {"schedule.taper_sessions_per_week"}
    level = replace(asked, taper_sessions_per_week=(3, 2, 2, 1))
    assert plan_of(rx_with(schedule=level))


def test_the_clinics_own_open_days_count_for_call_and_reviews():
    hours = (OpeningHours((1, 3), time(9), time(16)),)
    part_time = replace(CLINIC, hours=hours)
    found = plan_of(rx_with(), clinic=part_time).schedule
    assert {day.weekday() for day in (found.call_on, *found.reviews)} <= {1, 3}
    sunday = ScheduleRequest(start=START, reviews=(date(2027, 1, 17),))
    for clinic, flagged in ((part_time, True), (CLINIC, False)):
        codes = {f.code for f in plan_of(rx_with(schedule=sunday), clinic=clinic).findings}
        assert ("schedule.review_closed" in codes) == flagged


def test_long_pads_up_the_leg_keep_apart():
    """evidence.md C34: centers 100 mm apart; C35: 50 mm pads 70 mm apart leave 20 mm."""
    assert plan_of(rx_with(pads=Pads("rectangle", D(30), D(80))))
    long = Pads("rectangle", D(30), D(81))
    assert set(refusals(rx_with(pads=long))) == {"pads.height_mm"}
    assert plan_of(replace(rx_with(pads=long), tibial_variant="foot_arch"))
    assert plan_of(rx_with(placement="sacral", pads=long))


@pytest.mark.parametrize(("width_us", "flagged"), [(1000, False), (1001, True)])
def test_current_for_more_than_a_fifth_of_the_time_is_flagged(width_us, flagged):
    """evidence.md 4: duty D = n w f, "flag > 0.2"; two phases at 100 Hz reach it at 1000 us."""
    maximum = output_at(PulseTrain(D(width_us), D(100), 2, D(25)), D(60))
    codes = [finding.code for finding in output_findings((), maximum, rx_with())]
    assert ("output.duty" in codes) == flagged


def test_findings_give_output_to_four_digits():
    plan = plan_of(rx_with(pads=Pads("round", D(12), D(12))))
    (finding,) = [f for f in plan.findings if f.code == "output.density_attention"]
    shown = dict(finding.message.values)["value"].value
    assert len(shown.as_tuple().digits) <= 4
    assert shown == next(item for item in plan.limits if item.code in finding.code).at_maximum


def test_a_reason_that_no_check_asked_for_is_shown():
    """Most likely a slip of the pen in `about`."""
    plan = plan_of(rx_with(reasons=["settings.pulse_rate_hz"]))
    (finding,) = [f for f in plan.findings if f.code == "reasons.unused"]
    assert dict(finding.message.values) == {"about": "settings.pulse_rate_hz"}
    used = plan_of(rx_with(pulse_rate_hz=75, reasons=["settings.pulse_rate_hz"]))
    assert "reasons.unused" not in {f.code for f in used.findings}


def test_period_pain_is_treated_as_needed():
    rx = rx_with("period_pain", "lower_abdomen", reasons=["derived.period_pain_decision"])
    plan = plan_of(rx)
    assert plan.schedule.as_needed
    assert "schedule.as_needed" in {f.code for f in plan.findings}


def test_a_ramp_that_the_unit_lacks():
    reasons = ["derived.low_tone_confirmed"]
    rx = rx_with("weak_pelvic_floor", "sacral", reasons, on_s=5, off_s=10, ramp_s=2)
    assert "1 s, the ramp" in refusals(rx)["settings.ramp_s"].allowed
    reasons.append("settings.ramp_s")
    rx = rx_with("weak_pelvic_floor", "sacral", reasons, on_s=5, off_s=10, ramp_s=2)
    assert "settings.ramp_s.step" in {f.code for f in plan_of(rx).findings}
    assert "settings.ramp_s" in refusals(rx_with(ramp_s=1)), "a ramp without work and rest"


def test_findings_come_gravest_first():
    order = ["stop", "ask", "caution", "note"]
    rx = replace(rx_with(pulse_rate_hz=11, pads=Pads("round", D(32), D(32))))
    found = [order.index(f.severity) for f in plan_of(rx).findings]
    assert found == sorted(found)
    assert len(found) >= 3


def test_every_fault_comes_at_once_with_its_line(tmp_path):
    text = (DEMO / "prescriptions" / "urgency-tibial-en.yaml").read_text("utf-8")
    for good, bad in (("pulse_rate_hz: 20", "pulse_rate_hz: 75"), ("  dvt: no\n", ""),
                      ("epilepsy: no", "epilepsy: no"), ("weeks: 12", "weeks: 30"),
                      ("cardiac_device: no", "cardiac_device: yes"), ("channel: 1", "channel: 4"),
                      ("strength_ma: 20", "strength_ma: 99")):  # fmt: skip
        assert good in text
        text = text.replace(good, bad)
    path = tmp_path / "rx.yaml"
    path.write_text(text, "utf-8")
    rx = read_prescription(path)
    clinic = read_clinic(DEMO)
    issues = refusals(rx, find_unit(rx.device, clinic), clinic)
    assert set(issues) == {
        "settings.pulse_rate_hz", "screening", "schedule.weeks", "screening.cardiac_device",
        "settings.channel", "settings.expected_strength_ma",
    }  # fmt: skip
    lines = text.splitlines()
    parts = {
        "settings.pulse_rate_hz": "pulse_rate_hz: 75",
        "schedule.weeks": "weeks: 30",
        "screening.cardiac_device": "cardiac_device: yes",
        "settings.channel": "channel: 4",
        "screening": "screening:",
    }
    for field, part in parts.items():
        assert part in lines[issues[field].place.line - 1]


def test_a_small_pad_at_a_high_rate_asks_for_attention_and_says_what_mends_it():
    """80 mA, 200 us, 100 Hz, two phases, 25 x 25 mm: 80 sqrt(0.04) / 6.25 = 2.56 mA/cm2."""
    rx = rx_with("pelvic_pain", "sacral", pulse_width_us=200, pulse_rate_hz=100,
                 expected_strength_ma=30, pads=Pads("rectangle", D(25), D(25)))  # fmt: skip
    plan = plan_of(rx)
    limit = next(item for item in plan.limits if item.code == "density_attention")
    assert (limit.at_maximum, limit.passed_at_maximum, limit.passed_at_expected) == (
        D("2.56"), True, False,
    )  # fmt: skip
    values = [dict(remedy.values) for remedy in limit.remedies]
    assert values == [
        {"width": Quantity(D(30), "mm"), "height": Quantity(D(30), "mm")},
        {"width": Quantity(D(120), "us")},
        {"rate": Quantity(D(60), "Hz")},
        {"current": Quantity(D(62), "mA")},
    ]


def test_pads_from_protocol_and_their_life():
    plan = plan_of(rx_with(pads=Pads("oval", D(40), D(60))))
    assert plan.pads.uses_per_set == 15
    assert float(pad_area_cm2(plan.pads)) == pytest.approx(18.85, abs=0.005)
    assert plan_of(rx_with(pads=Pads("round", D(50), D(50), 20))).pads.replace_after_days is None


def test_an_unknown_purpose_comes_with_the_screening_faults():
    rx = rx_with()
    fields = refusals(replace(rx, indication="hiccups", screening={}))
    assert {"indication", "screening"} <= set(fields)


def test_the_same_input_gives_the_same_plan():
    assert plan_of(rx_with()) == plan_of(rx_with())


def test_any_prescription_is_planned_or_refused_and_a_plan_keeps_its_promises():
    """1,000 random prescriptions on two units: no crash, and no plan past a check."""
    r = random.Random(13)
    sites = [(p.indication, p.site) for p in knowledge().protocols]
    planned = 0
    for _ in range(1000):
        indication, site = r.choice(sites)
        at = r.choice([unit(), solo()])
        values = {
            "mode": r.choice(["continuous", "continuous", "burst", "modulated"]),
            "pulse_width_us": r.choice([50, 100, 175, 200, 205, 250, 300, 700]),
            "pulse_rate_hz": r.choice([1, 2, 10, 12, 20, 50, 75, 100, 120, 150]),
            "session_minutes": r.choice([5, 15, 20, 30, 45]),
            "channel": r.choice([1, 1, 2, 3]),
            "on_s": r.choice([0.5, 5, 10]),
            "off_s": r.choice([0.5, 5, 10]),
            "ramp_s": r.choice([0.5, 1]),
            "expected_strength_ma": r.choice([5, 20, 60, 80]),
        }  # fmt: skip
        kept = {name: value for name, value in values.items() if r.random() < 0.3}
        if ("on_s" in kept) != ("off_s" in kept):
            kept.pop("on_s", None)
            kept.pop("off_s", None)
        about = [f"settings.{name}" for name in values if r.random() < 0.7]
        about += [f"derived.{code}" for code in knowledge().derived]
        about += [f"notice.{rule.code}" for rule in knowledge().notices]
        pads = r.choice([None, Pads("round", D(32), D(32)), Pads("oval", D(25), D(30), 15)])
        side = r.choice(["left", "right", "both"]) if site == "tibial" else "midline"
        rx = replace(rx_with(indication, site, about, pads, **kept), side=side)
        try:
            plan = plan_of(rx, at)
        except Refused:
            continue
        planned += 1
        reasons = {reason.about for reason in rx.reasons}
        for setting in plan.settings:
            if isinstance(setting.settable, Quantity):
                far = abs(setting.distance) > D("0.1") * setting.prescribed.value
                assert not (far or setting.outside_range) or f"settings.{setting.name}" in reasons
        assert all(
            not limit.passed_at_expected or limit.kind == "attention" for limit in plan.limits
        )
        assert max(map(int, plan.setting("channel").settable.split("+"))) <= at.channels
        assert all(output.duty < 1 for output in plan.output)
    assert 50 < planned < 950
