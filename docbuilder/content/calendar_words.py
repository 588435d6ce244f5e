"""The neutral words that stand in the patient's own calendar."""

from __future__ import annotations

from datetime import date

from docbuilder.language.words import Words
from docbuilder.model.plan import Schedule

__all__ = ["calendar_words", "week_words"]


def calendar_words(words: Words) -> tuple[str, str, str]:
    """Return what a session, a review and a call are named, in that order.

    A shared or stolen phone shows them, so they name no device, body part or illness.
    """
    # NOTE: Entry in the patient's phone calendar; others may see it, so it stays neutral.
    session = words.gettext("Home session")
    # NOTE: Entry in the patient's phone calendar; others may see it, so it stays neutral.
    review = words.gettext("Clinic review")
    # NOTE: Entry in the patient's phone calendar; others may see it, so it stays neutral.
    call = words.gettext("Clinic calls you")
    return session, review, call


def week_words(schedule: Schedule, words: Words) -> dict[date, str]:
    """Return what the calendar week of each entry is called; nothing where that is not usual."""
    return {
        # NOTE: Stands behind a date or a week of the course: the number that the week has in
        # the calendar (German "KW 51"), or two of them, "51 and 52".
        day: words.gettext("calendar week %(week)s") % {"week": words.number(number)}
        for day, number in schedule.week_numbers
    }
