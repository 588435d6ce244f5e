"""`docbuilder batch`: a whole list of prescriptions in one go."""

from __future__ import annotations

import sys
from collections import Counter
from collections.abc import Iterable, Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import TypeVar, get_args

import click

from docbuilder.cli.options import CLINIC, JSON, Command, out_option, warn_of_invented_clinic
from docbuilder.cli.packs import DOCUMENTS, chosen_documents
from docbuilder.cli.report import SCHEMA, json_text, print_issues
from docbuilder.errors import ExitCode, Issue
from docbuilder.inputs.batch_list import BatchList, read_batch_list
from docbuilder.inputs.spreadsheet import DateOrder
from docbuilder.model.clinic import Clinic
from docbuilder.pack.batch import BatchOrder, Job, Result, build_many
from docbuilder.pack.build import BuildOptions
from docbuilder.pack.desk import Desk
from docbuilder.pack.piles import MOST_SHEETS, Pile, piles
from docbuilder.pack.summary import noted, write_piles
from docbuilder.pack.workers import free_processors, worker_pool
from docbuilder.pack.write import refuse_taken, remove_file, write_file

__all__ = ["batch"]

REPORT = "batch.json"
_One = TypeVar("_One")


@click.command(
    cls=Command,
    short_help="Build a whole list, with one print run.",
    epilog="""\b
Examples:
  docbuilder batch tomorrow.csv --out packs --clinic our-clinic --dates day-first
  docbuilder batch tomorrow.yaml --out packs --workers 4 --json
  docbuilder batch prescriptions/ --out packs --documents handout,diary
A YAML list:
  prescriptions:
    - file: one.yaml
      appointment: "09:30"
CSV: see `docbuilder new --csv`.""",
)
@click.argument("listing", metavar="LIST", type=click.Path(path_type=Path))
@out_option("Where the pack folders, cover list and print run go.")
@click.option(
    "--workers",
    type=click.IntRange(1, 256),
    metavar="N",
    help="Processes that build at the same time; else one a processor.",
)
@click.option(
    "--dates",
    type=click.Choice(get_args(DateOrder)),
    help="How dates such as 01/12/2026 are meant in CSV; without it they are refused.",
)
@DOCUMENTS
@click.option("--replace", is_flag=True, help="Build packs anew that stand already.")
@click.option(
    "--sheets",
    type=click.IntRange(1),
    default=MOST_SHEETS,
    show_default=True,
    metavar="N",
    help="Sheets of paper in one print run; a longer list becomes several, numbered.",
)
@click.option("--no-print-run", is_flag=True, help="Leave out the PDFs of all papers.")
@CLINIC
@JSON
def batch(
    listing: Path,
    out: Path,
    workers: int | None,
    dates: DateOrder | None,
    documents: str,
    replace: bool,
    sheets: int,
    no_print_run: bool,
    clinic_folder: Path | None,
    as_json: bool,
) -> None:
    """Build the packs of LIST: a folder, a YAML or JSON list, or CSV.

    A pack that stands already is kept, so a second run goes on where the first one was
    stopped. Beside the packs it leaves a report, a cover list by time of appointment, and
    one PDF of all papers in the list's order, each beginning on the front of a sheet.
    A long list has several of both, with the same numbers: a cover list for each pile.
    All of these belong to the last run that came to its end.
    """
    options = BuildOptions(documents=chosen_documents(documents))
    desk = Desk(clinic_folder)
    codes = [rule.code for rule in desk.knowledge.screening]
    rows = read_batch_list(listing, screening=codes, dates=dates)
    refuse_taken(out / REPORT, replace=True, file=True)
    order = BatchOrder(clinic_folder, out, options, desk.state, replace)
    results = _built(rows, order, workers or min(free_processors(), len(rows)), as_json)
    summary = _write_summary(results, out, desk.clinic, sheets, not no_print_run, as_json)
    if as_json:
        click.echo(summary.report())
    else:
        _tell(summary, out)
        warn_of_invented_clinic(clinic_folder)
    raise SystemExit(int(summary.code))


