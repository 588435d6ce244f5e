"""Read a batch as CSV: a row a patient, a column a field by its dotted name.

A cell holds what would stand after the colon, an empty cell leaves the field out. Cells
are text: nothing is rounded, and zeros at the front stay. Spreadsheets write dates in
their own way; one that could be read two ways is refused until the caller says which is
meant. A faulty header refuses the list, a faulty row only itself.
"""

from __future__ import annotations

import csv
import hashlib
import io
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Literal

from docbuilder.errors import InputFault, Issue, Place
from docbuilder.inputs.batch_columns import APPOINTMENT, SCREENING
from docbuilder.inputs.fields import nearest
from docbuilder.inputs.yaml_file import (
    ListNode,
    MapNode,
    Node,
    ScalarNode,
    YamlFile,
    decode,
    read_bytes,
    shown,
    shown_path,
)

__all__ = ["BatchRow", "CsvRows", "DateOrder", "read_csv"]

DateOrder = Literal["day-first", "month-first"]
MAX_CSV_BYTES = 50_000_000
MAX_ROWS = 20_000
_DATES = frozenset(
    {"prescribed_on", "patient.born", "schedule.start", "schedule.skip", "schedule.reviews"}
)
_LISTS = frozenset(
    {"schedule.skip", "schedule.reviews", "schedule.weekdays", "languages", "documents"}
    | {"schedule.taper_sessions_per_week"}
)
_TIMES = frozenset({APPOINTMENT, "schedule.time_of_day"})
_YEAR_FIRST = re.compile(r"([0-9]{4})[-./]([0-9]{1,2})[-./]([0-9]{1,2})", re.ASCII)
_YEAR_LAST = re.compile(r"([0-9]{1,2})[-./]([0-9]{1,2})[-./]([0-9]{4})", re.ASCII)
_TIME = re.compile(r"([0-9]{1,2}):([0-9]{2})(?::00)?", re.ASCII)


@dataclass(frozen=True, slots=True)
class BatchRow:
    """One prescription of the list: a file, or a row already in the shape of one."""

    label: str
    source: Path | YamlFile | None
    """None: the row itself is at fault, see *issues*."""
    appointment: str = ""
    issues: tuple[Issue, ...] = ()


@dataclass(frozen=True, slots=True)
class CsvRows:
    """The rows of one file, each made a prescription only when it is asked for."""

    name: str
    header: tuple[str, ...]
    body: tuple[tuple[int, tuple[str, ...]], ...]
    """Line and cells of each row that is not empty."""
    dates: DateOrder | None

    def __len__(self) -> int:
        return len(self.body)

    def __iter__(self) -> Iterator[BatchRow]:
        for line, cells in self.body:
            yield _row(self.name, line, self.header, cells, self.dates)


def read_csv(path: Path, columns: Mapping[str, str], dates: DateOrder | None) -> CsvRows:
    """Read the CSV file at *path*.

    Args:
        path: The file, in UTF-8, cells parted by comma, semicolon or tab.
        columns: The columns that it may have.
        dates: How 01/12/2026 is meant; None refuses such dates.

    Raises:
        InputFault: Not such a file, or unknown columns.
    """
    name = shown_path(path)
    lines = _cells(decode(read_bytes(path, MAX_CSV_BYTES), name), name)
    head = next(lines, None)
    if head is None:
        raise _fault(name, "an empty file", "a row of column names", "see `docbuilder new --csv`")
    header = _header(name, head, columns)
    body = tuple(
        (line, tuple(cells)) for line, cells in lines if any(cell.strip() for cell in cells)
    )
    if not body:
        raise _fault(name, "column names alone", "a row for each patient", "fill in the rows")
    if len(body) > MAX_ROWS:
        raise _fault(name, f"{len(body)} rows", f"at most {MAX_ROWS} rows", "split the list")
    return CsvRows(name, header, body, dates)


def _cells(content: str, name: str) -> Iterator[tuple[int, list[str]]]:
    """Yield the line where each row begins and its cells."""
    skip, first = 0, content.split("\n", 1)[0].strip()
    if re.fullmatch(r"sep=[,;\t]", first):
        skip, mark = 1, first[-1]
        content = content.partition("\n")[2]
    else:
        mark = max(",;\t", key=first.count)
    reader = csv.reader(io.StringIO(content, newline=""), delimiter=mark, strict=True)
    line = 1 + skip
    try:
        for cells in reader:
            yield line, cells
            line = reader.line_num + 1 + skip
    except csv.Error as error:
        raise InputFault([
            Issue(Place(name, line), "list", f"a CSV fault: {_printable(error)}",
                  "CSV with quotes in pairs",
                  "look at the quotes of this row and the one above")
        ]) from error  # fmt: skip


def _printable(error: Exception) -> str:
    """Return what the library says, the separator and line ends in it spelled out."""
    return str(error).encode("unicode_escape").decode("ascii")


