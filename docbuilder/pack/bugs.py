"""A fault of ours, told by its kind and place without any value of a patient's file."""

from __future__ import annotations

import traceback
from pathlib import Path

from docbuilder.errors import Issue, Place

__all__ = ["TRACEBACK", "bug_issue", "bug_line"]

TRACEBACK = "DOCBUILDER_TRACEBACK"
"""Environment variable that lets the command show the whole traceback."""


def bug_line(error: BaseException) -> str:
    """Tell a fault of ours by its kind and place, never by its text.

    >>> bug_line(ValueError("a patient's name"))
    'ValueError'
    """
    frames = traceback.extract_tb(error.__traceback__)
    own = [frame for frame in frames if "docbuilder" in Path(frame.filename).parts]
    where = f" at {Path(own[-1].filename).name}:{own[-1].lineno}" if own else ""
    return f"{type(error).__name__}{where}"


def bug_issue(error: Exception, place: str = "docbuilder") -> Issue:
    """Return a fault of ours as an issue without any value of the input."""
    return Issue(
        Place(place),
        "bug",
        bug_line(error),
        "a run without a fault of ours",
        f"please report this line; {TRACEBACK}=1 shows more, which may hold patient data",
    )
