"""What is handed over and asked again later: the pack, the call, the reviews."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from docbuilder.content.job import Job
from docbuilder.content.tokens import Fact, Prose
from docbuilder.document.blocks import Column, Runs, Table
from docbuilder.model.message import Message

__all__ = ["HANDOVER"]

REVIEW_ROW_MM = 6.2
REVIEW_MOST_MM = 9.0
"""Rows grow as high as this where the page has room."""


def pack_table(job: Job) -> Prose:
    """Return what the pack holds: document, languages, pages, state of the translation."""
    columns = (
        Column(job.runs(job.gettext("Document")), 0.31),
        Column(job.runs(job.gettext("Languages")), 0.28),
        Column(job.runs(job.gettext("Pages")), 0.13),
        # NOTE: Column: whether the translation has been reviewed.
        Column(job.runs(job.gettext("Translation")), 0.28),
    )
    rows = []
    for file in job.issue.pack:
        state = _review_state(job, file.review)
        languages = _language_names(job, file.languages)
        rows.append(
            (
                job.runs(document_name(job, file.kind)),
                job.runs(languages),
                job.runs(job.count(file.pages)),
                job.runs(state),
            )
        )
    return job.store.block(Table(columns, tuple(rows), row_headers=True, compact=True, dense=True))


def _language_names(job: Job, tags: tuple[str, ...]) -> Fact:
    """List languages by their names in the clinician's own, who need not read the others."""
    names = [job.words.language_name(tag) for tag in tags]
    return job.listed([name[:1].upper() + name[1:] for name in names])


def _review_state(job: Job, state: str) -> Prose:
    words: dict[str, Callable[[], Prose]] = {
        # NOTE: The paper is in the language in which its text was written; no translation.
        "original": lambda: job.gettext("Original text"),
        "reviewed": lambda: job.gettext("Reviewed"),
        "awaiting review": lambda: job.gettext("**Awaits review**"),
    }
    return words[state]()


def document_name(job: Job, kind: str) -> Prose:
    """Return what a kind of document is called."""
    words: dict[str, Callable[[], Prose]] = {
        "handout": lambda: job.gettext("Handout"),
        "consent": lambda: job.gettext("Consent form"),
        "diary": lambda: job.gettext("Diary"),
        "checklist": lambda: job.gettext("Checklist"),
    }
    return words[kind]()


def call_table(job: Job) -> Prose:
    """Return the questions of the one-week call with room for the answers."""
    columns = (
        Column(job.runs(job.gettext("Question")), 0.64),
        Column(job.runs(job.gettext("Answer")), 0.36),
    )
    return _answer_table(job, columns, job.plan.follow_up.call_questions)


def review_table(job: Job) -> Prose:
    """Return the measures to compare: before, and at each review."""
    reviews = job.plan.schedule.reviews[:3]
    share = 0.5 / (len(reviews) + 1)
    columns = (
        Column(job.runs(job.gettext("Measure")), 0.5),
        # NOTE: Column of the review table: the value before treatment.
        Column(job.runs(job.gettext("Before")), share),
        *(Column(job.runs(job.day(review, "medium")), share) for review in reviews),
    )
    return _answer_table(job, columns, job.plan.follow_up.review_measures)


def _answer_table(job: Job, columns: tuple[Column, ...], asked: Sequence[Message]) -> Prose:
    """Return a row for each thing that is asked, with room to write in the other columns."""
    empty: tuple[Runs, ...] = ((),) * (len(columns) - 1)
    rows = tuple((job.runs(job.fact(one)), *empty) for one in asked)
    table = Table(
        columns, rows, row_headers=True, min_row_mm=REVIEW_ROW_MM, compact=True, dense=True,
        most_row_mm=REVIEW_MOST_MM,
    )  # fmt: skip
    return job.store.block(table)


def site_name(job: Job) -> Prose:
    """Return where the pads go, for the clinician, in a few words."""
    rx = job.rx
    arch = rx.tibial_variant == "foot_arch"
    words: dict[tuple[str, str, bool], Callable[[], Prose]] = {
        ("tibial", "left", False): lambda: job.pgettext("safety", "tibial, left leg"),
        ("tibial", "right", False): lambda: job.pgettext("safety", "tibial, right leg"),
        ("tibial", "both", False): lambda: job.pgettext("safety", "tibial, both legs"),
        ("tibial", "left", True): lambda: job.pgettext("safety", "tibial, left leg and arch"),
        ("tibial", "right", True): lambda: job.pgettext("safety", "tibial, right leg and arch"),
        ("tibial", "both", True): lambda: job.pgettext("safety", "tibial, both legs and arches"),
    }
    if rx.placement == "lower_abdomen":
        return job.pgettext("safety", "lower abdomen, both sides of the midline")
    if rx.placement == "sacral":
        return job.pgettext("safety", "sacral, both sides of the midline")
    return words["tibial", rx.side, arch]()


HANDOVER: dict[str, Callable[..., object]] = {
    "pack_table": pack_table,
    "call_table": call_table,
    "review_table": review_table,
    "site_name": site_name,
}
