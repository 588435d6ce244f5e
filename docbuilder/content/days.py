"""The plan's dates in words: when to use the unit, the calendar, and the diary's rows."""

from __future__ import annotations

from calendar import Calendar
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import groupby
from typing import Literal

from docbuilder.content.job import Job
from docbuilder.content.tokens import Fact, Prose, TemplateFault
from docbuilder.document.blocks import (
    CalendarDay,
    CalendarGrid,
    CalendarMonth,
    Column,
    Runs,
    Table,
)
from docbuilder.model.plan import Session

__all__ = ["DAYS", "DiaryWeek"]

CalendarMark = Literal["none", "session", "rest", "review", "pads", "battery", "call"]
DIARY_ROW_MM = 9.45
"""Room to write by hand: 9 mm of white, and the lines."""

DIARY_MOST_MM = 12.5
"""Rows grow as high as this where a page has room: a shaky hand fills them."""

LEAST_BLADDER_ROWS = 8
"""Rows without which a page of the bladder diary is not worth having."""

_SHARES = (0.22, 0.11, 0.11, 0.13, 0.11, 0.12, 0.2)
_LARGE_SHARES = (0.36, 0.12, 0.15, 0.1, 0.13, 0.14)
"""Widths of the diary's columns; in large print the planned minutes stand by the week."""


@dataclass(frozen=True, slots=True)
class DiaryWeek:
    """One week of the course with its planned sessions."""

    number: int
    sessions: tuple[Session, ...]


def weeks(job: Job) -> tuple[DiaryWeek, ...]:
    """Return the weeks of the plan in order."""
    grouped = groupby(job.plan.schedule.sessions, key=lambda session: session.week)
    return tuple(DiaryWeek(number, tuple(sessions)) for number, sessions in grouped)


def which_days(job: Job) -> Prose:
    """Say on which days of the week the sessions fall."""
    if job.plan.schedule.as_needed:
        # NOTE: For pain that comes and goes, such as period pain.
        return job.gettext("Use the unit when the pain comes. The dates are only a guide.")
    pattern = job.plan.schedule.pattern
    if len(pattern) == 7:
        return job.gettext("Use the unit every day.")
    if pattern:
        names = job.listed([job.words.weekday(number) for number in pattern])
        # NOTE: %(days)s is a list of weekdays, for example "Monday, Wednesday and Friday".
        return job.gettext("Your days are: %(days)s.", days=names)
    return job.gettext("Your days are marked in the calendar.")


def calendar(job: Job) -> Prose:
    """Return the months of the plan with every session and date marked."""
    marks = _marks(job)
    first, last = min(marks), max(marks)
    months, month = [], first.replace(day=1)
    while month <= last:
        months.append(_month(job, month, marks))
        month = (month + timedelta(days=31)).replace(day=1)
    used = {mark for day in marks.values() for mark in day}
    key = tuple((mark, job.plain(_word(job, mark))) for mark in _ORDER if mark in used)
    return job.store.block(CalendarGrid(tuple(months), key))


_ORDER: tuple[CalendarMark, ...] = ("session", "rest", "call", "review", "pads", "battery")
_FIRST: tuple[CalendarMark, ...] = ("review", "call", "pads", "battery", "session", "rest")
"""Which mark a day shows when several fall on it; its words name them all."""


def _marks(job: Job) -> dict[date, list[CalendarMark]]:
    schedule, supplies = job.plan.schedule, job.plan.supplies
    marks: dict[date, list[CalendarMark]] = {}
    dated: tuple[tuple[CalendarMark, tuple[date, ...]], ...] = (
        ("session", tuple(session.day for session in schedule.dated_sessions)),
        ("review", schedule.reviews),
        ("call", (schedule.call_on,)),
        ("pads", supplies.pad_changes),
        ("battery", supplies.battery_changes),
    )
    for mark, days in dated:
        for day in days:
            marks.setdefault(day, []).append(mark)
    day = schedule.ends_on if schedule.as_needed else schedule.starts_on
    while day < schedule.ends_on:
        if not {"session", "review", "call"} & set(marks.get(day, ())):
            marks.setdefault(day, []).append("rest")
        day += timedelta(days=1)
    return marks


def _month(job: Job, month: date, marks: dict[date, list[CalendarMark]]) -> CalendarMonth:
    numbers = {session.day: session.number for session in job.plan.schedule.dated_sessions}
    weeks = Calendar(job.words.first_weekday).monthdatescalendar(month.year, month.month)
    # Weeks before the first date of the plan and after the last would only take room.
    first, last = min(marks), max(marks)
    weeks = [week for week in weeks if week[-1] >= first and week[0] <= last]
    rows = tuple(
        tuple(
            _day(job, day, marks.get(day, []), numbers.get(day))
            if day.month == month.month
            else None
            for day in week
        )
        for week in weeks
    )
    names = job.words.weekday_names("abbreviated")
    shorter = tuple(job.words.weekday_names(form) for form in ("short", "narrow"))
    return CalendarMonth(job.words.month_title(month), names, rows, shorter)


def _day(job: Job, day: date, marks: list[CalendarMark], number: int | None) -> CalendarDay:
    shown: CalendarMark = next((mark for mark in _FIRST if mark in marks), "none")
    words = [job.plain(_word(job, mark)) for mark in _ORDER if mark in marks]
    return CalendarDay(
        number=job.words.number(day.day),
        mark=shown,
        word=job.words.list(words) if words else "",
        session="" if number is None else job.words.number(number),
    )


