"""The .ics file read back by two independent readers; its dates are the plan's."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import icalendar
import pytest
import recurring_ical_events

from docbuilder.clinical.schedule import Course, make_schedule
from docbuilder.pack.calendar import CalendarTexts, write_calendar

TEXTS = CalendarTexts("Home session", "Review at the clinic", "The clinic calls you")
ARABIC = CalendarTexts("جلسة في المنزل، ثم استراحة; \\ نعم" * 3, "مراجعة", "اتصال")
SCHEDULE = make_schedule(
    Course(
        date(2026, 10, 12), 12, 3, 30, taper=(2, 1),
        blocked=frozenset({date(2026, 10, 14), date(2026, 12, 25)}),
    )
)  # fmt: skip


def written(texts=TEXTS, time_of_day="20:00", **more):
    return write_calendar(SCHEDULE, texts, pack_id="7QX4M2KD9P", stamp=date(2026, 10, 9),
                          session_minutes=30, time_of_day=time_of_day, **more)  # fmt: skip


def events(data):
    return icalendar.Calendar.from_ical(data).walk("VEVENT")


def test_two_readers_find_the_plans_dates_across_the_clock_change():
    calendar = icalendar.Calendar.from_ical(written())
    found = recurring_ical_events.of(calendar).between(date(2026, 1, 1), date(2028, 1, 1))
    sessions = [e for e in found if e["SUMMARY"] == TEXTS.session]
    starts = sorted(e["DTSTART"].dt for e in sessions)
    assert starts == [
        datetime(s.day.year, s.day.month, s.day.day, 20, 0) for s in SCHEDULE.sessions
    ]
    assert {start.tzinfo for start in starts} == {None}, "floating local time (RFC 5545 3.3.5)"
    assert {e["DTEND"].dt - e["DTSTART"].dt for e in sessions} == {timedelta(minutes=30)}
    others = {e["SUMMARY"]: e["DTSTART"].dt for e in found if e["SUMMARY"] != TEXTS.session}
    assert others[TEXTS.call] == SCHEDULE.call_on
    reviews = sorted(e["DTSTART"].dt for e in found if e["SUMMARY"] == TEXTS.review)
    assert tuple(reviews) == SCHEDULE.reviews


def test_no_reminder_calls_for_a_session_that_waits_for_pain():
    """evidence.md 1.4: period pain is treated when pain comes, not on given days."""
    schedule = replace(SCHEDULE, as_needed=True)
    data = write_calendar(schedule, TEXTS, pack_id="7QX4M2KD9P", stamp=date(2026, 10, 9),
                          session_minutes=30, time_of_day="20:00")  # fmt: skip
    dates = sorted(event["DTSTART"].dt for event in events(data))
    assert dates == sorted((schedule.call_on, *schedule.reviews))


@pytest.mark.parametrize("zone", ["America/New_York", "Europe/London", "Australia/Sydney"])
def test_clocks_that_change_leave_day_and_hour_alone(zone):
    """Read where clocks change in the course: 20:00 on the wall on each day, by zoneinfo."""
    schedule = make_schedule(Course(date(2026, 9, 28), 30, 7, 30))
    data = write_calendar(schedule, TEXTS, pack_id="DST", stamp=date(2026, 9, 1),
                          session_minutes=30, time_of_day="20:00")  # fmt: skip
    starts = [e["DTSTART"].dt.replace(tzinfo=ZoneInfo(zone)) for e in events(data)
              if e["SUMMARY"] == TEXTS.session]  # fmt: skip
    assert len({start.utcoffset() for start in starts}) == 2, "the course must cross a change"
    there = [start.astimezone(UTC).astimezone(ZoneInfo(zone)) for start in starts]
    assert {(moment.hour, moment.minute) for moment in there} == {(20, 0)}
    assert [moment.date() for moment in there] == [s.day for s in schedule.sessions]


def test_a_week_is_named_where_people_number_weeks():
    """RFC 5545 has no property for a week's number; it stands in the description."""
    numbers = dict(make_schedule(Course(date(2026, 12, 7), 6, 3, 30, territory="NL")).week_numbers)
    schedule = make_schedule(Course(date(2026, 12, 7), 6, 3, 30, territory="NL"))
    weeks = {day: f"calendar week {number}" for day, number in numbers.items()}
    data = write_calendar(schedule, replace(TEXTS, weeks=weeks), pack_id="W",
                          stamp=date(2026, 12, 1), session_minutes=30)  # fmt: skip
    for event in events(data):
        week = event["DTSTART"].dt.isocalendar().week
        assert event["DESCRIPTION"] == f"calendar week {week}"
    assert all("DESCRIPTION" not in event for event in events(written()))


def test_without_a_time_each_entry_is_one_whole_day():
    for event in events(written(time_of_day=None)):
        start, end = event["DTSTART"].dt, event["DTEND"].dt
        assert not isinstance(start, datetime)
        assert end - start == timedelta(days=1), "DTEND is the day after (RFC 5545 3.6.1)"


@pytest.mark.parametrize("texts", [TEXTS, ARABIC])
@pytest.mark.parametrize("time_of_day", ["20:00", None])
def test_form_of_the_lines(texts, time_of_day):
    """RFC 5545 3.1: CRLF, at most 75 octets a line without the break, UTF-8."""
    data = written(texts, time_of_day)
    assert data.endswith(b"\r\n")
    assert data.count(b"\n") == data.count(b"\r\n") == data.count(b"\r")
    for line in data.split(b"\r\n"):
        assert len(line) <= 75
        line.decode("utf-8")
    back = {str(event["SUMMARY"]) for event in events(data)}
    assert back == {texts.session, texts.review, texts.call}


def test_every_entry_is_private_and_free():
    found = events(written())
    assert len(found) == len(SCHEDULE.sessions) + 3
    for event in found:
        assert (event["CLASS"], event["TRANSP"]) == ("PRIVATE", "TRANSPARENT")
        (alarm,) = event.walk("VALARM")
        assert alarm["ACTION"] == "DISPLAY"
        assert event.subcomponents[-1] is alarm


def test_reminder_is_before_a_timed_session_and_in_the_morning_of_a_whole_day():
    timed, whole = events(written())[0], events(written(time_of_day=None))[0]
    assert timed.walk("VALARM")[0]["TRIGGER"].dt == timedelta(minutes=-10)
    assert whole.walk("VALARM")[0]["TRIGGER"].dt == timedelta(hours=9)


def test_uids_are_stable_and_each_once():
    first, again = (sorted(str(e["UID"]) for e in events(written())) for _ in range(2))
    assert first == again
    assert len(set(first)) == len(first)
    assert all(uid.startswith("7QX4M2KD9P-") for uid in first)


def test_same_input_same_bytes_and_a_new_issue_counts_up():
    assert written() == written()
    assert {int(e["SEQUENCE"]) for e in events(written(sequence=2))} == {2}


def test_a_line_break_in_a_text_starts_no_property():
    nasty = CalendarTexts("Home\r\nATTENDEE:mailto:a@b.example", "r", "c")
    data = written(nasty)
    assert b"\r\nATTENDEE" not in data
    assert all("ATTENDEE" not in event for event in events(data))


@pytest.mark.parametrize("pack_id", ["", "a b", "x\r\nX:1", "é"])
def test_pack_id_is_plain(pack_id):
    with pytest.raises(ValueError, match="pack id"):
        write_calendar(SCHEDULE, TEXTS, pack_id=pack_id, stamp=date(2026, 10, 9),
                       session_minutes=30)  # fmt: skip
