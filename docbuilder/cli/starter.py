"""`docbuilder new`: a commented starter to fill in."""

from __future__ import annotations

from pathlib import Path

import click

from docbuilder.cli.options import Command, call_fault
from docbuilder.paths import data_folder

__all__ = ["new"]


@click.command(cls=Command, epilog="Example: docbuilder new rx.yaml")
@click.argument("target", metavar="FILE", type=click.Path(path_type=Path))
def new(target: Path) -> None:
    """Write a commented starter prescription to FILE, to fill in."""
    try:
        with target.open("xb") as stream:
            stream.write(data_folder("starter.yaml").read_bytes())
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
    click.echo(f"{target}: written; fill it in, then: docbuilder check {target}")