def _word(job: Job, mark: CalendarMark) -> Prose:
    if mark == "session":
        # NOTE: In the key of the calendar: a day to use the unit.
        return job.gettext("Session")
    if mark == "rest":
        # NOTE: In the key of the calendar: a day without the unit.
        return job.gettext("Rest day")
    if mark == "call":
        # NOTE: In the key of the calendar: the clinic phones the patient.
        return job.gettext("We call you")
    if mark == "review":
        # NOTE: In the key of the calendar: appointment at the clinic.
        return job.gettext("Review")
    if mark == "pads":
        return job.gettext("New pads")
    if job.plan.unit.battery.rechargeable:
        return job.gettext("Charge the unit")
    return job.gettext("New battery")


def diary_table(job: Job, week: DiaryWeek) -> Prose:
    """Return one week's rows, dated, with room to write."""
    large = job.rx.patient.large_print
    heads = [
        # NOTE: Above the days of one week of the diary.
        job.gettext("Week %(number)s", number=week.number),
        # NOTE: Column of the diary: the minutes that are planned.
        job.gettext("Plan"),
        # NOTE: Column of a diary: time of day.
        job.gettext("Time"),
        # NOTE: Column of the diary: the number the unit shows for the current.
        job.gettext("Strength"),
        # NOTE: Column of the diary: how the skin looks afterwards.
        job.gettext("Skin"),
        # NOTE: Column of the diary: how much the problem bothered, 0 not at all, 10 worst.
        job.gettext("Bother"),
        job.gettext("Notes"),
    ]
    in_year = job.calendar_week(session.day for session in week.sessions)
    if in_year is not None:
        heads[0] = Prose(f"{heads[0]}\u00a0· {in_year}")
    minutes = _planned_minutes(job)
    if large:
        # One line, or one each: the columns make room for it.
        both = (str(part).replace(" ", "\u00a0") for part in (heads[0], minutes))
        heads[:2] = [Prose("\u00a0· ".join(both))]
    shares = _LARGE_SHARES if large else _SHARES
    columns = tuple(
        Column(job.runs(head), share) for head, share in zip(heads, shares, strict=True)
    )
    empty: tuple[Runs, ...] = ((),) * 5
    planned = () if large else (job.runs(minutes),)
    # Without days of its own, the plan leaves room for the day on which the pain came.
    to_write = job.gettext("Date") if job.plan.schedule.as_needed else None
    rows = tuple(
        (job.runs(to_write or job.day(session.day, "short")), *planned, *empty)
        for session in week.sessions
    )
    table = Table(
        columns, rows, row_headers=True, min_row_mm=DIARY_ROW_MM, most_row_mm=DIARY_MOST_MM
    )
    return job.store.block(table)


def _planned_minutes(job: Job) -> Fact:
    setting = job.plan.setting("session_minutes")
    if setting is None:
        raise TemplateFault("the plan has no session length")
    return job.fact(setting.settable)


def week_box(job: Job, week: DiaryWeek) -> Prose:
    """Return the summary of one week: three questions, one empty cell each."""
    done = job.ngettext(
        "Sessions done (of %(num)s)", "Sessions done (of %(num)s)", len(week.sessions)
    )
    columns: tuple[Column, ...] = (
        Column(job.runs(done), 0.3),
        Column(job.runs(job.gettext("How was my skin?")), 0.35),
        # NOTE: 0 is no better at all, 10 is all well.
        Column(job.runs(job.gettext("How much better? 0–10")), 0.35),
    )
    if job.plan.schedule.as_needed:  # nothing was planned that could be counted
        columns = columns[1:]
    empty: tuple[Runs, ...] = ((),) * len(columns)
    table = Table(
        columns, (empty,), min_row_mm=DIARY_ROW_MM, attached=True, most_row_mm=DIARY_MOST_MM
    )
    return job.store.block(table)


def bladder_table(job: Job, rows: int = LEAST_BLADDER_ROWS) -> Prose:
    """Return one day of the bladder diary: empty rows, one a visit or a drink.

    At least *rows* of them, and as many more as the page has room for.
    """
    columns = (
        Column(job.runs(job.gettext("Time")), 0.16),
        # NOTE: Column of the bladder diary. ml is millilitres.
        Column(job.runs(job.gettext("Drink (ml)")), 0.21),
        # NOTE: Column of the bladder diary: urine passed, measured in a jug.
        Column(job.runs(job.gettext("Passed (ml)")), 0.21),
        # NOTE: Column of the bladder diary: how strong the urge to go was.
        Column(job.runs(job.gettext("Urge 0–4")), 0.18),
        # NOTE: Column of the bladder diary: tick when urine leaked.
        Column(job.runs(job.gettext("Leak?")), 0.24),
    )
    empty: tuple[Runs, ...] = ((), (), (), (), ())
    table = Table(columns, (empty,) * rows, min_row_mm=DIARY_ROW_MM, fill_page=True)
    return job.store.block(table)


def with_week(job: Job, value: date) -> Fact:
    """Return a date, with its calendar week where people name weeks by their number."""
    day, week = job.day(value), job.calendar_week([value])
    return day if week is None else job.store.fact(f"{day.text} ({job.plain(week)})")


def with_weeks(job: Job, values: tuple[date, ...]) -> Fact:
    """Return several dates as one list, each with its calendar week where that is usual."""
    return job.listed([with_week(job, value).text for value in values])


DAYS: dict[str, Callable[..., Prose | Fact | tuple[DiaryWeek, ...]]] = {
    "with_week": with_week,
    "with_weeks": with_weeks,
    "weeks": weeks,
    "which_days": which_days,
    "calendar": calendar,
    "diary_table": diary_table,
    "week_box": week_box,
    "bladder_table": bladder_table,
}
