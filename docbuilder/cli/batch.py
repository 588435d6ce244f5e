"""`docbuilder batch`: a whole list of prescriptions in one go."""

from __future__ import annotations

import sys
from collections import Counter
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from pathlib import Path
from typing import get_args

import click

from docbuilder import __version__
from docbuilder.cli.options import CLINIC, JSON, Command, out_option
from docbuilder.cli.packs import DOCUMENTS, chosen_documents
from docbuilder.cli.report import SCHEMA, json_text, print_issues
from docbuilder.errors import DocbuilderError, ExitCode, Issue
from docbuilder.inputs.batch_csv import DateOrder
from docbuilder.inputs.batch_list import BatchList, read_batch_list
from docbuilder.layout.metadata import Description
from docbuilder.pack.batch import BatchOrder, Job, Result, build_many
from docbuilder.pack.build import BuildOptions
from docbuilder.pack.cover_list import cover_list, run_title
from docbuilder.pack.desk import Desk
from docbuilder.pack.identity import folder_name
from docbuilder.pack.print_run import merge_for_print
from docbuilder.pack.workers import free_processors, worker_pool
from docbuilder.pack.write import refuse_taken, remove_file, whole_file, write_file

__all__ = ["batch"]

REPORT, COVER, RUN = "batch.json", "cover_list.pdf", "print_run.pdf"


@click.command(
    cls=Command,
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
@click.option("--no-print-run", is_flag=True, help="Leave out the one PDF of all papers.")
@CLINIC
@JSON
def batch(
    listing: Path,
    out: Path,
    workers: int | None,
    dates: DateOrder | None,
    documents: str,
    replace: bool,
    no_print_run: bool,
    clinic_folder: Path | None,
    as_json: bool,
) -> None:
    """Build the packs of LIST: a folder, a YAML or JSON list, or CSV.

    A pack that stands already is kept, so a second run goes on where the first one was
    stopped. Beside the packs it leaves a report, a cover list by time of appointment, and
    one PDF of all papers in the list's order, each beginning on the front of a sheet.
    These three belong to the last run that came to its end.
    """
    options = BuildOptions(documents=chosen_documents(documents))
    desk = Desk(clinic_folder)
    codes = [rule.code for rule in desk.knowledge.screening]
    rows = read_batch_list(listing, screening=codes, dates=dates)
    refuse_taken(out / REPORT, replace=True, file=True)
    order = BatchOrder(clinic_folder, out, options, desk.state, replace)
    results = _built(rows, order, workers or min(free_processors(), len(rows)), as_json)
    written, faults = _write_summary(results, out, desk, not no_print_run)
    if as_json:
        click.echo(_report(results, written, faults))
    else:
        _tell(results, out, written)
        print_issues(faults)
    raise SystemExit(int(_code(results, faults)))


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
        if not quiet and sys.stderr.isatty():
            done = stack.enter_context(
                click.progressbar(done, length=len(rows), label="packs", file=sys.stderr)
            )
        try:
            results += done
        except KeyboardInterrupt:
            click.echo("stopped; run the same command again to go on from here", err=True)
            raise
    return sorted(results, key=lambda result: result.number)


def _write_summary(
    results: list[Result], out: Path, desk: Desk, print_run: bool
) -> tuple[list[str], list[Issue]]:
    """Write cover list, print run and report, each whole, when a pack stands.

    Those of an earlier run are removed first: what lies there belongs to this list. A file
    that the disk refuses is told and stops neither the others nor the report of the packs.

    Returns:
        The files written, and what went wrong.
    """
    if not any(result.stands for result in results):
        return [], []
    written: list[str] = []
    faults: list[Issue] = []

    @contextmanager
    def noted() -> Iterator[None]:
        try:
            yield
        except DocbuilderError as fault:
            faults.extend(issue for issue in fault.issues if issue not in faults)

    for name in (REPORT, RUN, COVER):
        with noted():
            remove_file(out / name)
    with noted():
        write_file(out / COVER, cover_list(results, desk.clinic, print_run=print_run))
        written.append(COVER)
    if print_run:
        title, tag = run_title(desk.clinic), desk.clinic.language
        described = Description(title, "", tag, f"docbuilder {__version__}")
        with noted():
            with whole_file(out / RUN) as stream:
                merge_for_print(_papers(results, out), stream, described)
            written.append(RUN)
    with noted():
        write_file(out / REPORT, (_report(results, written, faults) + "\n").encode())
        written.append(REPORT)
    return written, faults


def _papers(results: list[Result], out: Path) -> Iterator[Path]:
    for result in results:
        for paper in result.papers:
            yield out / folder_name(result.pack) / paper.name


def _code(results: list[Result], faults: list[Issue]) -> ExitCode:
    """Return the worst outcome; a disk that refuses counts as bad input."""
    worst = max(result.exit_code for result in results)
    return max(worst, ExitCode.BAD_INPUT) if faults else worst


def _report(results: list[Result], written: list[str], faults: list[Issue]) -> str:
    body = {
        "schema": SCHEMA,
        "exit_code": int(_code(results, faults)),
        "counts": _counts(results),
        "files": [name for name in written if name != REPORT],
        "issues": [fault.as_json() for fault in faults],
        "packs": [result.as_json() for result in results],
    }
    return json_text(body)


def _counts(results: list[Result]) -> dict[str, int]:
    states = Counter(result.status for result in results)
    pages = sum(paper.pages for result in results for paper in result.papers)
    return {**{state: states[state] for state in ("built", "kept", "refused")}, "pages": pages}


def _tell(results: list[Result], out: Path, written: list[str]) -> None:
    click.echo(
        f"{'#':>5}  {'time':5}  {'pack':10}  {'state':7}  {'pages':>5}  {'languages':14}  from"
    )
    for one in results:
        tags = dict.fromkeys(tag for paper in one.papers for tag in paper.languages)
        pages = sum(paper.pages for paper in one.papers) or ""
        click.echo(
            f"{one.number:>5}  {one.appointment:5}  {one.pack:10}  {one.status:7}  {pages:>5}  "
            f"{' '.join(tags):14}  {one.label}"
        )
    for one in results:
        if not one.stands:
            click.echo(f"{one.label}: refused, nothing written", err=True)
            print_issues(one.issues)
    counts = _counts(results)
    told = ", ".join(f"{counts[state]} {state}" for state in ("built", "kept", "refused"))
    click.echo(f"{len(results)} in the list: {told}; {counts['pages']} pages")
    for name in written:
        click.echo(f"{out / name}: written")
