"""The font of form fields: what is typed in a viewer is set in it, as far as it goes.

A viewer sets typed text by itself and understands simple fonts best, so this is a TrueType
font with WinAnsi codes (the Latin of Western Europe). For other letters a viewer takes a
font of its own.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import uharfbuzz as hb

from docbuilder.text.fonts import font
from docbuilder.text.glyph_records import subset_request

__all__ = ["FormFont", "form_font"]

FIRST_CODE, LAST_CODE = 32, 255
_DROPPED_TABLES = ("GSUB", "GPOS", "GDEF", "STAT", "MVAR", "avar", "BASE", "HVAR", "meta", "gasp")


@dataclass(frozen=True, slots=True)
class FormFont:
    """A subset font file with its measures in thousandths of an em."""

    name: str
    program: bytes
    widths: tuple[int, ...]
    """Of the codes from `FIRST_CODE` to `LAST_CODE`."""
    ascent: int
    descent: int
    cap_height: int


@cache
def form_font() -> FormFont:
    """Return the font, the same bytes at each call.

    Raises:
        MissingFont: The font package is not installed.
    """
    latin = font("latin")
    codes = range(FIRST_CODE, LAST_CODE + 1)
    letters = [bytes([code]).decode("cp1252", errors="replace") for code in codes]
    known = [letter if latin.has(letter) else "" for letter in letters]
    flags = hb.SubsetFlags.NO_HINTING | hb.SubsetFlags.NOTDEF_OUTLINE
    request = subset_request(latin, flags, _DROPPED_TABLES)
    for letter in filter(None, known):
        request.unicode_set.add(ord(letter))
    tags, shaper, unit = hb.OTMetricsTag, latin.shaper, latin.per_unit

    def metric(tag: hb.OTMetricsTag) -> int:
        position: float = shaper.get_metric_position_with_fallback(tag)
        return round(position * unit)

    widths = tuple(
        latin.advance(shaper.get_nominal_glyph(ord(letter)) or 0) if letter else 0
        for letter in known
    )
    return FormFont(
        "FORMAA+NotoSans-Regular", request.subset(latin.face).blob.data, widths,
        metric(tags.HORIZONTAL_ASCENDER), metric(tags.HORIZONTAL_DESCENDER),
        metric(tags.CAP_HEIGHT),
    )  # fmt: skip
