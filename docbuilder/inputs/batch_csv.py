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

from docbuilder.errors import InputFault, Issue, Place
from docbuilder.inputs.batch_columns import APPOINTMENT, SCREENING
from docbuilder.inputs.fields import nearest
from docbuilder.inputs.spreadsheet import (
    DECLARE,
    DateOrder,
    has_year_last,
    iso_date,
    plain_time,
    spoilt,
)
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

__all__ = ["BatchRow", "CsvRows", "read_csv"]

MAX_CSV_BYTES = 50_000_000
MAX_ROWS = 20_000
_DATES = frozenset(
    {"prescribed_on", "patient.born", "schedule.start", "schedule.skip", "schedule.reviews"}
)
_WEEKDAYS = "schedule.weekdays"
_LISTS = frozenset(
    {"schedule.skip", "schedule.reviews", _WEEKDAYS, "languages", "documents"}
    | {"schedule.taper_sessions_per_week"}
)
_TIMES = frozenset({APPOINTMENT, "schedule.time_of_day"})
_CLOCK = re.compile(r"([01][0-9]|2[0-3]):[0-5][0-9]", re.ASCII)


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
    lines = _cells(_text(path, name), name)
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
    if dates is None:
        _refuse_undeclared(name, header, body)
    return CsvRows(name, header, body, dates)


def _text(path: Path, name: str) -> str:
    """Return the file's text; what else than UTF-8 it holds, a spreadsheet can mend.

    Raises:
        InputFault: No such file, or not UTF-8.
    """
    data = read_bytes(path, MAX_CSV_BYTES)
    try:
        return decode(data, name)
    except InputFault as fault:
        (issue,) = fault.issues
        if issue.allowed != "UTF-8 text":
            raise
        hint = "in the spreadsheet, save it again with the file type CSV UTF-8"
        raise InputFault([replace(issue, hint=hint)]) from None


def _refuse_undeclared(
    name: str, header: tuple[str, ...], body: Sequence[tuple[int, tuple[str, ...]]]
) -> None:
    """Tell once what is the same in each of many rows: how the spreadsheet writes dates.

    Raises:
        InputFault: A column has no date but such as need `--dates`.
    """
    issues = []
    for at, column in enumerate(header):
        if column in _DATES:
            cells = [cells[at].strip() for _, cells in body if len(cells) > at]
            words = [word for cell in cells if cell for word in _split(column, cell)]
            if len(words) > 1 and all(map(has_year_last, words)):
                example = "" if column.startswith("patient.") else f", as in {words[0]}"
                issues.append(
                    Issue(Place(name), column, f"day and month before the year{example}",
                          "dates that cannot be read two ways", DECLARE)
                )  # fmt: skip
    if issues:
        raise InputFault(issues)


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
    issues = list(_spoilt(place, filled))
    for column, cell in filled.items():
        if column in _DATES:
            words = _split(column, cell)
            days = [iso_date(word, dates) for word in words]
            issues += [
                Issue(place, column, _told(column, word), "year-month-day, as in 2026-12-01", fault)
                for word, (_, fault) in zip(words, days, strict=True)
                if fault
            ]
            filled[column] = " ".join(day for day, _ in days)
        elif column in _TIMES:
            filled[column] = plain_time(cell)
        elif column.startswith(SCREENING) or column == _WEEKDAYS or cell in ("TRUE", "FALSE"):
            filled[column] = cell.lower()
    appointment = filled.pop(APPOINTMENT, "")
    if appointment and not _CLOCK.fullmatch(appointment):
        issues.append(
            Issue(place, APPOINTMENT, shown(appointment), "a time, as in 09:30",
                  "write hours and minutes")
        )  # fmt: skip
        appointment = ""
    row = replace(row, appointment=appointment)  # a refused row keeps its place by time too
    if issues:
        return replace(row, issues=tuple(issues))
    canonical = "\n".join(f"{key}={filled[key]}" for key in sorted(filled))
    digest = hashlib.sha256(canonical.encode()).hexdigest()
    tree = YamlFile(_tree(filled, line), name, digest)
    return replace(row, source=tree)


def _spoilt(place: Place, filled: Mapping[str, str]) -> Iterator[Issue]:
    for column, cell in filled.items():
        if lost := spoilt(cell):
            yield Issue(place, column, lost, "what was typed",
                        "set the cell's format to text and type it again")  # fmt: skip


def _told(column: str, word: str) -> str:
    """Quote a date for a message, but not one of the patient's own."""
    return "another form of date" if column.startswith("patient.") else shown(word)


def _split(column: str, cell: str) -> list[str]:
    """Return the entries of a cell; commas between them are as good as spaces."""
    return re.split(r"[\s,;]+", cell.strip(" ,;")) if column in _LISTS else [cell]


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
