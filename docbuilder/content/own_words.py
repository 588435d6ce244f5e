"""What the clinic wrote itself, in the language of the paper where that can be had.

Opening hours come as days and times, and the profession as one of the known ones, so that
both print in any language. What came in words of one language stays in that language:
hours are left out elsewhere, a profession prints as it was written, and the checklist
says both.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Mapping

from docbuilder.content.job import Job
from docbuilder.content.tokens import Fact, Prose
from docbuilder.language.registry import find_language, known_languages
from docbuilder.model.clinic import OpeningHours

__all__ = ["OWN_WORDS", "own_words_notes"]

_HOURS = "%(hours)s"
_SENTENCE = f"Open: {_HOURS}."
"""The sentence that the opening hours stand in, as the contact template has it."""
_RANGE_DAYS = 3
"""From so many days in a row on, the first and the last are named."""

_ROLES: Mapping[str, Callable[[Job], Prose]] = {
    # NOTE: A profession, in brackets after a name. Use a form for women and men alike.
    "pelvic health physiotherapist": lambda job: job.gettext("pelvic health physiotherapist"),
    # NOTE: A profession, in brackets after a name. Use a form for women and men alike.
    "physiotherapist": lambda job: job.gettext("physiotherapist"),
    # NOTE: A profession, in brackets after a name: a nurse for bladder and bowel problems.
    "continence nurse": lambda job: job.gettext("continence nurse"),
    # NOTE: A profession, in brackets after a name. Use a form for women and men alike.
    "nurse": lambda job: job.gettext("nurse"),
    # NOTE: A profession, in brackets after a name. Use a form for women and men alike.
    "midwife": lambda job: job.gettext("midwife"),
    # NOTE: A profession, in brackets after a name. Use a form for women and men alike.
    "doctor": lambda job: job.gettext("doctor"),
    # NOTE: A profession, in brackets after a name. Use a form for women and men alike.
    "occupational therapist": lambda job: job.gettext("occupational therapist"),
}
"""The professions that print in every language, by their English name in small letters."""


def clinician_role(job: Job) -> Fact:
    """Return the clinician's profession; one that is not known prints as it was written."""
    role = job.rx.clinician.role
    known = _ROLES.get(role.strip().casefold())
    if known is None:
        return job.text(role, job.plan.clinic.language)
    return job.store.fact(job.plain(known(job)))


def opening_hours(job: Job) -> Fact | None:
    """Return when the clinic can be reached; None where this language has no words for it."""
    clinic = job.plan.clinic
    if clinic.hours:
        spans = job.words.list([_span(job, hours) for hours in clinic.hours])
        # "5:00 p.m." ends with a point of its own; one is enough.
        if f"{_HOURS}." in job.words.gettext(_SENTENCE):
            spans = spans.rstrip(".")
        return job.store.fact(spans)
    written = clinic.hours_in_words
    words = [text for tag, text in written.items() if _is_of(tag, job.words.tag)]
    return job.text(words[0]) if words else None


def _is_of(tag: str, language: str) -> bool:
    """Tell whether *tag* is the language or a variety of it, as "en-GB" is of "en"."""
    return tag == language or tag.startswith(f"{language}-")


def _span(job: Job, hours: OpeningHours) -> str:
    words = job.words
    days = _days(job, hours.days)
    opens, closes = (words.isolate(words.time_of_day(t)) for t in (hours.opens, hours.closes))
    # A line may end behind the dash, nowhere else.
    times = re.sub(r"(?<![-–]) ", "\u00a0", words.span(opens, closes))
    return words.day_and_time(days, times)


def _days(job: Job, days: tuple[int, ...]) -> str:
    names = [job.words.weekday(day) for day in days]
    if len(days) >= _RANGE_DAYS and days[-1] - days[0] == len(days) - 1:
        return job.words.span(names[0], names[-1])
    return job.words.list(names)


def own_words_notes(job: Job) -> Iterator[Prose]:
    """Yield what the clinician should know of words that are not in a paper's language."""
    clinic, role = job.plan.clinic, job.rx.clinician.role
    papers = [file for file in job.issue.pack if file.kind in ("handout", "consent")]
    printed = {find_language(tag).own_name for file in papers for tag in file.languages}
    if clinic.hours_in_words and not clinic.hours:
        without = sorted(printed - _own_names(clinic.hours_in_words))
        if without:
            # NOTE: For the clinician. %(languages)s is a list of languages.
            yield job.gettext(
                "The clinic’s opening hours are left out of papers in %(languages)s: the clinic"
                " has no words for them there.",
                languages=job.listed(without),
            )
    without = sorted(printed - _own_names([clinic.language]))
    if role.strip().casefold() not in _ROLES and without:
        # NOTE: For the clinician. %(role)s is a profession, as it was written.
        yield job.gettext(
            "The profession “%(role)s” is printed as written, also in %(languages)s.",
            role=job.text(role, clinic.language),
            languages=job.listed(without),
        )


def _own_names(tags: Iterable[str]) -> set[str]:
    """Return what the languages of *tags* are called, each in its own words."""
    return {
        language.own_name
        for tag in tags
        for language in known_languages()
        if _is_of(tag, language.tag)
    }


OWN_WORDS: dict[str, Callable[..., Fact | None]] = {
    "clinician_role": clinician_role,
    "opening_hours": opening_hours,
}
