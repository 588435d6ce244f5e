"""The list that lies on top of a printed batch: who comes when, and what belongs to whom."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from docbuilder.content.assemble import initials
from docbuilder.document.blocks import Column, Document, Furniture, Heading, Run, Runs, Table
from docbuilder.language.registry import find_language
from docbuilder.language.words import Words, load_words
from docbuilder.layout.compose import compose
from docbuilder.model.clinic import Clinic
from docbuilder.model.prescription import DOCUMENT_KINDS
from docbuilder.pack.batch import Result
from docbuilder.pack.identity import pack_id

__all__ = ["cover_list", "run_title"]

_TEXT_PT = 8.5
_SHARES = (0.9, 5.2, 2.4, 1.1, 1.2, 0.9, 1.3)
_NONE = "–"


def cover_list(results: Sequence[Result], clinic: Clinic) -> bytes:
    """Return the cover list as a PDF, by time of appointment, then in the list's order.

    A pack that was refused stands there too, without pages, so that nobody is missed.

    Args:
        results: Of the whole batch.
        clinic: Its language is the list's.

    Raises:
        Refused: A word is not translated, or a letter is in no font.
    """
    words = _words(clinic)
    title = run_title(clinic)
    heads = (
        words.gettext("Time"),
        title,
        words.gettext("Languages"),
        words.gettext("Handout"),
        words.gettext("Consent form"),
        words.gettext("Diary"),
        words.gettext("Checklist"),
    )
    columns = tuple(
        Column((Run(head, bold=True),), share, "end" if at > 2 else "start")
        for at, (head, share) in enumerate(zip(heads, _SHARES, strict=True))
    )
    ordered = sorted(results, key=lambda one: (one.appointment or "~", one.number))
    document = Document(
        kind="cover_list",
        title=title,
        language=words.tag,
        rtl=words.rtl,
        paper=clinic.paper or words.paper,
        text_pt=_TEXT_PT,
        furniture=_furniture(words, clinic, title, results),
        blocks=(
            Heading(1, (Run(title),)),
            Table(columns, tuple(_row(one, words, clinic) for one in ordered), compact=True),
        ),
        accent=clinic.accent,
    )
    words.refuse_missing("cover list")
    return compose(document).pdf


def run_title(clinic: Clinic) -> str:
    """Return the word that stands over the list, in the clinic's language."""
    return _words(clinic).gettext("Pack")


def _words(clinic: Clinic) -> Words:
    digits = clinic.digits.get(clinic.language, "latin")
    return load_words(clinic.language, clinic.territory, clinic.folder, digits)


def _row(result: Result, words: Words, clinic: Clinic) -> tuple[Runs, ...]:
    time = words.isolate_ltr(result.appointment or _NONE)
    tags = dict.fromkeys(tag for paper in result.papers for tag in paper.languages)
    pages = dict.fromkeys(DOCUMENT_KINDS, 0)
    for paper in result.papers:
        pages[paper.kind] += paper.pages  # type: ignore[index]
    counts = tuple((Run(words.number(count) if count else _NONE),) for count in pages.values())
    return ((Run(time),), _who(result, words, clinic), _names(tuple(tags), words), *counts)


def _who(result: Result, words: Words, clinic: Clinic) -> Runs:
    """Say whose pack it is as the clinic chose, and which; a refused row by its file."""
    if not result.stands:
        return (Run(words.isolate(Path(result.label).name)),)
    name, record = result.patient
    if clinic.patient_identifier == "record":
        told = words.gettext("Record %(record)s", record=record)
    else:
        full = clinic.patient_identifier == "name_and_record"
        told = words.gettext(
            "Patient %(name)s, record %(record)s",
            name=name if full else initials(name),
            record=record,
        )
    return (Run(f"{told} · "), Run(words.isolate_ltr(result.pack), bold=True))


def _names(tags: tuple[str, ...], words: Words) -> Runs:
    runs: list[Run] = []
    for tag in tags:
        language = find_language(tag)
        other = language.tag if language.tag != words.tag else None
        runs += [Run(", ")] if runs else []
        runs.append(Run(words.isolate(language.own_name), language=other))
    return tuple(runs) or (Run(_NONE),)


def _furniture(words: Words, clinic: Clinic, title: str, results: Sequence[Result]) -> Furniture:
    name = pack_id(one.pack for one in sorted(results, key=lambda one: one.number))
    return Furniture(
        document_name=title,
        document_id=f"B-{name[:5]}-{name[5:]}",
        version="",
        patient="",
        clinic=words.isolate(clinic.name),
        clinic_contact=words.isolate_ltr(clinic.phone),
        page_of=words.gettext("Page %(page)s of %(pages)s", page="{page}", pages="{pages}"),
    )
