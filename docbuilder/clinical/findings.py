"""What the clinician must see from settings, output and dates; medicine's own is in `screening`."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from decimal import Decimal

from docbuilder.clinical.resolver import reason_for
from docbuilder.model.clinic import Clinic
from docbuilder.model.knowledge import Protocol, Range
from docbuilder.model.message import Message, Quantity
from docbuilder.model.plan import (
    Finding,
    OutputAt,
    OutputLimit,
    Schedule,
    Setting,
    Severity,
    Source,
)  # fmt: skip
from docbuilder.model.prescription import Prescription
from docbuilder.model.unit import Unit, UnitMode

__all__ = [
    "output_findings", "schedule_findings", "setting_findings", "unused_reasons",
]  # fmt: skip

_HIGH_DUTY = Decimal("0.2")
_FULL_SECOND = Decimal(1)
_FDA = Source(
    "published", "FDA 1999, guidance for 510(k) of powered muscle stimulators, burst mode"
)
_PRACTICE = Source("common practice, no source")


def setting_findings(
    rx: Prescription, settings: Iterable[Setting], unit: Unit, mode: UnitMode
) -> Iterator[Finding]:
    """Yield what is outside its range, and where the unit's steps differ."""
    if mode.burst_rate_hz is not None and mode.pulses_per_burst is not None:
        message = Message(
            "In this mode the pulse rate is the rate within a burst. Bursts a second: %(bursts)s."
            " Pulses in a burst: %(pulses)s.",
            values=(("bursts", mode.burst_rate_hz), ("pulses", mode.pulses_per_burst)),
        )
        yield Finding("output.burst", "note", message, "settings.mode")
    for setting in settings:
        name = f"settings.{setting.name}"
        if setting.outside_range:
            yield Finding(
                f"{name}.range", "caution", _outside(setting), name, setting.source, setting.reason
            )
        if isinstance(setting.settable, Quantity) and setting.distance:
            values = (("prescribed", setting.prescribed), ("settable", setting.settable))
            message = Message(
                "Prescribed: %(prescribed)s. The unit is set to %(settable)s, its nearest step.",
                values=values,
            )
            yield Finding(f"{name}.step", "note", message, name, None, setting.reason)
    ramp_reason = reason_for(rx, "settings.ramp_s")
    if ramp_reason and rx.settings.ramp_s is not None and rx.settings.ramp_s != unit.ramp_s:
        values = (
            ("prescribed", Quantity(rx.settings.ramp_s, "s")),
            ("settable", Quantity(unit.ramp_s, "s")),
        )
        message = Message(
            "Ramp prescribed: %(prescribed)s. The unit’s own ramp is %(settable)s.", values=values
        )
        yield Finding("settings.ramp_s.step", "note", message, "settings.ramp_s", None, ramp_reason)
    work, rest = rx.settings.on_s, rx.settings.off_s
    pair = next((item.settable for item in settings if item.name == "on_off_s"), None)
    if isinstance(pair, str):
        work, rest = (Decimal(part) for part in pair.split("/"))
    if work is not None and rest is not None and min(work, rest) < _FULL_SECOND:
        yield Finding(
            "output.short_work", "caution",
            Message(
                "Work or rest is shorter than %(least)s. For strengthening, both last that long"
                " or longer.",
                values=(("least", Quantity(_FULL_SECOND, "s")),),
            ),
            "settings.on_s", _FDA,
        )  # fmt: skip


def _outside(setting: Setting) -> Message:
    if not isinstance(setting.settable, Quantity) or setting.range_low is None:
        if setting.name == "mode":
            return Message("The mode is not the usual one for this treatment.")
        return Message("The times of work and rest are outside the usual range.")
    unit = setting.settable.unit
    values = (
        ("value", setting.settable),
        ("low", Quantity(setting.range_low, unit)),
        ("high", Quantity(setting.range_high or setting.range_low, unit)),
    )
    if setting.name == "pulse_width_us":
        return Message("Pulse width: %(value)s. Usual range: %(low)s to %(high)s.", values=values)
    if setting.name == "pulse_rate_hz":
        return Message("Pulse rate: %(value)s. Usual range: %(low)s to %(high)s.", values=values)
    return Message("Session: %(value)s. Usual range: %(low)s to %(high)s.", values=values)


