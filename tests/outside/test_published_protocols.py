"""Our start values and ranges against what trials and tables printed.

Every row was copied by hand from the evidence collected for the project, with its
source beside it; nothing here is read from our data. None: not stated by the source.
"""

from __future__ import annotations

from decimal import Decimal
from typing import NamedTuple

import pytest

from docbuilder.inputs.knowledge import read_knowledge

KNOWLEDGE = read_knowledge()
BY_PAIR = {(item.indication, item.site): item for item in KNOWLEDGE.protocols}


class Trial(NamedTuple):
    source: str
    indication: str
    site: str
    width_us: int | None
    rate_hz: int | None
    minutes: int | None
    a_week: int | None
    weeks: int | None


TRIALS = [
    # Int Urogynecol J 2021, doi 10.1007/s00192-020-04560-6; prints "200 ms" for 200 us.
    Trial("IUJ 2021", "urge_leakage", "tibial", 200, 10, 30, 1, 12),
    # ELECTRIC, doi 10.3310/hta25410, and register entry NCT03248362: 12 sessions.
    Trial("ELECTRIC 2021", "urge_leakage", "tibial", 200, 10, 30, 2, 6),
    # Wearable pilot 2022, PMC9074788.
    Trial("wearable 2022", "urgency", "tibial", 200, 20, 60, 7, 4),
    # Pierre 2021, Clinics 76:e3039: 12 sessions once or twice a week.
    Trial("Pierre 2021 once", "urgency", "tibial", None, None, 30, 1, 12),
    Trial("Pierre 2021 twice", "mixed", "tibial", None, None, 30, 2, 6),
    # Mallmann 2020, at home, both sites.
    Trial("Mallmann 2020", "urgency", "tibial", None, None, None, 3, 6),
    Trial("Mallmann 2020", "urgency", "sacral", None, None, None, 3, 6),
    # ICS 2023 abstract 27: 30 sessions.
    Trial("ICS 2023", "urgency", "sacral", 500, 10, 20, 3, 10),
    # ICS 2025 abstract 468.
    Trial("ICS 2025", "urgency", "tibial", 200, 10, 30, 2, 8),
    # Children, as tabled in PMC7136445.
    Trial("Lordelo 2010", "child_overactive_bladder", "sacral", 700, 10, 20, 3, 7),
    Trial("Hagstroem 2009", "child_overactive_bladder", "sacral", 200, 10, 120, 7, 4),
    Trial("Sillen 2014", "child_overactive_bladder", "sacral", None, 10, 20, 7, 12),
    Trial("Patidar 2015", "child_overactive_bladder", "tibial", 200, 20, 30, 1, 12),
    Trial("Boudaoud 2015", "child_overactive_bladder", "tibial", 200, 10, None, None, 12),
    # At home, doi 10.11648/j.rs.20251001.12.
    Trial("home series 2025", "child_overactive_bladder", "tibial", 200, 10, 20, 5, None),
    # doi 10.1590/S1677-5538.IBJU.2020.0372, the arm with two sessions a week.
    Trial("IBJU 2021", "child_overactive_bladder", "sacral", None, None, 20, 2, None),
    # Overview, doi 10.2147/IJWH.S220523: 50 to 120 Hz, usually 100.
    Trial("Elboim 2020 low", "period_pain", "lower_abdomen", 100, 50, None, None, None),
    Trial("Elboim 2020 usual", "period_pain", "sacral", 100, 100, None, None, None),
    Trial("Elboim 2020 high", "period_pain", "sacral", 100, 120, None, None, None),
    # Int Braz J Urol 2008;34:708.
    Trial("Sikiru 2008", "pelvic_pain", "lower_abdomen", 100, 60, 20, 5, 4),
    # doi 10.1111/bju.12005, at home.
    Trial("Schneider 2013", "pelvic_pain", "sacral", None, None, None, None, 12),
    # NICE IPG735 evidence: 50 Hz (its garment's 620 us is no pad and no home unit's).
    Trial("IPG735 trial", "weak_pelvic_floor", "sacral", None, 50, None, None, 12),
    # Probe at home against clinic, 46 women.
    Trial("home probe", "weak_pelvic_floor", "sacral", 300, None, 20, 3, 6),
    # Pads on the skin: doi 10.1016/j.ejogrb.2013.11.023, 12 sessions, two a week.
    Trial("Correia 2014", "weak_pelvic_floor", "sacral", None, None, 20, 2, 6),
    # At home, doi 10.1111/j.1525-1403.2012.00509.x: "at least four times per week".
    Trial("external 2013", "weak_pelvic_floor", "sacral", None, None, 30, 4, 8),
    # At home twice a day, doi 10.1007/s00384-010-0960-3.
    Trial("Eleouet 2010", "faecal_leakage", "tibial", None, None, 20, 7, None),
    # doi 10.1002/bjs.9000; Leroi 2012: three months.
    Trial("George 2013", "faecal_leakage", "tibial", None, None, 30, 2, 6),
    Trial("Leroi 2012", "faecal_leakage", "tibial", None, None, None, None, 12),
]


