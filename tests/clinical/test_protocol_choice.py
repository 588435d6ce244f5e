"""A purpose at a site has one protocol or a clear refusal."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest
from example_cases import knowledge, plan, prescription

from docbuilder.clinical.protocols import find_protocol
from docbuilder.errors import Refused
from docbuilder.inputs.knowledge_reader import SITES

OFFERED = {
    "urgency": set(SITES),
    "urge_leakage": set(SITES),
    "mixed": set(SITES),
    "weak_pelvic_floor": {"sacral"},
    "pelvic_pain": {"lower_abdomen", "sacral"},
    "period_pain": {"lower_abdomen", "sacral"},
    "child_overactive_bladder": {"sacral", "tibial"},
    "faecal_leakage": {"tibial"},
}


def test_the_pairs_offered():
    assert {(item.indication, item.site) for item in knowledge().protocols} == {
        (indication, site) for indication, sites in OFFERED.items() for site in sites
    }
    assert set(knowledge().indications) == set(OFFERED)


@pytest.mark.parametrize("indication", OFFERED)
@pytest.mark.parametrize("site", SITES)
def test_a_pair_not_offered_is_refused_with_those_that_are(indication, site):
    rx = prescription(indication, site)
    if site in OFFERED[indication]:
        found = find_protocol(rx, knowledge())
        assert (found.indication, found.site) == (indication, site)
        return
    with pytest.raises(Refused) as refused:
        find_protocol(rx, knowledge())
    (issue,) = refused.value.issues
    assert issue.field == "placement"
    assert all(word in issue.allowed for word in OFFERED[indication])
    assert "protocols for" in issue.hint


def test_an_unknown_purpose_is_refused_with_the_known_ones():
    with pytest.raises(Refused) as refused:
        find_protocol(replace(prescription(), indication="back_pain"), knowledge())
    (issue,) = refused.value.issues
    assert issue.field == "indication"
    assert all(code in issue.allowed for code in OFFERED)


@pytest.mark.parametrize(
    "protocol", knowledge().protocols, ids=lambda p: f"{p.indication}-{p.site}"
)
def test_every_protocol_is_whole_and_can_happen(protocol):
    for name, span in protocol.ranges().items():
        assert span.low <= span.start <= span.high, name
        assert span.source.mark != "published" or span.source.citation
        assert span.source.reviewed_on is not None
    # Two phases a pulse at the widest and fastest must leave time between pulses.
    assert 2 * protocol.pulse_width_us.high * protocol.pulse_rate_hz.high < 1_000_000
    assert (protocol.on_s is None) == (protocol.off_s is None)
    if protocol.on_s is not None:  # FDA 1999: 1 s on and 1 s off at the least
        assert protocol.on_s.low >= 1
        assert protocol.off_s.low >= 1


@pytest.mark.parametrize(
    "protocol", knowledge().protocols, ids=lambda p: f"{p.indication}-{p.site}"
)
def test_every_protocol_makes_a_plan_from_its_start_values_alone(protocol):
    child = protocol.indication == "child_overactive_bladder"
    rx = prescription(
        protocol.indication,
        protocol.site,
        born=date(2017, 1, 1) if child else date(1980, 1, 1),
        guardian="Kim Sample" if child else None,
        reasons=("derived.period_pain_decision",),
    )
    made = plan(rx)
    for name in ("pulse_width_us", "pulse_rate_hz", "session_minutes"):
        setting = made.setting(name)
        assert setting.prescribed.value == protocol.ranges()[name].start
        assert setting.origin == "protocol"
        assert not setting.outside_range
    assert made.why == knowledge().indications[protocol.indication].why
    assert made.strength_rule == protocol.strength_rule
