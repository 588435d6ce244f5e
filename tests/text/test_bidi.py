"""Bidi against Unicode's own files (Debian package unicode-data)."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import islice

import pytest
from unicode_data import data_file

from docbuilder.text import bidi, brackets

SAMPLE_OF_CLASS = {
    "L": "a", "R": "\u05d0", "AL": "\u0627", "EN": "1", "AN": "\u0661", "ES": "+", "ET": "#",
    "CS": ",", "B": "\u2029", "S": "\t", "WS": " ", "ON": "!", "NSM": "\u0300", "BN": "\u00ad",
    "LRE": "\u202a", "RLE": "\u202b", "LRO": "\u202d", "RLO": "\u202e", "PDF": "\u202c",
    "LRI": "\u2066", "RLI": "\u2067", "FSI": "\u2068", "PDI": "\u2069",
}  # fmt: skip


def data_lines(name: str) -> Iterator[str]:
    with data_file(name).open(encoding="utf-8") as lines:
        for line in lines:
            if line := line.split("#")[0].strip():
                yield line


def levels_of(field: str) -> list[int | None]:
    return [None if item == "x" else int(item) for item in field.split()]


def check_characters(lines: list[str]) -> tuple[int, list[str]]:
    bad = []
    for line in lines:
        codes, direction, base, levels, order = line.split(";")
        text = "".join(chr(int(code, 16)) for code in codes.split())
        got = bidi.resolve(text, None if direction == "2" else int(direction))
        if (
            got.base != int(base)
            or got.levels != levels_of(levels)
            or bidi.visual_order(got.levels) != [int(item) for item in order.split()]
        ):
            bad.append(line)
    return len(lines), bad


Case = tuple[str, int, list[int | None], list[int]]


def check_classes(cases: list[Case]) -> tuple[int, list[str]]:
    checked, bad = 0, []
    for classes, bits, levels, order in cases:
        text = "".join(SAMPLE_OF_CLASS[name] for name in classes.split())
        for bit, base in ((1, None), (2, 0), (4, 1)):
            if bits & bit:
                checked += 1
                got = bidi.resolve(text, base).levels
                if got != levels or bidi.visual_order(got) != order:
                    bad.append(f"{classes} base {base}")
    return checked, bad


def class_cases() -> Iterator[Case]:
    levels: list[int | None] = []
    order: list[int] = []
    for line in data_lines("BidiTest.txt"):
        if line.startswith("@Levels:"):
            levels = levels_of(line[8:])
        elif line.startswith("@Reorder:"):
            order = [int(item) for item in line[9:].split()]
        elif not line.startswith("@"):
            classes, bits = line.split(";")
            yield classes, int(bits), levels, order


def test_every_case_of_bidi_character_test() -> None:
    checked, bad = check_characters(list(data_lines("BidiCharacterTest.txt")))
    assert checked == 91_707
    assert not bad, bad[:3]


@pytest.mark.parametrize("half", [0, 1])
def test_every_case_of_bidi_test(half: int) -> None:
    checked, bad = check_classes(list(islice(class_cases(), half, None, 2)))
    assert checked == (385_123, 385_118)[half]
    assert not bad, bad[:3]


def test_brackets_equal_the_unicode_file() -> None:
    opening = {}
    for line in data_lines("BidiBrackets.txt"):
        code, pair, kind = (field.strip() for field in line.split(";"))
        if kind == "o":
            opening[chr(int(code, 16))] = chr(int(pair, 16))
    assert opening == brackets.OPENING


@pytest.mark.parametrize(
    ("text", "needed"),
    [("10 Hz", False), ("Grüße, 5 µs", False), ("عربي", True), ("\u2067x\u2069", True)],
)
def test_needs_bidi(text: str, needed: bool) -> None:
    assert bidi.needs_bidi(text) is needed
