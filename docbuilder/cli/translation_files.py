"""Files for translators and back: `docbuilder translations export` and `import`."""

from __future__ import annotations

from pathlib import Path

import click
from babel.messages.catalog import Catalog

from docbuilder.errors import InputFault, Issue, Place
from docbuilder.language.catalogue import (
    load_catalogue,
    message_key,
    message_texts,
    read_catalogue,
)
from docbuilder.language.merge import empty_catalogue, po_bytes
from docbuilder.language.review import key_digest, review_state, standing_signatures
from docbuilder.language.words import SOURCE_TAG
from docbuilder.language.xliff import units_of, xliff_bytes
from docbuilder.pack.exchange import (
    import_po,
    import_xliff,
    save_catalogue,
    working_catalogue,
)

__all__ = ["export_command", "import_command"]

_FILE = click.Path(path_type=Path, dir_okay=False)
_CLINIC = click.option(
    "--clinic",
    type=click.Path(path_type=Path, file_okay=False),
    metavar="FOLDER",
    help="Work on the clinic's own translations.",
)
_TAG = click.argument("tag", metavar="LANGUAGE")


@click.command(name="export")
@_TAG
@click.option("--out", type=_FILE, required=True, metavar="FILE", help="Ends in .po or .xlf.")
@click.option(
    "--only",
    type=click.Choice(["all", "missing", "unreviewed"]),
    default="all",
    help="Leave out what is translated, or what is reviewed.",
)
@_CLINIC
def export_command(tag: str, out: Path, only: str, clinic: Path | None) -> None:
    """Write a file for the translator: PO, or XLIFF 2.0.

    Example: docbuilder translations export pl --only missing --out pl.xlf
    """
    catalogue = _chosen_messages(tag, working_catalogue(tag, clinic), only, _reviewed(tag, clinic))
    if out.suffix == ".po":
        data = po_bytes(catalogue)
    elif out.suffix in (".xlf", ".xliff"):
        units = list(units_of(catalogue, _reviewed(tag, clinic)))
        data = xliff_bytes(units, SOURCE_TAG, tag)
    else:
        raise _ending_fault(out)
    try:
        out.write_bytes(data)
    except OSError as fault:
        found = (fault.strerror or "a fault").lower()
        raise InputFault([Issue(Place(str(out)), "--out", found, "a place to write")]) from fault
    click.echo(f"{len(catalogue)} messages: {out}")


@click.command(name="import", short_help="Take in a translated PO or XLIFF file.")
@_TAG
@click.argument("file", type=_FILE)
@_CLINIC
def import_command(tag: str, file: Path, clinic: Path | None) -> None:
    """Take in a translated PO or XLIFF file; nothing is taken if any part does not fit.

    Example: docbuilder translations import pl pl.xlf
    """
    catalogue = working_catalogue(tag, clinic)
    if not file.is_file():
        raise InputFault([Issue(Place(str(file)), "FILE", "no such file", "a PO or XLIFF file")])
    if file.suffix == ".po":
        changed = import_po(catalogue, read_catalogue(file, tag), str(file))
    elif file.suffix in (".xlf", ".xliff"):
        changed = import_xliff(catalogue, file, tag)
    else:
        raise _ending_fault(file)
    path = save_catalogue(catalogue, tag, clinic)
    click.echo(f"{changed} translations taken in: {path}")
    click.echo(f"now run: docbuilder translations check {tag}")


def _ending_fault(path: Path) -> InputFault:
    return InputFault([Issue(Place(str(path)), "FILE", path.suffix or "no ending", ".po or .xlf")])


def _reviewed(tag: str, clinic: Path | None) -> frozenset[str]:
    entries = load_catalogue(tag, clinic)
    signatures = standing_signatures(tag, clinic)
    return frozenset(
        key_digest(key) for key in entries if review_state(entries, signatures, [key]).complete
    )


def _chosen_messages(tag: str, catalogue: Catalog, only: str, reviewed: frozenset[str]) -> Catalog:
    if only == "all":
        return catalogue
    chosen = empty_catalogue(tag)
    for message in catalogue:
        if not message.id:
            continue
        done = not message.fuzzy and all(message_texts(message))
        digest = key_digest(message_key(message))
        if (only == "missing" and not done) or (only == "unreviewed" and digest not in reviewed):
            chosen[message.id] = message
    return chosen
