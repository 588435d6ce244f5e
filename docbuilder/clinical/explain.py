"""The way back from every number that prints to its formula or its source.

Keys are dotted: `settings.pulse_rate_hz.settable`, `output.maximum.rms_ma`,
`schedule.sessions.7`. List items count from 1.
"""

from __future__ import annotations

from decimal import Decimal

from docbuilder.clinical.figure_book import (
    PRESCRIPTION,
    WRITTEN,
    Book,
    enter_limits,
    enter_output,
    enter_pads,
    enter_unit,
    shown,
)  # fmt: skip
from docbuilder.clinical.output import DEFINITION, PulseTrain
from docbuilder.clinical.resolver import TOLERANCE
from docbuilder.clinical.schedule import CALL_AFTER_DAYS, REVIEW_AFTER_WEEKS
from docbuilder.clinical.sentence_sources import enter_aids, enter_findings, enter_sentences
from docbuilder.clinical.supplies import pad_days
from docbuilder.clinical.week import CLDR, first_weekday, least_days
from docbuilder.model.knowledge import Knowledge, Protocol, Range
from docbuilder.model.message import Quantity
from docbuilder.model.plan import Figure, Plan, Setting, Source
from docbuilder.model.prescription import WEEKDAYS
from docbuilder.model.unit import number_text

__all__ = ["figures_of"]

PRACTICE = Source("common practice, no source")


def figures_of(
    plan: Plan, knowledge: Knowledge, protocol: Protocol, train: PulseTrain,
    origins: dict[str, str],
) -> dict[str, Figure]:  # fmt: skip
    """Return a `Figure` for each number of *plan*, and for each sentence that may hold one.

    *origins* says for schedule and pads where the value was taken from.
    """
    book = Book()
    for setting in plan.settings:
        _setting(book, plan, protocol, setting)
    enter_unit(book, plan)
    enter_pads(book, plan, protocol, train, origins)
    for output in plan.output:
        enter_output(book, output, train)
    enter_limits(book, plan)
    _schedule(book, plan, protocol, origins)
    _dates(book, plan)
    _supplies(book, plan)
    enter_aids(book, plan, knowledge)
    enter_findings(book, plan)
    enter_sentences(book, plan, knowledge, protocol)
    return book.figures


def _setting(book: Book, plan: Plan, protocol: Protocol, setting: Setting) -> None:
    name = f"settings.{setting.name}"
    taken, source = WRITTEN, PRESCRIPTION
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
    how = f"{shown(setting.settable)} - {shown(setting.prescribed)}"
    share = number_text(TOLERANCE * 100)
    how += f"; more than {share} % of the prescribed value needs a reason"
    book.enter(f"{name}.distance", Quantity(setting.distance, unit), how)
    span = protocol.ranges().get(setting.name)
    if span is not None:
        _range(book, name, span, unit)


def _work_rest(book: Book, protocol: Protocol, setting: Setting) -> None:
    if setting.name != "on_off_s":
        return
    for name, span in (("on_s", protocol.on_s), ("off_s", protocol.off_s)):
        if span is not None:
            _range(book, f"settings.{name}", span, "s")


def _range(book: Book, name: str, span: Range, unit: str) -> None:
    for end, value in (("low", span.low), ("start", span.start), ("high", span.high)):
        text = f"{number_text(value)} {unit}".strip()
        book.enter(f"{name}.range_{end}", text, "taken from the protocol", span.source)


def _schedule(book: Book, plan: Plan, protocol: Protocol, origins: dict[str, str]) -> None:
    schedule = plan.schedule
    timer = plan.setting("session_minutes")
    minutes = shown(timer.settable) if timer else ""
    for name, value, span in (
        ("weeks", schedule.weeks, protocol.weeks),
        ("sessions_per_week", schedule.sessions_per_week, protocol.sessions_per_week),
    ):
        taken = origins[name]
        source = PRESCRIPTION if taken == WRITTEN else span.source
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


def _dates(book: Book, plan: Plan) -> None:
    schedule, start = plan.schedule, plan.prescription.schedule.start
    book.enter("schedule.start", start, WRITTEN, PRESCRIPTION)
    book.enter("schedule.ends_on", schedule.ends_on, "day of the last session")
    moved = ", or the next working day"
    how = f"{start} + {CALL_AFTER_DAYS} days{moved}"
    book.enter("schedule.call_on", schedule.call_on, how, PRACTICE)
    for number, day in enumerate(schedule.reviews, start=1):
        how, source = WRITTEN, PRESCRIPTION
        if not plan.prescription.schedule.reviews:
            how, source = f"{start} + {REVIEW_AFTER_WEEKS[number - 1]} weeks{moved}", PRACTICE
        book.enter(f"schedule.reviews.{number}", day, how, source)
    _weeks(book, plan)
    came_from = {new: old for old, new in schedule.moved}
    for session in schedule.sessions:
        year, week = session.calendar_week
        how = f"week {session.week} of the {session.phase}, calendar week {week} of {year}"
        if session.day in came_from:
            how += f", moved from the skipped day {came_from[session.day]}"
        book.enter(f"schedule.sessions.{session.number}", session.day, how)
    for number, day in enumerate(schedule.skipped, start=1):
        book.enter(f"schedule.skipped.{number}", day, "planned session on a skipped day")


def _weeks(book: Book, plan: Plan) -> None:
    """Enter the calendar weeks in which the sessions of each week of the course lie."""
    schedule, territory = plan.schedule, plan.clinic.territory
    first = WEEKDAYS[first_weekday(territory)]
    how = f"in {territory} a week begins on {first}, and week 1 of a year holds"
    how += f" {least_days(territory)} or more of its days"
    for number in dict.fromkeys(session.week for session in schedule.sessions):
        weeks = dict.fromkeys(s.calendar_week for s in schedule.sessions if s.week == number)
        value = " and ".join(f"{week} of {year}" for year, week in weeks)
        book.enter(f"schedule.calendar_weeks.{number}", value, how, CLDR)


def _supplies(book: Book, plan: Plan) -> None:
    supplies, pads, battery = plan.supplies, plan.pads, plan.unit.battery
    rule = f"{pad_days(pads)} days"
    if pads.uses_per_set is not None:
        rule = f"{pads.uses_per_set} uses or {rule}"
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
