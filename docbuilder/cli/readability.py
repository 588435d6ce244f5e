"""`docbuilder readability`: how hard the papers of a prescription are to read."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import asdict
from pathlib import Path

import click

from docbuilder.cli.options import Command
from docbuilder.cli.report import SCHEMA, json_text
from docbuilder.content.assemble import assemble
from docbuilder.content.job import IssueInfo
from docbuilder.document.blocks import (
    Block,
    CheckItem,
    Columns,
    Document,
    FigureBlock,
    Heading,
    KeepTogether,
    ListBlock,
    Pairs,
    Panel,
    Paragraph,
    Runs,
    SignatureBlock,
    Steps,
)
from docbuilder.errors import InputFault, Issue, Place
from docbuilder.inputs.clinic import demo_clinic_folder
from docbuilder.language.isolates import without_isolates
from docbuilder.language.readability import Reading, measure_texts
from docbuilder.language.words import SOURCE_TAG, load_words
from docbuilder.model.prescription import DOCUMENT_KINDS, DocumentKind
from docbuilder.pack.desk import Desk

__all__ = ["document_texts", "measure_document", "readability"]

_END_MARKS = frozenset(".?!:؟。？！：।۔")


def document_texts(document: Document) -> Iterator[str]:
    """Yield the sentences of a document: headings, paragraphs, lists, steps, panels.

    Tables, the settings panel, calendars, citations and whatever has no end mark are
    not read as sentences and would flatter the figures, so they are left out.
    """
    return (text for text in _texts(document.blocks) if text.rstrip()[-1:] in _END_MARKS)


def _texts(blocks: Iterable[Block]) -> Iterator[str]:
    for block in blocks:
        match block:
            case Paragraph(role="small"):
                pass
            case Heading(runs=runs) | Paragraph(runs=runs) | CheckItem(runs=runs):
                yield _text(runs)
            case ListBlock(items=items):
                for item in items:
                    yield from _texts(item)
            case Steps(steps=steps):
                yield from (_text(step.runs) for step in steps)
            case Panel(title=title, blocks=inside):
                yield _text(title)
                yield from _texts(inside)
            case FigureBlock(caption=caption):
                yield _text(caption)
            case SignatureBlock(statement=statement):
                yield _text(statement)
            case KeepTogether(blocks=inside):
                yield from _texts(inside)
            case Columns(first=first, second=second):
                yield from _texts((*first, *second))
            case Pairs(pairs=pairs):
                yield from _texts(pair.first for pair in pairs)
            case _:
                pass


def _text(runs: Runs) -> str:
    return without_isolates("".join(run.text for run in runs))


def measure_document(document: Document) -> Reading:
    """Measure a document in its own language (the first one of a bilingual document).

    Raises:
        ValueError: It has no sentences.
    """
    return measure_texts(document_texts(document), document.language)


@click.command(
    cls=Command,
    short_help="Measure how hard the papers are to read.",
    epilog="Example: docbuilder readability rx.yaml --language es",
)
@click.argument("source", metavar="[FILE]", required=False, type=click.Path(path_type=Path))
@click.option("--language", "tag", metavar="TAG", help="Instead of the patient's language.")
@click.option(
    "--clinic",
    "clinic_folder",
    type=click.Path(path_type=Path),
    metavar="FOLDER",
    envvar="DOCBUILDER_CLINIC",
    help="Your clinic's folder.",
)
@click.option("--json", "as_json", is_flag=True, help="Report as one JSON object.")
def readability(
    source: Path | None, tag: str | None, clinic_folder: Path | None, as_json: bool
) -> None:
    """Measure how hard the papers of the prescription FILE are to read.

    Each language by its own published formula; sentence length alone where there is none.
    Without FILE the wording itself is measured, in English or in TAG, on the papers of the
    demo prescriptions. Aims in English: grade 6 or lower (consent 8), 15 words a sentence
    on average.
    """
    desk = Desk(clinic_folder)
    if source is None:
        report = {path.stem: dict(_readings(desk, path, tag or SOURCE_TAG)) for path in _demos()}
    else:
        report = {source.stem: dict(_readings(desk, source, tag))}
    if as_json:
        rows = {
            name: {kind: asdict(reading) for kind, reading in readings.items()}
            for name, readings in report.items()
        }
        found = {"prescriptions": rows} if source is None else {"documents": rows[source.stem]}
        click.echo(json_text({"schema": SCHEMA, **found}))
        return
    for name, readings in report.items():
        if source is None:
            click.echo(name)
        for kind, reading in readings.items():
            click.echo("\n".join(_lines(kind, reading)))


def _demos() -> list[Path]:
    """Return the demo prescriptions that come out as papers."""
    sources = sorted((demo_clinic_folder() / "prescriptions").glob("*.yaml"))
    return [path for path in sources if not path.stem.endswith("-refused")]


def _readings(desk: Desk, source: Path, tag: str | None) -> Iterator[tuple[DocumentKind, Reading]]:
    plan = desk.plan(source)
    patient, clinic = plan.prescription.patient, plan.clinic
    for kind in DOCUMENT_KINDS:
        language = clinic.language if kind == "checklist" else tag or patient.language
        words = load_words(
            language, clinic.territory, clinic.folder, clinic.digits.get(language, "latin")
        )
        issue = IssueInfo(document_id="-", version_date=plan.prescription.prescribed_on)
        document = assemble(kind, plan, words, issue=issue, templates=desk.templates)
        words.refuse_missing(kind)
        try:
            yield kind, measure_document(document)
        except ValueError as fault:
            raise InputFault([Issue(Place(str(source)), kind, str(fault), "sentences")]) from fault


_AIMS: Mapping[str, float] = {"handout": 6.0, "diary": 6.0, "consent": 8.0}
"""Highest Flesch-Kincaid grade of the patient's papers in English."""
_AIM_WORDS = 15.0


def _aims(kind: str, reading: Reading) -> Iterator[str]:
    if reading.tag == SOURCE_TAG and kind in _AIMS:
        grade, words = reading.scores[0].value, reading.count.words_a_sentence
        met = "met" if grade <= _AIMS[kind] and words <= _AIM_WORDS else "missed"
        yield f"  aim: grade {_AIMS[kind]:.0f} or lower, {_AIM_WORDS:.0f} words a sentence: {met}"


def _lines(kind: str, reading: Reading) -> Iterator[str]:
    count = reading.count
    unit = "characters" if reading.tag == "zh-Hans" else "words"
    yield f"{kind} ({reading.tag})"
    for score in reading.scores:
        meaning = f", {score.meaning}" if score.meaning else ""
        yield f"  {score.name}: {score.value:.1f}{meaning}"
    if unit == "words":
        mean = f"{count.words_a_sentence:.1f} words each"
        yield f"  {count.words} words in {count.sentences} sentences, {mean}"
    yield from _aims(kind, reading)
    yield f"  longest sentence: {count.longest_sentence} {unit}"
    if reading.note:
        yield f"  {reading.note}"
    for sentence in reading.long_sentences:
        yield f"  long: {sentence}"
