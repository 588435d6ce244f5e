"""Which keys to press, how often, to bring a unit from switched on to the plan's settings.

How a unit is taken to behave, so that a profile can be checked against the real one:

- After switching on, no parameter is chosen and all stand at their power-on values.
- Each press of the select key chooses the next parameter of the unit's order, the
  first press the first one, and after the last comes the first again.
- Each press of an up or down key moves the chosen parameter by one position.
- Pulse widths above a linked limit cannot be chosen; where keys wrap, they wrap at it.

We never pass a state that a linked limit forbids, so it does not matter whether a
unit would lower the width by itself or refuse the key.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from decimal import Decimal
from typing import cast

from docbuilder.model.plan import SetupStep
from docbuilder.model.prescription import StimulationMode
from docbuilder.model.unit import Adjustable, Parameter, Unit, UnitMode, number_text, ways_round

__all__ = ["UnitState", "pair_text", "power_on_state", "setup_steps", "shown_value"]

_MAX_LAPS = 6


@dataclass(frozen=True, slots=True)
class UnitState:
    """What a unit is set to."""

    mode: StimulationMode
    pulse_width_us: Decimal
    pulse_rate_hz: Decimal
    timer_min: Decimal
    on_off_s: tuple[Decimal, Decimal] | None = None


def power_on_state(unit: Unit) -> UnitState:
    """Return the state of *unit* after switching on; a fixed parameter has its one value."""
    mode = cast("StimulationMode", _power_on(unit, "mode") or unit.modes[0].mode)
    chosen = unit.mode(mode) or unit.modes[0]
    return UnitState(
        mode=mode,
        pulse_width_us=_number(unit, "pulse_width_us", chosen.pulse_width_us.values[0]),
        pulse_rate_hz=_number(unit, "pulse_rate_hz", chosen.pulse_rate_hz.values[0]),
        timer_min=_number(unit, "timer_min", unit.timer_min.values[0]),
        on_off_s=_power_on_pair(unit),
    )


def shown_value(unit: Unit, state: UnitState, parameter: Parameter) -> str:
    """Return what the display shows for *parameter* in *state*."""
    value = getattr(state, parameter)
    if isinstance(value, tuple):
        text = pair_text(value)
    elif isinstance(value, Decimal):
        text = number_text(value)
    else:
        mode = unit.mode(value)
        text = mode.shows if mode else ""
    adjustable = unit.adjustable(parameter)
    return adjustable.shows(text) if adjustable else text


def pair_text(pair: tuple[Decimal, Decimal]) -> str:
    """Return seconds of work and rest as profiles and displays write them, "5/10"."""
    return f"{number_text(pair[0])}/{number_text(pair[1])}"


def setup_steps(
    unit: Unit, target: UnitState, channels: Iterable[int] = (1,)
) -> tuple[SetupStep, ...]:
    """Return the key presses from switched off to *target*, then the strength keys.

    Every step says what the display shows after its last press. A strength step has
    no count of presses: the patient stops by feel.

    Raises:
        ValueError: *target* is not settable on *unit*; `settings.settle` prevents it.
    """
    holds: tuple[tuple[Parameter, Parameter] | None, ...] = (None,)
    if any(mode.linked for mode in unit.modes):
        holds = (None, ("pulse_width_us", "pulse_rate_hz"), ("pulse_rate_hz", "pulse_width_us"))
    walks = [walk.steps for hold in holds if (walk := _walk(unit, target, hold)) is not None]
    if not walks:
        raise ValueError(f"{unit.id}: {target} cannot be reached from power-on")
    power = SetupStep("power", unit.power_key, 1, unit.power_on_shows)
    best = min(walks, key=lambda steps: (len(steps), sum(step.presses for step in steps)))
    strength = (
        SetupStep("strength", unit.strength_up_key[channel], 0, "", channel=channel)
        for channel in channels
    )
    return (power, *best, *strength)


@dataclass(slots=True)
class _Walk:
    """A walk round the unit's order of setting; keeps what was pressed so far."""

    unit: Unit
    state: UnitState
    steps: list[SetupStep] = field(default_factory=list)
    selects: int = 0

    def select(self, item: Adjustable) -> None:
        """Write down the presses of the select key since the last written step."""
        shows = shown_value(self.unit, self.state, item.parameter)
        self.steps.append(
            SetupStep("select", self.unit.select_key, self.selects, shows, item.parameter)
        )
        self.selects = 0

    def change(self, item: Adjustable, goal: object) -> bool:
        """Bring the chosen parameter to *goal* by the shortest permitted way, if there is one."""
        choices = _choices(self.unit, self.state, item.parameter)
        here = getattr(self.state, item.parameter)
        if goal not in choices or here not in choices:
            return False
        ways = ways_round(
            len(choices), choices.index(here), choices.index(goal),
            wraps=_wraps(self.unit, self.state, item), has_down=item.down_key is not None,
        )  # fmt: skip
        for key, passed in ways:
            states = [_with(self.state, item.parameter, choices[n]) for n in passed]
            if all(_permitted(self.unit, state) for state in states):
                self.select(item)
                self.state = states[-1]
                name = item.up_key if key == "up" else cast("str", item.down_key)
                shows = shown_value(self.unit, self.state, item.parameter)
                self.steps.append(SetupStep("change", name, len(passed), shows, item.parameter))
                return True
        return False


