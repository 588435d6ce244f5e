"""Directional isolates (UAX #9), so that a number or a name stands right in any line."""

from __future__ import annotations

import re
import unicodedata

__all__ = ["FSI", "LRI", "PDI", "has_rtl", "isolate", "isolate_ltr", "without_isolates"]

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


def has_rtl(text: str) -> bool:
    """Tell whether *text* holds a right-to-left letter."""
    return any(unicodedata.bidirectional(char) in ("R", "AL") for char in text)


def without_isolates(text: str) -> str:
    """Return *text* without isolates and direction marks, for plain-text outputs and tests."""
    return _MARKS.sub("", text)
