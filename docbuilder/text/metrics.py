"""Vertical metrics that all languages share, and how much leading each script needs.

Every font stands on the same baseline with the ascent and descent of the Latin font, so
that cells and columns in different languages align.
"""

from __future__ import annotations

__all__ = ["ASCENT", "DESCENT", "least_leading"]

ASCENT, DESCENT = 1069, 293
"""Of Noto Sans (hhea), in thousandths of an em."""

_LEAST = {
    "ar": 1.5, "fa": 1.5, "ur": 1.6, "hi": 1.5, "mr": 1.5, "ne": 1.5, "bn": 1.5, "pa": 1.5,
    "th": 1.55, "vi": 1.45, "km": 1.6, "my": 1.6, "zh": 1.5, "ko": 1.5, "ja": 1.5,
}  # fmt: skip


def least_leading(language: str) -> float:
    """Return the least distance of baselines for a language, in font sizes."""
    return _LEAST.get(language.lower().split("-")[0], 1.2)