def _built(rows: BatchList, order: BatchOrder, workers: int, quiet: bool) -> list[Result]:
    jobs = (
        Job(number, row.label, row.source, row.appointment, row.issues)
        for number, row in enumerate(rows, start=1)
    )
    results: list[Result] = []
    with ExitStack() as stack:
        pool = worker_pool(workers) if workers > 1 else None
        if pool is not None:
            stack.callback(pool.shutdown, cancel_futures=True)
        done = build_many(jobs, order, pool)
        try:
            results += stack.enter_context(_watched(done, len(rows), "packs", quiet))
        except KeyboardInterrupt:
            click.echo("stopped; run the same command again to go on from here", err=True)
            raise
    return sorted(results, key=lambda result: result.number)


def _write_summary(
    results: list[Result], out: Path, clinic: Clinic, sheets: int, print_run: bool, quiet: bool
) -> _Summary:
    """Write cover lists, print runs and report, each whole, when a pack stands.

    A file that the disk refuses is told and stops neither the others nor the report.
    """
    made = piles(results, sheets) if any(result.stands for result in results) else []
    faults: list[Issue] = []
    with noted(faults):
        remove_file(out / REPORT)
    with _watched(made, len(made), "piles", quiet) as shown:
        written = write_piles(shown, out, clinic, faults, print_run=print_run)
    summary = _Summary(results, made, written, faults)
    if made:
        with noted(faults):
            write_file(out / REPORT, (summary.report() + "\n").encode())
            written.append(REPORT)
    return summary


@contextmanager
def _watched(
    done: Iterable[_One], length: int, label: str, quiet: bool
) -> Iterator[Iterable[_One]]:
    """Show on a terminal how far it is."""
    if quiet or not sys.stderr.isatty():
        yield done
        return
    with click.progressbar(done, length=length, label=label, file=sys.stderr) as bar:
        yield bar


@dataclass
class _Summary:
    """How the whole list fared."""

    results: list[Result]
    piles: list[Pile]
    written: list[str]
    faults: list[Issue]

    @property
    def code(self) -> ExitCode:
        """The worst outcome; a disk that refuses counts as bad input."""
        worst = max(result.exit_code for result in self.results)
        return max(worst, ExitCode.BAD_INPUT) if self.faults else worst

    @property
    def counts(self) -> dict[str, int]:
        """Rows by state, and pages of papers."""
        states = Counter(result.status for result in self.results)
        pages = sum(paper.pages for result in self.results for paper in result.papers)
        return {**{one: states[one] for one in ("built", "kept", "refused")}, "pages": pages}

    def report(self) -> str:
        """Return the report for programs; it names no patient."""
        body = {
            "schema": SCHEMA,
            "exit_code": int(self.code),
            "counts": self.counts,
            "files": [name for name in self.written if name != REPORT],
            "issues": [fault.as_json() for fault in self.faults],
            "packs": [
                result.as_json() | {"printed": self._places.get(result.number)}
                for result in self.results
            ],
        }
        return json_text(body)

    @cached_property
    def _places(self) -> dict[int, dict[str, object]]:
        """Where each pack is printed: the print run and its first page there."""
        return {
            number: {"file": pile.run_name, "page": page}
            for pile in self.piles
            if pile.run_name in self.written
            for number, page in pile.first_pages().items()
        }


def _tell(summary: _Summary, out: Path) -> None:
    click.echo(
        f"{'#':>5}  {'time':5}  {'pack':10}  {'state':7}  {'pages':>5}  {'languages':14}  from"
    )
    for one in summary.results:
        tags = dict.fromkeys(tag for paper in one.papers for tag in paper.languages)
        pages = sum(paper.pages for paper in one.papers) or ""
        click.echo(
            f"{one.number:>5}  {one.appointment:5}  {one.pack:10}  {one.status:7}  {pages:>5}  "
            f"{' '.join(tags):14}  {one.label}"
        )
    for one in summary.results:
        if not one.stands:
            click.echo(f"{one.label}: refused, nothing written", err=True)
            print_issues(one.issues)
    counts = summary.counts
    told = ", ".join(f"{counts[state]} {state}" for state in ("built", "kept", "refused"))
    click.echo(f"{len(summary.results)} in the list: {told}; {counts['pages']} pages")
    runs = {pile.run_name: pile for pile in summary.piles}
    for name in summary.written:
        pile = runs.get(name)
        size = f"; {_counted(pile.packs, 'pack')}, {_counted(pile.sheets, 'sheet')}" if pile else ""
        click.echo(f"{out / name}: written{size}")
    print_issues(summary.faults)


def _counted(count: int, what: str) -> str:
    return f"{count} {what}" if count == 1 else f"{count} {what}s"
