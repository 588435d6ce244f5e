"""What the form says, and which changes call for consent anew."""

from __future__ import annotations

import hashlib
import json
from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest
from dateutil.relativedelta import relativedelta
from example_cases import CLINIC, knowledge, plan, prescription
from hypothesis import given
from hypothesis import strategies as st

from docbuilder.clinical.consent import (
    material_parts,
    months_after,
    needs_new_consent,
    short_digest,
)
from docbuilder.model.prescription import Reason, SettingsRequest

CHANGED = knowledge().consent.changed


def texts(messages):
    return " ".join(message.msgid for message in messages)


def why(old, new):
    names = {message: name for name, message in CHANGED.items()}
    return [names[message] for message in needs_new_consent(old, new, knowledge())]


@pytest.mark.parametrize("indication", ["urgency", "urge_leakage", "mixed"])
def test_the_ankle_names_the_large_trial_that_failed(indication):
    """ELECTRIC 2021 (evidence.md 1.1) and the small positive one stand side by side."""
    content = plan(prescription(indication, "tibial")).consent
    assert "no better than a dummy" in texts(content.benefit)
    assert "68 in 100" in texts(content.benefit)  # Schreiner 2010, 17 of 25 (C41)
    assert "35 in 100" in texts(content.benefit)  # 9 of 26
    assert any("hta25410" in source.citation for source in content.evidence)


def test_the_lower_belly_is_told_to_be_the_least_studied():
    assert "least studied" in texts(plan(prescription("urgency", "lower_abdomen")).consent.benefit)


def test_bowel_leakage_tells_both_trials():
    """George 2013: 5 of 11 against 1 of 8 (C40); Leroi 2012: no fewer episodes."""
    benefit = texts(plan(prescription("faecal_leakage", "tibial")).consent.benefit)
    assert "5 of 11" in benefit
    assert "1 of 8" in benefit
    assert "no fewer leaks" in benefit


def test_strengthening_tells_what_pads_did_and_did_not_do():
    """Correia 2014: less leakage than without treatment; strength grew only with the probe."""
    content = plan(prescription("weak_pelvic_floor", "sacral")).consent
    assert "leaked less than those with no treatment" in texts(content.benefit)
    assert "grew stronger only with a probe" in texts(content.benefit)
    assert any("ejogrb.2013.11.023" in source.citation for source in content.evidence)


def test_percentages_are_those_of_the_fractions():
    assert round(100 * 17 / 25) == 68
    assert round(100 * 9 / 26) == 35


@pytest.mark.parametrize(
    "protocol", knowledge().protocols, ids=lambda p: f"{p.indication}-{p.site}"
)
def test_every_form_has_its_parts(protocol):
    child = protocol.indication == "child_overactive_bladder"
    rx = prescription(
        protocol.indication,
        protocol.site,
        born=date(2017, 1, 1) if child else date(1980, 1, 1),
        guardian="Kim Sample" if child else None,
        reasons=("derived.period_pain_decision",),
    )
    content = plan(rx).consent
    assert content.benefit
    assert len(content.alternatives) >= 3
    assert "no treatment" in content.alternatives[0].msgid
    assert content.uncertainty
    assert "burn" in texts(content.serious_risks)
    assert "red" in texts(content.common_risks)
    assert len(content.renew_if) >= 3
    said = (
        content.condition, content.purpose, *content.benefit, *content.uncertainty,
        *content.common_risks, *content.serious_risks, *content.alternatives, *content.renew_if,
    )  # fmt: skip
    assert {message.context for message in said} == {"consent"}
    assert len(set(said)) == len(said)


def test_a_child_is_not_offered_what_is_for_adults():
    rx = prescription("child_overactive_bladder", "tibial", born=date(2017, 1, 1), guardian="Kim")
    assert "needle" not in texts(plan(rx).consent.alternatives)
    assert "needle" in texts(plan(prescription()).consent.alternatives)


def test_off_label_is_said_when_the_labelling_lacks_the_purpose():
    assert plan(prescription()).consent.off_label is not None
    assert plan(prescription(), labelled_purpose=("urgency",)).consent.off_label is None


