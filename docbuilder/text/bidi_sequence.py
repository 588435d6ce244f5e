"""Bidi inside one isolating run sequence: rules W1 to W7, N0 to N2, I1 and I2.

Classes are letters: L, R, A (Arabic letter), e and n (European and Arabic number), + % ,
(separators and terminators of numbers), m (mark), B S w o (neutrals), 6 to 9 (isolate
controls). A sequence is a string of them.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from docbuilder.text.brackets import CANONICAL, CLOSING, OPENING

__all__ = ["resolve_sequence"]

_MAX_BRACKETS = 63
_AFTER_ISOLATE = re.compile("([6-9])(m+)")
_MARKS = re.compile("(.)(m+)")
_AFTER_ARABIC = re.compile("A[^LRA]+")
_EUROPEAN_SIGN = re.compile(r"(?<=e)[+,](?=e)")
_ARABIC_SIGN = re.compile("(?<=n),(?=n)")
_TERMINATORS = re.compile("%+(?=e)|(?<=e)%+")
_LOOSE_SIGNS = re.compile("[+%,]")
_AFTER_LEFT = re.compile("L[^LR]+")
_NEUTRALS = re.compile("[BSwo6-9]+")
_TOWARDS = {"L": "L", "R": "R", "e": "R", "n": "R"}
_RAISE = ({"R": 1, "e": 2, "n": 2}, {"L": 1, "e": 1, "n": 1})


def resolve_sequence(
    text: str,
    sequence: Sequence[int],
    types: str,
    classes: str,
    levels: list[int | None],
    level_before: int,
    level_after: int,
) -> None:
    """Apply W1 to W7, N0 to N2, I1 and I2 to one isolating run sequence."""
    level = levels[sequence[0]] or 0
    start = "LR"[max(level, level_before) & 1]
    end = "LR"[max(level, level_after) & 1]
    embedding = "LR"[level & 1]
    types = _resolve_weak(start + types)[1:]
    if "o" in types:
        types = _resolve_brackets(text, sequence, types, classes, start, embedding)

    def fill(found: re.Match[str]) -> str:
        left = _TOWARDS[found.string[found.start() - 1]]
        right = _TOWARDS[found.string[found.end()]]
        return (left if left == right else embedding) * len(found[0])

    types = _NEUTRALS.sub(fill, start + types + end)[1:-1]
    raised = _RAISE[level & 1]
    if not any(kind in types for kind in raised):
        return
    for index, kind in zip(sequence, types, strict=True):
        if kind in raised:
            levels[index] = level + raised[kind]


def _resolve_weak(types: str) -> str:
    """Apply W1 to W7; the first letter is the direction at the start of the sequence."""
    if "m" in types:
        types = _AFTER_ISOLATE.sub(lambda found: found[1] + "o" * len(found[2]), types)
        types = _MARKS.sub(lambda found: found[1] * len(found[0]), types)
    if "A" in types:
        types = _AFTER_ARABIC.sub(lambda found: found[0].replace("e", "n"), types)
        types = types.replace("A", "R")
    if _LOOSE_SIGNS.search(types):
        types = _EUROPEAN_SIGN.sub("e", types)
        types = _ARABIC_SIGN.sub("n", types)
        types = _TERMINATORS.sub(lambda found: "e" * len(found[0]), types)
        types = _LOOSE_SIGNS.sub("o", types)
    if "e" in types:
        types = _AFTER_LEFT.sub(lambda found: found[0].replace("e", "L"), types)
    return types


def _resolve_brackets(
    text: str, sequence: Sequence[int], types: str, classes: str, start: str, embedding: str
) -> str:
    """Apply N0: give paired brackets the direction of what they hold."""
    pairs = _bracket_pairs(text, sequence, types)
    if not pairs:
        return types
    resolved = list(types)
    for opening, closing in pairs:
        inside = {_TOWARDS.get(kind) for kind in resolved[opening + 1 : closing]} - {None}
        if embedding in inside:
            direction = embedding
        elif inside:
            before = (_TOWARDS.get(kind) for kind in reversed(resolved[:opening]))
            direction = next((kind for kind in before if kind), start)
        else:
            continue
        for bracket in (opening, closing):
            resolved[bracket] = direction
            mark = bracket + 1
            while mark < len(resolved) and classes[sequence[mark]] == "m":
                resolved[mark] = direction
                mark += 1
    return "".join(resolved)


def _bracket_pairs(text: str, sequence: Sequence[int], types: str) -> list[tuple[int, int]]:
    """Find bracket pairs in a sequence, in the order of their opening brackets (BD16)."""
    open_brackets: list[tuple[str, int]] = []
    pairs: list[tuple[int, int]] = []
    for place, (index, kind) in enumerate(zip(sequence, types, strict=True)):
        if kind != "o":
            continue
        character = text[index]
        if character in OPENING:
            if len(open_brackets) == _MAX_BRACKETS:
                return []
            closing = OPENING[character]
            open_brackets.append((CANONICAL.get(closing, closing), place))
        elif character in CLOSING:
            wanted = CANONICAL.get(character, character)
            for depth in range(len(open_brackets) - 1, -1, -1):
                if open_brackets[depth][0] == wanted:
                    pairs.append((open_brackets[depth][1], place))
                    del open_brackets[depth:]
                    break
    return sorted(pairs)
