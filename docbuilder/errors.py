"""What can go wrong, in one place.

Every fault that a user can mend is an `Issue`: where it is, what was found,
what is allowed, and how to mend it. Faults are collected and raised together.

    DocbuilderError
    ├── InputFault   the input or the call is wrong            (exit code 2)
    └── Refused      the input is readable but must not print  (exit code 1)

Anything else that escapes is a bug of ours (exit code 3).
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import IntEnum

__all__ = ["DocbuilderError", "ExitCode", "InputFault", "Issue", "Place", "Refused"]


class ExitCode(IntEnum):
    """What the command tells the shell."""

    BUILT = 0
    REFUSED = 1
    BAD_INPUT = 2
    BROKEN = 3


@dataclass(frozen=True, slots=True, order=True)
class Place:
    """A spot in an input file; *line* counts from 1, and 0 means the whole file."""

    file: str
    line: int = 0

    def __str__(self) -> str:
        return f"{self.file}:{self.line}" if self.line else self.file


@dataclass(frozen=True, slots=True)
class Issue:
    """One fault, told so that the reader can mend it.

    >>> print(Issue(Place("rx.yaml", 7), "settings.pulse_rate_hz", "'ten'",
    ...             "a number from 1 to 150", "write digits, as in 10"))
    rx.yaml:7: settings.pulse_rate_hz: found 'ten', allowed: a number from 1 to 150
      hint: write digits, as in 10
    """

    place: Place
    field: str
    found: str
    allowed: str
    hint: str = ""

    def __str__(self) -> str:
        head = f"{self.place}: {self.field}: found {self.found}, allowed: {self.allowed}"
        return f"{head}\n  hint: {self.hint}" if self.hint else head

    def as_json(self) -> dict[str, object]:
        """Return the fault as plain data for `--json` reports."""
        return {
            "file": self.place.file,
            "line": self.place.line,
            "field": self.field,
            "found": self.found,
            "allowed": self.allowed,
            "hint": self.hint,
        }


class DocbuilderError(Exception):
    """A fault that the user can mend; carries every `Issue` found, in file order."""

    exit_code = ExitCode.REFUSED

    def __init__(self, issues: Iterable[Issue]) -> None:
        self.issues: tuple[Issue, ...] = tuple(
            sorted(issues, key=lambda issue: (issue.place, issue.field))
        )
        super().__init__("\n".join(str(issue) for issue in self.issues))


class InputFault(DocbuilderError):
    """The input or the call is wrong: nothing was planned, nothing was written."""

    exit_code = ExitCode.BAD_INPUT


class Refused(DocbuilderError):
    """The input reads well, yet printing it would not be safe or complete."""

    exit_code = ExitCode.REFUSED
