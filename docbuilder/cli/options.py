"""Options that several commands share, and how every command ends.

A fault of the user's ends with its own exit code and, with `--json`, as one object.
A fault of ours is told in one line without any value: an exception's text may hold
what a patient's file says.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any, TypeVar

import click

from docbuilder.errors import DocbuilderError, ExitCode, InputFault, Issue, Place
from docbuilder.pack.bugs import TRACEBACK, bug_issue

__all__ = [
    "CLINIC",
    "FILES",
    "JSON",
    "Command",
    "Group",
    "call_fault",
    "out_option",
    "warn_of_invented_clinic",
]

Decorated = TypeVar("Decorated", bound=Callable[..., Any])

CLINIC = click.option(
    "--clinic",
    "clinic_folder",
    type=click.Path(path_type=Path),
    metavar="FOLDER",
    envvar="DOCBUILDER_CLINIC",
    help="Your clinic's folder; without it the invented demo clinic stands on the paper.",
)
JSON = click.option("--json", "as_json", is_flag=True, help="Report as one JSON object.")
FILES = click.argument(
    "sources", nargs=-1, required=True, metavar="FILE...", type=click.Path(path_type=Path)
)


def out_option(text: str, default: str | None = None) -> Callable[[Decorated], Decorated]:
    """Return the option --out with *text* as its help; it must be given if no *default* is."""
    more: dict[str, Any] = {"required": True}
    if default is not None:
        more = {"default": default, "show_default": True}
    return click.option("--out", type=click.Path(path_type=Path), metavar="DIR", help=text, **more)


def warn_of_invented_clinic(clinic_folder: Path | None) -> None:
    """Say on standard error, if no clinic was named, whose telephone stands on the papers."""
    if clinic_folder is None:
        click.echo(
            "CAUTION: no --clinic was given, so an invented clinic and its telephone number"
            " stand on these papers; give them to no patient",
            err=True,
        )


def call_fault(file: str, name: str, found: str, allowed: str, hint: str) -> InputFault:
    """Return one fault of the call, ready to raise."""
    return InputFault([Issue(Place(file), name, found, allowed, hint)])


class Command(click.Command):
    """A command that tells faults in our form, with `--json` as one object."""

    def invoke(self, ctx: click.Context) -> Any:
        """Run the command; any fault ends it with its exit code."""
        return _guarded(super().invoke, ctx, as_json=bool(ctx.params.get("as_json")))


class Group(click.Group):
    """A group of such commands."""

    command_class = Command

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Return the commands in the order of the work, as they were added."""
        return list(self.commands)

    def invoke(self, ctx: click.Context) -> Any:
        """Run the command named; any fault ends it with its exit code."""
        return _guarded(super().invoke, ctx, as_json=False)


def _guarded(run: Any, ctx: click.Context, *, as_json: bool) -> Any:
    try:
        return run(ctx)
    except (click.exceptions.Exit, click.ClickException, click.Abort, BrokenPipeError):
        raise
    except DocbuilderError as error:
        code, issues = error.exit_code, error.issues
    except OSError as error:
        code, issues = ExitCode.BAD_INPUT, (_disk(error),)
    except Exception as error:
        if os.environ.get(TRACEBACK):
            raise
        code, issues = ExitCode.BROKEN, (bug_issue(error),)
    _tell(code, issues, as_json=as_json)
    raise SystemExit(int(code))


def _tell(code: ExitCode, issues: Sequence[Issue], *, as_json: bool) -> None:
    # Loaded only now: with it comes much that a command loads by itself, in one go.
    from docbuilder.cli.report import SCHEMA, json_text, print_issues

    if as_json:
        body = {
            "schema": SCHEMA,
            "exit_code": int(code),
            "issues": [item.as_json() for item in issues],
        }
        click.echo(json_text(body))
    else:
        print_issues(issues)


def _disk(error: OSError) -> Issue:
    from docbuilder.inputs.yaml_file import shown_path

    name = shown_path(Path(os.fsdecode(error.filename))) if error.filename else "disk"
    found = (error.strerror or "a fault of the disk").lower()
    return Issue(Place(name), "file", found, "a place that can be read or written",
                 "check the path, its permissions and the disk")  # fmt: skip
