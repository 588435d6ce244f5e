"""Where a line may or must end, by Unicode Annex #14.

`line_breaks(text)` applies rules LB1 to LB31 of Unicode 15.0 with the number
expressions of section 8.2, example 7 (which Unicode's test file assumes too).
`breaks(text)` puts our tailoring on top:

* no break after a soft hyphen: nothing is hyphenated;
* no break beside Hangul without a space: Korean ends lines at spaces;
* no break after a hyphen in Romanian, where it ties a pronoun to its verb ("opriți-vă").

A dictionary language (Thai, Khmer, Lao, Burmese) breaks at U+200B only.

Source: Unicode Standard Annex #14 (Unicode 15.0). The table is made by
`make_linebreak_table`, so the result does not hang on Python's own Unicode version.
"""

from __future__ import annotations

from bisect import bisect_right
from itertools import accumulate
from typing import NamedTuple

from docbuilder.caching import kept
from docbuilder.text.linebreak_table import RUNS

__all__ = ["Break", "breaks", "line_breaks"]


class Break(NamedTuple):
    """A line may start at *position*; it has to if *forced* (after a line separator)."""

    position: int
    forced: bool = False


_WORDS = [word.split(":") for word in RUNS.split()]
_STARTS = list(accumulate(int(distance, 16) for distance, _ in _WORDS))
_KINDS = [kind for _, kind in _WORDS]


class _Classes(dict[str, str]):
    """Character to class, filled as characters turn up."""

    def __missing__(self, character: str) -> str:
        kind = _KINDS[bisect_right(_STARTS, ord(character)) - 1]
        self[character] = kind
        return kind


_CLASSES = _Classes()
_TYING_HYPHEN = {"ro"}
_OPENING, _CLOSING = {"OP", "OPW"}, {"CL", "CP", "CPW"}
_LETTERS, _KOREAN = {"AL", "HL"}, {"JL", "JV", "JT", "H2", "H3"}
_NEWLINES = {"BK", "CR", "LF", "NL"}
_NO_BASE = _NEWLINES | {"SP", "ZW"}
_IDEOGRAPHS = {"ID", "IDX", "EB", "EM"}
_STUCK_BEFORE = _CLOSING | {"EX", "IS", "SY"}
_TIGHT_BEFORE = {"BA", "HY", "NS", "IN"}
# In a number expression: digits so far, or digits and a closing bracket.
_DIGITS, _CLOSED = 1, 2


@kept(4096)
def breaks(text: str, language: str = "") -> tuple[Break, ...]:
    """Return the break positions inside *text*, in order, with our tailoring.

    Args:
        text: One paragraph; U+2028 and U+000A end a line.
        language: BCP 47 tag of the paragraph.
    """
    found = line_breaks(text)
    if language in _TYING_HYPHEN:
        found = tuple(place for place in found if not _ties(text, place.position))
    if text.isascii():
        return found
    return tuple(
        place
        for place in found
        if place.forced
        or not (text[place.position - 1] == "\u00ad" or _inside_korean_word(text, place.position))
    )


def _ties(text: str, position: int) -> bool:
    """Tell whether a hyphen before *position* ties two words, not the parts of a code."""
    return text[position - 1] in "-\u2010" and text[position].islower()


def _inside_korean_word(text: str, position: int) -> bool:
    """Tell whether a break would part a Korean word: no space, and Hangul on either side.

    Figures, Latin names and brackets belong to the particle that follows: "2027년", "패드 2를".
    """
    before, after = text[position - 1], text[position]
    if before in " \u200b\t":
        return False
    return _CLASSES[before] in _KOREAN or _CLASSES[after] in _KOREAN


def line_breaks(text: str) -> tuple[Break, ...]:
    """Return the break positions inside *text* by the untailored rules."""
    found: list[Break] = []
    classes = [_CLASSES[character] for character in text]
    # before: class of the last unit, marks absorbed (LB9); solid: the last that is no space.
    before = solid = older = ""
    joiner = False
    number = 0
    indicators = 0
    for position, kind in enumerate(classes):
        raw = kind
        if position:
            if before == "CR" and kind == "LF":
                before = solid = kind
                continue
            if before in _NEWLINES:
                found.append(Break(position, True))
                before = solid = older = ""
                joiner, number, indicators = False, 0, 0
            elif kind in ("CM", "ZWJ") and before not in _NO_BASE:
                joiner = kind == "ZWJ"
                continue
        if kind in ("CM", "ZWJ"):
            kind = "AL"
        if (
            before
            and not joiner
            and _may_break(older, before, solid, kind, number, indicators)
            and not (
                before in ("PO", "PR") and kind in _OPENING and _digit_follows(classes, position)
            )
        ):
            found.append(Break(position))
        number = _number_state(number, kind)
        indicators = 1 - indicators if kind == "RI" else 0
        joiner = raw == "ZWJ"
        if kind == "SP":
            before = kind
            solid = solid or "SP"
        else:
            older = solid if before == solid else ""
            before = solid = kind
    return tuple(found)


