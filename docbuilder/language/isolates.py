"""Directional isolates (UAX #9), so that a number or a name stands right in any line."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable

__all__ = [
    "FSI", "LRI", "PDI", "has_rtl", "isolate", "isolate_amounts", "isolate_ltr", "without_isolates",
]  # fmt: skip

LRI, FSI, PDI = "\u2066", "\u2068", "\u2069"
_MARKS = re.compile("[\u2066-\u2069\u200e\u200f\u061c]")


def isolate(text: str) -> str:
    """Wrap *text* so that it finds its own direction and does not disturb its line.

    >>> isolate("Ada") == "\u2068Ada\u2069"
    True
    """
    return f"{FSI}{text}{PDI}" if text else ""


def isolate_ltr(text: str) -> str:
    """Wrap *text* as left-to-right whatever it holds: quantities, phone numbers, codes.

    >>> isolate_ltr("+1 555 0100") == "\u2066+1 555 0100\u2069"
    True
    """
    return f"{LRI}{text}{PDI}" if text else ""


def isolate_amounts(text: str, units: Iterable[str]) -> str:
    """Wrap each number that a unit symbol follows, where a sentence has them typed in.

    Without it "10 cm" stands as "cm 10" in a right-to-left line, by the bidi rules themselves.

    >>> isolate_amounts("مسطرة: 10 cm", ["cm"]) == "مسطرة: \u206610 cm\u2069"
    True
    """
    longest_first = sorted(map(re.escape, units), key=len, reverse=True)
    amount = re.compile(rf"(?<![\w\u2066])\d[\d.,]*[ \u00a0](?:{'|'.join(longest_first)})(?![\w/])")
    return amount.sub(lambda found: isolate_ltr(found[0]), text)


def has_rtl(text: str) -> bool:
    """Tell whether *text* holds a right-to-left letter."""
    return any(unicodedata.bidirectional(char) in ("R", "AL") for char in text)


def without_isolates(text: str) -> str:
    """Return *text* without isolates and direction marks, for plain-text outputs and tests."""
    return _MARKS.sub("", text)
