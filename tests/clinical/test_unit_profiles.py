"""A profile that would mislead a patient at the keys is refused, with file and line."""

from __future__ import annotations

import random
import re
from dataclasses import replace
from decimal import Decimal

import pytest
import yaml
from random_units import random_case

from docbuilder.clinical.unit_steps import power_on_state, setup_steps
from docbuilder.errors import InputFault
from docbuilder.inputs.unit import find_unit, known_units, read_unit
from docbuilder.model.clinic import Clinic
from docbuilder.paths import data_folder

DEMO = data_folder("demo") / "units"
CLINIC = Clinic("Demo Clinic", "555 0100", "GB", "en", "112")

DUO = (DEMO / "demo-duo.yaml").read_text("utf-8")
SOLO = (DEMO / "demo-solo.yaml").read_text("utf-8")


def faults_of(tmp_path, name, text):
    path = tmp_path / f"{name}.yaml"
    path.write_text(text, "utf-8")
    with pytest.raises(InputFault) as caught:
        read_unit(path)
    return caught.value.issues


def line_of(text, part):
    return next(n for n, line in enumerate(text.splitlines(), 1) if part in line)


BAD = {
    "zero step": (
        DUO, "to: 250, step: 10}", "to: 250, step: 0}", "step: 0}", "a step above 0",
    ),
    "empty list": (SOLO, "[15, 20, 30, 45, 60]", "[]", "timer_min", "1 to"),
    "reversed range": (DUO, "from: 5, to: 150", "from: 150, to: 5", "from: 150", "at least 150"),
    "duplicate value": (SOLO, "[15, 20, 30,", "[15, 20, 20, 30,", "timer_min", "values that rise"),
    "falling values": (SOLO, "[15, 20, 30,", "[20, 15, 30,", "timer_min", "values that rise"),
    "end off the grid": (DUO, "to: 250, step: 10", "to: 255, step: 10", "to: 255", "whole number"),
    "too many presses": (
        DUO, "{from: 5, to: 150, step: 5, wraps: true}", "{from: 5, to: 150, step: 0.1}",
        "step: 0.1", "at most",
    ),
    "power-on off the grid": (DUO, "power_on: 150,", "power_on: 155,", "power_on: 155", "one of"),
    "unknown key in file": (DUO, "connector:", "conector:", "conector", "one of"),
    "unknown key on unit": (DUO, "DOWN, power_on: 30", "DOWNN, power_on: 30", "DOWNN",
                            "keys.face"),
    "overlapping pulses": (
        DUO, "from: 50, to: 250, step: 10}\n    pulse_rate_hz: {from: 5, to: 150,",
        "from: 50, to: 2000, step: 10}\n    pulse_rate_hz: {from: 5, to: 250,", "to: 2000",
        "shorter than their interval",
    ),
    "no way back": (SOLO, "[15, 20, 30, 45, 60], wraps: true", "[15, 20, 30, 45, 60]",
                    "parameter: timer_min", "down key"),
    "limit against power-on": (SOLO, "at_or_above_hz: 80, max_width_us: 200",
                               "at_or_above_hz: 80, max_width_us: 50", "linked:", "power-on width"),
    "limit below all widths": (SOLO, "max_width_us: 150}", "max_width_us: 40}", "max_width_us: 40",
                               "smallest width"),
    "display without value": (SOLO, '"T {value}"', '"T"', 'display: "T"', "{value}"),
    "many values, no key": (
        SOLO, '  - {parameter: timer_min, up: STEP, power_on: 20, display: "T {value}"}\n', "",
        "timer_min", "one value",
    ),
    "mode twice": (DUO, "mode: modulated", "mode: burst", "pulse_width_us: {from: 50, to: 250", ""),
    "burst without bursts": (DUO, "    burst_rate_hz: 2\n    pulses_per_burst: 8\n", "",
                             "mode: burst", "burst_rate_hz"),
    "burst longer than its turn": (DUO, "pulses_per_burst: 8", "pulses_per_burst: 31",
                                   "pulses_per_burst: 31", "within"),
    "strength key missing": (DUO, "strength_up: {1: A+, 2: B+}", "strength_up: {1: A+}",
                             "strength_up", "each channel"),
    "one key up and down": (DUO, "down: DOWN, power_on: 80", "down: UP, power_on: 80",
                            "power_on: 80", "other than up"),
    "parameter twice": (SOLO, "parameter: timer_min", "parameter: pulse_rate_hz",
                        "W {value}", ""),
    "id not the file's": (DUO, "id: demo-duo", "id: other", "id: other", "own name"),
    "strength off its steps": (DUO, "max_current_ma: 80", "max_current_ma: 80.5",
                               "max_current_ma", "whole number"),
    "pair that is none": (DUO, "5/10, 10/10", "5-10, 10/10", "5-10", "work and rest"),
}  # fmt: skip


