"""What a spreadsheet makes of a cell: dates and times in its own form, numbers it has spoilt.

Read is what can mean one thing only. A form that could mean two is left to be refused.
"""

from __future__ import annotations

import re
from typing import Literal

__all__ = ["DECLARE", "DateOrder", "has_year_last", "iso_date", "plain_time", "spoilt"]

DateOrder = Literal["day-first", "month-first"]
_MIDNIGHT = re.compile(r"[ T]00:00(?::00)?$", re.ASCII)
_YEAR_FIRST = re.compile(r"([0-9]{4})[-./]([0-9]{1,2})[-./]([0-9]{1,2})", re.ASCII)
_YEAR_LAST = re.compile(r"([0-9]{1,2})[-./]([0-9]{1,2})[-./]([0-9]{4}|[0-9]{2})", re.ASCII)
_TIME = re.compile(
    r"([0-9]{1,2})[:.hH]([0-9]{2})(?::00)?(?: ?(?:Uhr|[hH]))?(?: ?([AaPp])\.?[Mm]\.?)?", re.ASCII
)
_ERROR = re.compile(r"#(?:[^\W\d_]+[!?]|N/A|NV|DIV/0!|ZAHL!|#+)")
DECLARE = "add --dates day-first or month-first"
_ROUNDED = re.compile(r"[0-9](?:[.,][0-9]+)?E\+[0-9]{2,}", re.ASCII)


def has_year_last(word: str) -> bool:
    """Say whether a date has its year last, so that day and month can be taken for each other."""
    return _YEAR_LAST.fullmatch(_MIDNIGHT.sub("", word)) is not None


def iso_date(word: str, dates: DateOrder | None) -> tuple[str, str]:
    """Return the date year-month-day, and why it cannot be told if so.

    A date in no known form comes back as it is: the field's own check tells what is wrong.

    >>> iso_date("7.12.2026", "day-first")
    ('2026-12-07', '')
    >>> iso_date("12/07/2026 00:00", "month-first")
    ('2026-12-07', '')

    Args:
        word: What the cell holds.
        dates: Which comes first where the year is last; None refuses such dates.
    """
    plain = _MIDNIGHT.sub("", word)
    if match := _YEAR_FIRST.fullmatch(plain):
        year, month, day = match.groups()
        return f"{year}-{int(month):02}-{int(day):02}", ""
    match = _YEAR_LAST.fullmatch(plain)
    if match is None:
        return word, ""
    if dates is None:
        return word, "day and month can be taken for each other: " + DECLARE
    if len(match[3]) == 2:  # 26-12-01 may even have its year first
        return word, "give the column a date format with four figures for the year"
    day, month = match.group(1, 2) if dates == "day-first" else match.group(2, 1)
    if int(month) > 12:
        return word, f"it is not {dates}, which --dates says; check the whole column"
    return f"{match[3]}-{int(month):02}-{int(day):02}", ""


def plain_time(cell: str) -> str:
    """Return a time of day as in 09:30; what is no time comes back as it is.

    >>> [plain_time(cell) for cell in ("9:30:00", "9.30", "9h30", "2:05 PM", "12:10 am", "9")]
    ['09:30', '09:30', '09:30', '14:05', '00:10', '9']
    """
    match = _TIME.fullmatch(cell)
    if match is None:
        return cell
    hour, half = int(match[1]), match[3]
    if half:
        if not 1 <= hour <= 12:
            return cell
        hour = hour % 12 + (12 if half in "Pp" else 0)
    return f"{hour:02}:{match[2]}"


def spoilt(cell: str) -> str:
    """Return what a spreadsheet did to a cell so that its content is lost; "" if nothing.

    >>> spoilt("#N/A"), spoilt("1,23457E+11"), spoilt("Room #4")
    ('an error of the spreadsheet', 'a number that the spreadsheet has shortened', '')
    """
    if _ERROR.fullmatch(cell):
        return "an error of the spreadsheet"
    if _ROUNDED.fullmatch(cell):
        return "a number that the spreadsheet has shortened"
    return ""
