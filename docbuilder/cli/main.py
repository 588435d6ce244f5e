"""The command `docbuilder`: parses, calls, prints; holds no rules.

Exit codes: 0 all built, 1 refused (a check, a missing translation, a missing glyph),
2 bad call or input. With several files the worst one counts.
"""

from __future__ import annotations

import json
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import click

from docbuilder import __version__
from docbuilder.cli.report import Outcome, Report, flags_of, print_issues, refusal
from docbuilder.cli.translations import translations
from docbuilder.errors import DocbuilderError, ExitCode, InputFault, Issue, Place
from docbuilder.inputs.clinic import demo_clinic_folder
from docbuilder.model.prescription import DOCUMENT_KINDS
from docbuilder.pack.build import BuildOptions
from docbuilder.pack.desk import Desk
from docbuilder.pack.language_table import language_rows
from docbuilder.paths import data_folder

__all__ = ["main"]

_CLINIC = click.option(
    "--clinic",
    "clinic_folder",
    type=click.Path(path_type=Path),
    metavar="FOLDER",
    envvar="DOCBUILDER_CLINIC",
    help="Your clinic's folder; without it the invented demo clinic stands on the paper.",
)
_JSON = click.option("--json", "as_json", is_flag=True, help="Report as one JSON object.")
_FILES = click.argument(
    "sources", nargs=-1, required=True, metavar="FILE...", type=click.Path(path_type=Path)
)


class _Command(click.Group):
    """A group that tells the user's faults in our form and ends with our exit codes."""

    def invoke(self, ctx: click.Context) -> Any:
        try:
            return super().invoke(ctx)
        except DocbuilderError as error:
            print_issues(error.issues)
            raise SystemExit(int(error.exit_code)) from None


@click.group(
    cls=_Command,
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100},
    epilog="""\b
Examples:
  docbuilder demo --out packs              build the invented clinic's packs
  docbuilder new rx.yaml                   start a prescription with comments
  docbuilder check rx.yaml                 what would be refused, and why
  docbuilder build rx.yaml --out packs --clinic our-clinic
  docbuilder explain rx.yaml settings.pulse_rate_hz
Shell completion (bash): eval "$(_DOCBUILDER_COMPLETE=bash_source docbuilder)"
Exit codes: 0 built, 1 refused, 2 bad call or input.""",
)
@click.version_option(__version__, prog_name="docbuilder")
def main() -> None:
    """Turn one short prescription for home stimulation into the patient's printed pack."""


@main.command(
    epilog="""\b
Examples:
  docbuilder build rx.yaml --out packs
  docbuilder build rx.yaml --out packs --language es --documents handout,diary
  docbuilder build tomorrow/*.yaml --out packs --clinic our-clinic --json"""
)
@_FILES
@click.option(
    "--out",
    required=True,
    type=click.Path(path_type=Path),
    metavar="DIR",
    help="Where the pack folders go.",
)
@click.option(
    "--language",
    "languages",
    multiple=True,
    metavar="TAG",
    help="Patient papers in this language instead of the prescription's; repeatable.",
)
@click.option(
    "--documents",
    default="",
    metavar="KIND,...",
    help="Only these: " + ", ".join(DOCUMENT_KINDS) + ".",
)
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
    "--name-by-file",
    is_flag=True,
    help="Name each pack's folder after its prescription file, if that names no patient.",
)
@_CLINIC
@_JSON
def build(
    sources: tuple[Path, ...],
    out: Path,
    languages: tuple[str, ...],
    documents: str,
    replace: bool,
    draft: bool,
    one_language_consent: bool,
    name_by_file: bool,
    clinic_folder: Path | None,
    as_json: bool,
) -> None:
    """Build the pack of each prescription FILE."""
    options = BuildOptions(
        languages=languages,
        documents=_kinds(documents),
        draft=draft,
        one_language_consent=one_language_consent,
    )
    desk = Desk(clinic_folder)
    report = Report(as_json)
    with _progress(sources, as_json) as items:
        for source in items:
            report.add(_build_one(desk, source, out, options, replace, name_by_file))
    report.finish()


@main.command(epilog="Example: docbuilder check rx.yaml --clinic our-clinic")
@_FILES
@_CLINIC
@_JSON
def check(sources: tuple[Path, ...], clinic_folder: Path | None, as_json: bool) -> None:
    """Report what would be refused and what needs a look; print and write nothing."""
    desk = Desk(clinic_folder)
    report = Report(as_json)
    for source in sources:
        try:
            plan = desk.plan(source)
        except DocbuilderError as error:
            report.add(refusal(str(source), error))
        else:
            report.add(Outcome(str(source), "fine", flags=flags_of(plan)))
    report.finish()


