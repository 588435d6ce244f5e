"""Composite glyphs: one glyph for a whole cluster, made of a font's own glyphs.

Source: OpenType specification 1.9, chapter glyf.
"""

from __future__ import annotations

import struct
from collections.abc import Mapping
from typing import NamedTuple

from docbuilder.text.glyph_records import GlyphRecord
from docbuilder.text.shaping import GlyphPart

__all__ = ["Composite", "composite_record"]

_WORDS, _XY_VALUES, _MORE = 0x0001, 0x0002, 0x0020


class Composite(NamedTuple):
    """A glyph made of others; *width* in thousandths of an em, offsets in font units."""

    parts: tuple[GlyphPart, ...]
    width: int


def composite_record(
    composite: Composite, records: Mapping[int, GlyphRecord], units: float
) -> GlyphRecord:
    """Return the composite as a glyph.

    Args:
        composite: The glyph to make.
        records: The glyphs that it is made of, by number.
        units: Font units in a thousandth of an em.
    """
    advance = max(0, round(composite.width * units))
    parts = [part for part in composite.parts if records[part.glyph].outline]
    if not parts:
        return GlyphRecord(b"", advance, 0)
    boxes, body = [], b""
    for number, (glyph, dx, dy) in enumerate(parts, 1):
        left, low, right, high = struct.unpack_from(">hhhh", records[glyph].outline, 2)
        boxes.append((left + dx, low + dy, right + dx, high + dy))
        near = -128 <= dx <= 127 and -128 <= dy <= 127
        flags = _XY_VALUES | (0 if near else _WORDS) | (_MORE if number < len(parts) else 0)
        body += struct.pack(">HHbb" if near else ">HHhh", flags, glyph, dx, dy)
    lefts, lows, rights, highs = zip(*boxes, strict=True)
    box = struct.pack(">hhhhh", -1, min(lefts), min(lows), max(rights), max(highs))
    return GlyphRecord(box + body, advance, min(lefts))
