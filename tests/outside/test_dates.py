"""Session dates against dateutil's recurrence rules, ISO 8601, Babel's CLDR and counts."""

from __future__ import annotations

import random
from datetime import date, datetime, timedelta

import pytest
from babel import localedata
from babel.core import Locale
from babel.dates import format_date
from dateutil import tz
from dateutil.rrule import DAILY, SU, WEEKLY, YEARLY, rrule

from docbuilder.clinical.schedule import Course, even_spread, make_schedule
from docbuilder.clinical.supplies import battery_changes, pad_changes
from docbuilder.clinical.week import (
    calendar_week,
    first_weekday,
    least_days,
    next_working_day,
    numbers_weeks,
    rest_days,
)  # fmt: skip
from docbuilder.model.prescription import Pads
from docbuilder.model.unit import Battery


def days_of(course):
    return [session.day for session in make_schedule(course).sessions]


def by_rule(start, weeks, weekdays):
    """RFC 5545 by dateutil: these weekdays, every week, until the last day of the course."""
    end = start + timedelta(weeks=weeks) - timedelta(days=1)
    first = datetime(start.year, start.month, start.day)
    rule = rrule(WEEKLY, byweekday=weekdays, dtstart=first, until=datetime(*end.timetuple()[:3]))
    return [moment.date() for moment in rule]


def test_given_weekdays_are_those_of_rfc_5545():
    """1,000 random courses over 2024 to 2033: three leap years, all weekdays, DST both ways."""
    r = random.Random(1)
    for _ in range(1000):
        start = date(2024, 1, 1) + timedelta(days=r.randrange(3650))
        weekdays, weeks = tuple(r.sample(range(7), r.randint(1, 7))), r.randint(1, 20)
        course = Course(start, weeks, len(weekdays), 30, weekdays)
        assert days_of(course) == by_rule(start, weeks, weekdays)


def test_an_even_spread_is_a_weekly_rule_from_the_start_day():
    """The spread keeps its weekdays through the whole course."""
    for start in (date(2026, 12, 7), date(2028, 2, 23), date(2026, 3, 20), date(2026, 10, 23)):
        for count in range(1, 8):
            weekdays = [(start.weekday() + offset) % 7 for offset in even_spread(count)]
            assert days_of(Course(start, 12, count, 30)) == by_rule(start, 12, weekdays)


def test_skipped_days_are_left_out_as_dateutil_leaves_them():
    """Daily use cannot move within its week: what remains is the rule without those days."""
    r = random.Random(2)
    for _ in range(200):
        start = date(2026, 1, 1) + timedelta(days=r.randrange(1000))
        skip = frozenset(start + timedelta(days=r.randrange(40)) for _ in range(5))
        rule = rrule(DAILY, count=28, dtstart=datetime(*start.timetuple()[:3]))
        wanted = [moment.date() for moment in rule if moment.date() not in skip]
        schedule = make_schedule(Course(start, 4, 7, 30, blocked=skip))
        assert [session.day for session in schedule.sessions] == wanted
        end = start + timedelta(days=27)
        assert schedule.skipped == tuple(sorted(day for day in skip if day <= end))
        assert schedule.moved == ()


def test_clock_changes_do_not_move_a_session():
    """Across 8 March 2026 in New York and 25 October 2026 in London the local date stands."""
    for zone, start in (
        ("America/New_York", date(2026, 3, 2)),
        ("Europe/London", date(2026, 10, 19)),
    ):
        where = tz.gettz(zone)
        assert where is not None
        days = days_of(Course(start, 3, 3, 30))
        offsets = {datetime(d.year, d.month, d.day, 20, tzinfo=where).utcoffset() for d in days}
        assert len(offsets) == 2, "the course must cross the change"
        assert [(day - start).days for day in days] == [0, 2, 4, 7, 9, 11, 14, 16, 18]


