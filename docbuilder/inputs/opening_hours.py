"""Read when the clinic can be reached: days and times, or the clinic's own words.

Days and times print in every language. Words print only on papers in their own language;
elsewhere the line is left out, and the checklist says so.
"""

from __future__ import annotations

from datetime import time

from docbuilder.inputs.fields import Section, list_of
from docbuilder.inputs.values import choice, clock_time, language_tag, text
from docbuilder.model.clinic import OpeningHours
from docbuilder.model.prescription import WEEKDAYS

__all__ = ["read_hours", "read_hours_in_words"]

_KEY = "hours"
_WORDS = text(120)


def read_hours(root: Section) -> tuple[OpeningHours, ...]:
    """Return the days and times at `hours`, if it is a list of them."""
    if root.shape(_KEY) != "list":
        return ()
    return tuple(_entry(section) for section in root.sections(_KEY, 1, 7))


def _entry(section: Section) -> OpeningHours:
    days = section.required("days", list_of(choice(WEEKDAYS), 1, 7))
    opens = section.required("from", clock_time())
    closes = section.required("to", clock_time())
    if opens and closes and opens >= closes:
        section.add("to", closes, f"a time after {opens}", "24-hour times, as in 17:00")
    numbers = sorted({WEEKDAYS.index(day) for day in days or ()})
    start, end = (time.fromisoformat(clock or "00:00") for clock in (opens, closes))
    return OpeningHours(tuple(numbers), start, end)


def read_hours_in_words(root: Section, language: str | None) -> dict[str, str]:
    """Return the words at `hours` by language tag; one plain line is in the clinic's own."""
    shape = root.shape(_KEY)
    if shape == "mapping":
        return root.pairs(_KEY, _WORDS, keys=language_tag())
    if shape != "value":
        return {}
    words = root.optional(_KEY, _WORDS)
    return {language: words} if words and language else {}