@pytest.mark.parametrize("trial", TRIALS, ids=lambda trial: f"{trial.source}-{trial.site}")
def test_what_a_trial_used_lies_in_our_range(trial):
    protocol = BY_PAIR[trial.indication, trial.site]
    for name, value in (
        ("pulse_width_us", trial.width_us),
        ("pulse_rate_hz", trial.rate_hz),
        ("session_minutes", trial.minutes),
        ("sessions_per_week", trial.a_week),
        ("weeks", trial.weeks),
    ):
        if value is not None:
            assert protocol.ranges()[name].holds(Decimal(value)), name


PRESETS = [
    # The evidence's suggested presets (section 1.7): from, to, for width, rate, minutes,
    # sessions a week, weeks.
    ("urgency", "tibial", (200, 200), (10, 20), (30, 30), (2, 3), (12, 12)),
    ("urgency", "sacral", (200, 500), (10, 10), (20, 30), (3, 3), (10, 12)),
    ("child_overactive_bladder", "sacral", (200, 700), (10, 10), (20, 20), (2, 3), (7, 10)),
    ("urgency", "lower_abdomen", (200, 200), (10, 20), (30, 30), (7, 7), (12, 12)),
    ("period_pain", "lower_abdomen", (100, 100), (100, 100), (20, 30), None, None),
    ("pelvic_pain", "sacral", (100, 200), (60, 100), (20, 30), (5, 7), (4, 12)),
    ("weak_pelvic_floor", "sacral", (250, 300), (35, 50), (15, 20), (5, 7), (12, 14)),
    ("faecal_leakage", "tibial", (200, 200), (10, 20), (30, 30), (2, 7), (6, 12)),
]


@pytest.mark.parametrize("preset", PRESETS, ids=lambda preset: f"{preset[0]}-{preset[1]}")
def test_our_start_values_are_the_evidences(preset):
    ranges = BY_PAIR[preset[0], preset[1]].ranges()
    names = ("pulse_width_us", "pulse_rate_hz", "session_minutes", "sessions_per_week", "weeks")
    for name, span in zip(names, preset[2:], strict=True):
        if span is not None:
            assert span[0] <= ranges[name].start <= span[1], name


def test_bladder_rates_stay_below_those_for_pain():
    """10 to 20 Hz is the convention for the bladder, 50 Hz and more that for pain."""
    for protocol in KNOWLEDGE.protocols:
        if protocol.indication in ("urgency", "urge_leakage", "mixed", "child_overactive_bladder"):
            assert protocol.pulse_rate_hz.high <= 20
        if protocol.indication in ("pelvic_pain", "period_pain"):
            assert protocol.pulse_rate_hz.low >= 50


def test_what_was_not_looked_up_is_marked_so():
    """Values that the evidence marks [memory] or common practice never count as published."""
    for pair, names in {
        ("weak_pelvic_floor", "sacral"): ("pulse_width_us", "weeks", "on_s", "off_s", "ramp_s"),
        ("faecal_leakage", "tibial"): ("pulse_width_us", "pulse_rate_hz"),
        ("urgency", "lower_abdomen"): ("pulse_width_us", "pulse_rate_hz", "session_minutes"),
        ("period_pain", "sacral"): ("session_minutes", "sessions_per_week", "weeks"),
    }.items():
        for name in names:
            assert BY_PAIR[pair].ranges()[name].source.mark != "published", (pair, name)


def test_no_source_is_cited_for_the_trial_that_was_not_found():
    """A "20 Hz against 75 Hz" trial was looked for and not found: it must not be cited."""
    assert not any("75 Hz" in source.citation for source in KNOWLEDGE.sources.values())
