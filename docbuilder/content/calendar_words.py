"""The neutral words that stand in the patient's own calendar."""

from __future__ import annotations

from docbuilder.language.words import Words

__all__ = ["calendar_words"]


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
