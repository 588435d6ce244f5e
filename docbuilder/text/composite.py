"""Composite glyphs: one glyph for a whole cluster, put behind a font's last glyph.

Works on TrueType (`glyf`) font programs. Only the tables that a PDF reader needs are kept.

Source: OpenType specification 1.9, chapters glyf, loca, hmtx, maxp and "Organization of
an OpenType font".
"""

from __future__ import annotations

import struct
from typing import NamedTuple

from docbuilder.text.shaping import GlyphPart

__all__ = ["Composite", "with_composites"]

_KEPT = ("cvt ", "fpgm", "glyf", "head", "hhea", "hmtx", "loca", "maxp", "prep")
_WORDS, _XY_VALUES, _MORE = 0x0001, 0x0002, 0x0020


class Composite(NamedTuple):
    """A glyph made of others; *width* in thousandths of an em, offsets in font units."""

    parts: tuple[GlyphPart, ...]
    width: int


def with_composites(
    data: bytes, glyph_count: int, composites: tuple[Composite, ...], units: float
) -> bytes:
    """Return the font program with *composites* as glyphs from *glyph_count* on.

    Args:
        data: A TrueType font that keeps its glyph numbers; it may end before *glyph_count*.
        glyph_count: The number of glyphs of the font before it was subset.
        composites: The glyphs to add.
        units: Font units in a thousandth of an em.
    """
    tables = _read_tables(data)
    head, maxp, hhea = (bytearray(tables[name]) for name in ("head", "maxp", "hhea"))
    present = struct.unpack(">H", maxp[4:6])[0]
    offsets = _glyph_offsets(tables["loca"], present, struct.unpack(">h", head[50:52])[0])
    metrics = _long_metrics(tables["hmtx"], present, struct.unpack(">H", hhea[34:36])[0])
    offsets += [offsets[-1]] * (glyph_count - present)
    metrics += bytes(4 * (glyph_count - present))

    glyphs = bytearray(tables["glyf"])
    glyphs += bytes(-len(glyphs) % 4)
    # The old glyphs end where the new ones start; empty ones at the end stay empty.
    offsets = [len(glyphs) if offset == offsets[-1] else offset for offset in offsets]
    for composite in composites:
        record, left = _composite_record(composite, tables["glyf"], offsets)
        glyphs += record
        offsets.append(len(glyphs))
        metrics += struct.pack(">Hh", max(0, round(composite.width * units)), left)

    total = glyph_count + len(composites)
    head[8:12], head[50:52] = bytes(4), struct.pack(">h", 1)
    hhea[34:36] = struct.pack(">H", total)
    tables.update(
        glyf=bytes(glyphs),
        loca=struct.pack(f">{len(offsets)}L", *offsets),
        hmtx=bytes(metrics),
        head=bytes(head),
        hhea=bytes(hhea),
        maxp=_profile(maxp, total, composites),
    )
    return _write_tables({name: tables[name] for name in _KEPT if name in tables})


def _read_tables(data: bytes) -> dict[str, bytes]:
    count = struct.unpack(">H", data[4:6])[0]
    tables = {}
    for number in range(count):
        tag, _, offset, length = struct.unpack_from(">4sLLL", data, 12 + 16 * number)
        tables[tag.decode("ascii")] = data[offset : offset + length]
    return tables


def _glyph_offsets(loca: bytes, count: int, long_format: int) -> list[int]:
    if long_format:
        return list(struct.unpack_from(f">{count + 1}L", loca))
    return [2 * offset for offset in struct.unpack_from(f">{count + 1}H", loca)]


def _long_metrics(hmtx: bytes, count: int, long_count: int) -> bytearray:
    """Spell out the advance of every glyph."""
    metrics = bytearray(hmtx[: 4 * long_count])
    advance = hmtx[4 * long_count - 4 : 4 * long_count - 2]
    for place in range(4 * long_count, 4 * long_count + 2 * (count - long_count), 2):
        metrics += advance + hmtx[place : place + 2]
    return metrics


def _composite_record(composite: Composite, glyphs: bytes, offsets: list[int]) -> tuple[bytes, int]:
    """Return the glyph description and its left side bearing."""
    parts = [part for part in composite.parts if offsets[part.glyph] < offsets[part.glyph + 1]]
    if not parts:
        return b"", 0
    boxes, body = [], b""
    for number, (glyph, dx, dy) in enumerate(parts, 1):
        left, low, right, high = struct.unpack_from(">hhhh", glyphs, offsets[glyph] + 2)
        boxes.append((left + dx, low + dy, right + dx, high + dy))
        flags = _WORDS | _XY_VALUES | (_MORE if number < len(parts) else 0)
        body += struct.pack(">HHhh", flags, glyph, dx, dy)
    lefts, lows, rights, highs = zip(*boxes, strict=True)
    record = struct.pack(">hhhhh", -1, min(lefts), min(lows), max(rights), max(highs)) + body
    return record + bytes(-len(record) % 4), min(lefts)


def _profile(maxp: bytearray, total: int, composites: tuple[Composite, ...]) -> bytes:
    maxp[4:6] = struct.pack(">H", total)
    fields = list(struct.unpack(">14H", maxp[4:32]))
    most_parts = max((len(composite.parts) for composite in composites), default=0)
    fields[3] = max(fields[3], 2000)  # maxCompositePoints
    fields[4] = max(fields[4], 100)  # maxCompositeContours
    fields[12] = max(fields[12], most_parts)  # maxComponentElements
    fields[13] = max(fields[13], 1) + 1  # maxComponentDepth
    maxp[4:32] = struct.pack(">14H", *fields)
    return bytes(maxp)


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
