"""Glyph descriptions at a font's weight, cut out of its variable font once in a process.

A paper embeds the glyphs that it draws and no others. Cutting all of them out anew for
each paper would take longer than all else that its fonts need, and papers use nearly the
same ones; so a font's descriptions are kept with the font.

Source: OpenType specification 1.9, chapters glyf, loca, hmtx.
"""

from __future__ import annotations

import struct
from collections.abc import Iterable
from functools import cache
from typing import NamedTuple

import uharfbuzz as hb

from docbuilder.caching import memo
from docbuilder.text.fonts import Font

__all__ = ["GlyphRecord", "glyph_records", "subset_request"]

_NOTDEF = 0
_DROPPED_TABLES = (
    "GSUB", "GPOS", "GDEF", "STAT", "MVAR", "avar", "BASE", "vhea", "vmtx", "VORG", "DSIG",
    "OS/2", "name", "post", "HVAR", "VVAR", "cmap", "meta", "gasp",
)  # fmt: skip
_WORDS, _SCALED, _MORE, _SCALED_BOTH, _TURNED = 0x0001, 0x0008, 0x0020, 0x0040, 0x0080
"""Flags of a component."""


class GlyphRecord(NamedTuple):
    """What tables glyf and hmtx say of a glyph; *advance* and *left* in font units."""

    outline: bytes
    advance: int
    left: int


def glyph_records(font: Font, glyphs: Iterable[int]) -> dict[int, GlyphRecord]:
    """Return the records of *glyphs*, of all that they are composed of, and of glyph 0."""
    kept = _kept(font)
    known = dict(kept)
    wanted = {_NOTDEF, *glyphs}
    if new := wanted - known.keys():
        cut = _cut(font, new)
        kept.update(cut)
        known.update(cut)
    records: dict[int, GlyphRecord] = {}
    waiting = sorted(wanted)
    while waiting:
        glyph = waiting.pop()
        if glyph not in records:
            records[glyph] = known[glyph]
            waiting += _components(known[glyph].outline)
    return records


@cache
def _kept(font: Font) -> dict[int, GlyphRecord]:
    """Return what is known of *font*; never more than it has glyphs."""
    return memo()


def subset_request(font: Font, flags: hb.SubsetFlags, dropped: tuple[str, ...]) -> hb.SubsetInput:
    """Return a request for a static subset of *font*, its axes pinned, without tables *dropped*."""
    request = hb.SubsetInput()
    request.flags = flags
    for table in dropped:
        request.drop_table_tag_set.add(int.from_bytes(table.ljust(4).encode(), "big"))
    for axis in font.axes:
        if axis == "wght":
            request.pin_axis_location(font.face, axis, font.weight)
        else:
            request.pin_axis_to_default(font.face, axis)
    return request


def _cut(font: Font, glyphs: set[int]) -> dict[int, GlyphRecord]:
    """Return the records of *glyphs* and of what they are composed of."""
    flags = hb.SubsetFlags
    request = subset_request(
        font,
        flags.RETAIN_GIDS | flags.NO_LAYOUT_CLOSURE | flags.NO_HINTING | flags.NOTDEF_OUTLINE,
        _DROPPED_TABLES,
    )
    for glyph in sorted(glyphs):
        request.glyph_set.add(glyph)
    tables = _read_tables(request.subset(font.face).blob.data)
    long_offsets = struct.unpack(">h", tables["head"][50:52])[0]
    long_metrics = struct.unpack(">H", tables["hhea"][34:36])[0]
    found: dict[int, GlyphRecord] = {}
    waiting = sorted(glyphs)
    while waiting:
        glyph = waiting.pop()
        if glyph in found:
            continue
        start, end = _place(tables["loca"], glyph, long_offsets)
        outline = tables["glyf"][start:end]
        outline += bytes(-len(outline) % 2)  # in a large subset they start at odd places
        found[glyph] = GlyphRecord(outline, *_metrics(tables["hmtx"], glyph, long_metrics))
        waiting += _components(outline)
    return found


def _read_tables(data: bytes) -> dict[str, bytes]:
    count = struct.unpack(">H", data[4:6])[0]
    tables = {}
    for number in range(count):
        tag, _, offset, length = struct.unpack_from(">4sLLL", data, 12 + 16 * number)
        tables[tag.decode("ascii")] = data[offset : offset + length]
    return tables


def _place(loca: bytes, glyph: int, long_format: int) -> tuple[int, int]:
    """Return where a glyph starts and ends in glyf; a subset may end before the glyph."""
    size, factor = (4, 1) if long_format else (2, 2)
    ends = loca[glyph * size : (glyph + 2) * size]
    if len(ends) < 2 * size:
        return 0, 0
    start, end = struct.unpack(">2L" if long_format else ">2H", ends)
    return start * factor, end * factor


def _metrics(hmtx: bytes, glyph: int, long_count: int) -> tuple[int, int]:
    """Return advance and left side bearing."""
    if glyph < long_count:
        advance, left = struct.unpack_from(">Hh", hmtx, 4 * glyph)
        return advance, left
    advance = struct.unpack_from(">H", hmtx, 4 * long_count - 4)[0]
    left = struct.unpack_from(">h", hmtx, 2 * long_count + 2 * glyph)[0]
    return advance, left


def _components(outline: bytes) -> list[int]:
    """Return the glyphs that a glyph is composed of; none for a simple or empty one."""
    if outline[:1] < b"\x80":  # the number of contours; negative for a composite
        return []
    parts, at, flags = [], 10, _MORE
    while flags & _MORE:
        flags, glyph = struct.unpack_from(">HH", outline, at)
        parts.append(glyph)
        at += 8 if flags & _WORDS else 6
        at += 2 * bool(flags & _SCALED) + 4 * bool(flags & _SCALED_BOTH)
        at += 8 * bool(flags & _TURNED)
    return parts
