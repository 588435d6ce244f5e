"""Make `linebreak_table.py` from the Unicode Character Database.

    python -m docbuilder.text.make_linebreak_table FOLDER > docbuilder/text/linebreak_table.py

FOLDER holds LineBreak.txt, EastAsianWidth.txt, emoji/emoji-data.txt and
extracted/DerivedGeneralCategory.txt (Debian package unicode-data: /usr/share/unicode).

Rule LB1 is applied here: AI, SG and XX become AL, CJ becomes NS, SA becomes CM or AL by
its general category. Three letters of our own keep what later rules ask for: `OPW` and
`CPW` are East Asian brackets (LB30), `IDX` is an unassigned pictograph (LB30b).
"""

from __future__ import annotations

import re
import sys
from pathlib import Path

__all__ = ["classes_of_all", "table_source"]

_SIZE = 0x110000
_IDEOGRAPHIC_BY_DEFAULT = (
    (0x3400, 0x4DBF), (0x4E00, 0x9FFF), (0xF900, 0xFAFF), (0x20000, 0x2FFFD),
    (0x30000, 0x3FFFD), (0x1F000, 0x1FAFF), (0x1FC00, 0x1FFFD),
)  # fmt: skip
_CURRENCY_BLOCK = (0x20A0, 0x20CF)
_ENTRY = re.compile(r"([0-9A-F]{4,6})(?:\.\.([0-9A-F]{4,6}))?\s*;\s*(\w+)")


def _entries(path: Path) -> list[tuple[int, int, str]]:
    lines = path.read_text(encoding="utf-8").splitlines()
    found = [_ENTRY.match(line) for line in lines]
    return [
        (int(entry[1], 16), int(entry[2] or entry[1], 16), entry[3]) for entry in found if entry
    ]


def _property(path: Path, default: str) -> list[str]:
    values = [default] * _SIZE
    for first, last, value in _entries(path):
        values[first : last + 1] = [value] * (last + 1 - first)
    return values


def classes_of_all(folder: Path) -> list[str]:
    """Return the resolved class of every code point."""
    classes = _property(folder / "LineBreak.txt", "XX")
    listed: set[int] = set()
    for first, last, _ in _entries(folder / "LineBreak.txt"):
        listed.update(range(first, last + 1))
    for first, last in _IDEOGRAPHIC_BY_DEFAULT:
        for code in set(range(first, last + 1)) - listed:
            classes[code] = "ID"
    for code in set(range(_CURRENCY_BLOCK[0], _CURRENCY_BLOCK[1] + 1)) - listed:
        classes[code] = "PR"
    widths = _property(folder / "EastAsianWidth.txt", "N")
    categories = _property(folder / "extracted" / "DerivedGeneralCategory.txt", "Cn")
    pictographs: set[int] = set()
    for first, last, value in _entries(folder / "emoji" / "emoji-data.txt"):
        if value == "Extended_Pictographic":
            pictographs.update(range(first, last + 1))
    for code, kind in enumerate(classes):
        if kind in ("AI", "SG", "XX"):
            classes[code] = "AL"
        elif kind == "CJ":
            classes[code] = "NS"
        elif kind == "SA":
            classes[code] = "CM" if categories[code] in ("Mn", "Mc") else "AL"
        elif kind in ("OP", "CP") and widths[code] in ("F", "W", "H"):
            classes[code] = kind + "W"
        elif kind == "ID" and code in pictographs and categories[code] == "Cn":
            classes[code] = "IDX"
    return classes


def table_source(folder: Path) -> str:
    """Return the source text of the table module."""
    classes = classes_of_all(folder)
    starts = [code for code in range(_SIZE) if not code or classes[code] != classes[code - 1]]
    words, line = [], ""
    for before, start in zip([0, *starts], starts, strict=False):
        word = f"{start - before:x}:{classes[start]}"
        if len(line) + len(word) > 94:
            words.append(line)
            line = ""
        line = f"{line} {word}".strip()
    words.append(line)
    body = "\n".join(words)
    return (
        f'"""Line break classes of all code points, Unicode {_version(folder)}.\n\n'
        "Made by make_linebreak_table.py from the Unicode Character Database; do not edit.\n"
        "Each word: distance from the last start in hexadecimal, and the class from there.\n"
        '"""'
        '\n\n__all__ = ["RUNS"]\n\n'
        f'RUNS = """\n{body}\n"""\n'
    )


def _version(folder: Path) -> str:
    with (folder / "LineBreak.txt").open(encoding="utf-8") as lines:
        return next(lines).removeprefix("# LineBreak-").removesuffix(".txt\n")


if __name__ == "__main__":
    sys.stdout.write(table_source(Path(sys.argv[1])))
