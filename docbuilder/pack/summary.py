"""What lies beside the packs of a batch for the person at the printer: piles, covered."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path

from docbuilder import __version__
from docbuilder.errors import DocbuilderError, Issue
from docbuilder.layout.metadata import Description
from docbuilder.model.clinic import Clinic
from docbuilder.pack.cover_list import cover_list, run_title
from docbuilder.pack.identity import folder_name
from docbuilder.pack.piles import Pile, earlier_piles
from docbuilder.pack.print_run import merge_for_print
from docbuilder.pack.write import remove_file, whole_file, write_file

__all__ = ["noted", "write_piles"]


def write_piles(
    made: Iterable[Pile], out: Path, clinic: Clinic, faults: list[Issue], *, print_run: bool = True
) -> list[str]:
    """Write cover list and print run of each pile, each file whole or not at all.

    Those of an earlier run are removed first: what lies there belongs to this list. A file
    that the disk refuses is told and does not stop the others.

    Args:
        made: The piles; one without a pack has a cover list alone.
        out: The folder of the packs.
        clinic: Its language is that of the lists.
        faults: What went wrong is added here.
        print_run: Without it there are cover lists alone.

    Returns:
        The names of the files written.
    """
    written: list[str] = []
    for path in earlier_piles(out):
        with noted(faults):
            remove_file(path)
    for pile in made:
        with noted(faults):
            write_file(out / pile.cover_name, cover_list(pile, clinic, print_run=print_run))
            written.append(pile.cover_name)
        if print_run and pile.packs:
            with noted(faults):
                _write_run(pile, out, clinic)
                written.append(pile.run_name)
    return written


@contextmanager
def noted(faults: list[Issue]) -> Iterator[None]:
    """Add a fault of the block to *faults*, once, instead of raising it."""
    try:
        yield
    except DocbuilderError as fault:
        faults.extend(issue for issue in fault.issues if issue not in faults)


def _write_run(pile: Pile, out: Path, clinic: Clinic) -> None:
    title = run_title(clinic, pile)
    described = Description(title, "", clinic.language, f"docbuilder {__version__}")
    with whole_file(out / pile.run_name) as stream:
        merge_for_print(_papers(pile, out), stream, described)


def _papers(pile: Pile, out: Path) -> Iterator[Path]:
    for result in pile.results:
        for paper in result.papers:
            yield out / folder_name(result.pack) / paper.name
