"""Fonts and the order in which they are asked for a character.

`chain(language, bold)` starts with the font of the language's own script, then Latin
(with Cyrillic, Greek and Vietnamese), then every other script, then signs, so that a name
in any script stands in a page of any other. Fonts are opened when first asked.

A font is one file at one weight (400, or 700 for bold). Lengths are in thousandths of an
em, the unit of PDF text space.
"""

from __future__ import annotations

import unicodedata
from functools import cache
from typing import NamedTuple

import uharfbuzz as hb

from docbuilder.text.font_files import FONT_FILES, FontFile, MissingFont

__all__ = ["Chain", "Font", "Ink", "MissingGlyph", "chain", "font"]

REGULAR, BOLD = 400, 700

_SCRIPT_OF_LANGUAGE = {
    "ar": "arabic", "ur": "arabic", "fa": "arabic", "ps": "arabic", "ckb": "arabic",
    "sd": "arabic", "ug": "arabic", "hi": "devanagari", "ne": "devanagari", "mr": "devanagari",
    "bn": "bengali", "as": "bengali", "pa": "gurmukhi", "he": "hebrew", "yi": "hebrew",
    "th": "thai", "ta": "tamil", "gu": "gujarati", "te": "telugu", "kn": "kannada",
    "ml": "malayalam", "or": "odia", "si": "sinhala", "km": "khmer", "lo": "lao",
    "my": "myanmar", "am": "ethiopic", "ti": "ethiopic", "hy": "armenian", "ka": "georgian",
    "zh": "han_simplified", "ja": "japanese", "ko": "korean",
}  # fmt: skip
_LAST = ("signs", "symbols")
# Joiners and variation selectors belong to the character before them.
_JOINERS = frozenset("\u200c\u200d" + "".join(map(chr, range(0xFE00, 0xFE10))))
# Characters without a script of their own stay in the font of the text before them.
_NEUTRAL = frozenset(" \u00a0\u202f\u2009.,:;!?()[]-–—/'\"‘’“”")


class MissingGlyph(Exception):
    """No font has a glyph for some characters; the build must stop.

    It carries the characters, never the text that they stand in.
    """

    def __init__(self, characters: set[str], language: str = "") -> None:
        self.characters = tuple(sorted(characters))
        self.language = language
        names = [f"U+{ord(c):04X} {unicodedata.name(c, 'unnamed')}" for c in self.characters]
        message = "no installed font has " + ", ".join(names)
        remedies = sorted({fault.remedy for c in characters for fault in _absent(c)})
        super().__init__("; ".join([message, *(f"run: {remedy}" for remedy in remedies)]))


class Ink(NamedTuple):
    """How far the ink of a glyph or a word reaches above and below the baseline."""

    top: int
    bottom: int


class Font:
    """One font file at one weight, opened when it is first asked for something."""

    def __init__(self, name: str, file: FontFile, weight: int) -> None:
        self.name, self.file, self.weight = name, file, weight
        self.resource = f"{name}-{weight}"
        """Its name in the resources of every PDF."""
        self._face: hb.Face | None = None
        self._font: hb.Font | None = None
        self._cover: hb.Set | None = None
        self._known: dict[str, bool] = {}
        self._advances: dict[int, int] = {}
        self._inks: dict[int, Ink] = {}

    def __repr__(self) -> str:
        return f"Font({self.name!r}, weight={self.weight})"

    @property
    def face(self) -> hb.Face:
        """The HarfBuzz face (all weights).

        Raises:
            MissingFont: The file is not installed, or not the tested one.
        """
        if self._face is None:
            self._face = _face(self.file)
        return self._face

    @property
    def shaper(self) -> hb.Font:
        """The HarfBuzz font at this weight."""
        if self._font is None:
            self._font = hb.Font(self.face)
            self._font.set_variations({"wght": self.weight})
        return self._font

    @property
    def per_unit(self) -> float:
        """Thousandths of an em in one font unit."""
        return float(1000 / self.face.upem)

    @property
    def axes(self) -> tuple[str, ...]:
        """The tags of the variation axes."""
        return tuple(axis.tag for axis in self.face.axis_infos)

    def has(self, character: str) -> bool:
        """Say whether the font has a glyph of its own for *character*."""
        known = self._known.get(character)
        if known is None:
            if self._cover is None:
                self._cover = self.face.unicodes
            known = self._known[character] = ord(character) in self._cover
        return known

    def serves(self, character: str) -> bool:
        """Say whether *character* is in the blocks that the font is asked for as a fallback."""
        code, blocks = ord(character), self.file.blocks
        return not blocks or any(first <= code <= last for first, last in blocks)

    def advance(self, glyph: int) -> int:
        """Return a glyph's own advance."""
        width = self._advances.get(glyph)
        if width is None:
            width = round(self.shaper.get_glyph_h_advance(glyph) * self.per_unit)
            self._advances[glyph] = width
        return width

    def ink(self, glyph: int) -> Ink:
        """Return how far a glyph's outline reaches."""
        ink = self._inks.get(glyph)
        if ink is None:
            box = self.shaper.get_glyph_extents(glyph)
            top = round(box.y_bearing * self.per_unit) if box else 0
            bottom = round((box.y_bearing + box.height) * self.per_unit) if box else 0
            ink = self._inks[glyph] = Ink(top, bottom)
        return ink


