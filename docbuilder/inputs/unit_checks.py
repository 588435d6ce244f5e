"""Checks across the fields of a unit profile."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from decimal import Decimal

from docbuilder.model.unit import Adjustable, Parameter, Unit, UnitMode, number_text, ways_round

__all__ = ["MAX_PRESSES", "Add", "check_unit"]

MAX_PRESSES = 200

Add = Callable[[str, str, str, str], None]
"""Field, found, allowed, hint."""


def check_unit(unit: Unit, add: Add) -> None:
    """Report, through *add*, everything that would mislead a patient at the unit's keys."""
    _check_keys(unit, add)
    _check_order(unit, add)
    for number, mode in enumerate(unit.modes, start=1):
        _check_mode(unit, mode, f"modes.{number}", add)
    _check_once([mode.mode for mode in unit.modes], "modes", ".mode", add)
    _check_once([mode.shows for mode in unit.modes], "modes", ".shows", add)
    _check_once([_pair_text(pair) for pair in unit.on_off_s], "on_off_s", "", add)
    if unit.max_current_ma % unit.current_step_ma:
        add("output.max_current_ma", str(unit.max_current_ma),
            f"a whole number of steps of {unit.current_step_ma} mA", "check both")  # fmt: skip
    for number, item in enumerate(unit.order, start=1):
        _check_power_on(unit, item, f"order.{number}", add)
    _check_power_on_widths(unit, add)


def _check_keys(unit: Unit, add: Add) -> None:
    used = {"keys.power": unit.power_key, "keys.select": unit.select_key}
    for number, item in enumerate(unit.order, start=1):
        used[f"order.{number}.up"] = item.up_key
        if item.down_key is not None:
            used[f"order.{number}.down"] = item.down_key
            if item.down_key == item.up_key:
                add(f"order.{number}.down", item.down_key, "a key other than up",
                    "leave down out when one key does both")  # fmt: skip
    wanted = set(range(1, unit.channels + 1))
    for name, keys in (("up", unit.strength_up_key), ("down", unit.strength_down_key)):
        used |= {f"keys.strength_{name}.{channel}": key for channel, key in keys.items()}
        if set(keys) != wanted:
            add(f"keys.strength_{name}", ", ".join(map(str, sorted(keys))) or "nothing",
                f"a key for each channel, 1 to {unit.channels}", "list them all")  # fmt: skip
    for field, key in used.items():
        if key not in unit.keys:
            add(field, repr(key), "one of keys.face: " + ", ".join(unit.keys),
                "write the key as it stands on the unit")  # fmt: skip
    _check_once(unit.keys, "keys.face", "", add)


def _check_order(unit: Unit, add: Add) -> None:
    _check_once([item.parameter for item in unit.order], "order", ".parameter", add)
    for number, item in enumerate(unit.order, start=1):
        field = f"order.{number}"
        if "{value}" not in item.display:
            add(f"{field}.display", repr(item.display), "a text with {value} in it",
                "put {value} where the display shows the value")  # fmt: skip
        if item.parameter == "on_off_s" and not unit.on_off_s:
            add(f"{field}.parameter", item.parameter, "a parameter of this unit",
                "list the pairs in on_off_s")  # fmt: skip
        if item.wraps and item.parameter not in ("mode", "on_off_s"):
            add(f"{field}.wraps", "true", "wraps beside the values of this parameter",
                f"move it to {item.parameter}")  # fmt: skip
    for parameter, where, count in _counts(unit):
        if count > 1 and unit.adjustable(parameter) is None:
            add(where, f"{count} values", "one value, as no key changes it",
                f"add {parameter} to order, or keep one value")  # fmt: skip


def _check_mode(unit: Unit, mode: UnitMode, field: str, add: Add) -> None:
    widths, rates = mode.pulse_width_us.values, mode.pulse_rate_hz.values
    seen: set[Decimal] = set()
    for number, item in enumerate(mode.linked, start=1):
        if item.at_or_above_hz in seen:
            add(f"{field}.linked.{number}.at_or_above_hz", str(item.at_or_above_hz),
                "each rate once", "keep the smaller width")  # fmt: skip
        seen.add(item.at_or_above_hz)
        if item.max_width_us < widths[0]:
            add(f"{field}.linked.{number}.max_width_us", str(item.max_width_us),
                f"at least {widths[0]}, the smallest width", "check the limit")  # fmt: skip
    for rate in rates:
        share = unit.phases * mode.widest_at(rate) * rate / 1_000_000
        if share >= 1:
            add(f"{field}.pulse_width_us", f"{mode.widest_at(rate)} us at {rate} Hz",
                "pulses shorter than their interval",
                f"{unit.phases} phases of that width overlap; check us and ms")  # fmt: skip
            break
    _check_burst(mode, field, add)


