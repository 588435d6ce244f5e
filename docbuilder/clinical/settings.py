"""From what was prescribed to what the unit is set to, beside the published ranges.

What was left out comes from the protocol. A value outside its range, or further than
a tenth from anything the unit can do, needs the clinician's written reason.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from decimal import Decimal
from typing import Literal, cast

from docbuilder.clinical.unit_steps import UnitState, pair_text, shown_value
from docbuilder.errors import Issue
from docbuilder.model.knowledge import Protocol, Range
from docbuilder.model.message import Quantity, UnitSymbol
from docbuilder.model.plan import Origin, Setting, Source
from docbuilder.model.prescription import Prescription, Reason
from docbuilder.model.unit import Parameter, Unit, UnitMode, number_text

__all__ = ["Settled", "TOLERANCE", "nearest_settable", "reason_for", "settle"]

TOLERANCE = Decimal("0.1")
"""A settable value further than this share from the prescribed one needs a reason."""
_NO_REST = (Decimal(0), Decimal(0))
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


@dataclass(slots=True)
class _Resolver:
    """Resolves one prescription's settings and keeps the faults found on the way."""

    rx: Prescription
    unit: Unit
    protocol: Protocol
    issues: list[Issue] = field(default_factory=list)

    def refuse(self, name: str, found: str, allowed: str, hint: str) -> None:
        self.issues.append(Issue(self.rx.place(name), name, found, allowed, hint))

    def wanted(self, name: str, start: object) -> tuple[object, Origin]:
        """Return the prescribed value of *name*, else the protocol's start value."""
        written = getattr(self.rx.settings, name)
        return (start, "protocol") if written is None else (written, "prescription")


def nearest_settable(values: Iterable[Decimal], wanted: Decimal) -> Decimal:
    """Return the value of *values* nearest to *wanted*; of two as near, the smaller dose.

    >>> nearest_settable([Decimal(10), Decimal(20)], Decimal(15))
    Decimal('10')
    """
    return min(values, key=lambda value: (abs(value - wanted), value))


def reason_for(rx: Prescription, about: str) -> Reason | None:
    """Return the clinician's written reason *about* a field or rule, if there is one."""
    return next((reason for reason in rx.reasons if reason.about == about), None)


def ask_reason(about: str, remedy: str) -> str:
    """Return the hint that tells how to go on with a written reason."""
    return f"{remedy}, or add to reasons: about: {about}, text, name"


def settle(rx: Prescription, unit: Unit, protocol: Protocol) -> tuple[Settled | None, list[Issue]]:
    """Return the settings of the plan, or None with the faults that stand in the way.

    Faults may also come beside settings: then the plan must not print, but later
    checks can go on and report theirs too.
    """
    resolver = _Resolver(rx, unit, protocol)
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
    pair, rest = _work_rest(resolver)
    _ramp(resolver, pair)
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


def _mode(resolver: _Resolver) -> Setting | None:
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
    resolver: _Resolver, name: _NumberName, values: tuple[Decimal, ...], span: Range, note: str = ""
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
                        f" ({_cited(span.source)})",
                        ask_reason(field_name, "change the value"))  # fmt: skip
    return Setting(
        name, Quantity(wanted, symbol), Quantity(settable, symbol), "", settable - wanted, origin,
        span.low, span.high, span.source, outside, reason if outside or far else None,
    )  # fmt: skip


def _check_overlap(resolver: _Resolver, width: Setting, rate: Setting) -> None:
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


def _cited(source: Source) -> str:
    return f"{source.mark}: {source.citation}" if source.citation else source.mark


