"""`docbuilder new`: a commented starter to fill in."""

from __future__ import annotations

import codecs
import re
from collections.abc import Sequence
from pathlib import Path

import click

from docbuilder.cli.options import CLINIC, Command, call_fault
from docbuilder.inputs.batch_columns import csv_columns
from docbuilder.inputs.clinic import read_clinic
from docbuilder.inputs.knowledge import read_knowledge
from docbuilder.model.knowledge import ScreeningRule
from docbuilder.paths import data_folder

__all__ = ["new"]


@click.command(
    cls=Command,
    epilog="""\b
Examples:
  docbuilder new rx.yaml
  docbuilder new --csv tomorrow.csv        a list for `docbuilder batch`""",
)
@click.argument("target", metavar="FILE", type=click.Path(path_type=Path))
@click.option("--csv", "as_csv", is_flag=True, help="The column names of a list, and their use.")
@CLINIC
def new(target: Path, as_csv: bool, clinic_folder: Path | None) -> None:
    """Write a commented starter prescription to FILE, to fill in."""
    questions = read_knowledge(read_clinic(clinic_folder)).screening
    if not as_csv:
        _write_new(target, _starter(questions).encode())
        click.echo(f"{target}: written; fill it in, then: docbuilder check {target}")
        return
    columns = csv_columns([rule.code for rule in questions])
    # The mark at the front tells spreadsheets that names are in UTF-8.
    _write_new(target, codecs.BOM_UTF8 + ",".join(columns).encode() + b"\r\n")
    for name, holds in columns.items():
        click.echo(f"{name:42}{holds}")
    click.echo(f"{target}: written; a row a patient, then: docbuilder batch {target} --out packs")


def _starter(questions: Sequence[ScreeningRule]) -> str:
    """Return the starter with each screening question beside its key, the clinic's own too."""
    head, shipped, tail = re.split(
        r"(?<=^screening:\n)((?:  .*\n)+)",
        data_folder("starter.yaml").read_text("utf-8"),
        flags=re.M,
    )
    keys = [line.strip(" :") for line in shipped.splitlines()]
    asked = {rule.code: rule.question.msgid for rule in questions}
    ordered = [*(key for key in keys if key in asked), *(key for key in asked if key not in keys)]
    wide = max(map(len, asked))
    return head + "".join(f"  {key + ':':{wide + 2}} # {asked[key]}\n" for key in ordered) + tail


def _write_new(target: Path, data: bytes) -> None:
    try:
        with target.open("xb") as stream:
            stream.write(data)
    except FileExistsError:
        raise call_fault(
            str(target),
            "FILE",
            "a file that is already there",
            "a new file",
            "choose another name; nothing was overwritten",
        ) from None
    except OSError as error:
        raise call_fault(
            str(target),
            "FILE",
            (error.strerror or "a fault").lower(),
            "a place where you may write",
            "choose another folder",
        ) from None