def _header(name: str, head: tuple[int, list[str]], columns: Mapping[str, str]) -> tuple[str, ...]:
    line, cells = head
    header = tuple(cell.strip().lower() for cell in cells)
    while header and not header[-1]:
        header = header[:-1]
    if not any(column in columns for column in header):
        # Most likely a patient's row: it is not repeated.
        raise InputFault([
            Issue(Place(name, line), "list", "no column that is known", "a row of column names",
                  "see `docbuilder new --csv` for the names")
        ])  # fmt: skip
    issues = []
    for at, column in enumerate(header):
        if column not in columns:
            hint = nearest(column, columns) or "see `docbuilder new --csv` for the names"
            issues.append(
                Issue(Place(name, line), f"column {at + 1}", shown(column), "a known column", hint)
            )
        elif column in header[:at]:
            issues.append(
                Issue(Place(name, line), column, "the column a second time", "each column once",
                      "keep one of them")
            )  # fmt: skip
    if issues:
        raise InputFault(issues)
    return header


def _row(
    name: str, line: int, header: tuple[str, ...], cells: Sequence[str], dates: DateOrder | None
) -> BatchRow:
    place = Place(name, line)
    row = BatchRow(str(place), None)
    if any(cell.strip() for cell in cells[len(header) :]):
        issue = Issue(place, "row", f"{len(cells)} cells", f"at most {len(header)} cells",
                      "put text that holds the separator in quotes")  # fmt: skip
        return replace(row, issues=(issue,))
    filled = {
        column: cell.strip() for column, cell in zip(header, cells, strict=False) if cell.strip()
    }
    issues = []
    for column, cell in filled.items():
        if column in _DATES:
            days = [_iso(word, dates) for word in _split(column, cell)]
            issues += [
                Issue(place, column, _told(column, word), "year-month-day, as in 2026-12-01", fault)
                for word, (_, fault) in zip(_split(column, cell), days, strict=True)
                if fault
            ]
            filled[column] = " ".join(day for day, _ in days)
        elif column in _TIMES and (match := _TIME.fullmatch(cell)):
            filled[column] = f"{int(match[1]):02}:{match[2]}"
        elif column.startswith(SCREENING) or cell in ("TRUE", "FALSE"):
            filled[column] = cell.lower()
    appointment = filled.pop(APPOINTMENT, "")
    if appointment and not re.fullmatch(r"([01][0-9]|2[0-3]):[0-5][0-9]", appointment):
        issues.append(Issue(place, APPOINTMENT, shown(appointment), "a time, as in 09:30", ""))
        appointment = ""
    row = replace(row, appointment=appointment)  # a refused row keeps its place by time too
    if issues:
        return replace(row, issues=tuple(issues))
    canonical = "\n".join(f"{key}={filled[key]}" for key in sorted(filled))
    digest = hashlib.sha256(canonical.encode()).hexdigest()
    tree = YamlFile(_tree(filled, line), name, digest)
    return replace(row, source=tree)


def _told(column: str, word: str) -> str:
    """Quote a date for a message, but not one of the patient's own."""
    return "another form of date" if column.startswith("patient.") else shown(word)


def _split(column: str, cell: str) -> list[str]:
    return cell.split() if column in _LISTS else [cell]


def _iso(word: str, dates: DateOrder | None) -> tuple[str, str]:
    """Return the date year-month-day, and why it cannot be told if so."""
    if match := _YEAR_FIRST.fullmatch(word):
        year, month, day = match.groups()
        return f"{year}-{int(month):02}-{int(day):02}", ""
    match = _YEAR_LAST.fullmatch(word)
    if match is None:
        return word, ""  # the field's own check tells what is wrong
    if dates is None:
        return (
            word,
            "day and month can be taken for each other: add --dates day-first or month-first",
        )
    day, month = match.group(1, 2) if dates == "day-first" else match.group(2, 1)
    if int(month) > 12:
        return word, f"it is not {dates}, which --dates says; check the whole column"
    return f"{match[3]}-{int(month):02}-{int(day):02}", ""


def _tree(filled: Mapping[str, str], line: int) -> MapNode:
    """Make of dotted names what a YAML file would have given."""
    root: dict[str, object] = {}
    for column, cell in filled.items():
        *path, last = column.split(".")
        branch = root
        for part in path:
            branch = branch.setdefault(part, {})  # type: ignore[assignment]
        scalars = [_scalar(word, line) for word in _split(column, cell)]
        branch[last] = ListNode(tuple(scalars), line) if column in _LISTS else scalars[0]
    return _node(root, line)  # type: ignore[return-value]


def _scalar(word: str, line: int) -> ScalarNode:
    return ScalarNode(word, line, plain=word not in ("~", "null"))


def _node(branch: object, line: int) -> Node:
    if not isinstance(branch, dict):
        return branch  # type: ignore[return-value]
    if branch and all(key.isdigit() for key in branch):
        return ListNode(tuple(_node(branch[key], line) for key in sorted(branch, key=int)), line)
    values = {key: _node(value, line) for key, value in branch.items()}
    return MapNode(values, dict.fromkeys(values, line), line)


def _fault(name: str, found: str, allowed: str, hint: str) -> InputFault:
    return InputFault([Issue(Place(name), "list", found, allowed, hint)])
