"""Read the list of a batch: a folder, a YAML or JSON list, or CSV with a row a patient.

A folder gives its `.yaml`, `.yml` and `.json` files in order of name. A list names files
and, if wanted, the time of each appointment:

    prescriptions:
      - file: one.yaml        # from the folder of the list
        appointment: "09:30"

CSV is told in `docbuilder.inputs.batch_csv`. A faulty list is refused as a whole; a
faulty row becomes a row with issues, so that it never stops the others.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path

from docbuilder.errors import InputFault, Issue, Place
from docbuilder.inputs.batch_columns import APPOINTMENT, csv_columns
from docbuilder.inputs.batch_csv import MAX_ROWS, BatchRow, read_csv
from docbuilder.inputs.fields import Collector
from docbuilder.inputs.spreadsheet import DateOrder
from docbuilder.inputs.values import clock_time, text
from docbuilder.inputs.yaml_file import read_yaml, shown, shown_path

__all__ = ["BatchList", "BatchRow", "read_batch_list"]

_SUFFIXES = (".yaml", ".yml", ".json")


@dataclass(frozen=True, slots=True)
class BatchList:
    """The rows in the list's order, which can be gone through again and again."""

    name: str
    rows: Iterable[BatchRow]
    count: int

    def __len__(self) -> int:
        return self.count

    def __iter__(self) -> Iterator[BatchRow]:
        return iter(self.rows)


def read_batch_list(
    path: Path, *, screening: Collection[str], dates: DateOrder | None = None
) -> BatchList:
    """Read the list at *path*: a folder, `.yaml`, `.yml`, `.json` or `.csv`.

    Args:
        path: The list.
        screening: Codes of the screening questions, for the columns of CSV.
        dates: How 01/12/2026 is meant in CSV; None refuses such dates.

    Raises:
        InputFault: The list as a whole cannot be read.
    """
    if path.is_dir():
        return _folder(path)
    if path.suffix.lower() == ".csv":
        rows = read_csv(path, csv_columns(screening), dates)
        return BatchList(rows.name, rows, len(rows))
    if path.suffix.lower() in _SUFFIXES or not path.exists():
        return _listed(path)
    raise _fault(path, shown(path.suffix), "a folder, .yaml, .json or .csv",
                 "save a spreadsheet as CSV in UTF-8")  # fmt: skip


def _folder(path: Path) -> BatchList:
    try:
        files = sorted(
            file
            for file in path.iterdir()
            if file.suffix.lower() in _SUFFIXES and not file.name.startswith(".")
        )
    except OSError as error:
        found = (error.strerror or "a fault").lower()
        raise _fault(path, found, "a folder that may be read", "") from error
    if not files:
        raise _fault(path, "no prescriptions", ".yaml or .json files",
                     "name another folder")  # fmt: skip
    return _fixed(path, [BatchRow(shown_path(file), file) for file in files])


def _listed(path: Path) -> BatchList:
    collector = Collector(read_yaml(path))
    rows = []
    for section in collector.root.sections("prescriptions", 1, MAX_ROWS):
        name = section.required("file", text(400))
        appointment = section.optional(APPOINTMENT, clock_time(), "")
        if name is not None:
            file = path.parent / name
            rows.append(BatchRow(shown_path(file), file, appointment or ""))
    collector.finish()
    return _fixed(path, rows)


def _fixed(path: Path, rows: list[BatchRow]) -> BatchList:
    return BatchList(shown_path(path), tuple(rows), len(rows))


def _fault(path: Path, found: str, allowed: str, hint: str) -> InputFault:
    return InputFault([Issue(Place(shown_path(path)), "list", found, allowed, hint)])