def _check_burst(mode: UnitMode, field: str, add: Add) -> None:
    given = (mode.burst_rate_hz is not None, mode.pulses_per_burst is not None)
    if mode.mode != "burst":
        if any(given):
            add(field, "burst_rate_hz or pulses_per_burst", "neither in this mode",
                "only the mode burst has bursts")  # fmt: skip
    elif not all(given):
        add(field, "a burst mode without its bursts", "burst_rate_hz and pulses_per_burst",
            "the output cannot be computed without them")  # fmt: skip
    elif mode.pulses_per_burst and mode.burst_rate_hz:
        slowest = mode.pulse_rate_hz.values[0]
        if mode.pulses_per_burst / slowest > 1 / mode.burst_rate_hz:
            add(f"{field}.pulses_per_burst", f"{mode.pulses_per_burst} pulses at {slowest} Hz",
                f"a burst within 1/{mode.burst_rate_hz} s", "check both burst values")  # fmt: skip


def _check_power_on(unit: Unit, item: Adjustable, field: str, add: Add) -> None:
    """Check that the power-on value exists and that every value is within reach of it."""
    for words, wraps, where in _positions(unit, item):
        if item.power_on not in words:
            shown = ", ".join(words)
            if len(words) > 12:
                shown = f"{words[0]} to {words[-1]}, by its steps"
            add(f"{field}.power_on", repr(item.power_on), f"one of {where}: {shown}",
                "write a value that the unit can be set to")  # fmt: skip
            continue
        start = words.index(item.power_on)
        if item.down_key is None and not wraps and len(words) > 1:
            add(f"{field}.up", f"{item.up_key!r} alone", "a down key, or values that wrap",
                "after the last value there would be no way back")  # fmt: skip
            continue
        furthest = max(
            len(ways_round(len(words), start, goal, wraps=wraps,
                           has_down=item.down_key is not None)[0][1])
            for goal in range(len(words))
        )  # fmt: skip
        if furthest > MAX_PRESSES:
            add(where, f"{furthest} presses to the furthest value", f"at most {MAX_PRESSES}",
                "check the step, or whether the unit has no faster way")  # fmt: skip


def _check_power_on_widths(unit: Unit, add: Add) -> None:
    width, rate = unit.adjustable("pulse_width_us"), unit.adjustable("pulse_rate_hz")
    for number, mode in enumerate(unit.modes, start=1):
        first_width = width.power_on if width else number_text(mode.pulse_width_us.values[0])
        first_rate = rate.power_on if rate else number_text(mode.pulse_rate_hz.values[0])
        if first_rate not in map(number_text, mode.pulse_rate_hz.values):
            continue
        most = mode.widest_at(Decimal(first_rate))
        widths = set(map(number_text, mode.pulse_width_us.values))
        if first_width in widths and Decimal(first_width) > most:
            add(f"modes.{number}.linked", f"at most {most} us at {first_rate} Hz",
                f"a limit that the power-on width of {first_width} us keeps",
                "the unit would switch on in a state that it forbids")  # fmt: skip


def _positions(unit: Unit, item: Adjustable) -> Iterator[tuple[list[str], bool, str]]:
    """Yield the written values of a parameter, whether they wrap, and where they stand."""
    if item.parameter == "mode":
        yield [mode.mode for mode in unit.modes], item.wraps, "modes"
    elif item.parameter == "on_off_s":
        yield [_pair_text(pair) for pair in unit.on_off_s], item.wraps, "on_off_s"
    elif item.parameter == "timer_min":
        yield list(map(number_text, unit.timer_min.values)), unit.timer_min.wraps, "timer_min"
    else:
        for number, mode in enumerate(unit.modes, start=1):
            grid = mode.pulse_width_us if item.parameter == "pulse_width_us" else mode.pulse_rate_hz
            where = f"modes.{number}.{item.parameter}"
            yield list(map(number_text, grid.values)), grid.wraps, where


def _counts(unit: Unit) -> Iterator[tuple[Parameter, str, int]]:
    yield "mode", "modes", len(unit.modes)
    yield "timer_min", "timer_min", len(unit.timer_min.values)
    yield "on_off_s", "on_off_s", len(unit.on_off_s)
    for number, mode in enumerate(unit.modes, start=1):
        yield "pulse_width_us", f"modes.{number}.pulse_width_us", len(mode.pulse_width_us.values)
        yield "pulse_rate_hz", f"modes.{number}.pulse_rate_hz", len(mode.pulse_rate_hz.values)


def _pair_text(pair: tuple[Decimal, Decimal]) -> str:
    return f"{number_text(pair[0])}/{number_text(pair[1])}"


def _check_once(words: list[str] | tuple[str, ...], field: str, tail: str, add: Add) -> None:
    """Report each word that stands a second time; *words* are the items at *field*."""
    for number, word in enumerate(words, start=1):
        if word in words[: number - 1]:
            add(f"{field}.{number}{tail}", f"{word!r} a second time", "each once", "remove one")
