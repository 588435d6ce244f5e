"""Any prescription of good form, with any unit: a plan, or a refusal that says why.

The values are drawn from the widest ranges that the reader takes, far beyond the published
ones, and nothing about them is repeated from the code: a plan has to keep what the
prescription and the unit's file say.
"""

from __future__ import annotations

import json
from datetime import date, timedelta
from decimal import Decimal
from functools import lru_cache
from pathlib import Path
from typing import Any

import yaml
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from docbuilder.clinical.plan import make_plan
from docbuilder.errors import DocbuilderError, InputFault, Refused
from docbuilder.inputs.clinic import demo_clinic_folder, read_clinic
from docbuilder.inputs.knowledge import read_knowledge
from docbuilder.inputs.prescription import prescription_from
from docbuilder.inputs.unit import read_unit
from docbuilder.inputs.yaml_file import parse_yaml
from docbuilder.model.plan import Plan

UNITS = {path.stem: path for path in (demo_clinic_folder() / "units").glob("*.yaml")}
WEEKDAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
NAMES = st.text(st.characters(codec="utf-8", categories=("L", "N", "Zs")), min_size=1, max_size=40)
THOUSANDTHS = st.integers(1, 10_000_000).map(lambda value: float(Decimal(value) / 1000))
relaxed = settings(
    max_examples=60,
    deadline=None,
    derandomize=True,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
)


@lru_cache(maxsize=1)
def shared() -> tuple[Any, Any]:
    clinic = read_clinic()
    return clinic, read_knowledge(clinic)


def optional(values: dict[str, st.SearchStrategy[Any]]) -> st.SearchStrategy[dict[str, Any]]:
    return st.fixed_dictionaries({}, optional=values)


@st.composite
def prescriptions(draw: st.DrawFn) -> dict[str, Any]:
    _, knowledge = shared()
    ordinary = draw(st.booleans())  # half of them near what is published, so that many are planned
    issued = draw(st.dates(date(2000, 1, 1), date(2090, 1, 1)))
    start = issued + timedelta(days=draw(st.integers(0, 200)))
    near = st.integers(0, 366).map(lambda days: (start + timedelta(days=days)).isoformat())
    soon = st.integers(0, 30).map(lambda days: (start + timedelta(days=days)).isoformat())
    placement = draw(st.sampled_from(["lower_abdomen", "sacral", "tibial"]))
    schedule: dict[str, Any] = {"start": start.isoformat()} | draw(
        optional({
            "weeks": st.integers(1, 52),
            "skip": st.lists(soon if ordinary else near, max_size=9, unique=True),
            "reviews": st.lists(near, max_size=4, unique=True),
            "time_of_day": st.times().map(lambda time: time.strftime("%H:%M")),
            "taper_sessions_per_week": st.lists(st.integers(1, 7), max_size=4),
        })
    )  # fmt: skip
    if draw(st.booleans()):
        schedule["weekdays"] = draw(
            st.lists(st.sampled_from(WEEKDAYS), min_size=1, max_size=7, unique=True)
        )
    elif draw(st.booleans()):
        schedule["sessions_per_week"] = draw(st.integers(1, 7))
    tree: dict[str, Any] = {
        "prescribed_on": issued.isoformat(),
        "patient": {
            "name": f"A{draw(NAMES)}", "record_number": f"R{draw(NAMES)}"[:40],
            "language": draw(st.sampled_from(["en", "ar", "es", "zh-Hans"])),
        } | draw(optional({
            "born": st.dates(
                issued - timedelta(days=(90 if ordinary else 119) * 365),
                issued - timedelta(days=20 * 365) if ordinary else issued,
            ).map(date.isoformat),
            "sex": st.sampled_from(["female", "male", "other"]),
            "height_cm": st.integers(40, 250), "large_print": st.booleans(),
        })),
        "indication": draw(st.sampled_from(
            ["urgency", "urge_leakage", "mixed"] if ordinary else sorted(knowledge.indications)
        )),
        "placement": placement,
        "device": draw(st.sampled_from(sorted(UNITS))),
        "schedule": schedule,
        "screening": {
            rule.code: draw(st.sampled_from(["no", "no", "no", "no", "no", "yes", "unknown"]))
            for rule in knowledge.screening
        } if not ordinary else {rule.code: "no" for rule in knowledge.screening},
        "clinician": {"name": "Jordan Placeholder", "role": "Physiotherapist"},
    }  # fmt: skip
    if placement == "tibial":
        tree["side"] = draw(st.sampled_from(["left", "right", "both"]))
    rate = {} if ordinary and draw(st.booleans()) else draw(optional({
        "mode": st.sampled_from(["continuous", "burst", "modulated"]),
        "pulse_width_us": st.sampled_from([50, 100, 180, 200, 250]) | st.integers(1, 10_000),
        "pulse_rate_hz": st.sampled_from([2, 10, 20, 80]) | THOUSANDTHS,
        "session_minutes": st.sampled_from([20, 30]) | st.integers(1, 720),
        "channel": st.integers(1, 8), "expected_strength_ma": st.integers(1, 200),
    }))  # fmt: skip
    if rate:
        tree["settings"] = rate
    return tree


