"""First day of the week and rest days by territory, from CLDR's week data.

Kept as a table because the computation uses no library; a test compares every
territory with Babel's copy of CLDR. 0 is Monday, 6 Sunday.
"""

from __future__ import annotations

from datetime import date, timedelta

__all__ = ["first_weekday", "next_working_day", "rest_days"]

_FIRST = {
    4: "MV",
    5: "AF BH DJ DZ EG IQ IR JO KW LY OM QA SD SY",
    6: (
        "AG AS BD BR BS BT BW BZ CA CO DM DO ET GT GU HK HN ID IL IN JM JP KE KH KR LA MH MM MO"
        " MT MX MZ NI NP PA PE PH PK PR PT PY SA SG ST SV TH TL TT TW UM US VE VI WS YE ZA ZW"
    ),
}
_REST = {
    (3, 4): "AF",
    (4,): "IR",
    (4, 5): "BH DZ EG IL IQ JO KW LY OM QA SA SD SY YE",
    (6,): "IN UG",
}
_FIRST_BY_TERRITORY = {code: day for day, codes in _FIRST.items() for code in codes.split()}
_REST_BY_TERRITORY = {code: days for days, codes in _REST.items() for code in codes.split()}


def first_weekday(territory: str) -> int:
    """Return the weekday with which a calendar page begins in *territory* (ISO 3166-1).

    >>> first_weekday("US"), first_weekday("GB"), first_weekday("EG")
    (6, 0, 5)
    """
    return _FIRST_BY_TERRITORY.get(territory.upper(), 0)


def rest_days(territory: str) -> tuple[int, ...]:
    """Return the weekdays on which clinics in *territory* are taken to be closed."""
    return _REST_BY_TERRITORY.get(territory.upper(), (5, 6))


def next_working_day(day: date, territory: str, closed: frozenset[date]) -> date:
    """Return *day*, or the first day after it that is neither a rest day nor in *closed*."""
    resting = rest_days(territory)
    while day.weekday() in resting or day in closed:
        day += timedelta(days=1)
    return day
