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


_UNIT_HEAD = """\
# The profile of one stimulator. The values are those of an invented unit: put in your
# unit's own, each from its manual, and say in `source` which manual.
"""


@click.command(
    cls=Command,
    short_help="Write a commented prescription to fill in.",
    epilog="""\b
Examples:
  docbuilder new rx.yaml
  docbuilder new --csv tomorrow.csv        a list for `docbuilder batch`
  docbuilder new --unit our-clinic/units/model-b.yaml""",
)
@click.argument("target", metavar="FILE", type=click.Path(path_type=Path))
@click.option("--csv", "as_csv", is_flag=True, help="The column names of a list, and their use.")
@click.option("--unit", "as_unit", is_flag=True, help="The profile of a stimulator, to change.")
@CLINIC
def new(target: Path, as_csv: bool, as_unit: bool, clinic_folder: Path | None) -> None:
    """Write a commented starter prescription to FILE, to fill in."""
    if as_csv and as_unit:
        raise call_fault("command line", "--unit", "--csv beside it", "one of the two",
                         "leave one out")  # fmt: skip
    if as_unit:
        _write_new(target, _unit_starter(target.stem).encode())
        click.echo(f"{target}: written with the values of an invented unit; put in your own")
        return
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


def _unit_starter(unit_id: str) -> str:
    """Return the invented unit's profile under another id, its name and source to be written."""
    text = data_folder("demo/units/demo-duo.yaml").read_text("utf-8")
    body = text.partition("\n")[2]
    for key, value in (("id", unit_id), ("name", ""), ("source", "")):
        body = re.sub(rf"(?m)^{key}:.*$", f"{key}: {value}".rstrip(), body, count=1)
    return f"{_UNIT_HEAD}{body}"


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
