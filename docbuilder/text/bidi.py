"""Bidirectional text: embedding levels and visual order by Unicode Annex #9.

`resolve` gives each character of one paragraph its embedding level (rules P2 to I2
and L1), `visual_order` reverses by levels (rule L2). Characters that rule X9 removes
(embedding and override controls, boundary neutrals) get the level None.

Bidi classes are handled as one letter a character, so that most rules are regular
expressions over a short string and long paragraphs stay cheap.

Source: Unicode Standard Annex #9 (Unicode 15.0). The tests run the whole
of BidiTest.txt and BidiCharacterTest.txt.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Sequence
from typing import NamedTuple

from docbuilder.text.bidi_sequence import resolve_sequence

__all__ = ["Levels", "needs_bidi", "resolve", "visual_order"]

_LETTER = {
    "L": "L", "R": "R", "AL": "A", "EN": "e", "AN": "n", "ES": "+", "ET": "%", "CS": ",",
    "NSM": "m", "B": "B", "S": "S", "WS": "w", "ON": "o", "BN": "b",
    "LRE": "1", "RLE": "2", "LRO": "3", "RLO": "4", "PDF": "5",
    "LRI": "6", "RLI": "7", "FSI": "8", "PDI": "9",
}  # fmt: skip
_MAX_DEPTH = 125


class _Classes(dict[int, str]):
    """Code point to class letter, filled as characters turn up."""

    def __missing__(self, code: int) -> str:
        letter = _LETTER[unicodedata.bidirectional(chr(code)) or "L"]
        self[code] = letter
        return letter


_CLASSES = _Classes()
_EXPLICIT = re.compile("[1-9Bb]")
_CONTROL = re.compile("[1-9]")
_REMOVED = re.compile("[1-5b]")
_RIGHT = re.compile("[RAn247]")
_RESET = re.compile("[w6-9b1-5]*(?:[BS]|$)")
_STRONG = re.compile("[LRA6-9]")


class Levels(NamedTuple):
    """Embedding levels of a paragraph; None for characters that rule X9 removes."""

    base: int
    levels: list[int | None]


def needs_bidi(text: str) -> bool:
    """Say whether *text* holds anything that can make a level other than 0 in an LTR page."""
    return not text.isascii() and _RIGHT.search(text.translate(_CLASSES)) is not None


def resolve(text: str, base: int | None = None) -> Levels:
    """Resolve the levels of one paragraph.

    Args:
        text: The paragraph, in logical order, with its controls.
        base: The paragraph level, 0 or 1; None finds it from the text (P2, P3).
    """
    classes = text.translate(_CLASSES)
    matches = _matching_pdis(classes)
    if base is None:
        base = _first_strong(classes, 0, len(classes), matches) or 0
    if _EXPLICIT.search(classes) is None:
        levels: list[int | None] = [base] * len(classes)
        if classes:
            resolve_sequence(text, range(len(classes)), classes, classes, levels, base, base)
    else:
        explicit, types = _explicit_levels(classes, base, matches)
        levels = list(explicit)
        _resolve_runs(text, classes, types, explicit, levels, matches, base)
        for found in _REMOVED.finditer(classes):
            levels[found.start()] = None
    _reset_whitespace(classes, levels, base)
    return Levels(base, levels)


def visual_order(levels: Sequence[int | None]) -> list[int]:
    """Return the indexes of *levels* in visual order, left to right (rule L2)."""
    order = [index for index, level in enumerate(levels) if level is not None]
    present = {level for level in levels if level is not None}
    odd = [level for level in present if level & 1]
    if not odd:
        return order
    if present == {1}:
        return order[::-1]
    for threshold in range(max(present), min(odd) - 1, -1):
        start = 0
        while start < len(order):
            end = start
            while end < len(order) and (levels[order[end]] or 0) >= threshold:
                end += 1
            if end > start + 1:
                order[start:end] = order[start:end][::-1]
            start = end + 1
    return order


def _matching_pdis(classes: str) -> dict[int, int]:
    """Map each isolate initiator to its PDI (BD9)."""
    matches: dict[int, int] = {}
    open_isolates: list[int] = []
    for found in _CONTROL.finditer(classes):
        if found[0] in "678":
            open_isolates.append(found.start())
        elif found[0] == "9" and open_isolates:
            matches[open_isolates.pop()] = found.start()
    return matches


def _first_strong(classes: str, start: int, end: int, matches: dict[int, int]) -> int | None:
    """Return the level that the first strong character asks for (P2, P3)."""
    while found := _STRONG.search(classes, start, end):
        kind, start = found[0], found.end()
        if kind == "L":
            return 0
        if kind in "RA":
            return 1
        if kind != "9":
            start = matches.get(found.start(), end)
    return None


def _explicit_levels(
    classes: str, base: int, matches: dict[int, int]
) -> tuple[list[int], list[str]]:
    """Apply X1 to X8: the levels that the controls set, and classes after overrides."""
    levels, types = [base] * len(classes), list(classes)
    stack: list[tuple[int, str, bool]] = [(base, "", False)]
    overflow_isolates = overflow_embeddings = valid_isolates = 0
    for index, kind in enumerate(classes):
        level, override, isolate = stack[-1]
        if kind in "1234":
            levels[index] = level
            raised = _next_level(level, right=kind in "24")
            if raised <= _MAX_DEPTH and not overflow_isolates and not overflow_embeddings:
                stack.append((raised, {"3": "L", "4": "R"}.get(kind, ""), False))
            elif not overflow_isolates:
                overflow_embeddings += 1
        elif kind in "678":
            levels[index], types[index] = level, override or kind
            right = kind == "7"
            if kind == "8":
                end = matches.get(index, len(classes))
                right = _first_strong(classes, index + 1, end, matches) == 1
            raised = _next_level(level, right=right)
            if raised <= _MAX_DEPTH and not overflow_isolates and not overflow_embeddings:
                valid_isolates += 1
                stack.append((raised, "", True))
            else:
                overflow_isolates += 1
        elif kind == "9":
            if overflow_isolates:
                overflow_isolates -= 1
            elif valid_isolates:
                overflow_embeddings = 0
                while not stack.pop()[2]:
                    pass
                valid_isolates -= 1
            levels[index], types[index] = stack[-1][0], stack[-1][1] or kind
        elif kind == "5":
            levels[index] = level
            if overflow_isolates:
                continue
            if overflow_embeddings:
                overflow_embeddings -= 1
            elif not isolate and len(stack) > 1:
                stack.pop()
        elif kind != "B":
            levels[index] = level
            if override and kind != "b":
                types[index] = override
    return levels, types


def _next_level(level: int, *, right: bool) -> int:
    return (level + 1) | 1 if right else (level + 2) & ~1


def _resolve_runs(
    text: str,
    classes: str,
    types: list[str],
    explicit: list[int],
    levels: list[int | None],
    matches: dict[int, int],
    base: int,
) -> None:
    """Form isolating run sequences (X10) and resolve each one."""
    kept = [index for index, kind in enumerate(classes) if kind not in "12345b"]
    runs: list[list[int]] = []
    for index in kept:
        last = runs[-1][-1] if runs else -1
        if (
            last >= 0
            and explicit[last] == explicit[index]
            and classes[index] != "B"
            and classes[last] != "B"
        ):
            runs[-1].append(index)
        else:
            runs.append([index])
    starts = {run[0]: run for run in runs}
    matched_pdis = set(matches.values())
    place = {index: number for number, index in enumerate(kept)}
    for run in runs:
        if run[0] in matched_pdis:
            continue
        sequence = list(run)
        while sequence[-1] in matches and matches[sequence[-1]] in starts:
            sequence += starts[matches[sequence[-1]]]
        before = place[sequence[0]] - 1
        after = place[sequence[-1]] + 1
        level_before = explicit[kept[before]] if before >= 0 else base
        open_ended = classes[sequence[-1]] in "678" and sequence[-1] not in matches
        level_after = base if open_ended or after == len(kept) else explicit[kept[after]]
        sequence_types = "".join([types[index] for index in sequence])
        resolve_sequence(text, sequence, sequence_types, classes, levels, level_before, level_after)


def _reset_whitespace(classes: str, levels: list[int | None], base: int) -> None:
    """Put separators and trailing white space at the paragraph level (L1)."""
    for found in _RESET.finditer(classes):
        for index in range(found.start(), found.end()):
            if levels[index] is not None:
                levels[index] = base