@main.command(epilog="Example: docbuilder demo --out packs")
@click.option(
    "--out",
    default="packs",
    type=click.Path(path_type=Path),
    metavar="DIR",
    show_default=True,
    help="Where the pack folders go.",
)
@click.option("--replace", is_flag=True, help="Build anew in the place of existing packs.")
@_JSON
def demo(out: Path, replace: bool, as_json: bool) -> None:
    """Build the invented clinic's packs: five patients, one of them refused by screening."""
    desk = Desk(demo_clinic_folder())
    report = Report(as_json)
    for source in sorted((demo_clinic_folder() / "prescriptions").glob("*.yaml")):
        report.add(_build_one(desk, source, out, BuildOptions(), replace, name_by_file=True))
    # The refusal is part of the demonstration, so it does not fail the command.
    meant = all(item.exit_code != ExitCode.BAD_INPUT for item in report.outcomes)
    report.write(out / "report.json", out)
    report.finish(ExitCode.BUILT if meant else None)


@main.command()
@_JSON
def languages(as_json: bool) -> None:
    """List the languages, their direction and how far each translation is."""
    rows = language_rows()
    if as_json:
        body = [
            {
                "tag": row.language.tag,
                "name": row.language.own_name,
                "english_name": row.language.english_name,
                "right_to_left": row.language.rtl,
                "messages": row.messages,
                "translated": row.translated,
                "findings": row.findings,
                "review": row.review,
                "usable": row.usable,
            }
            for row in rows
        ]
        click.echo(json.dumps({"schema": 1, "languages": body}, ensure_ascii=False, indent=2))
        return
    for row in rows:
        direction = "right to left" if row.language.rtl else "left to right"
        click.echo(
            f"{row.language.tag:8} {row.language.english_name:24} {direction:14} "
            f"{row.translated:>5} of {row.messages} messages, review: {row.review}"
        )


@main.command(epilog="Example: docbuilder new rx.yaml")
@click.argument("target", metavar="FILE", type=click.Path(path_type=Path))
def new(target: Path) -> None:
    """Write a commented starter prescription to FILE, to fill in."""
    try:
        with target.open("xb") as stream:
            stream.write((data_folder("starter.yaml")).read_bytes())
    except FileExistsError:
        raise _call_fault(
            str(target),
            "FILE",
            "a file that is already there",
            "a new file",
            "choose another name; nothing was overwritten",
        ) from None
    except OSError as error:
        raise _call_fault(
            str(target),
            "FILE",
            (error.strerror or "a fault").lower(),
            "a place where you may write",
            "choose another folder",
        ) from None
    click.echo(f"{target}: written; fill it in, then: docbuilder check {target}")


@main.command(
    epilog="""\b
Examples:
  docbuilder explain rx.yaml                          all figures
  docbuilder explain rx.yaml settings.pulse_rate_hz   one figure, or all below a name"""
)
@click.argument("source", metavar="FILE", type=click.Path(path_type=Path))
@click.argument("name", metavar="FIELD", default="")
@_CLINIC
@_JSON
def explain(source: Path, name: str, clinic_folder: Path | None, as_json: bool) -> None:
    """Follow a figure on the paper back to its formula or its source."""
    figures = Desk(clinic_folder).plan(source).figures
    chosen = [
        figure
        for key, figure in figures.items()
        if not name or key == name or key.startswith(f"{name}.")
    ]
    if not chosen:
        raise _call_fault(
            str(source),
            "FIELD",
            repr(name),
            ", ".join(sorted(figures)),
            "leave FIELD out to see all figures",
        )
    if as_json:
        rows = [
            {
                "field": item.field,
                "value": item.value,
                "how": item.how,
                "mark": item.source.mark,
                "citation": item.source.citation,
            }
            for item in chosen
        ]
        click.echo(json.dumps({"schema": 1, "figures": rows}, ensure_ascii=False, indent=2))
        return
    for item in chosen:
        cited = f": {item.source.citation}" if item.source.citation else ""
        click.echo(f"{item.field} = {item.value}\n    {item.how}\n    [{item.source.mark}{cited}]")


main.add_command(translations)


def _build_one(
    desk: Desk,
    source: Path,
    out: Path,
    options: BuildOptions,
    replace: bool,
    name_by_file: bool,
) -> Outcome:
    try:
        built = desk.build(source, out, options, replace=replace, name_by_file=name_by_file)
    except DocbuilderError as error:
        return refusal(str(source), error)
    return Outcome(
        str(source),
        "built",
        folder=built.folder,
        pack=built.pack.id,
        flags=flags_of(built.pack.plan),
        files=tuple((file.name, file.pages) for file in built.pack.files),
    )


@contextmanager
def _progress(sources: tuple[Path, ...], quiet: bool) -> Iterator[Iterator[Path]]:
    """Show a bar on standard error when there is more than one pack and a terminal."""
    if quiet or len(sources) < 2 or not sys.stderr.isatty():
        yield iter(sources)
        return
    with click.progressbar(sources, label="packs", file=sys.stderr) as bar:
        yield iter(bar)


def _kinds(text: str) -> tuple[Any, ...]:
    kinds = tuple(part.strip() for part in text.split(",") if part.strip())
    unknown = [kind for kind in kinds if kind not in DOCUMENT_KINDS]
    if unknown:
        raise _call_fault(
            "command line",
            "--documents",
            ", ".join(map(repr, unknown)),
            ", ".join(DOCUMENT_KINDS),
            "separate several with commas",
        )
    return kinds


def _call_fault(file: str, name: str, found: str, allowed: str, hint: str) -> InputFault:
    return InputFault([Issue(Place(file), name, found, allowed, hint)])
