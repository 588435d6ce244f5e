"""Guidance reaches those it is about, and "do not offer" waits for a reason."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest
from example_cases import CLINIC, knowledge, plan, prescription, unit

from docbuilder.clinical.notices import applicable_notices
from docbuilder.clinical.protocols import case_of
from docbuilder.errors import Refused

BRITAIN = replace(CLINIC, territory="GB", emergency_number="999")


def noticed(rx, clinic=BRITAIN, the_unit=None):
    return applicable_notices(rx, case_of(rx, clinic, the_unit or unit()), knowledge())


def codes(rx, clinic=BRITAIN, the_unit=None):
    return [item.code for item in noticed(rx, clinic, the_unit).notices]


@pytest.mark.parametrize("indication", ["urgency", "urge_leakage", "mixed"])
@pytest.mark.parametrize("site", ["tibial", "sacral"])
def test_c55_a_british_woman_with_an_overactive_bladder(indication, site):
    """evidence.md C55; NICE NG123 as restated in its source S33."""
    rx = prescription(indication, site)
    found = noticed(rx)
    assert [item.code for item in found.notices] == ["ng123"]
    (issue,) = found.issues
    assert "notice.ng123" in issue.allowed
    with pytest.raises(Refused, match=r"notice\.ng123"):
        plan(rx, BRITAIN)
    written = prescription(indication, site, reasons=("notice.ng123",))
    made = plan(written, BRITAIN)
    assert made.notices[0].reason == written.reasons[0]
    assert any(item.code == "notice.ng123" and item.override for item in made.findings)


@pytest.mark.parametrize(
    ("rx", "clinic"),
    [
        (prescription(sex="male"), BRITAIN),
        (prescription(), replace(CLINIC, territory="AU")),
        (prescription("urgency", "lower_abdomen"), BRITAIN),
        (prescription("faecal_leakage", "tibial"), BRITAIN),
        (prescription("child_overactive_bladder", "tibial", born=date(2017, 1, 1)), BRITAIN),
    ],
    ids=["a man", "another country", "a site it does not speak of", "another purpose", "a child"],
)
def test_who_is_not_meant(rx, clinic):
    assert "ng123" not in codes(rx, clinic)
    assert noticed(rx, clinic).issues == ()


@pytest.mark.parametrize("sex", [None, "other"])
def test_whose_sex_is_not_stated_gets_the_notice(sex):
    assert codes(prescription(sex=sex)) == ["ng123"]


def test_strengthening_in_britain_is_told_of_and_not_held_up():
    found = noticed(prescription("weak_pelvic_floor", "sacral"))
    assert [item.code for item in found.notices] == ["ipg735"]
    assert found.issues == ()
    assert found.findings[0].severity == "caution"


def test_american_labelling_speaks_only_of_units_not_cleared_for_the_bladder():
    rx = prescription()
    assert codes(rx, CLINIC) == ["us_bladder_label"]
    assert codes(rx, CLINIC, replace(unit(), labelled_purpose=("urgency",))) == []
    assert codes(prescription("pelvic_pain", "sacral"), CLINIC) == []
    assert codes(prescription("period_pain", "sacral"), CLINIC) == ["us_menstruation"]


def test_every_notice_has_a_citation_and_a_date():
    for rule in knowledge().notices:
        assert rule.source.citation
        assert rule.source.reviewed_on is not None
        assert rule.patient_text.context == "consent"
