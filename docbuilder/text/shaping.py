"""Shaping by HarfBuzz: a word becomes glyph clusters with positions.

A cluster is the smallest stretch of text whose glyphs stand on their own. Each cluster
later becomes one PDF glyph, so that copying and reading aloud give exactly its text
whatever glyphs it takes (Arabic letters of skeleton and dots, Indic conjuncts).

Lengths are in thousandths of an em.
"""

from __future__ import annotations

from typing import NamedTuple

import uharfbuzz as hb

from docbuilder.caching import kept
from docbuilder.text.fonts import Font, Ink

__all__ = ["Cluster", "GlyphPart", "Word", "shape"]


class GlyphPart(NamedTuple):
    """One glyph of a cluster, at an offset from the cluster's origin in font units."""

    glyph: int
    dx: int
    dy: int


class Cluster(NamedTuple):
    """The glyphs of the text from *start* in its word; *x* is from the word's left edge.

    *width* is what the glyphs advance by themselves, before kerning.
    """

    text: str
    start: int
    x: int
    width: int
    parts: tuple[GlyphPart, ...]


class Word(NamedTuple):
    """A shaped word: clusters in logical (reading) order, whatever its direction."""

    font: Font
    text: str
    rtl: bool
    width: int
    ink: Ink
    clusters: tuple[Cluster, ...]


@kept(8192)
def shape(
    font: Font, text: str, rtl: bool, language: str, before: str = "", after: str = ""
) -> Word:
    """Shape *text* in one font and direction.

    Args:
        font: The font; it must cover the text (a glyph 0 is the caller's fault).
        text: A word or a space, without bidi controls.
        rtl: Right to left.
        language: BCP 47 tag, for language-specific forms.
        before: Text that stands directly before in the same word, for joining forms.
        after: Text that stands directly behind.

    Raises:
        ValueError: The font lacks a glyph.
    """
    buffer = hb.Buffer()
    buffer.flags = hb.BufferFlags.REMOVE_DEFAULT_IGNORABLES
    buffer.add_str(before + text + after, len(before), len(text))
    buffer.guess_segment_properties()
    buffer.direction = "rtl" if rtl else "ltr"
    buffer.language = language
    hb.shape(font.shaper, buffer, {})
    grouped: dict[int, list[tuple[int, int, int, int]]] = {}
    for info, place in zip(buffer.glyph_infos, buffer.glyph_positions, strict=True):
        if info.codepoint == 0:
            raise ValueError(f"{font!r} drew a missing glyph")
        grouped.setdefault(info.cluster - len(before), []).append(
            (info.codepoint, place.x_offset, place.y_offset, place.x_advance)
        )
    return _word(font, text, rtl, grouped)


def _word(
    font: Font, text: str, rtl: bool, grouped: dict[int, list[tuple[int, int, int, int]]]
) -> Word:
    starts = sorted(grouped)
    # Joiners alone draw nothing, and then there is no cluster.
    ends = dict(zip(starts, [*starts[1:], len(text)], strict=False))
    clusters = []
    pen, top, bottom = 0, 0, 0
    for start, glyphs in grouped.items():
        inner, width, parts = 0, 0, []
        for glyph, dx, dy, advance in glyphs:
            parts.append(GlyphPart(glyph, inner + dx, dy))
            inner += advance
            width += font.advance(glyph)
            ink, rise = font.ink(glyph), round(dy * font.per_unit)
            top, bottom = max(top, ink.top + rise), min(bottom, ink.bottom + rise)
        # What the shaper dropped at the very start (a joiner) belongs to the first cluster.
        first = 0 if start == starts[0] else start
        x = round(pen * font.per_unit)
        clusters.append(Cluster(text[first : ends[start]], first, x, width, tuple(parts)))
        pen += inner
    if rtl:
        clusters.reverse()
    width = round(pen * font.per_unit)
    return Word(font, text, rtl, width, Ink(top, bottom), tuple(clusters))
