"""Sessions keep to their week, skipped days are told, pads and batteries follow use."""

from __future__ import annotations

import random
from datetime import date, timedelta
from decimal import Decimal

import pytest

from docbuilder.clinical.schedule import Course, make_schedule
from docbuilder.clinical.supplies import battery_changes, make_supplies, pad_changes
from docbuilder.model.plan import Source
from docbuilder.model.prescription import Pads
from docbuilder.model.unit import Battery

MONDAY = date(2026, 12, 7)
PADS = Pads("rectangle", Decimal(50), Decimal(50))


def course(**more):
    values = {"start": MONDAY, "weeks": 12, "sessions_per_week": 3, "session_minutes": 30} | more
    return Course(**values)


def days(**more):
    return [session.day for session in make_schedule(course(**more)).sessions]


def test_three_a_week_from_a_monday_are_monday_wednesday_friday():
    assert [day.strftime("%a") for day in days(weeks=1)] == ["Mon", "Wed", "Fri"]


def test_a_skipped_session_moves_to_the_next_free_day_of_its_week():
    schedule = make_schedule(course(weeks=1, blocked=frozenset({date(2026, 12, 9)})))
    assert [s.day.day for s in schedule.sessions] == [7, 10, 11]
    assert schedule.skipped == (date(2026, 12, 9),)
    assert schedule.moved == ((date(2026, 12, 9), date(2026, 12, 10)),)


def test_no_day_after_takes_the_nearest_free_day_before():
    blocked = frozenset(date(2026, 12, day) for day in (11, 12, 13))
    schedule = make_schedule(course(weeks=1, blocked=blocked))
    assert [s.day.day for s in schedule.sessions] == [7, 9, 10]
    assert schedule.moved == ((date(2026, 12, 11), date(2026, 12, 10)),)


def test_a_week_without_a_free_day_drops_the_session_and_says_so():
    holiday = frozenset(MONDAY + timedelta(days=7 + n) for n in range(7))
    schedule = make_schedule(course(weeks=3, blocked=holiday))
    assert [s.day.day for s in schedule.sessions] == [7, 9, 11, 21, 23, 25]
    assert [s.number for s in schedule.sessions] == [1, 2, 3, 4, 5, 6]
    assert [s.week for s in schedule.sessions] == [1, 1, 1, 3, 3, 3]
    assert len(schedule.skipped) == 3
    assert schedule.moved == ()


def test_no_session_at_all_is_an_error():
    with pytest.raises(ValueError, match="skipped"):
        make_schedule(course(weeks=1, blocked=frozenset(MONDAY + timedelta(n) for n in range(7))))


def test_random_plans_rise_keep_their_week_and_account_for_every_session():
    r = random.Random(4)
    for _ in range(1000):
        start = MONDAY + timedelta(days=r.randrange(1500))
        blocked = frozenset(start + timedelta(days=r.randrange(60)) for _ in range(r.randrange(30)))
        count, weeks = r.randint(1, 7), r.randint(1, 9)
        weekdays = tuple(r.sample(range(7), count)) if r.random() < 0.5 else ()
        taper = tuple(r.randint(1, 3) for _ in range(r.randrange(4)))
        try:
            plan = make_schedule(
                course(start=start, weeks=weeks, sessions_per_week=count, weekdays=weekdays,
                       taper=taper, blocked=blocked)
            )  # fmt: skip
        except ValueError:
            continue
        found = [s.day for s in plan.sessions]
        assert found == sorted(set(found))
        assert not blocked & set(found)
        assert all(s.week == (s.day - start).days // 7 + 1 for s in plan.sessions)
        assert all((s.phase == "taper") == (s.week > weeks) for s in plan.sessions)
        dropped = len(plan.skipped) - len(plan.moved)
        assert len(found) == count * weeks + sum(taper) - dropped
        assert set(plan.skipped) <= blocked
        assert {old for old, _ in plan.moved} <= set(plan.skipped)
        assert {new for _, new in plan.moved} <= set(found)
        assert plan.ends_on == found[-1]


def test_taper_follows_the_course_week_by_week():
    schedule = make_schedule(course(taper=(2, 1)))
    taper = [s for s in schedule.sessions if s.phase == "taper"]
    assert [s.week for s in taper] == [13, 13, 14]
    assert [(s.day - MONDAY).days for s in taper] == [84, 87, 91]


def test_taper_keeps_to_the_given_weekdays():
    schedule = make_schedule(course(weekdays=(0, 2, 4), taper=(2, 1)))
    assert [s.day.weekday() for s in schedule.sessions if s.phase == "taper"] == [0, 2, 0]


def test_start_in_the_middle_of_a_week():
    """From a Thursday, "Monday and Thursday" begins on that Thursday."""
    found = days(start=date(2026, 12, 10), weeks=2, weekdays=(0, 3), sessions_per_week=2)
    assert [day.day for day in found] == [10, 14, 17, 21]


def test_reviews_of_the_clinician_stand_and_computed_ones_avoid_closed_days():
    own = (date(2027, 2, 1), date(2027, 1, 1))
    assert make_schedule(course(reviews=own)).reviews == tuple(sorted(own))
    closed = frozenset({date(2027, 1, 18)})
    assert make_schedule(course(clinic_closed=closed)).reviews[0] == date(2027, 1, 19)
    saturday = make_schedule(course(start=date(2026, 12, 5)))
    assert saturday.reviews[0] == date(2027, 1, 18), "six weeks later is a Saturday"
    assert saturday.call_on == date(2026, 12, 14)


def test_pads_change_after_uses_or_days_whichever_comes_first():
    """Recount with plain loops: no set is used more often or longer than it may be."""
    r = random.Random(5)
    for _ in range(500):
        rows = tuple(sorted(MONDAY + timedelta(n) for n in r.sample(range(100), r.randint(1, 60))))
        uses, old = r.choice([None, 1, 5, 15]), r.choice([None, 7, 30])
        changes = pad_changes(rows, Pads("round", Decimal(50), Decimal(50), uses, old))
        starts = [rows[0], *changes]
        ends = [*changes, date.max]
        for start, end in zip(starts, ends, strict=True):
            used = [day for day in rows if start <= day < end]
            assert uses is None or len(used) <= uses
            most = old or (30 if uses is None else 90)
            assert all((day - start).days < most for day in used)
            if end != date.max:  # and not changed too early
                assert len(used) == uses or (end - start).days >= most


def test_battery_never_ends_within_a_session():
    rows = tuple(MONDAY + timedelta(n) for n in range(100))
    changes = battery_changes(rows, 40, Battery("AA", 2, Decimal(3)))
    assert changes == rows[4::4], "180 minutes hold four sessions of 40 and not five"


def test_two_channels_need_twice_the_pads():
    schedule = make_schedule(course())
    one, two = (
        make_supplies(
            schedule, PADS, Battery("AA", 2, Decimal(60)), session_minutes=30, channels=channels,
            pad_source=Source("definition"), battery_source=Source("definition"),
        )
        for channels in (1, 2)
    )  # fmt: skip
    assert two.pad_sets == 2 * one.pad_sets
    assert two.pad_changes == one.pad_changes
