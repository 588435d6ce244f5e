"""`docbuilder drawings`: where the pads go, as SVG files."""

from __future__ import annotations

from pathlib import Path

import click

from docbuilder.cli.options import CLINIC, Command, call_fault, out_option
from docbuilder.inputs.clinic import demo_clinic_folder
from docbuilder.language.registry import find_language
from docbuilder.language.words import SOURCE_TAG
from docbuilder.pack.desk import Desk
from docbuilder.pack.drawings import all_views, drawing_name, placement_svg
from docbuilder.pack.write import write_file

__all__ = ["drawings"]


@click.command(
    cls=Command,
    short_help="Write the placement drawings as SVG.",
    epilog="""\b
Examples:
  docbuilder drawings --out drawings                 every site and side, middle height
  docbuilder drawings rx.yaml --out drawings         this patient's, to this patient's scale
  docbuilder drawings --out drawings --language es""",
)
@click.argument("source", metavar="[FILE]", required=False, type=click.Path(path_type=Path))
@out_option("Where the SVG files go.")
@click.option(
    "--language",
    "tag",
    metavar="TAG",
    help="Language of the labels; else the patient's, or English without FILE.",
)
@click.option("--replace", is_flag=True, help="Write over files that are there.")
@CLINIC
def drawings(
    source: Path | None, out: Path, tag: str | None, replace: bool, clinic_folder: Path | None
) -> None:
    """Write placement drawings as SVG, labels in words; nothing about a patient."""
    if source is not None:
        plans = [Desk(clinic_folder).plan(source)]
        language = tag or plans[0].prescription.patient.language
    else:
        # Any grown person's plan will do: site, side and height are put in its place.
        example = demo_clinic_folder() / "prescriptions" / "urgency-tibial-en.yaml"
        plans = list(all_views(Desk(demo_clinic_folder()).plan(example)))
        language = tag or SOURCE_TAG
    language = find_language(language).tag
    files = {out / drawing_name(plan, language): placement_svg(plan, language) for plan in plans}
    taken = next((path for path in files if path.exists()), None)
    if taken is not None and not replace:
        raise call_fault(str(taken), "--out", "a file that is already there", "a new file",
                         "give another --out, or --replace")  # fmt: skip
    for path, data in files.items():
        write_file(path, data)
        click.echo(f"{path}: written")