@pytest.mark.parametrize("case", BAD)
def test_bad_profile(tmp_path, case):
    text, good, bad, marker, words = BAD[case]
    assert text.count(good) == 1, "the test's own replacement must hit once"
    changed = text.replace(good, bad)
    name = "demo-duo" if text is DUO else "demo-solo"
    issues = faults_of(tmp_path, name, changed)
    assert any(words in issue.allowed for issue in issues), [str(i) for i in issues]
    assert all(issue.place.file.endswith(f"{name}.yaml") for issue in issues)
    if case not in ("mode twice", "parameter twice"):
        hit = next(issue for issue in issues if words in issue.allowed)
        assert hit.place.line == line_of(changed, marker), str(hit)


def test_all_faults_come_together(tmp_path):
    text = DUO.replace("step: 10", "step: 0").replace("kind: AA", "kindd: AA")
    fields = {issue.field for issue in faults_of(tmp_path, "demo-duo", text)}
    assert {"modes.1.pulse_width_us.step", "modes.2.pulse_width_us.step",
            "modes.3.pulse_width_us.step", "battery.kind", "battery.kindd"} <= fields  # fmt: skip


def test_presses_are_bounded_by_the_furthest_value(tmp_path):
    """From 80 in ones, 280 is 200 presses and passes; 281 is one too many."""
    grid = "{from: 5, to: 150, step: 5, wraps: true}"
    path = tmp_path / "demo-duo.yaml"
    path.write_text(DUO.replace(grid, "{from: 5, to: 280, step: 1}"), "utf-8")
    assert read_unit(path).mode("modulated").pulse_rate_hz.values[-1] == 280
    (issue,) = faults_of(tmp_path, "demo-duo", DUO.replace(grid, "{from: 5, to: 281, step: 1}"))
    assert issue.found.startswith("201 presses")


def test_demo_units_are_plausible_and_hold_exact_values():
    duo, solo = (find_unit(name, CLINIC) for name in ("demo-duo", "demo-solo"))
    assert (duo.channels, solo.channels) == (2, 1)
    rates = duo.mode("continuous").pulse_rate_hz.values
    assert (rates[0], rates[-1], len(rates)) == (1, 150, 41)
    assert duo.mode("continuous").pulse_width_us.values == tuple(map(Decimal, range(50, 301, 10)))
    assert duo.max_current_ma == 80
    assert solo.order[0].down_key is None
    linked = solo.mode("continuous")
    assert [linked.widest_at(Decimal(f)) for f in (50, 79, 80, 119, 120)] == [
        250,
        250,
        200,
        200,
        150,
    ]


def test_the_clinics_own_profile_wins(tmp_path):
    (tmp_path / "units").mkdir()
    (tmp_path / "units" / "demo-duo.yaml").write_text(DUO.replace("Demo Duo", "Our Duo"), "utf-8")
    clinic = replace(CLINIC, folder=tmp_path)
    assert find_unit("demo-duo", clinic).name == "Our Duo"
    assert set(known_units(clinic)) == {"demo-duo", "demo-solo"}


def test_unknown_unit_names_the_known_ones():
    with pytest.raises(InputFault) as caught:
        find_unit("demo-du", CLINIC)
    assert "demo-duo, demo-solo" in str(caught.value)
    assert "did you mean demo-duo?" in str(caught.value)


