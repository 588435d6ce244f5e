"""Vertical metrics that all languages share, and how much leading each script needs.

Every font stands on the same baseline with the ascent and descent of the Latin font, so
that cells and columns in different languages align.
"""

from __future__ import annotations

__all__ = ["ASCENT", "DESCENT", "least_leading"]

ASCENT, DESCENT = 1069, 293
"""Of Noto Sans (hhea), in thousandths of an em."""

CLEARANCE = 30
"""Least distance between the inks of two lines."""

_LEAST = {
    "ar": 1.5, "fa": 1.5, "ur": 1.6, "hi": 1.45, "mr": 1.45, "ne": 1.45, "bn": 1.4, "pa": 1.4,
    "th": 1.4, "vi": 1.4, "km": 1.6, "my": 1.6, "zh": 1.5, "ja": 1.5, "ko": 1.5,
}  # fmt: skip
# Marks over one line stay clear of the line above (measured in tests/text/test_metrics.py);
# the dense squares of Chinese, Japanese and Korean: common practice, no source.


def least_leading(language: str) -> float:
    """Return the least distance of baselines for a language, in font sizes."""
    return _LEAST.get(language.lower().split("-")[0], 1.2)
