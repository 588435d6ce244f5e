"""The way back from every number that prints to its formula or its source.

Keys are dotted: `settings.pulse_rate_hz.settable`, `output.maximum.rms_ma`,
`schedule.sessions.7`. List items count from 1.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal

from docbuilder.clinical.output import DEFINITION, PulseTrain
from docbuilder.clinical.schedule import CALL_AFTER_DAYS, REVIEW_AFTER_WEEKS
from docbuilder.clinical.settings import TOLERANCE
from docbuilder.model.knowledge import Protocol, Range
from docbuilder.model.message import Quantity
from docbuilder.model.plan import Figure, OutputAt, Plan, Setting, Source
from docbuilder.model.unit import number_text

__all__ = ["figures_of"]

PRACTICE = Source("common practice, no source")
_WRITTEN = "taken from the prescription"
_PRESCRIPTION = Source("definition", "the prescription")


@dataclass(slots=True)
class _Book:
    """Figures by name, in the order in which they were entered."""

    figures: dict[str, Figure] = field(default_factory=dict)

    def enter(self, name: str, value: object, how: str, source: Source = DEFINITION) -> None:
        self.figures[name] = Figure(name, _shown(value), how, source)


def figures_of(
    plan: Plan, protocol: Protocol, train: PulseTrain, origins: dict[str, str]
) -> dict[str, Figure]:
    """Return a `Figure` for each number of *plan*.

    *origins* says for schedule and pads where the value was taken from.
    """
    book = _Book()
    for setting in plan.settings:
        _setting(book, plan, protocol, setting)
    _unit(book, plan)
    _pads(book, plan, protocol, train, origins)
    for output in plan.output:
        _output(book, output, train, plan)
    _limits(book, plan)
    _schedule(book, plan, protocol, origins)
    _dates(book, plan)
    _supplies(book, plan)
    return book.figures


def _shown(value: object) -> str:
    if isinstance(value, Quantity):
        return f"{number_text(value.value)} {value.unit}"
    if isinstance(value, Decimal):
        return number_text(value)
    return value.isoformat() if isinstance(value, date) else str(value)


def _setting(book: _Book, plan: Plan, protocol: Protocol, setting: Setting) -> None:
    name = f"settings.{setting.name}"
    taken, source = _WRITTEN, _PRESCRIPTION
    if setting.origin == "protocol":
        source = setting.source
        taken = f"start value of the protocol for {protocol.indication} at {protocol.site}"
    elif setting.origin == "computed":
        taken, source = "first channel, or one for each leg", DEFINITION
    reason = f"; reason by {setting.reason.name}: {setting.reason.text}" if setting.reason else ""
    book.enter(f"{name}.prescribed", setting.prescribed, taken + reason, source)
    if setting.name == "channel":
        return
    if not isinstance(setting.settable, Quantity):
        book.enter(f"{name}.settable", setting.settable, f"a choice of the unit {plan.unit.id}")
        _work_rest(book, protocol, setting)
        return
    unit = setting.settable.unit
    book.enter(
        f"{name}.settable", setting.settable,
        f"nearest value that {plan.unit.id} can be set to; of two as near, the smaller dose",
    )  # fmt: skip
    how = f"{_shown(setting.settable)} - {_shown(setting.prescribed)}"
    share = number_text(TOLERANCE * 100)
    how += f"; more than {share} % of the prescribed value needs a reason"
    book.enter(f"{name}.distance", Quantity(setting.distance, unit), how)
    span = protocol.ranges().get(setting.name)
    if span is not None:
        _range(book, name, span, unit)


def _work_rest(book: _Book, protocol: Protocol, setting: Setting) -> None:
    if setting.name != "on_off_s":
        return
    for name, span in (("on_s", protocol.on_s), ("off_s", protocol.off_s)):
        if span is not None:
            _range(book, f"settings.{name}", span, "s")


def _range(book: _Book, name: str, span: Range, unit: str) -> None:
    for end, value in (("low", span.low), ("start", span.start), ("high", span.high)):
        shown = f"{number_text(value)} {unit}".strip()
        book.enter(f"{name}.range_{end}", shown, "taken from the protocol", span.source)


def _unit(book: _Book, plan: Plan) -> None:
    unit, profile = plan.unit, f"taken from the profile of {plan.unit.id}"
    source = Source("definition", unit.source)
    book.enter("unit.max_current_ma", Quantity(unit.max_current_ma, "mA"), profile, source)
    book.enter("unit.current_step_ma", Quantity(unit.current_step_ma, "mA"), profile, source)
    book.enter("unit.load_ohm", Quantity(unit.load_ohm, "ohm"), profile, source)
    hours = Quantity(unit.battery.hours_of_use, "h")
    book.enter("unit.battery.hours_of_use", hours, profile, source)
    book.enter("unit.ramp_s", Quantity(unit.ramp_s, "s"), profile, source)
    book.enter("unit.battery.count", unit.battery.count, profile, source)
    for number, step in enumerate(plan.steps, start=1):
        if step.action == "strength":
            continue
        how = f"presses of {step.key}, counted from power-on through the profile"
        if step.action == "change":
            how += ", the shortest way that keeps the unit's own limits"
        book.enter(f"steps.{number}.presses", step.presses, how, source)


def _pads(
    book: _Book, plan: Plan, protocol: Protocol, train: PulseTrain, origins: dict[str, str]
) -> None:
    pads, taken = plan.pads, origins["pads"]
    source = _PRESCRIPTION if taken == _WRITTEN else protocol.pad_source
    book.enter("pads.width_mm", Quantity(pads.width_mm, "mm"), taken, source)
    book.enter("pads.height_mm", Quantity(pads.height_mm, "mm"), taken, source)
    how = f"{number_text(pads.width_mm)} x {number_text(pads.height_mm)} / 100"
    if pads.shape != "rectangle":
        how += " x pi / 4"
    area = train.area_cm2.quantize(Decimal("0.001")).normalize()
    book.enter("pads.area_cm2", Quantity(area, "cm2"), how)
    if pads.uses_per_set is not None:
        book.enter("pads.uses_per_set", pads.uses_per_set, taken, source)
    if pads.replace_after_days is not None:
        book.enter("pads.replace_after_days", pads.replace_after_days, taken, source)


def _output(book: _Book, output: OutputAt, train: PulseTrain, plan: Plan) -> None:
    name, peak = f"output.{output.label}", number_text(output.peak_ma)
    width, pulses = number_text(train.width_us), number_text(train.pulses_a_second)
    area, load = number_text(round(train.area_cm2, 3)), number_text(train.load_ohm)
    share, rms = number_text(output.duty), number_text(output.rms_ma)
    power = number_text(output.mean_power_mw)
    taken = "the unit's strongest, from its profile" if output.label == "maximum" else _WRITTEN
    work = ""
    if train.work_s is not None:
        work = ", over the fullest second of work"
        if train.work_s >= 1:
            work = "; no credit for the rest, as the work lasts a second or more"
    book.enter(f"{name}.peak_ma", Quantity(output.peak_ma, "mA"), taken)
    book.enter(
        f"{name}.charge_per_phase_uc", Quantity(output.charge_per_phase_uc, "uC"),
        f"peak x width: {peak} mA x {width} us / 1000",
    )  # fmt: skip
    book.enter(
        f"{name}.duty", output.duty,
        f"phases x width x pulses a second: {train.phases} x {width} us x {pulses}{work}",
    )  # fmt: skip
    book.enter(
        f"{name}.rms_ma", Quantity(output.rms_ma, "mA"),
        f"peak x sqrt(duty): {peak} mA x sqrt({share})",
    )  # fmt: skip
    book.enter(
        f"{name}.rms_density_ma_cm2", Quantity(output.rms_density_ma_cm2, "mA/cm2"),
        f"r.m.s. / pad area: {rms} mA / {area} cm2",
    )  # fmt: skip
    book.enter(
        f"{name}.mean_power_mw", Quantity(output.mean_power_mw, "mW"),
        f"load x r.m.s. squared: {load} ohm x ({rms} mA)^2 / 1000",
    )  # fmt: skip
    book.enter(
        f"{name}.power_density_mw_cm2", Quantity(output.power_density_mw_cm2, "mW/cm2"),
        f"mean power / pad area: {power} mW / {area} cm2",
    )  # fmt: skip
    energy = f"load x peak squared x width: {load} ohm x ({peak} mA)^2 x {width} us"
    book.enter(
        f"{name}.energy_per_phase_mj", Quantity(output.energy_per_phase_mj, "mJ"), energy
    )  # fmt: skip
    book.enter(
        f"{name}.energy_per_pulse_mj", Quantity(output.energy_per_pulse_mj, "mJ"),
        f"{energy} x {train.phases} phases",
    )  # fmt: skip


def _limits(book: _Book, plan: Plan) -> None:
    for limit in plan.limits:
        name, unit = f"limits.{limit.code}", limit.limit.unit
        kind = "asks for attention above this" if limit.kind == "attention" else "a limit"
        book.enter(f"{name}.limit", limit.limit, kind, limit.source)
        how = f"output.maximum.{limit.quantity}"
        book.enter(f"{name}.at_maximum", Quantity(limit.at_maximum, unit), how)
        if limit.at_expected is not None:
            how = f"output.expected.{limit.quantity}"
            book.enter(f"{name}.at_expected", Quantity(limit.at_expected, unit), how)
        for number, remedy in enumerate(limit.remedies, start=1):
            for _, value in remedy.values:
                how = "largest or smallest value that, put into the formula, keeps within it"
                found = f"{name}.remedies.{number}"
                already = book.figures.get(found)
                shown = f"{already.value} x {_shown(value)}" if already else _shown(value)
                book.enter(found, shown, how)


def _schedule(book: _Book, plan: Plan, protocol: Protocol, origins: dict[str, str]) -> None:
    schedule = plan.schedule
    timer = plan.setting("session_minutes")
    minutes = _shown(timer.settable) if timer else ""
    for name, value, span in (
        ("weeks", schedule.weeks, protocol.weeks),
        ("sessions_per_week", schedule.sessions_per_week, protocol.sessions_per_week),
    ):
        taken = origins[name]
        source = _PRESCRIPTION if taken == _WRITTEN else span.source
        book.enter(f"schedule.{name}", value, taken, source)
    _range(book, "schedule.weeks", protocol.weeks, "")
    _range(book, "schedule.sessions_per_week", protocol.sessions_per_week, "")
    count, dropped = len(schedule.sessions), len(schedule.skipped) - len(schedule.moved)
    taper = sum(session.phase == "taper" for session in schedule.sessions)
    how = f"{schedule.weeks} weeks x {schedule.sessions_per_week}"
    how += f" + {taper} in the taper" if taper else ""
    how += f" - {dropped} without a free day" if dropped else ""
    book.enter("schedule.session_count", count, how)
    book.enter(
        "schedule.total_minutes", Quantity(Decimal(schedule.total_minutes), "min"),
        f"{count} sessions x {minutes}",
    )  # fmt: skip
    book.enter(
        "schedule.minutes_a_week", Quantity(Decimal(schedule.minutes_a_week), "min"),
        f"{schedule.sessions_per_week} sessions x {minutes}, in the main course",
    )  # fmt: skip


def _dates(book: _Book, plan: Plan) -> None:
    schedule, start = plan.schedule, plan.prescription.schedule.start
    book.enter("schedule.start", start, _WRITTEN, _PRESCRIPTION)
    book.enter("schedule.ends_on", schedule.ends_on, "day of the last session")
    moved = ", or the next working day"
    how = f"{start} + {CALL_AFTER_DAYS} days{moved}"
    book.enter("schedule.call_on", schedule.call_on, how, PRACTICE)
    for number, day in enumerate(schedule.reviews, start=1):
        how, source = _WRITTEN, _PRESCRIPTION
        if not plan.prescription.schedule.reviews:
            how, source = f"{start} + {REVIEW_AFTER_WEEKS[number - 1]} weeks{moved}", PRACTICE
        book.enter(f"schedule.reviews.{number}", day, how, source)
    came_from = {new: old for old, new in schedule.moved}
    for session in schedule.sessions:
        how = f"week {session.week} of the {session.phase}"
        if session.day in came_from:
            how += f", moved from the skipped day {came_from[session.day]}"
        book.enter(f"schedule.sessions.{session.number}", session.day, how)
    for number, day in enumerate(schedule.skipped, start=1):
        book.enter(f"schedule.skipped.{number}", day, "planned session on a skipped day")


def _supplies(book: _Book, plan: Plan) -> None:
    supplies, pads, battery = plan.supplies, plan.pads, plan.unit.battery
    rules = []
    if pads.uses_per_set is not None:
        rules.append(f"{pads.uses_per_set} uses")
    if pads.replace_after_days is not None:
        rules.append(f"{pads.replace_after_days} days")
    rule = " or ".join(rules) or "30 days"
    how = f"1 + {len(supplies.pad_changes)}, one more for each change after {rule}"
    channels = plan.setting("channel")
    if channels and "+" in str(channels.settable):
        how = f"two channels x ({how})"
    book.enter("supplies.pad_sets", supplies.pad_sets, how, supplies.pad_source)
    for name, days, why, source in (
        ("pad_changes", supplies.pad_changes, f"first session after {rule}", supplies.pad_source),
        (
            "battery_changes", supplies.battery_changes,
            f"before this session the {number_text(battery.hours_of_use)} h of use would run out",
            supplies.battery_source,
        ),
    ):  # fmt: skip
        for number, day in enumerate(days, start=1):
            book.enter(f"supplies.{name}.{number}", day, why, source)
