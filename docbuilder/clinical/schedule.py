"""Dates of sessions, call and reviews.

A course week is seven days from the start date, whatever weekday that is. Everything
is counted in whole dates, so neither leap years nor clock changes move a session.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Literal

from docbuilder.clinical.week import (
    calendar_week,
    first_weekday,
    next_working_day,
    numbers_weeks,
)  # fmt: skip
from docbuilder.model.plan import Schedule, Session
from docbuilder.model.prescription import WEEKDAYS, Weekday

__all__ = ["Course", "even_spread", "make_schedule", "weekday_number"]

CALL_AFTER_DAYS = 7
REVIEW_AFTER_WEEKS = (6, 12)
"""Call after one week, reviews at 6 and 12 weeks: common practice, no source."""


@dataclass(frozen=True, slots=True)
class Course:
    """What the schedule is made from; *blocked* days hold no session."""

    start: date
    weeks: int
    sessions_per_week: int
    session_minutes: int
    weekdays: tuple[int, ...] = ()
    """Given weekdays (0 Monday) win over an even spread."""
    taper: tuple[int, ...] = ()
    blocked: frozenset[date] = frozenset()
    reviews: tuple[date, ...] = ()
    territory: str = "GB"
    clinic_closed: frozenset[date] = frozenset()
    as_needed: bool = False
    open_days: frozenset[int] = frozenset()
    """Weekdays on which the clinic is open; empty: by territory."""


def weekday_number(name: Weekday) -> int:
    """Return 0 for Monday ... 6 for Sunday."""
    return WEEKDAYS.index(name)


def even_spread(sessions: int) -> tuple[int, ...]:
    """Return the day offsets of *sessions* spread evenly over seven days, from day 0.

    >>> even_spread(3), even_spread(2), even_spread(5)
    ((0, 2, 4), (0, 3), (0, 1, 2, 4, 5))
    """
    return tuple(number * 7 // sessions for number in range(sessions))


def make_schedule(course: Course) -> Schedule:
    """Return all dates of *course*.

    A session on a blocked day moves to the next free day of its course week, else to
    the nearest free day before; if the week has none it is dropped. Either way the
    planned day is listed in `skipped`, and in `moved` with the new day.

    Raises:
        ValueError: No day is left for any session.
    """
    main = _offsets(course, course.sessions_per_week)
    weeks = [(week, main, "course") for week in range(1, course.weeks + 1)]
    weeks += [
        (course.weeks + number, _offsets(course, count), "taper")
        for number, count in enumerate(course.taper, start=1)
    ]
    sessions: list[Session] = []
    moved: list[tuple[date, date]] = []
    skipped: list[date] = []
    for week, offsets, phase in weeks:
        first = course.start + timedelta(weeks=week - 1)
        kept, lost, shifts = _place(first, offsets, course.blocked)
        skipped += lost
        moved += shifts
        sessions += [
            Session(
                len(sessions) + 1 + number,
                day,
                week,
                _phase(phase),
                calendar_week(day, course.territory),
            )
            for number, day in enumerate(kept)
        ]
    if not sessions:
        raise ValueError("every planned day is a skipped day")
    call_on = _working(course, course.start + timedelta(days=CALL_AFTER_DAYS))
    reviews = _reviews(course)
    return Schedule(
        sessions=tuple(sessions),
        reviews=reviews,
        call_on=call_on,
        skipped=tuple(skipped),
        first_weekday=first_weekday(course.territory),
        total_minutes=len(sessions) * course.session_minutes,
        minutes_a_week=len(main) * course.session_minutes,
        ends_on=sessions[-1].day,
        moved=tuple(moved),
        weeks=course.weeks,
        sessions_per_week=len(main),
        pattern=tuple(sorted((course.start.weekday() + offset) % 7 for offset in main)),
        as_needed=course.as_needed,
        week_numbers=_week_numbers(course, (*(s.day for s in sessions), call_on, *reviews)),
    )


def _offsets(course: Course, sessions: int) -> tuple[int, ...]:
    """Return the day offsets of *sessions* within a course week."""
    if not sessions:
        return ()
    if not course.weekdays:
        return even_spread(sessions)
    days = sorted((day - course.start.weekday()) % 7 for day in course.weekdays)
    if sessions >= len(days):
        return tuple(days) if sessions == len(days) else even_spread(sessions)
    return tuple(days[number * len(days) // sessions] for number in range(sessions))


def _place(
    first: date, offsets: Sequence[int], blocked: frozenset[date]
) -> tuple[list[date], list[date], list[tuple[date, date]]]:
    """Return the days of one week: those kept, those lost, and (lost, found instead)."""
    planned = [first + timedelta(days=offset) for offset in offsets]
    kept = [day for day in planned if day not in blocked]
    lost = [day for day in planned if day in blocked]
    week = [first + timedelta(days=number) for number in range(7)]
    shifts: list[tuple[date, date]] = []
    for day in lost:
        free = [other for other in week if other not in blocked and other not in kept]
        found = _nearest_free(day, free)
        if found:
            kept.append(found)
            shifts.append((day, found))
    return sorted(kept), lost, shifts


def _nearest_free(day: date, free: Iterable[date]) -> date | None:
    """Return the first free day after *day*, else the last one before it."""
    days = tuple(free)
    return min((d for d in days if d > day), default=max(days, default=None))


def _reviews(course: Course) -> tuple[date, ...]:
    if course.reviews:
        return tuple(sorted(course.reviews))
    planned = (course.start + timedelta(weeks=weeks) for weeks in REVIEW_AFTER_WEEKS)
    return tuple(_working(course, day) for day in planned)


def _week_numbers(course: Course, days: Iterable[date]) -> tuple[tuple[date, int], ...]:
    """Return the calendar week of each day once, where people name weeks by their number."""
    if not numbers_weeks(course.territory):
        return ()
    return tuple((day, calendar_week(day, course.territory)[1]) for day in sorted(set(days)))


def _working(course: Course, day: date) -> date:
    return next_working_day(day, course.territory, course.clinic_closed, course.open_days)


def _phase(name: str) -> Literal["course", "taper"]:
    return "taper" if name == "taper" else "course"