def _work_rest(
    resolver: _Resolver,
) -> tuple[tuple[Decimal, Decimal] | None, tuple[Setting, ...]]:
    """Return the unit's work/rest pair and its setting; no setting for current without rest."""
    rx, unit, protocol = resolver.rx, resolver.unit, resolver.protocol
    work, origin = resolver.wanted("on_s", protocol.on_s.start if protocol.on_s else None)
    rest, _ = resolver.wanted("off_s", protocol.off_s.start if protocol.off_s else None)
    if work is None or rest is None:
        return _without_rest(resolver), ()
    wanted = (Decimal(str(work)), Decimal(str(rest)))
    pairs = [pair for pair in unit.on_off_s if pair != _NO_REST]
    if not pairs:
        resolver.refuse("settings.on_s", f"{pair_text(wanted)} s of work and rest",
                        f"what {unit.id} can do: current without rest",
                        "choose a device that works and rests in turn")  # fmt: skip
        return None, ()
    pair = min(pairs, key=lambda other: (
        abs(other[0] - wanted[0]) + abs(other[1] - wanted[1]), other[0], -other[1],
    ))  # fmt: skip
    outside = _check_pair(resolver, wanted, pair, pairs)
    reason = reason_for(rx, "settings.on_s") or reason_for(rx, "settings.off_s")
    source = protocol.on_s.source if protocol.on_s else Source("common practice, no source")
    setting = Setting(
        "on_off_s", pair_text(wanted), pair_text(pair), "", Decimal(0), origin, None, None, source,
        outside, reason if outside or pair != wanted else None,
    )  # fmt: skip
    return pair, (setting,)


def _check_pair(
    resolver: _Resolver, wanted: tuple[Decimal, Decimal], pair: tuple[Decimal, Decimal],
    pairs: list[tuple[Decimal, Decimal]],
) -> bool:  # fmt: skip
    """Check work and rest against unit and protocol; say whether one is outside its range."""
    outside = False
    spans = (resolver.protocol.on_s, resolver.protocol.off_s)
    for name, asked, got, span in zip(("on_s", "off_s"), wanted, pair, spans, strict=True):
        field_name = f"settings.{name}"
        beyond = span is None or not (span.holds(asked) and span.holds(got))
        outside |= beyond
        if reason_for(resolver.rx, field_name):
            continue
        if abs(got - asked) > TOLERANCE * asked:
            can = ", ".join(pair_text(other) for other in pairs)
            resolver.refuse(field_name, f"{number_text(asked)} s",
                            f"within a tenth of what {resolver.unit.id} can do: {can}",
                            ask_reason(field_name, "choose one of these"))  # fmt: skip
        elif beyond:
            allowed = "current without rest, as usual here"
            if span is not None:
                allowed = f"{number_text(span.low)} to {number_text(span.high)} s"
                allowed += f" ({_cited(span.source)})"
            resolver.refuse(field_name, f"{number_text(asked)} s", allowed,
                            ask_reason(field_name, "change the value"))  # fmt: skip
    return outside


def _without_rest(resolver: _Resolver) -> tuple[Decimal, Decimal] | None:
    pairs = resolver.unit.on_off_s
    if pairs and _NO_REST not in pairs:
        can = ", ".join(pair_text(pair) for pair in pairs)
        resolver.refuse("settings.on_s", "nothing", f"one of {resolver.unit.id}: {can}",
                        "this unit works and rests in turn: write on_s, off_s")  # fmt: skip
        return pairs[0]
    return _NO_REST if pairs else None


def _ramp(resolver: _Resolver, pair: tuple[Decimal, Decimal] | None) -> None:
    """Check a prescribed ramp against the unit's own, which cannot be changed."""
    wanted, ramp = resolver.rx.settings.ramp_s, resolver.unit.ramp_s
    if wanted is None or reason_for(resolver.rx, "settings.ramp_s"):
        return
    if pair in (None, _NO_REST):
        resolver.refuse("settings.ramp_s", f"{number_text(wanted)} s", "a ramp with work and rest",
                        "remove it, or write on_s and off_s")  # fmt: skip
    elif abs(ramp - wanted) > TOLERANCE * wanted:
        resolver.refuse("settings.ramp_s", f"{number_text(wanted)} s",
                        f"{number_text(ramp)} s, the ramp of {resolver.unit.id}",
                        ask_reason("settings.ramp_s", "write the unit's ramp"))  # fmt: skip


def _channels(resolver: _Resolver) -> tuple[int, ...]:
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
