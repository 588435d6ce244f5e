"""First day of the week, rest days and week numbers by territory, from CLDR's week data.

Kept as a table because the computation uses no library; a test compares every
territory with Babel's copy of CLDR. 0 is Monday, 6 Sunday.

A calendar week is numbered within its week-numbering year: week 1 is the first that
holds at least so many days of the year (4 by ISO 8601, 1 where CLDR has no other
number).
"""

from __future__ import annotations

from collections.abc import Collection
from datetime import date, timedelta

from docbuilder.model.plan import Source

__all__ = [
    "CLDR", "calendar_week", "first_weekday", "least_days", "next_working_day", "numbers_weeks",
    "rest_days",
]  # fmt: skip

CLDR = Source("published", "Unicode CLDR, week data by territory (weekData)")

_FIRST = {
    4: "MV",
    5: "AF BH DJ DZ EG IQ IR JO KW LY OM QA SD SY",
    6: (
        "AG AS BD BR BS BT BW BZ CA CO DM DO ET GT GU HK HN ID IL IN JM JP KE KH KR LA MH MM MO"
        " MT MX MZ NI NP PA PE PH PK PR PT PY SA SG SV TH TT TW UM US VE VI WS YE ZA ZW"
    ),
}
_REST = {
    (3, 4): "AF",
    (4,): "IR",
    (4, 5): "BH DZ EG IL IQ JO KW LY OM QA SA SD SY YE",
    (6,): "IN UG",
}
_LEAST = {
    4: (
        "AD AN AT AX BE BG CH CZ DE DK EE ES FI FJ FO FR GB GF GG GI GP GR HU IE IM IS IT JE LI LT"
        " LU MC MQ NL NO PL PT RE RU SE SJ SK SM VA"
    ),
}
_NUMBERED = "AT AX BE CH CZ DE DK EE FI FO HU LI LT LU NL NO PL SE SJ SK"
"""Territories where people name weeks by their number: common practice, no source."""
_FIRST_BY_TERRITORY = {code: day for day, codes in _FIRST.items() for code in codes.split()}
_LEAST_BY_TERRITORY = {code: days for days, codes in _LEAST.items() for code in codes.split()}
_REST_BY_TERRITORY = {code: days for days, codes in _REST.items() for code in codes.split()}


def first_weekday(territory: str) -> int:
    """Return the weekday with which a calendar page begins in *territory* (ISO 3166-1).

    >>> first_weekday("US"), first_weekday("GB"), first_weekday("EG")
    (6, 0, 5)
    """
    return _FIRST_BY_TERRITORY.get(territory.upper(), 0)


def least_days(territory: str) -> int:
    """Return how many days of the year the first calendar week of *territory* must hold."""
    return _LEAST_BY_TERRITORY.get(territory.upper(), 1)


def numbers_weeks(territory: str) -> bool:
    """Say whether people in *territory* commonly name weeks by their number."""
    return territory.upper() in _NUMBERED.split()


def calendar_week(day: date, territory: str) -> tuple[int, int]:
    """Return the week-numbering year and the number of the calendar week of *day*.

    >>> calendar_week(date(2027, 1, 1), "DE"), calendar_week(date(2027, 1, 1), "US")
    ((2026, 53), (2027, 1))
    """
    begins = _begin(day, territory)
    years = (day.year + 1, day.year, day.year - 1)
    year = next(year for year in years if begins >= _first_week(year, territory))
    return year, (begins - _first_week(year, territory)).days // 7 + 1


def _begin(day: date, territory: str) -> date:
    return day - timedelta(days=(day.weekday() - first_weekday(territory)) % 7)


def _first_week(year: int, territory: str) -> date:
    """Return the day on which week 1 of *year* begins; it may lie in the year before."""
    new_year = date(year, 1, 1)
    begins = _begin(new_year, territory)
    held = 7 - (new_year - begins).days
    return begins if held >= least_days(territory) else begins + timedelta(weeks=1)


def rest_days(territory: str) -> tuple[int, ...]:
    """Return the weekdays on which clinics in *territory* are taken to be closed."""
    return _REST_BY_TERRITORY.get(territory.upper(), (5, 6))


def next_working_day(
    day: date, territory: str, closed: frozenset[date], open_days: Collection[int] = ()
) -> date:
    """Return *day*, or the first day after it that is neither a rest day nor in *closed*.

    *open_days* (0 Monday), where the clinic has named them, count instead of the
    territory's days of rest.
    """
    open_days = open_days or set(range(7)).difference(rest_days(territory))
    while day.weekday() not in open_days or day in closed:
        day += timedelta(days=1)
    return day
