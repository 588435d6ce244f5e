"""What the command says: plain lines for people, one JSON object for programs.

Reports go to standard output, faults to standard error. With `--json` standard output
holds one object and nothing else. No patient name is ever printed.
"""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from pathlib import Path

import click

from docbuilder.cli.since import Changes
from docbuilder.errors import ExitCode, Issue
from docbuilder.language.words import SOURCE_TAG, load_words
from docbuilder.model.plan import Plan
from docbuilder.pack.write import write_file

__all__ = ["SCHEMA", "Outcome", "Report", "flags_of", "json_text", "print_issues", "refusal"]

SCHEMA = 1
_ALIKE = 5
"""So many faults of one kind in one place are told; 700 missing translations hide the rest."""
_MARKS = {"stop": "STOP", "ask": "ASK", "caution": "CAUTION", "note": "note", "clear": "clear"}


@dataclass(frozen=True, slots=True)
class Outcome:
    """How one prescription fared."""

    source: str
    status: str
    """Either built, fine (checked only) or refused."""
    exit_code: ExitCode = ExitCode.BUILT
    issues: tuple[Issue, ...] = ()
    folder: Path | None = None
    pack: str = ""
    flags: tuple[tuple[str, str, str], ...] = ()
    """(severity, code, sentence) of what the clinician must look at."""
    files: tuple[tuple[str, int], ...] = ()
    """(file name, pages); 0 pages for side files."""
    changes: Changes | None = None
    """What changed since the plan before, if that was asked."""

    def as_json(self) -> dict[str, object]:
        """Return the outcome as plain data."""
        return {
            "source": self.source,
            "status": self.status,
            "exit_code": int(self.exit_code),
            "issues": [issue.as_json() for issue in self.issues],
            "pack": self.pack,
            "folder": str(self.folder) if self.folder else None,
            "flags": [
                {"severity": severity, "code": code, "text": text}
                for severity, code, text in self.flags
            ],
            "files": [{"name": name, "pages": pages} for name, pages in self.files],
            **({"since": self.changes.as_json()} if self.changes else {}),
        }


def refusal(source: str, code: ExitCode, issues: tuple[Issue, ...]) -> Outcome:
    """Return the outcome for a prescription that was not built."""
    return Outcome(source, "refused", code, issues)


def flags_of(plan: Plan) -> tuple[tuple[str, str, str], ...]:
    """Return what the plan flags, in English, without any patient's words."""
    words = load_words(SOURCE_TAG, plan.clinic.territory, plan.clinic.folder)
    return tuple(
        (item.severity, item.code, words.text(item.message))
        for item in plan.findings
        if item.severity != "clear"
    )


@dataclass
class Report:
    """Collects outcomes, prints them, and knows the exit code."""

    as_json: bool
    outcomes: list[Outcome] = field(default_factory=list)

    def add(self, outcome: Outcome) -> None:
        """Note one outcome and, for people, print it."""
        self.outcomes.append(outcome)
        if not self.as_json:
            _print(outcome)

    @property
    def exit_code(self) -> ExitCode:
        """The worst outcome: bad input before refusal before built."""
        return max((outcome.exit_code for outcome in self.outcomes), default=ExitCode.BUILT)

    def write(self, path: Path, base: Path) -> None:
        """Write the report to *path*, with files and folders as seen from *base*.

        Raises:
            InputFault: The disk refuses.
        """
        outcomes = [
            replace(
                outcome,
                source=Path(outcome.source).name,
                folder=outcome.folder and outcome.folder.relative_to(base),
                issues=tuple(
                    replace(issue, place=replace(issue.place, file=Path(issue.place.file).name))
                    for issue in outcome.issues
                ),
            )
            for outcome in self.outcomes
        ]
        write_file(path, (Report(True, outcomes)._text(self.exit_code) + "\n").encode())

    def _text(self, code: ExitCode) -> str:
        body = {
            "schema": SCHEMA,
            "exit_code": int(code),
            "packs": [outcome.as_json() for outcome in self.outcomes],
        }
        return json_text(body)

    def finish(self, exit_code: ExitCode | None = None) -> None:
        """Print the closing object or line and leave with *exit_code*, or the worst one."""
        code = self.exit_code if exit_code is None else exit_code
        if self.as_json:
            click.echo(self._text(code))
        elif len(self.outcomes) > 1:
            refused = sum(outcome.status == "refused" for outcome in self.outcomes)
            click.echo(f"{len(self.outcomes) - refused} done, {refused} refused")
        raise SystemExit(int(code))


def json_text(body: object) -> str:
    """Return what `--json` prints, readable by people too."""
    return json.dumps(body, ensure_ascii=False, indent=2)


def print_issues(issues: Iterable[Issue]) -> None:
    """Print faults to standard error in the order of the file.

    Of many that are alike only the first are told, and how many more there are.
    """
    alike: Counter[tuple[str, str]] = Counter()
    for issue in issues:
        kind = (issue.place.file, issue.allowed)
        alike[kind] += 1
        if alike[kind] <= _ALIKE:
            click.echo(str(issue), err=True)
    for (file, allowed), count in alike.items():
        if (more := count - _ALIKE) > 0:
            click.echo(
                f"{file}: {more} more where {allowed} is allowed; --json tells all", err=True
            )


def _print(outcome: Outcome) -> None:
    if outcome.status == "refused":
        click.echo(f"{outcome.source}: refused, nothing written", err=True)
        print_issues(outcome.issues)
        return
    where = f" -> {outcome.folder}" if outcome.folder else ""
    pack = f" pack {outcome.pack}" if outcome.pack else ""
    click.echo(f"{outcome.source}: {outcome.status}{pack}{where}")
    for name, pages in outcome.files:
        click.echo(f"  {name}" + (f"  ({_counted(pages)})" if pages else ""))
    for severity, code, text in outcome.flags:
        click.echo(f"  {_MARKS[severity]} {code}: {text}")
    for line in outcome.changes.lines() if outcome.changes else ():
        click.echo(f"  since: {line}")


def _counted(pages: int) -> str:
    return "1 page" if pages == 1 else f"{pages} pages"