def test_the_end_of_validity_prints_only_when_the_clinic_sets_one():
    dated = plan(prescription(), replace(CLINIC, consent_valid_months=6)).consent.renew_if
    assert dated[-1].values == (("date", date(2027, 6, 1)),)
    assert all(not message.values for message in plan(prescription()).consent.renew_if)


def test_the_same_plan_needs_nothing():
    assert why(plan(prescription()), plan(prescription())) == []


def changes():
    base = prescription("urgency", "tibial")
    wide = replace(
        base,
        settings=SettingsRequest(pulse_width_us=Decimal(250)),
        reasons=(Reason("settings.pulse_width_us", "not felt at 200", "Dr A"),),
    )
    yield "place", base, replace(base, side="right")
    yield "place", base, replace(base, tibial_variant="foot_arch")
    yield "purpose", base, replace(base, indication="urge_leakage")
    yield "personal_risk", base, prescription("urgency", "tibial", metal_implant="yes")
    yield "outside_range", base, wide
    yield "current", base, replace(
        base, settings=SettingsRequest(mode="modulated"),
        reasons=(Reason("settings.mode", "not tolerated", "Dr A"),),
    )  # fmt: skip
    yield "person", base, replace(base, patient=replace(base.patient, record_number="X-2"))
    yield "period", base, replace(base, prescribed_on=date(2027, 6, 2))


@pytest.mark.parametrize(("name", "old", "new"), list(changes()))
def test_each_material_change_is_named(name, old, new):
    clinic = replace(CLINIC, consent_valid_months=6)
    before, after = plan(old, clinic), plan(new, clinic)
    assert name in why(before, after)
    if name not in ("person", "period"):
        assert before.consent.digest != after.consent.digest


def test_labels_guidance_and_information_count_too():
    rx = prescription()
    assert why(plan(rx), plan(rx, labelled_purpose=("urgency",))) == ["label", "guidance"]
    abroad = replace(CLINIC, territory="AU")
    assert why(plan(rx), plan(rx, abroad)) == ["guidance"]
    moved = replace(rx, placement="sacral", side="midline")
    assert why(plan(rx), plan(moved)) == ["place", "information"]
    assert "current" in why(plan(rx), plan(rx, waveform="one_phase"))


def test_dates_and_values_inside_the_range_are_not_material():
    rx = prescription()
    later = replace(rx, schedule=replace(rx.schedule, start=date(2026, 12, 14)),
                    prescribed_on=date(2026, 12, 8))  # fmt: skip
    slower = replace(rx, settings=SettingsRequest(pulse_rate_hz=Decimal(10)))
    for new in (later, slower):
        assert why(plan(rx), plan(new)) == []
        assert plan(rx).consent.digest == plan(new).consent.digest


def test_consent_lasts_through_its_last_day():
    clinic, rx = replace(CLINIC, consent_valid_months=6), prescription()
    on_the_day = replace(rx, prescribed_on=date(2027, 6, 1))
    assert why(plan(rx, clinic), plan(on_the_day, clinic)) == []
    never = plan(replace(rx, prescribed_on=date(2030, 6, 1)))
    assert why(plan(rx), never) == []


def test_the_digest_holds_no_name():
    one, other = prescription(), prescription()
    other = replace(other, patient=replace(other.patient, name="Robin Else", record_number="Y"))
    assert plan(one).consent.digest == plan(other).consent.digest
    made = plan(one)
    parts = material_parts(one, made.unit, made.settings, made.notices, made.consent)
    assert "Sample" not in json.dumps(parts)


@given(st.dictionaries(st.sampled_from("abcd"), st.lists(st.text(max_size=5), max_size=3)))
def test_the_digest_is_the_first_fifty_bits_in_crockford_base32(parts):
    canonical = json.dumps(parts, sort_keys=True, separators=(",", ":"), ensure_ascii=False)
    bits = bin(int(hashlib.sha256(canonical.encode()).hexdigest(), 16))[2:].zfill(256)[:50]
    alphabet = [c for c in "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ" if c not in "ILOU"]
    expected = "".join(alphabet[int(bits[i : i + 5], 2)] for i in range(0, 50, 5))
    assert short_digest(parts) == expected


@given(st.dates(date(2000, 1, 1), date(2090, 1, 1)), st.integers(1, 60))
def test_months_are_counted_as_dateutil_counts_them(day, months):
    assert months_after(day, months) == day + relativedelta(months=months)
