"""The list that lies on top of a printed batch: who comes when, and what belongs to whom."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
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
from docbuilder.pack.piles import Pile

__all__ = ["cover_list", "run_title"]

_TEXT_PT = 8.5
_SHARES = (1.0, 5.2, 2.1, 3.6, 1.1, 1.2, 0.9, 1.3, 1.0)
_FIGURES_FROM = 4
"""The first column that holds figures."""
_NONE = "–"


def cover_list(pile: Pile, clinic: Clinic, *, print_run: bool = True) -> bytes:
    """Return the cover list of a pile as a PDF, by time of appointment, then in the list's order.

    A pack that was refused stands there too, marked as not built, so that nobody is
    missed. Forty patients stand on one page.

    Args:
        pile: What it lies on; of several the number stands in the title.
        clinic: Its language is the list's.
        print_run: Say on which page of the pile's file each pack begins.

    Raises:
        Refused: A word is not translated, or a letter is in no font.
    """
    words, results = _words(clinic), pile.results
    title = run_title(clinic, pile)
    heads = (
        words.gettext("Time"),
        words.pgettext("consent", "Patient"),
        words.gettext("Pack"),
        words.gettext("Languages"),
        words.gettext("Handout"),
        words.gettext("Consent form"),
        words.gettext("Diary"),
        words.gettext("Checklist"),
        # NOTE: Column of the list on top of a printed batch: the page of the print-run
        # file on which this patient's papers begin.
        *([words.gettext("From page")] if print_run else []),
    )
    columns = tuple(
        Column((Run(head, bold=True),), share, "end" if at >= _FIGURES_FROM else "start")
        for at, (head, share) in enumerate(zip(heads, _SHARES, strict=False))
    )
    starts = pile.first_pages() if print_run else None
    ordered = sorted(results, key=lambda one: (one.appointment or "~", one.number))
    rows = [_row(one, words, clinic, starts) for one in ordered]
    shaded = tuple(range(1, len(rows), 2))
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
            Table(columns, (*rows, _sums(results, words, print_run)), compact=True, dense=True,
                  shaded_rows=shaded),
        ),
        accent=clinic.accent,
    )  # fmt: skip
    words.refuse_missing("cover list")
    return compose(document).pdf


def run_title(clinic: Clinic, pile: Pile) -> str:
    """Return what stands over the list, in the clinic's language, and which of several it is."""
    words = _words(clinic)
    # NOTE: Title of the list on top of a printed batch, and of the file with all papers.
    title = words.gettext("Packs to print")
    if pile.count == 1:
        return title
    which = f"{words.number(pile.number)}/{words.number(pile.count)}"
    return f"{title} {words.isolate_ltr(which)}"


def _words(clinic: Clinic) -> Words:
    digits = clinic.digits.get(clinic.language, "latin")
    return load_words(clinic.language, clinic.territory, clinic.folder, digits)


def _row(
    result: Result, words: Words, clinic: Clinic, starts: Mapping[int, int] | None
) -> tuple[Runs, ...]:
    time = (Run(words.isolate_ltr(result.appointment or _NONE)),)
    if not result.stands:
        # NOTE: Stands in the list of packs beside a patient whose pack was refused.
        refused = (Run(words.gettext("Not built"), bold=True),)
        blank: tuple[Runs, ...] = ((Run(_NONE),),) * (len(DOCUMENT_KINDS) + (starts is not None))
        return (time, (Run(words.isolate(Path(result.label).name)),), refused, (), *blank)
    tags = dict.fromkeys(tag for paper in result.papers for tag in paper.languages)
    counts = [_figure(count, words) for count in _pages([result]).values()]
    if starts is not None:
        counts.append(_figure(starts[result.number], words, bold=True))
    pack = (Run(words.isolate_ltr(result.pack)),)
    return (time, _who(result, words, clinic), pack, _names(tuple(tags), words), *counts)


def _pages(results: Sequence[Result]) -> dict[str, int]:
    """Return the pages of each kind of paper."""
    pages: dict[str, int] = dict.fromkeys(DOCUMENT_KINDS, 0)
    for result in results:
        for paper in result.papers:
            pages[paper.kind] += paper.pages
    return pages


def _figure(count: int, words: Words, *, bold: bool = False) -> Runs:
    return (Run(words.number(count) if count else _NONE, bold=bold),)


def _sums(results: Sequence[Result], words: Words, print_run: bool) -> tuple[Runs, ...]:
    """Return the last row: the pages of all packs."""
    sums = [_figure(count, words, bold=True) for count in _pages(results).values()]
    last: list[Runs] = [()] if print_run else []
    return ((), (Run(words.gettext("Pages"), bold=True),), (), (), *sums, *last)


def _who(result: Result, words: Words, clinic: Clinic) -> Runs:
    """Say whose pack it is as the clinic chose."""
    name, record = result.patient
    number = Run(words.isolate_ltr(record))
    if clinic.patient_identifier == "record":
        return (number,)
    full = clinic.patient_identifier == "name_and_record"
    return (Run(f"{words.isolate(name if full else initials(name))} · "), number)


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
