"""From what was prescribed to what the unit is set to, beside the published ranges.

What was left out comes from the protocol. A value outside its range, or further than
a tenth from anything the unit can do, needs the clinician's written reason.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Literal, cast

from docbuilder.clinical.resolver import TOLERANCE, Resolver, ask_reason, cited, reason_for
from docbuilder.clinical.unit_steps import UnitState, shown_value
from docbuilder.clinical.work_rest import check_ramp, work_rest
from docbuilder.errors import Issue
from docbuilder.model.knowledge import Protocol, Range
from docbuilder.model.message import Quantity, UnitSymbol
from docbuilder.model.plan import Origin, Setting, Source
from docbuilder.model.prescription import Prescription
from docbuilder.model.unit import Parameter, Unit, UnitMode, number_text

__all__ = ["Settled", "nearest_settable", "settle"]

_NumberName = Literal["pulse_width_us", "pulse_rate_hz", "session_minutes"]
_PARAMETERS: dict[_NumberName, Parameter] = {
    "pulse_width_us": "pulse_width_us",
    "pulse_rate_hz": "pulse_rate_hz",
    "session_minutes": "timer_min",
}
_UNITS: dict[str, UnitSymbol] = {
    "pulse_width_us": "us", "pulse_rate_hz": "Hz", "session_minutes": "min",
}  # fmt: skip
_UNIT_SOURCE = Source("definition", "the unit's profile")


@dataclass(frozen=True, slots=True)
class Settled:
    """The unit's state for this plan, and the settings as they print."""

    state: UnitState
    channels: tuple[int, ...]
    settings: tuple[Setting, ...]


def nearest_settable(values: Iterable[Decimal], wanted: Decimal) -> Decimal:
    """Return the value of *values* nearest to *wanted*; of two as near, the smaller dose.

    >>> nearest_settable([Decimal(10), Decimal(20)], Decimal(15))
    Decimal('10')
    """
    return min(values, key=lambda value: (abs(value - wanted), value))


def settle(rx: Prescription, unit: Unit, protocol: Protocol) -> tuple[Settled | None, list[Issue]]:
    """Return the settings of the plan, or None with the faults that stand in the way.

    Faults may also come beside settings: then the plan must not print, but later
    checks can go on and report theirs too.
    """
    resolver = Resolver(rx, unit, protocol)
    mode_setting = _mode(resolver)
    mode = unit.mode(str(mode_setting.settable)) if mode_setting else None
    channels = _channels(resolver)
    if mode_setting is None or mode is None:
        return None, resolver.issues
    rates = mode.pulse_rate_hz.values
    rate = _number(resolver, "pulse_rate_hz", rates, protocol.pulse_rate_hz)
    rate_hz = cast("Quantity", rate.settable).value
    width = _number(
        resolver, "pulse_width_us", mode.widths_at(rate_hz), protocol.pulse_width_us,
        _width_note(mode, rate_hz),
    )  # fmt: skip
    _check_overlap(resolver, width, rate)
    timer = _number(resolver, "session_minutes", unit.timer_min.values, protocol.session_minutes)
    pair, rest = work_rest(resolver)
    check_ramp(resolver, pair)
    state = UnitState(
        mode=mode.mode,
        pulse_width_us=cast("Quantity", width.settable).value,
        pulse_rate_hz=rate_hz,
        timer_min=cast("Quantity", timer.settable).value,
        on_off_s=pair,
    )
    found = [mode_setting, width, rate, timer, *rest, _channel_setting(rx, channels)]
    settings = tuple(_with_display(unit, state, setting) for setting in found)
    return Settled(state, channels, settings), resolver.issues


def _mode(resolver: Resolver) -> Setting | None:
    rx, unit, protocol = resolver.rx, resolver.unit, resolver.protocol
    value, origin = resolver.wanted("mode", protocol.mode)
    wanted, name = str(value), "settings.mode"
    if unit.mode(wanted) is None:
        can = ", ".join(mode.mode for mode in unit.modes)
        resolver.refuse(name, wanted, f"a mode of {unit.id}: {can}",
                        "choose one of these, or another device")  # fmt: skip
        return None
    usual = (protocol.mode, *protocol.other_modes)
    outside, reason = wanted not in usual, reason_for(rx, name)
    if outside and reason is None:
        hint = ask_reason(name, "choose a usual mode")
        resolver.refuse(name, wanted, "as usual here: " + ", ".join(usual), hint)
    return Setting(
        "mode", wanted, wanted, "", Decimal(0), origin, None, None, protocol.mode_source,
        outside, reason if outside else None,
    )  # fmt: skip


