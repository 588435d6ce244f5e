"""Where the Unicode Character Database is: its files are the measure, so none is skipped.

Debian 12's package unicode-data brings version 15.0; UNICODE_DATA may name a folder with
the files of https://www.unicode.org/Public/15.0.0/ucd/ elsewhere.
"""

from __future__ import annotations

import os
from pathlib import Path

UNICODE = Path(os.environ.get("UNICODE_DATA", "/usr/share/unicode"))
VERSION = "15.0.0"


def data_file(name: str) -> Path:
    """Return one file of the database, whose first line names the version."""
    path = UNICODE / name
    assert path.is_file(), f"install unicode-data {VERSION} or set UNICODE_DATA: no {path}"
    with path.open(encoding="utf-8") as lines:
        first = next(lines)
    assert VERSION in first, f"the tests need Unicode {VERSION}, {path} starts {first!r}"
    return path