def test_leap_day_is_a_day_like_any_other():
    """2028 has 29 February, a Tuesday (ISO 8601 week 9, day 2)."""
    days = days_of(Course(date(2028, 2, 22), 2, 3, 30, (1, 3, 5)))
    assert date(2028, 2, 29) in days
    assert date(2028, 2, 29).isocalendar()[1:] == (9, 2)
    assert days == [date(2028, 2, 22), date(2028, 2, 24), date(2028, 2, 26), date(2028, 2, 29),
                    date(2028, 3, 2), date(2028, 3, 4)]  # fmt: skip


@pytest.mark.parametrize(
    ("weeks", "a_week", "sessions", "source"),
    [(12, 3, 36, "12 weeks x 3"), (12, 2, 24, "12 weeks x 2"),
     (6, 2, 12, "ELECTRIC 2021, doi 10.3310/hta25410"),
     (12, 1, 12, "Schreiner 2010, doi 10.1007/s00192-010-1165-6"),
     (4, 7, 28, "Hagstroem 2009, daily for 4 weeks"), (4, 5, 20, "Sikiru 2008, 5 a week")],
)  # fmt: skip
def test_session_counts_of_trials(weeks, a_week, sessions, source):
    assert len(days_of(Course(date(2026, 12, 7), weeks, a_week, 30))) == sessions, source


def test_total_minutes():
    """12 weeks, 3 a week, 30 minutes: 1080 minutes, 90 a week."""
    schedule = make_schedule(Course(date(2026, 12, 7), 12, 3, 30))
    assert (schedule.total_minutes, schedule.minutes_a_week) == (1080, 90)


def test_reviews_at_six_and_twelve_weeks_and_a_call_after_one():
    """ISO 8601 weeks: from Monday of 2026-W50 to W51, 2027-W03 and 2027-W09."""
    schedule = make_schedule(Course(date(2026, 12, 7), 12, 3, 30))
    assert schedule.call_on == date.fromisocalendar(2026, 51, 1)
    assert schedule.reviews == (date.fromisocalendar(2027, 3, 1), date.fromisocalendar(2027, 9, 1))


def test_three_sets_of_pads_for_36_sessions_of_15_uses():
    """ceil(36 / 15) = 3."""
    days = tuple(days_of(Course(date(2026, 12, 7), 12, 3, 30)))
    pads = Pads("rectangle", 50, 50, uses_per_set=15)
    assert pad_changes(days, pads) == (days[15], days[30])


@pytest.mark.parametrize(("hours", "sessions"), [(11, 22), (55, 110)])
def test_sessions_from_one_nine_volt_battery(hours, sessions):
    """550 mAh at 10 to 50 mA: 11 to 55 h, so 22 to 110 sessions of 30 minutes (from memory)."""
    days = tuple(date(2026, 1, 1) + timedelta(days=n) for n in range(sessions + 1))
    assert battery_changes(days, 30, Battery("9 V", 1, hours)) == (days[sessions],)


def cldr_weeks():
    """First day, weekend and least days by territory, from every locale that Babel carries.

    Where CLDR has no week data for a territory, Babel hands on that of the locale above:
    pt_ST and pt_TL get Portugal's, which CLDR's weekData does not say. These two are left out.
    """
    found = {}
    for name in localedata.locale_identifiers():
        locale = Locale.parse(name)
        code = locale.territory
        if code and len(code) == 2:
            weekend = (locale.weekend_start, locale.weekend_end)
            values = (locale.first_week_day, *weekend, locale.min_week_days)
            found.setdefault(code, set()).add(values)
    told = {code: values.pop() for code, values in found.items() if len(values) == 1}
    return {code: values for code, values in told.items() if code not in ("ST", "TL")}


def test_weeks_of_all_territories_are_those_of_cldr():
    """Babel's CLDR: first day of the week and rest days, every territory it agrees on."""
    weeks = cldr_weeks()
    assert len(weeks) > 230
    assert {code: first_weekday(code) for code in weeks} == {c: w[0] for c, w in weeks.items()}
    assert {code: least_days(code) for code in weeks} == {c: w[3] for c, w in weeks.items()}
    for code, (_, start, end, _) in weeks.items():
        assert rest_days(code) == tuple(range(start, end + 1)), code