class Chain:
    """Fonts in the order in which they are asked for a character."""

    def __init__(self, language: str, fonts: tuple[Font, ...]) -> None:
        self.language, self.fonts = language, fonts
        self._choice: dict[str, Font | None] = {}

    def choose(self, character: str, before: Font | None) -> Font | None:
        """Return the font to draw *character* in, or None if there is none.

        Args:
            character: One character.
            before: The font of the character before it in the same word, if any. Marks,
                joiners and punctuation stay in it, but no punctuation in a font of signs.
        """
        if before is not None:
            if character in _JOINERS:
                return before
            sticky = (
                before.name not in _LAST
                if character in _NEUTRAL
                else unicodedata.category(character) in ("Mn", "Mc")
            )
            if sticky and before.has(character):
                return before
        if character not in self._choice:
            self._choice[character] = self._first(character)
        return self._choice[character]

    def _first(self, character: str) -> Font | None:
        if character in _JOINERS:
            return self.fonts[0]
        if character.isascii() and font("latin", self.fonts[0].weight).has(character):
            return font("latin", self.fonts[0].weight)
        for number, candidate in enumerate(self.fonts):
            if number == 0 or candidate.serves(character):
                try:
                    if candidate.has(character):
                        return candidate
                except MissingFont:
                    continue
        return None


def _absent(character: str) -> list[MissingFont]:
    """Return which fonts would be asked for *character* if they were installed."""
    faults = []
    for file in FONT_FILES.values():
        if any(first <= ord(character) <= last for first, last in file.blocks):
            try:
                file.locate()
            except MissingFont as fault:
                faults.append(fault)
    return faults


@cache
def _face(file: FontFile) -> hb.Face:
    return hb.Face(hb.Blob.from_file_path(str(file.checked())))


@cache
def font(name: str, weight: int = REGULAR) -> Font:
    """Return the font *name* of `FONT_FILES` at a weight; always the same object."""
    return Font(name, FONT_FILES[name], weight)


@cache
def chain(language: str, bold: bool = False) -> Chain:
    """Return the fonts for a language.

    Args:
        language: BCP 47 tag.
        bold: Weight 700 instead of 400.

    Raises:
        MissingFont: The font of the language's own script is not installed; the message
            names the command that installs it.
    """
    lead = _lead(language)
    if lead != "latin":
        FONT_FILES[lead].locate()
    names = [lead, "latin", *(name for name in FONT_FILES if name not in _LAST), *_LAST]
    weight = BOLD if bold else REGULAR
    return Chain(language, tuple(font(name, weight) for name in dict.fromkeys(names)))


def _lead(language: str) -> str:
    parts = language.lower().split("-")
    if parts[0] == "zh" and {"hant", "tw", "hk", "mo"} & set(parts):
        return "han_traditional"
    if "arab" in parts:
        return "arabic"
    return _SCRIPT_OF_LANGUAGE.get(parts[0], "latin")