def _digit_follows(classes: list[str], position: int) -> bool:
    """LB25: a bracket belongs to the sign before it where a number opens behind it."""
    position += 1
    while position < len(classes) and classes[position] in ("CM", "ZWJ"):
        position += 1
    return position < len(classes) and classes[position] == "NU"


def _number_state(number: int, kind: str) -> int:
    if kind == "NU":
        return _DIGITS
    if number == _DIGITS:
        if kind in ("SY", "IS"):
            return _DIGITS
        if kind in _CLOSING:
            return _CLOSED
    return 0


@kept(65536)
def _may_break(
    older: str, before: str, solid: str, after: str, number: int, indicators: int
) -> bool:
    """Decide LB6 to LB31 between *before* and *after*.

    Args:
        older: Class of the unit that stands directly before *before*, or "".
        before: Class before the position, "SP" after a space.
        solid: Class of the last unit that is no space.
        after: Class behind the position.
        number: State of the number expression that ends at *before*.
        indicators: 1 if an odd number of regional indicators ends at *before*.
    """
    if after in _NEWLINES or after in ("SP", "ZW"):  # LB6, LB7
        return False
    if solid == "ZW":  # LB8
        return True
    if after == "WJ" or before in ("WJ", "GL"):  # LB11, LB12
        return False
    if after == "GL" and before not in ("SP", "BA", "HY"):  # LB12a
        return False
    if after in _STUCK_BEFORE:  # LB13, and the number expression of LB25
        return False
    if solid in _OPENING:  # LB14
        return False
    if solid == "QU" and after in _OPENING:  # LB15
        return False
    if after == "NS" and solid in _CLOSING:  # LB16
        return False
    if solid == "B2" and after == "B2":  # LB17
        return False
    if before == "SP":  # LB18
        return True
    if "QU" in (before, after):  # LB19
        return False
    if "CB" in (before, after):  # LB20
        return True
    if after in _TIGHT_BEFORE or before == "BB":  # LB21, LB22
        return False
    if older == "HL" and before in ("HY", "BA"):  # LB21a
        return False
    if before == "SY" and after == "HL":  # LB21b
        return False
    return not _joined(before, after, number, indicators)


def _joined(before: str, after: str, number: int, indicators: int) -> bool:
    """Say whether LB23 to LB30b keep two solid units together."""
    if number and (after in ("PO", "PR") or (number == _DIGITS and after == "NU")):  # LB25
        return True
    if before in ("PO", "PR"):
        return (  # LB23a, LB24, LB25, LB27
            after in _LETTERS
            or after == "NU"
            or (before == "PR" and (after in _IDEOGRAPHS or after in _KOREAN))
        )
    if before in _LETTERS:
        # LB23, LB24, LB28, LB30
        return after in _LETTERS or after in ("NU", "PO", "PR", "OP")
    if before == "NU":  # LB23, LB30
        return after in _LETTERS or after == "OP"
    if before in ("OP", "OPW", "HY"):
        return after == "NU"  # LB25
    if before in _IDEOGRAPHS:  # LB23a, LB30b
        return after == "PO" or (after == "EM" and before in ("EB", "IDX"))
    if before in _KOREAN:
        return after == "PO" or _syllable(before, after)  # LB26, LB27
    if before == "IS":
        return after in _LETTERS  # LB29
    if before == "CP":
        return after in _LETTERS or after == "NU"  # LB30
    return before == after == "RI" and indicators == 1  # LB30a


def _syllable(before: str, after: str) -> bool:
    """LB26: keep a Hangul syllable together."""
    if before == "JL":
        return after in ("JL", "JV", "H2", "H3")
    if before in ("JV", "H2"):
        return after in ("JV", "JT")
    return after == "JT"
