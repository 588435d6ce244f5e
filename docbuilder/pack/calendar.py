"""The plan's dates as an iCalendar file (RFC 5545), with nothing about the patient.

Times are floating local time ("20:00 wherever you are"), so there is no time zone to
get wrong when clocks change; without a time of day the entries fill whole days. Each
session is an event of its own: moved and skipped days need no exceptions. The UIDs
come from the pack id, so importing the file again replaces the entries.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date, time, timedelta

from docbuilder.model.plan import Schedule

__all__ = ["CalendarTexts", "write_calendar"]

_MAX_OCTETS = 75
_REMIND_MINUTES = 10
_ALL_DAY_REMINDER_HOUR = 9
_ESCAPES = str.maketrans({"\\": "\\\\", ";": "\\;", ",": "\\,", "\n": "\\n"})
_CONTROLS = re.compile("[\x00-\x09\x0b-\x1f\x7f\u202a-\u202e\u2066-\u2069]")
"""Direction marks are dropped: calendars show them as boxes; the texts are one-way anyway."""


@dataclass(frozen=True, slots=True)
class CalendarTexts:
    """Neutral words that stand in a shared calendar: no name, device or body part."""

    session: str
    """For example "Home session"."""
    review: str
    call: str
    weeks: Mapping[date, str] = field(default_factory=dict)
    """What the calendar week of a day is called, where people name weeks by their number."""


def write_calendar(
    schedule: Schedule, texts: CalendarTexts, *, pack_id: str, stamp: date,
    session_minutes: int, time_of_day: str | None = None, sequence: int = 0,
) -> bytes:  # fmt: skip
    """Return sessions, call and reviews of *schedule* as an .ics file in UTF-8.

    Where the unit is used when the pain comes there are no sessions in it: a reminder
    would call for one on a day without pain.

    Args:
        schedule: The plan's dates.
        texts: What each kind of entry is called, in the patient's language.
        pack_id: Opaque id of the pack; letters, digits and dashes.
        stamp: Day of issue; comes in, so that the bytes are the same each time.
        session_minutes: Length of a timed session.
        time_of_day: Local start "HH:MM"; None for all-day entries.
        sequence: Number of times that this pack was issued before.

    Raises:
        ValueError: *pack_id* holds other characters, or *time_of_day* is no time.
    """
    if not re.fullmatch(r"[A-Za-z0-9-]{1,80}", pack_id):
        raise ValueError("a pack id has letters, digits and dashes only")
    start = time.fromisoformat(time_of_day) if time_of_day else None
    common = (f"DTSTAMP:{stamp:%Y%m%d}T000000Z", f"SEQUENCE:{sequence}")
    lines = ["BEGIN:VCALENDAR", "VERSION:2.0", "PRODID:-//docbuilder//calendar//EN",
             "CALSCALE:GREGORIAN", "METHOD:PUBLISH"]  # fmt: skip
    for session in schedule.dated_sessions:
        uid = f"{pack_id}-session-{session.number}"
        when = _timed(session.day, start, session_minutes) if start else _all_day(session.day)
        week = texts.weeks.get(session.day, "")
        lines += _event(uid, when, texts.session, common, week, timed=start is not None)
    lines += _whole_day(f"{pack_id}-call", schedule.call_on, texts.call, texts, common)
    for number, day in enumerate(schedule.reviews, start=1):
        lines += _whole_day(f"{pack_id}-review-{number}", day, texts.review, texts, common)
    lines.append("END:VCALENDAR")
    return "".join(f"{part}\r\n" for line in lines for part in _folded(line)).encode()


def _timed(day: date, start: time, minutes: int) -> tuple[str, ...]:
    return (f"DTSTART:{day:%Y%m%d}T{start:%H%M%S}", f"DURATION:PT{minutes}M")


def _all_day(day: date) -> tuple[str, ...]:
    following = day + timedelta(days=1)
    return (f"DTSTART;VALUE=DATE:{day:%Y%m%d}", f"DTEND;VALUE=DATE:{following:%Y%m%d}")


def _whole_day(
    uid: str, day: date, summary: str, texts: CalendarTexts, common: tuple[str, ...]
) -> list[str]:
    return _event(uid, _all_day(day), summary, common, texts.weeks.get(day, ""))


def _event(
    uid: str, when: tuple[str, ...], summary: str, common: tuple[str, ...], note: str, *,
    timed: bool = False,
) -> list[str]:  # fmt: skip
    text = _text(summary)
    trigger = f"-PT{_REMIND_MINUTES}M" if timed else f"PT{_ALL_DAY_REMINDER_HOUR}H"
    return [
        "BEGIN:VEVENT", f"UID:{uid}", *common, *when, f"SUMMARY:{text}",
        *([f"DESCRIPTION:{_text(note)}"] if note else ()), "CLASS:PRIVATE", "TRANSP:TRANSPARENT",
        "BEGIN:VALARM", "ACTION:DISPLAY", f"DESCRIPTION:{text}", f"TRIGGER:{trigger}",
        "END:VALARM", "END:VEVENT",
    ]  # fmt: skip


def _text(words: str) -> str:
    return _CONTROLS.sub("", words).translate(_ESCAPES)


def _folded(line: str) -> Iterator[str]:
    """Yield *line* in parts of at most 75 octets; no character is split."""
    part, octets = "", 0
    for character in line:
        size = len(character.encode())
        if octets + size > _MAX_OCTETS:
            yield part
            part, octets = " ", 1
        part += character
        octets += size
    yield part