@pytest.mark.parametrize("name", ["../demo-duo", "/etc/passwd", "", "demo-duo.yaml"])
def test_an_id_is_never_a_path(name):
    with pytest.raises(InputFault):
        find_unit(name, CLINIC)


def as_yaml(unit):
    """Write a unit as a profile, the way a clinic would."""

    def grid(values):
        return {"values": [str(v) for v in values.values], "wraps": values.wraps}

    data = {
        "id": unit.id, "name": unit.name, "source": "a test", "channels": unit.channels,
        "connector": unit.connector, "power_on_shows": unit.power_on_shows,
        "output": {"waveform": unit.waveform, "max_current_ma": str(unit.max_current_ma),
                   "current_step_ma": str(unit.current_step_ma)},
        "keys": {"face": sorted({unit.power_key, unit.select_key, "A+", "A-", "B+", "B-"}
                                | {a.up_key for a in unit.order}
                                | {a.down_key for a in unit.order if a.down_key}),
                 "power": unit.power_key, "select": unit.select_key,
                 "strength_up": {"1": "A+", "2": "B+"}, "strength_down": {"1": "A-", "2": "B-"}},
        "battery": {"kind": "AA", "count": 2, "hours_of_use": 60},
        "modes": [
            {"mode": m.mode, "shows": m.shows, "pulse_width_us": grid(m.pulse_width_us),
             "pulse_rate_hz": grid(m.pulse_rate_hz),
             "linked": [{"at_or_above_hz": str(x.at_or_above_hz),
                         "max_width_us": str(x.max_width_us)} for x in m.linked]}
            for m in unit.modes
        ],
        "timer_min": grid(unit.timer_min),
        "order": [
            {"parameter": a.parameter, "up": a.up_key, "power_on": a.power_on,
             "display": a.display, "wraps": a.wraps} | ({"down": a.down_key} if a.down_key else {})
            for a in unit.order
        ],
    }  # fmt: skip
    if unit.on_off_s:
        data["on_off_s"] = [f"{a}/{b}" if a else "none" for a, b in unit.on_off_s]
    return yaml.safe_dump(data).replace("'", "")


def test_random_profiles_come_back_from_a_file_as_they_were(tmp_path):
    """What the simulated unit was proved with is what the reader lets through."""
    read = 0
    for seed in range(200):
        unit, _ = random_case(seed)
        if unit.mode("burst"):
            continue
        path = tmp_path / "random.yaml"
        path.write_text(as_yaml(unit), "utf-8")
        found = read_unit(path)
        assert replace(found, keys=(), source="") == replace(unit, keys=(), source="")
        read += 1
    assert read > 50


ODD = ["", "0", "-1", "1e9", "nan", "[]", "{}", "~", "true", "[1, 2]", "{a: 1}", "999999999",
       "0.0001", "'x'", "\N{ARABIC-INDIC DIGIT THREE}", "{from: 1}", "{values: [1]}"]  # fmt: skip


def test_a_damaged_profile_is_refused_or_read_and_never_a_crash(tmp_path):
    """400 profiles with a line lost, doubled, or a value put out of joint."""
    r = random.Random(11)
    refused, read = [], 0
    for number in range(400):
        lines = r.choice([DUO, SOLO]).splitlines()
        for _ in range(r.randint(1, 3)):
            place = r.randrange(len(lines))
            head, colon, _ = lines[place].partition(": ")
            change = r.randrange(4)
            if change == 0:
                del lines[place]
            elif change == 1:
                lines.insert(place, lines[place])
            elif change == 2 and colon:
                lines[place] = f"{head}: {r.choice(ODD)}"
            else:
                lines[place] = re.sub(r"\d+", lambda _: r.choice(ODD[:9]), lines[place], count=1)
        path = tmp_path / ("demo-duo.yaml" if number % 2 else "demo-solo.yaml")
        path.write_text("\n".join(lines), "utf-8")
        try:
            unit = read_unit(path)
        except InputFault as fault:
            refused.extend(fault.issues)
        else:
            assert setup_steps(unit, power_on_state(unit))
            read += 1
    assert all(issue.allowed and issue.field and issue.place.file for issue in refused)
    assert 20 < read < 350