def output_findings(
    limits: Iterable[OutputLimit], maximum: OutputAt, rx: Prescription
) -> Iterator[Finding]:
    """Yield each limit that is passed, at the expected strength or only at the strongest."""
    for limit in limits:
        if limit.passed_at_expected and limit.at_expected is not None:
            severity: Severity = "stop" if limit.kind == "limit" else "caution"
            value = Quantity(limit.at_expected, limit.limit.unit)
            message = _at_expected(limit, (("value", value), ("limit", limit.limit)))
        elif limit.passed_at_maximum:
            severity = "caution" if limit.kind == "limit" else "note"
            value = Quantity(limit.at_maximum, limit.limit.unit)
            message = _at_maximum(limit, (("value", value), ("limit", limit.limit)))
        else:
            continue
        name = f"output.{limit.code}"
        yield Finding(name, severity, message, "settings.expected_strength_ma", limit.source,
                      reason_for(rx, name))  # fmt: skip
    if maximum.duty > _HIGH_DUTY:
        message = Message("Current flows for more than a fifth of the time. Check width and rate.")
        yield Finding("output.duty", "caution", message, "settings.pulse_width_us", _PRACTICE)
    if rx.settings.expected_strength_ma is None:
        message = Message(
            "No expected strength was given: the output is computed for the unit’s strongest"
            " setting only."
        )
        yield Finding("output.no_expected", "note", message, "settings.expected_strength_ma")


def _at_expected(limit: OutputLimit, values: tuple[tuple[str, Quantity], ...]) -> Message:
    match limit.quantity:
        case "rms_ma":
            return Message(
                "At the expected strength, the r.m.s. current is %(value)s. Limit: %(limit)s.",
                values=values,
            )
        case "rms_density_ma_cm2":
            return Message(
                "At the expected strength, the current density is %(value)s. Above %(limit)s it"
                " asks for special attention.",
                values=values,
            )
        case "power_density_mw_cm2":
            return Message(
                "At the expected strength, the power density is %(value)s. Limit: %(limit)s.",
                values=values,
            )
    return Message(
        "At the expected strength, the energy of a pulse is %(value)s. Limit: %(limit)s.",
        values=values,
    )


def _at_maximum(limit: OutputLimit, values: tuple[tuple[str, Quantity], ...]) -> Message:
    match limit.quantity:
        case "rms_ma":
            return Message(
                "At the unit’s strongest setting, the r.m.s. current is %(value)s."
                " Limit: %(limit)s.",
                values=values,
            )
        case "rms_density_ma_cm2":
            return Message(
                "At the unit’s strongest setting, the current density is %(value)s. Above"
                " %(limit)s it asks for special attention.",
                values=values,
            )
        case "power_density_mw_cm2":
            return Message(
                "At the unit’s strongest setting, the power density is %(value)s."
                " Limit: %(limit)s.",
                values=values,
            )
    return Message(
        "At the unit’s strongest setting, the energy of a pulse is %(value)s. Limit: %(limit)s.",
        values=values,
    )


def schedule_findings(
    rx: Prescription, clinic: Clinic, schedule: Schedule, protocol: Protocol
) -> Iterator[Finding]:
    """Yield an unusual length, sessions that were moved, and reviews on closed days."""
    for name, count, span in (
        ("weeks", schedule.weeks, protocol.weeks),
        ("sessions_per_week", schedule.sessions_per_week, protocol.sessions_per_week),
    ):
        if not span.holds(Decimal(count)):
            about = f"schedule.{name}"
            message = _unusual(name, count, span)
            yield Finding(f"{about}.range", "caution", message, about, span.source,
                          reason_for(rx, about))  # fmt: skip
    if schedule.skipped:
        moved = len(schedule.moved)
        values = (("moved", moved), ("dropped", len(schedule.skipped) - moved))
        message = Message(
            "Sessions on skipped days: %(moved)s moved, %(dropped)s left out.", values=values
        )
        yield Finding("schedule.skipped", "note", message, "schedule.skip")
    if schedule.as_needed:
        message = Message("The unit is used when the pain comes; the dates are a guide.")
        yield Finding("schedule.as_needed", "note", message, "schedule")
    for day in schedule.reviews:
        if day in clinic.holidays or (clinic.open_days and day.weekday() not in clinic.open_days):
            message = Message("The clinic is closed on the review day %(day)s.",
                              values=(("day", day),))  # fmt: skip
            yield Finding("schedule.review_closed", "caution", message, "schedule.reviews")


def _unusual(name: str, count: int, span: Range) -> Message:
    values = (("value", count), ("low", span.low), ("high", span.high))
    if name == "weeks":
        return Message("Weeks of treatment: %(value)s. Usual range: %(low)s to %(high)s.",
                       values=values)  # fmt: skip
    return Message("Sessions a week: %(value)s. Usual range: %(low)s to %(high)s.", values=values)


def unused_reasons(
    rx: Prescription, settings: Iterable[Setting], findings: Iterable[Finding]
) -> list[Finding]:
    """Return a finding for each written reason that no check asked for: perhaps a slip."""
    used = {finding.override for finding in findings} | {item.reason for item in settings}
    answered = {reason.about for reason in used if reason}
    if answered & {"settings.on_s", "settings.off_s"}:
        answered |= {"settings.on_s", "settings.off_s"}
    return [
        Finding(
            "reasons.unused", "note",
            Message("No check asked for the written reason about %(about)s.",
                    values=(("about", reason.about),)),
            f"reasons.{number}", None, reason,
        )
        for number, reason in enumerate(rx.reasons, start=1)
        if reason.about not in answered
    ]  # fmt: skip
