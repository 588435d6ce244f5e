"""`docbuilder build`, `check` and `demo`."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import click

from docbuilder.cli.options import (
    CLINIC,
    FILES,
    JSON,
    Command,
    call_fault,
    out_option,
    warn_of_invented_clinic,
)
from docbuilder.cli.report import Outcome, Report, flags_of, refusal
from docbuilder.cli.since import changes_between
from docbuilder.errors import DocbuilderError, ExitCode
from docbuilder.inputs.clinic import demo_clinic_folder
from docbuilder.model.plan import Plan
from docbuilder.model.prescription import DOCUMENT_KINDS, DocumentKind
from docbuilder.pack.bugs import bug_issue
from docbuilder.pack.build import BuildOptions
from docbuilder.pack.desk import Desk

__all__ = ["DOCUMENTS", "build", "check", "chosen_documents", "demo"]

_MEANT_TO_BE_REFUSED = "-refused"
_LANGUAGES = click.option(
    "--language",
    "languages",
    multiple=True,
    metavar="TAG",
    help="Patient papers in this language instead of the prescription's; repeatable.",
)
DOCUMENTS = click.option(
    "--documents",
    default="",
    metavar="KIND,...",
    help="Only these: " + ", ".join(DOCUMENT_KINDS) + ".",
)


@click.command(
    cls=Command,
    short_help="Build the pack of each prescription FILE.",
    epilog="""\b
