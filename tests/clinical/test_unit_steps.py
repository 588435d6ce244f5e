"""Printed key presses bring a unit, which knows nothing of us, to the printed settings."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest
from random_units import random_case
from simulated_unit import SimulatedUnit

from docbuilder.clinical.unit_steps import UnitState, power_on_state, setup_steps
from docbuilder.inputs.unit import read_unit
from docbuilder.paths import data_folder

DEMO = data_folder("demo") / "units"
RANDOM_PROFILES = 5000


def work_the_keys(unit, steps):
    """Do what the paper says, key by key; check the display after each printed step."""
    machine = SimulatedUnit(unit)
    for step in steps:
        for _ in range(step.presses):
            machine.press(step.key)
        if step.action != "strength":
            assert machine.display() == step.shows
    return machine


def ends_at(machine, target):
    for parameter, value in machine.values.items():
        wanted = getattr(target, parameter)
        wanted = "{}/{}".format(*wanted) if isinstance(wanted, tuple) else str(wanted)
        assert value == wanted, parameter


@pytest.mark.parametrize("part", range(10))
def test_random_profiles_arrive_at_the_printed_settings(part):
    share = RANDOM_PROFILES // 10
    for seed in range(part * share, (part + 1) * share):
        unit, target = random_case(seed)
        steps = setup_steps(unit, target, (1, 2))
        machine = work_the_keys(unit, steps)
        ends_at(machine, target)
        assert not machine.clamped, f"seed {seed}: passed a state that a limit forbids"
        assert all(step.presses <= 200 for step in steps)
        assert [step.key for step in steps[-2:]] == ["A+", "B+"]


def test_each_change_is_the_shortest_way_that_the_keys_allow():
    """Counted on the simulated unit's own ring of values; limits may force the longer way."""
    shortest, over_the_end = 0, 0
    for seed in range(1000):
        unit, target = random_case(seed)
        machine = SimulatedUnit(unit)
        limited = any(mode.linked for mode in unit.modes)
        for step in setup_steps(unit, target):
            before = dict(machine.values) if machine.on else {}
            for _ in range(step.presses):
                machine.press(step.key)
            if step.action != "change":
                continue
            item = unit.order[machine.cursor]
            ring, wraps = machine._positions(item)
            here, there = (
                ring.index(before[item.parameter]),
                ring.index(machine.values[item.parameter]),
            )
            up, down = (there - here) % len(ring), (here - there) % len(ring)
            ways = [up] if wraps or there > here else []
            ways += [down] if item.down_key and (wraps or there < here) else []
            if limited:
                assert step.presses in (up, down)
            else:
                assert step.presses == min(ways), (seed, item.parameter)
                shortest += 1
                over_the_end += wraps and (step.presses == up) == (there < here)
    assert shortest > 300
    assert over_the_end > 50, "some were shorter past the end of the ring"


def test_random_profiles_do_need_detours():
    """The generator makes hard cases: linked limits that cost a second round."""
    detours = 0
    for seed in range(1000):
        unit, target = random_case(seed)
        changes = [s.parameter for s in setup_steps(unit, target) if s.action == "change"]
        detours += len(changes) != len(set(changes))
        orders = [s.parameter for s in setup_steps(unit, target) if s.action == "select"]
        names = [a.parameter for a in unit.order]
        detours += [names.index(p) for p in orders] != sorted(names.index(p) for p in orders)
    assert detours >= 50


def test_every_parameter_is_looked_at_even_if_it_stands_right():
    unit = read_unit(DEMO / "demo-duo.yaml")
    steps = setup_steps(unit, power_on_state(unit))
    assert [s.action for s in steps] == ["power", *["select"] * 5, "strength"]
    assert [s.shows for s in steps[1:-1]] == ["CONT", "150 us", "80 Hz", "ON/OFF 0/0", "30 min"]


@pytest.mark.parametrize(
    ("rate", "key", "presses"), [(85, "UP", 1), (20, "DOWN", 12), (1, "UP", 15), (150, "UP", 14)]
)
def test_values_that_wrap_are_reached_the_short_way_round(rate, key, presses):
    """41 rates on a ring, counted by hand: 80 up to 150 is 14 presses, one more is 1 Hz."""
    unit = read_unit(DEMO / "demo-duo.yaml")
    target = UnitState("continuous", Decimal(150), Decimal(rate), Decimal(30), (0, 0))
    change = [s for s in setup_steps(unit, target) if s.action == "change"]
    assert [(s.key, s.presses) for s in change] == [(key, presses)]


def test_no_down_key_goes_round_upwards():
    """2 5 10 12 20 50 80 100 120 on a ring, from 100: 120, 2, 5, 10 are four presses."""
    unit = read_unit(DEMO / "demo-solo.yaml")
    target = UnitState("continuous", Decimal(100), Decimal(10), Decimal(20))
    change = [s for s in setup_steps(unit, target) if s.action == "change"]
    assert [(s.key, s.presses, s.shows) for s in change] == [("STEP", 4, "R 10")]


def test_a_rate_behind_a_limit_waits_for_the_width():
    """From 200 us at 50 Hz to 100 us at 120 Hz: the width has to come down first."""
    unit = read_unit(DEMO / "demo-solo.yaml")
    start = {"pulse_rate_hz": "50", "pulse_width_us": "200", "timer_min": "20"}
    order = tuple(replace(a, power_on=start[a.parameter]) for a in unit.order)
    unit = replace(unit, order=order)
    target = UnitState("continuous", Decimal(100), Decimal(120), Decimal(20))
    steps = setup_steps(unit, target)
    machine = work_the_keys(unit, steps)
    assert not machine.clamped
    changed = [s.parameter for s in steps if s.action == "change"]
    assert changed == ["pulse_width_us", "pulse_rate_hz"]


def test_the_simulated_unit_notices_one_press_too_few():
    """Guards the guard: a wrong count does not pass."""
    unit, target = random_case(3)
    steps = list(setup_steps(unit, target))
    index = next(i for i, s in enumerate(steps) if s.action == "change")
    steps[index] = replace(steps[index], presses=steps[index].presses - 1)
    with pytest.raises(AssertionError):
        work_the_keys(unit, steps)


def test_an_unreachable_target_is_an_error_not_a_guess():
    unit = read_unit(DEMO / "demo-solo.yaml")
    with pytest.raises(ValueError, match="cannot be reached"):
        setup_steps(unit, UnitState("continuous", Decimal(250), Decimal(120), Decimal(20)))