def _number(
    resolver: Resolver, name: _NumberName, values: tuple[Decimal, ...], span: Range, note: str = ""
) -> Setting:
    written, origin = resolver.wanted(name, span.start)
    wanted = Decimal(str(written))
    settable = nearest_settable(values, wanted)
    field_name, symbol = f"settings.{name}", _UNITS[name]
    far = abs(settable - wanted) > TOLERANCE * wanted
    outside = not (span.holds(wanted) and span.holds(settable))
    reason = reason_for(resolver.rx, field_name)
    if reason is None and far:
        near = " or ".join(number_text(value) for value in _neighbours(values, wanted))
        resolver.refuse(field_name, f"{number_text(wanted)} {symbol}",
                        f"within a tenth of what {resolver.unit.id} can do{note}",
                        ask_reason(field_name, f"the unit can do {near}"))  # fmt: skip
    if reason is None and outside and not (far and span.holds(wanted)):
        shown = number_text(wanted)
        if span.holds(wanted):
            shown = f"{number_text(settable)} {symbol}, the nearest that the unit can do to {shown}"
        resolver.refuse(field_name, f"{shown} {symbol}" if shown[-1].isdigit() else shown,
                        f"{number_text(span.low)} to {number_text(span.high)} {symbol}"
                        f" ({cited(span.source)})",
                        ask_reason(field_name, "change the value"))  # fmt: skip
    return Setting(
        name, Quantity(wanted, symbol), Quantity(settable, symbol), "", settable - wanted, origin,
        span.low, span.high, span.source, outside, reason if outside or far else None,
    )  # fmt: skip


def _check_overlap(resolver: Resolver, width: Setting, rate: Setting) -> None:
    """Refuse pulses longer than their interval; no reason can make them possible."""
    width_us = cast("Quantity", width.prescribed).value
    rate_hz = cast("Quantity", rate.prescribed).value
    share = resolver.unit.phases * width_us * rate_hz / 1_000_000
    if share >= 1:
        found = f"{number_text(width_us)} us at {number_text(rate_hz)} Hz"
        resolver.refuse("settings.pulse_width_us", found, "pulses shorter than their interval",
                        "check us and ms: some papers print ms for us")  # fmt: skip


def _width_note(mode: UnitMode, rate_hz: Decimal) -> str:
    widest = mode.widest_at(rate_hz)
    if widest == mode.pulse_width_us.values[-1]:
        return ""
    return f" at {number_text(rate_hz)} Hz: at most {number_text(widest)} us"


def _neighbours(values: tuple[Decimal, ...], wanted: Decimal) -> tuple[Decimal, ...]:
    """Return the settable values just below and just above *wanted*."""
    below = max((value for value in values if value <= wanted), default=None)
    above = min((value for value in values if value >= wanted), default=None)
    return tuple(value for value in (below, above) if value is not None)


def _channels(resolver: Resolver) -> tuple[int, ...]:
    """Return the channels in use: two for both legs, as one must not be split across them."""
    rx, unit = resolver.rx, resolver.unit
    first = rx.settings.channel or 1
    if rx.placement == "tibial" and rx.side == "both":
        if unit.channels < 2:
            resolver.refuse("side", "both", f"one side, as {unit.id} has one channel",
                            "write left or right, or choose a two-channel device")  # fmt: skip
        if rx.settings.channel is not None:
            resolver.refuse("settings.channel", str(first), "no channel with side: both",
                            "remove the line: each leg has a channel of its own")  # fmt: skip
        return (1, 2)
    if first > unit.channels:
        resolver.refuse("settings.channel", str(first), f"1 to {unit.channels} on {unit.id}",
                        "correct the number, or choose another device")  # fmt: skip
    return (first,)


def _channel_setting(rx: Prescription, channels: tuple[int, ...]) -> Setting:
    text = "+".join(map(str, channels))
    origin: Origin = "computed" if rx.settings.channel is None else "prescription"
    return Setting("channel", text, text, "", Decimal(0), origin, None, None, _UNIT_SOURCE)


def _with_display(unit: Unit, state: UnitState, setting: Setting) -> Setting:
    """Return *setting* with what the display shows for it."""
    if setting.name == "channel":
        return setting
    parameter = _PARAMETERS.get(cast("_NumberName", setting.name), cast("Parameter", setting.name))
    return replace(setting, shows=shown_value(unit, state, parameter))