def test_calendar_weeks_are_those_of_iso_8601_for_sixty_years():
    """Monday and four days: every day of 2000 to 2059 against `datetime.date.isocalendar`."""
    alike = [c for c in cldr_weeks() if (first_weekday(c), least_days(c)) == (0, 4)]
    assert len(alike) > 35, "the other ISO territories have the same two numbers as Germany"
    day = date(2000, 1, 1)
    while day < date(2060, 1, 1):
        assert calendar_week(day, "DE") == tuple(day.isocalendar())[:2]
        day += timedelta(days=1)


NEW_YEARS = [
    date(year, 1, 1) + timedelta(days=shift)
    for year in range(2010, 2050)
    for shift in range(-9, 10)
]


@pytest.mark.parametrize("name", ["en_US", "ar_EG", "pt_PT", "en_GB", "hi_IN", "fr_CA"])
def test_calendar_weeks_round_new_year_are_those_that_babel_prints(name):
    """CLDR's pattern `YYYY-w`: weeks from Monday, Saturday and Sunday, four days and one."""
    for day in NEW_YEARS:
        printed = [int(part) for part in format_date(day, "YYYY-w", locale=name).split("-")]
        assert calendar_week(day, name[-2:]) == tuple(printed), day


def test_a_week_from_friday_is_that_in_which_its_thursday_lies():
    """The Maldives by CLDR: 1 January is in week 1, so a week has the number of its last day."""
    for day in NEW_YEARS:
        thursday = day + timedelta(days=(3 - day.weekday()) % 7)
        count = (thursday - date(thursday.year, 1, 1)).days // 7 + 1
        assert calendar_week(day, "MV") == (thursday.year, count)


def test_a_week_from_sunday_with_four_days_is_that_of_rfc_5545():
    """Portugal by CLDR; dateutil's BYWEEKNO with WKST=SU counts by the rule of four days."""
    for year in range(2010, 2050):
        rule = rrule(YEARLY, byweekno=1, wkst=SU, byweekday=SU, count=1,
                     dtstart=datetime(year - 1, 12, 28))  # fmt: skip
        (begin,) = rule
        assert calendar_week(begin.date(), "PT") == (year, 1)
        assert calendar_week(begin.date() - timedelta(days=1), "PT")[0] == year - 1


def test_only_iso_territories_show_week_numbers():
    """Where papers show a number, it is the one that the phone and the wall calendar show."""
    shown = [code for code in cldr_weeks() if numbers_weeks(code)]
    assert {"DE", "NL", "SE", "PL"} <= set(shown)
    assert not {"US", "GB", "EG", "IN"} & set(shown)
    assert all((first_weekday(code), least_days(code)) == (0, 4) for code in shown)


def test_papers_get_the_numbers_where_people_use_them():
    """From Monday 7 December 2026 (2026-W50) over New Year: 53, then 1 (ISO 8601)."""
    dutch = make_schedule(Course(date(2026, 12, 7), 12, 3, 30, territory="NL"))
    numbers = dict(dutch.week_numbers)
    assert numbers[date(2026, 12, 28)] == 53
    assert numbers[date(2027, 1, 4)] == 1
    days = {session.day for session in dutch.sessions} | {dutch.call_on, *dutch.reviews}
    assert set(numbers) == days
    assert all(number == day.isocalendar().week for day, number in numbers.items())
    assert all(s.calendar_week == tuple(s.day.isocalendar())[:2] for s in dutch.sessions)
    american = make_schedule(Course(date(2026, 12, 7), 12, 3, 30, territory="US"))
    assert american.week_numbers == ()
    assert american.sessions[9].calendar_week == (2027, 1), "28 December 2026, CLDR for US"


def test_appointments_wait_for_a_working_day():
    """Friday is a rest day in Egypt, Sunday is not; a closed Monday moves to Tuesday."""
    assert next_working_day(date(2026, 12, 11), "EG", frozenset()) == date(2026, 12, 13)
    monday = date(2026, 12, 7)
    assert next_working_day(date(2026, 12, 5), "GB", frozenset({monday})) == date(2026, 12, 8)