def plan_of(tree: dict[str, Any], unit: Path) -> Plan | DocbuilderError:
    clinic, knowledge = shared()
    data = json.dumps(tree, ensure_ascii=False).encode()
    try:
        rx = prescription_from(parse_yaml(data, "rx.json", as_json=True))
        return make_plan(rx, clinic, read_unit(unit), knowledge)
    except (InputFault, Refused) as fault:
        return fault


def told_well(fault: DocbuilderError) -> None:
    assert fault.issues
    for issue in fault.issues:
        assert issue.field
        assert issue.found
        assert issue.allowed
        assert str(issue).replace("\n", "").isprintable()


@relaxed
@given(prescriptions())
def test_any_prescription_is_planned_or_refused_in_words(tree: dict[str, Any]) -> None:
    made = plan_of(tree, UNITS[tree["device"]])
    if isinstance(made, DocbuilderError):
        told_well(made)
        return
    unit = yaml.load(UNITS[tree["device"]].read_bytes(), Loader=yaml.BaseLoader)
    days = [session.day for session in made.schedule.sessions]
    assert days == sorted(set(days))
    assert days[0] >= date.fromisoformat(tree["schedule"]["start"])
    assert not {day.isoformat() for day in days} & set(tree["schedule"].get("skip", ()))
    if weekdays := tree["schedule"].get("weekdays"):
        instead = {new for _, new in made.schedule.moved}
        course = [one.day for one in made.schedule.sessions if one.phase == "course"]
        assert {WEEKDAYS[day.weekday()] for day in course if day not in instead} <= set(weekdays)
    assert tree.get("settings", {}).get("channel", 1) <= int(unit["channels"])
    # No stop in the screening without a reason.
    assert all(finding.severity != "stop" for finding in made.findings)


@relaxed
@given(prescriptions())
def test_planning_twice_gives_the_same(tree: dict[str, Any]) -> None:
    one, two = (plan_of(tree, UNITS[tree["device"]]) for _ in range(2))
    assert type(one) is type(two)
    if isinstance(one, DocbuilderError):
        assert isinstance(two, DocbuilderError)
        assert one.issues == two.issues
    else:
        assert one == two


@relaxed
@given(prescriptions(), st.data())
def test_any_unit_that_is_read_gives_a_plan_or_a_refusal(
    tmp_path_factory: Any, tree: dict[str, Any], data: st.DataObject
) -> None:
    """Numbers of the profile are changed; a profile that cannot be is refused as a file."""
    lines = UNITS[tree["device"]].read_text(encoding="utf-8").splitlines()
    figures = [number for number, line in enumerate(lines) if any(map(str.isdigit, line))]
    for at in data.draw(st.lists(st.sampled_from(figures), min_size=1, max_size=2, unique=True)):
        words = lines[at].split(" ")
        spots = [n for n, word in enumerate(words) if any(map(str.isdigit, word))]
        spot = data.draw(st.sampled_from(spots))
        value = data.draw(st.sampled_from(["0", "1", "2", "7", "50", "1000", "0.5", "-1"]))
        digits = "".join(c if c.isdigit() else " " for c in words[spot]).split()[0]
        words[spot] = words[spot].replace(digits, value, 1)
        lines[at] = " ".join(words)
    folder = tmp_path_factory.getbasetemp() / "units"
    folder.mkdir(exist_ok=True)
    path = folder / f"{tree['device']}.yaml"
    path.write_text("\n".join(lines), encoding="utf-8")
    made = plan_of(tree, path)
    if isinstance(made, DocbuilderError):
        told_well(made)