def _walk(unit: Unit, target: UnitState, hold: tuple[Parameter, Parameter] | None) -> _Walk | None:
    """Walk to *target*, leaving hold[0] alone until hold[1] stands; None if it fails."""
    walk = _Walk(unit, power_on_state(unit))
    aim = target
    for lap in range(_MAX_LAPS):
        moved = False
        for item in unit.order:
            walk.selects += 1
            moved |= _visit(walk, item, aim, target, hold, first_lap=lap == 0)
            if lap and walk.state == target:
                break
        if walk.state == target:
            return walk
        if walk.state.mode == target.mode and walk.state.pulse_rate_hz == target.pulse_rate_hz:
            aim = target
        elif not moved:
            aim = replace(target, pulse_width_us=_always_permitted(unit, target))
    return None


def _visit(
    walk: _Walk, item: Adjustable, aim: UnitState, target: UnitState,
    hold: tuple[Parameter, Parameter] | None, *, first_lap: bool,
) -> bool:  # fmt: skip
    """Set *item* if it can be set now; say whether something was changed."""
    state, parameter = walk.state, item.parameter
    if getattr(state, parameter) == getattr(aim, parameter):
        if first_lap and aim == target:  # lets the patient check what is right already
            walk.select(item)
        return False
    if parameter != "mode" and state.mode != aim.mode:
        return False
    if hold and parameter == hold[0] and getattr(state, hold[1]) != getattr(aim, hold[1]):
        return False
    return walk.change(item, getattr(aim, parameter))


def _always_permitted(unit: Unit, target: UnitState) -> Decimal:
    """Return the largest width that no rate of the target's mode forbids."""
    mode = _mode(unit, target)
    return mode.widths_at(mode.pulse_rate_hz.values[-1])[-1]


def _permitted(unit: Unit, state: UnitState) -> bool:
    mode = _mode(unit, state)
    return (
        state.pulse_rate_hz in mode.pulse_rate_hz.values
        and state.pulse_width_us in mode.widths_at(state.pulse_rate_hz)
    )


def _choices(unit: Unit, state: UnitState, parameter: Parameter) -> tuple[object, ...]:
    if parameter == "mode":
        return tuple(mode.mode for mode in unit.modes)
    if parameter == "pulse_width_us":
        return _mode(unit, state).widths_at(state.pulse_rate_hz)
    if parameter == "pulse_rate_hz":
        return _mode(unit, state).pulse_rate_hz.values
    return unit.timer_min.values if parameter == "timer_min" else unit.on_off_s


def _wraps(unit: Unit, state: UnitState, item: Adjustable) -> bool:
    if item.parameter in ("mode", "on_off_s"):
        return item.wraps
    if item.parameter == "timer_min":
        return unit.timer_min.wraps
    mode = _mode(unit, state)
    grid = mode.pulse_width_us if item.parameter == "pulse_width_us" else mode.pulse_rate_hz
    return grid.wraps


def _with(state: UnitState, parameter: Parameter, value: object) -> UnitState:
    return replace(state, **{parameter: value})  # type: ignore[arg-type]


def _mode(unit: Unit, state: UnitState) -> UnitMode:
    return unit.mode(state.mode) or unit.modes[0]


def _power_on(unit: Unit, parameter: Parameter) -> str | None:
    adjustable = unit.adjustable(parameter)
    return adjustable.power_on if adjustable else None


def _number(unit: Unit, parameter: Parameter, fixed: Decimal) -> Decimal:
    written = _power_on(unit, parameter)
    return fixed if written is None else Decimal(written)


def _power_on_pair(unit: Unit) -> tuple[Decimal, Decimal] | None:
    if not unit.on_off_s:
        return None
    written = _power_on(unit, "on_off_s")
    return next((p for p in unit.on_off_s if pair_text(p) == written), unit.on_off_s[0])