Examples:
  docbuilder build rx.yaml --out packs
  docbuilder build rx.yaml --out packs --language es --documents handout,diary
  docbuilder build tomorrow/*.yaml --out packs --clinic our-clinic --json""",
)
@FILES
@out_option("Where the pack folders go.")
@_LANGUAGES
@DOCUMENTS
@click.option("--replace", is_flag=True, help="Build anew in the place of an existing pack.")
@click.option(
    "--draft",
    is_flag=True,
    help="Print untranslated text in English under a draft mark; never for consent.",
)
@click.option(
    "--one-language-consent",
    is_flag=True,
    help="Consent in the patient's language only, not beside the clinic's.",
)
@click.option(
    "--fillable",
    is_flag=True,
    help="Fields to fill in on a screen, over the room to write in; the print is the same.",
)
@click.option(
    "--name-by-file",
    is_flag=True,
    help="Name each pack's folder after its prescription file, if that names no patient.",
)
@CLINIC
@JSON
def build(
    sources: tuple[Path, ...],
    out: Path,
    languages: tuple[str, ...],
    documents: str,
    replace: bool,
    draft: bool,
    one_language_consent: bool,
    fillable: bool,
    name_by_file: bool,
    clinic_folder: Path | None,
    as_json: bool,
) -> None:
    """Build the pack of each prescription FILE."""
    options = BuildOptions(
        languages=languages,
        documents=chosen_documents(documents),
        draft=draft,
        one_language_consent=one_language_consent,
        fillable=fillable,
    )
    desk = Desk(clinic_folder)
    report = Report(as_json)
    with _progress(sources, as_json) as items:
        for source in items:
            report.add(_build_one(desk, source, out, options, replace, name_by_file))
    if not as_json:
        warn_of_invented_clinic(clinic_folder)
    report.finish()


@click.command(
    cls=Command,
    short_help="Say what would be refused and what needs a look.",
    epilog="""\b
Examples:
  docbuilder check rx.yaml --clinic our-clinic
  docbuilder check rx-2.yaml --since rx.yaml       a changed plan: must consent be given again?
  docbuilder check tomorrow/*.yaml --language es --json""",
)
@FILES
@_LANGUAGES
@DOCUMENTS
@click.option(
    "--since",
    type=click.Path(path_type=Path),
    metavar="OLD",
    help="The prescription before: what changed, and whether its consent still counts.",
)
@CLINIC
@JSON
def check(
    sources: tuple[Path, ...],
    languages: tuple[str, ...],
    documents: str,
    since: Path | None,
    clinic_folder: Path | None,
    as_json: bool,
) -> None:
    """Report what would be refused and what needs a look; write nothing.

    Each pack is made in memory, so a missing translation or letter shows here too.
    """
    if since is not None and len(sources) != 1:
        raise call_fault("command line", "--since", f"{len(sources)} files", "one FILE",
                         "check each changed plan by itself")  # fmt: skip
    options = BuildOptions(languages=languages, documents=chosen_documents(documents))
    desk = Desk(clinic_folder)
    old = desk.plan(since, options.documents) if since is not None else None
    report = Report(as_json)
    with _progress(sources, as_json) as items:
        for source in items:
            report.add(_check_one(desk, source, options, old))
    if not as_json:
        warn_of_invented_clinic(clinic_folder)
    report.finish()


@click.command(
    cls=Command,
    short_help="Build the invented clinic's packs.",
    epilog="Example: docbuilder demo --out packs",
)
@out_option("Where the pack folders go.", default="packs")
@click.option("--replace", is_flag=True, help="Build anew in the place of existing packs.")
@JSON
def demo(out: Path, replace: bool, as_json: bool) -> None:
    """Build the invented clinic's packs: six patients, one of them refused by screening."""
    desk = Desk(demo_clinic_folder())
    report = Report(as_json)
    sources = tuple(sorted((demo_clinic_folder() / "prescriptions").glob("*.yaml")))
    with _progress(sources, as_json) as items:
        for source in items:
            report.add(_build_one(desk, source, out, BuildOptions(), replace, name_by_file=True))
    report.write(out / "report.json", out)
    # One refusal is part of the demonstration, so it does not fail the command.
    codes = [
        item.exit_code
        for item in report.outcomes
        if not (
            item.exit_code == ExitCode.REFUSED
            and Path(item.source).stem.endswith(_MEANT_TO_BE_REFUSED)
        )
    ]
    report.finish(max(codes, default=ExitCode.BUILT))


def chosen_documents(text: str) -> tuple[DocumentKind, ...]:
    """Return the kinds in *text*, separated by commas; none means all.

    Raises:
        InputFault: A kind that there is not.
    """
    words = tuple(dict.fromkeys(part.strip() for part in text.split(",") if part.strip()))
    unknown = [word for word in words if word not in DOCUMENT_KINDS]
    if unknown or (text and not words):
        raise call_fault(
            "command line",
            "--documents",
            ", ".join(map(repr, unknown or [text])),
            ", ".join(DOCUMENT_KINDS),
            "separate several with commas",
        )
    return tuple(kind for kind in DOCUMENT_KINDS if kind in words)


def _build_one(
    desk: Desk, source: Path, out: Path, options: BuildOptions, replace: bool, name_by_file: bool
) -> Outcome:
    with _told(source) as faults:
        built = desk.build(source, out, options, replace=replace, name_by_file=name_by_file)
        return Outcome(
            str(source),
            "built",
            folder=built.folder,
            pack=built.pack.id,
            flags=flags_of(built.pack.plan),
            files=tuple((file.name, file.pages) for file in built.pack.files),
        )
    return faults[0]


def _check_one(desk: Desk, source: Path, options: BuildOptions, old: Plan | None) -> Outcome:
    with _told(source) as faults:
        prepared = desk.prepare(source, options)
        pack = desk.make(prepared, options)
        changes = changes_between(old, prepared.plan, desk.knowledge) if old else None
        return Outcome(str(source), "fine", pack=pack.id, flags=flags_of(prepared.plan),
                       files=tuple((file.name, file.pages) for file in pack.files),
                       changes=changes)  # fmt: skip
    return faults[0]


@contextmanager
def _told(source: Path) -> Iterator[list[Outcome]]:
    """Turn what stops one prescription into its outcome, so that the others go on."""
    faults: list[Outcome] = []
    try:
        yield faults
    except DocbuilderError as error:
        faults.append(refusal(str(source), error.exit_code, error.issues))
    except Exception as error:
        issue = bug_issue(error, str(source))
        faults.append(refusal(str(source), ExitCode.BROKEN, (issue,)))


@contextmanager
def _progress(sources: tuple[Path, ...], quiet: bool) -> Iterator[Iterator[Path]]:
    """Show a bar on standard error when there is more than one pack and a terminal."""
    if quiet or len(sources) < 2 or not sys.stderr.isatty():
        yield iter(sources)
        return
    with click.progressbar(sources, label="packs", file=sys.stderr) as bar:
        yield iter(bar)
