"""TrueType font programs for PDFs: the glyphs in use, and no table that PDF does not need.

Glyphs keep their numbers; those between are empty, which deflate makes small.

Source: OpenType specification 1.9, chapters glyf, loca, hmtx, maxp and "Organization of
an OpenType font"; ISO 32000-1, 9.9 for the tables.
"""

from __future__ import annotations

import struct
from collections.abc import Iterable, Mapping

from docbuilder.text.fonts import Font
from docbuilder.text.glyph_records import GlyphRecord

__all__ = ["font_program"]

_SHORT_END = 2 * 0xFFFF
"""A longer glyf table needs offsets of four bytes."""
_DEEPEST = 4
"""Composites of a font's own composites."""


def font_program(font: Font, records: Mapping[int, GlyphRecord], most_parts: int) -> bytes:
    """Return a font file of *records* by glyph number.

    Args:
        font: Where the glyphs come from.
        records: All glyphs, with those that they are composed of.
        most_parts: Of how many a glyph is composed that the font itself does not have.
    """
    count = max(records) + 1
    ends, metrics, glyphs, after = [0] * (count + 1), [bytes(4)] * count, bytearray(), 0
    for glyph in sorted(records):
        outline, advance, left = records[glyph]
        ends[after : glyph + 1] = [len(glyphs)] * (glyph + 1 - after)
        glyphs += outline
        metrics[glyph] = struct.pack(">Hh", advance, left)
        after = glyph + 1
    ends[count] = len(glyphs)
    short = len(glyphs) <= _SHORT_END
    head, hhea, maxp = (bytearray(_table(font, tag)) for tag in ("head", "hhea", "maxp"))
    head[8:12], head[36:44] = bytes(4), struct.pack(">hhhh", *_around(records.values()))
    head[50:52] = struct.pack(">h", not short)
    hhea[34:36] = struct.pack(">H", count)
    return _write_tables(
        {
            "glyf": bytes(glyphs),
            "head": bytes(head),
            "hhea": bytes(hhea),
            "hmtx": b"".join(metrics),
            "loca": struct.pack(f">{count + 1}H", *(end // 2 for end in ends))
            if short
            else struct.pack(f">{count + 1}L", *ends),
            "maxp": _profile(maxp, count, most_parts),
        }
    )


def _around(records: Iterable[GlyphRecord]) -> tuple[int, int, int, int]:
    """Return the box around all simple glyphs.

    By its height renderers choose whether letters may stand between pixels; clusters, with
    their marks, would make it too tall for that.
    """
    boxes = [
        struct.unpack_from(">hhhh", one.outline, 2)
        for one in records
        if b"" < one.outline < b"\x80"
    ]
    lefts, lows, rights, highs = zip(*boxes, strict=True) if boxes else ((0,), (0,), (0,), (0,))
    return min(lefts), min(lows), max(rights), max(highs)


def _table(font: Font, tag: str) -> bytes:
    data: bytes = font.face.reference_table(tag).data
    return data


def _profile(maxp: bytearray, count: int, most_parts: int) -> bytes:
    """Return table maxp for *count* glyphs, without hinting."""
    fields = list(struct.unpack(">14H", maxp[4:32]))
    fields[0] = count
    fields[3] = max(fields[3], 2000)  # maxCompositePoints
    fields[4] = max(fields[4], 100)  # maxCompositeContours
    fields[5:12] = [1, *[0] * 6]  # maxZones, then what programs may use
    fields[12] = max(fields[12], most_parts)  # maxComponentElements
    fields[13] = max(fields[13] + 1, _DEEPEST)  # maxComponentDepth
    return struct.pack(">4s14H", maxp[:4], *fields)


def _write_tables(tables: dict[str, bytes]) -> bytes:
    count = len(tables)
    selector = count.bit_length() - 1
    offset = 12 + 16 * count
    directory, body = b"", b""
    for tag, table in tables.items():
        padded = table + bytes(-len(table) % 4)
        checksum = sum(struct.unpack(f">{len(padded) // 4}L", padded)) & 0xFFFFFFFF
        directory += struct.pack(">4sLLL", tag.encode("ascii"), checksum, offset, len(table))
        body += padded
        offset += len(padded)
    head = struct.pack(
        ">LHHHH", 0x10000, count, 16 << selector, selector, 16 * count - (16 << selector)
    )
    return head + directory + body
