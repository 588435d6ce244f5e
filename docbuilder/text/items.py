"""From styled runs to items: stretches of one level, run and font, shaped.

`prepare` joins the runs into one paragraph, resolves its levels and break positions and
shapes it word by word. What lies between two break positions is a `Stretch`: it goes on
one line as a whole.
"""

from __future__ import annotations

from itertools import pairwise
from typing import NamedTuple

from docbuilder.caching import kept
from docbuilder.document.blocks import Run
from docbuilder.text import bidi
from docbuilder.text.fonts import Font, MissingGlyph, chain
from docbuilder.text.linebreak import breaks
from docbuilder.text.shaping import Word, shape

__all__ = ["CONTEXT", "Item", "Prepared", "Stretch", "drawn_text", "prepare"]

_LINE_END = "\u2028"
_NOT_DRAWN = frozenset(
    "\u00ad\u061c\u200b\u200e\u200f\u2060\ufeff" + _LINE_END
    + "".join(map(chr, [*range(0x202A, 0x202F), *range(0x2061, 0x2070)]))
)  # fmt: skip
# Any of these ends a line; a bidi paragraph goes on over it.
_NORMAL = str.maketrans({
    "\t": " ", "\n": _LINE_END, "\r": _LINE_END, "\x0b": _LINE_END, "\x0c": _LINE_END,
    "\x85": _LINE_END, "\u2029": _LINE_END,
})  # fmt: skip
CONTEXT = 4
"""Characters of the same word that the shaper sees beyond a style change."""


class Item(NamedTuple):
    """A shaped word, or the spaces behind one, at its place in the paragraph's text."""

    word: Word
    level: int
    run: int
    start: int
    end: int
    space: bool


class Stretch(NamedTuple):
    """Items that no break may part. Widths in thousandths of an em.

    *trailing* is the width of the spaces at the end, which hang at the end of a line.
    *ends_line* says that a line must end behind it.
    """

    items: tuple[Item, ...]
    width: int
    trailing: int
    ends_line: bool


class Prepared(NamedTuple):
    """A shaped paragraph before it is set in lines; *text* is normalised.

    *natural* is its width without any break but forced ones, *least* that of its widest
    stretch, in thousandths of an em: tables ask for both again and again.
    """

    text: str
    rtl: bool
    stretches: tuple[Stretch, ...]
    natural: int
    least: int


class _Piece(NamedTuple):
    word: Word
    start: int
    end: int
    space: bool


def drawn_text(text: str) -> str:
    """Return what of *text* is drawn: without bidi controls, zero-width breaks and line ends."""
    normal = text.replace("\r\n", "\n").translate(_NORMAL)
    return "".join(character for character in normal if character not in _NOT_DRAWN)


@kept(4096)
def prepare(runs: tuple[Run, ...], language: str, rtl: bool, bold: bool = False) -> Prepared:
    """Resolve and shape a paragraph.

    Args:
        runs: The styled text.
        language: BCP 47 tag for the runs that name none.
        rtl: The paragraph's direction.
        bold: Set every run bold.

    Raises:
        MissingGlyph: No font has some of the characters.
        MissingFont: The font of the language's script is not installed.
    """
    texts = [run.text.replace("\r\n", "\n").translate(_NORMAL) for run in runs]
    text = "".join(texts)
    levels = _levels(text, rtl)
    found = breaks(text, language)
    closing = {place.position: place.forced for place in found}
    closing[len(text)] = False
    owners = _starts(texts)
    cuts = sorted({0, *closing, *owners, *_changes(levels)})
    stretches: list[Stretch] = []
    items: list[Item] = []
    missing: set[str] = set()
    run = 0
    for start, end in pairwise(cuts):
        run = owners.get(start, run)
        style = runs[run]
        level = levels[start] if levels else 0
        context = _context(text, start, end, closing, levels) if level & 1 else ("", "")
        try:
            pieces = _pieces(
                text[start:end], level, style.language or language, bold or style.bold, *context
            )
        except MissingGlyph as fault:
            missing.update(fault.characters)
            continue
        items += [
            Item(piece.word, level, run, start + piece.start, start + piece.end, piece.space)
            for piece in pieces
        ]
        if end in closing:
            stretches.append(_stretch(items, closing[end]))
            items = []
    if missing:
        raise MissingGlyph(missing, language)
    least = max((stretch.width for stretch in stretches), default=0)
    return Prepared(text, rtl, tuple(stretches), _natural(stretches), least)


def _natural(stretches: list[Stretch]) -> int:
    widest = width = pending = 0
    for stretch in stretches:
        if stretch.width:
            width += pending + stretch.width
            pending = 0
        pending += stretch.trailing
        widest = max(widest, width)
        if stretch.ends_line:
            width = pending = 0
    return widest


def _levels(text: str, rtl: bool) -> list[int]:
    """Return a level for each character, or nothing if all are 0."""
    if not rtl and not bidi.needs_bidi(text):
        return []
    base, levels = bidi.resolve(text, int(rtl))
    filled: list[int] = []
    for level in levels:
        filled.append(level if level is not None else (filled[-1] if filled else base))
    return filled


def _starts(texts: list[str]) -> dict[int, int]:
    """Map where each run starts in the paragraph to the run; empty runs never start."""
    starts: dict[int, int] = {}
    position = 0
    for number, text in enumerate(texts):
        if text:
            starts[position] = number
        position += len(text)
    return starts


def _changes(levels: list[int]) -> list[int]:
    if not levels or levels.count(levels[0]) == len(levels):
        return []
    return [place for place, (a, b) in enumerate(pairwise(levels), 1) if a != b]


def _context(
    text: str, start: int, end: int, closing: dict[int, bool], levels: list[int]
) -> tuple[str, str]:
    """Return what the same word holds before and behind, where only the style changes."""
    before = after = ""
    level = levels[start]
    if start and start not in closing and levels[start - 1] == level:
        before = text[max(0, start - CONTEXT) : start]
    if end < len(text) and end not in closing and levels[end] == level:
        after = text[end : end + CONTEXT]
    return before, after


def _stretch(items: list[Item], ends_line: bool) -> Stretch:
    width = trailing = 0
    for item in items:
        if item.space:
            trailing += item.word.width
        else:
            width += trailing + item.word.width
            trailing = 0
    return Stretch(tuple(items), width, trailing, ends_line)


@kept(8192)
def _pieces(
    text: str, level: int, language: str, bold: bool, before: str, after: str
) -> tuple[_Piece, ...]:
    """Split text of one level and style into words and spaces of one font, and shape them.

    Raises:
        MissingGlyph: No font has some of the characters.
    """
    fonts = chain(language, bold)
    missing: set[str] = set()
    groups: list[tuple[int, int, Font, bool]] = []
    font: Font | None = None
    for place, character in enumerate(text):
        if character in _NOT_DRAWN:
            continue
        chosen = fonts.choose(character, font)
        if chosen is None:
            missing.add(character)
            continue
        space = character == " "
        last = groups[-1] if groups else None
        if last and last[1] == place and last[2] is chosen and last[3] == space:
            groups[-1] = (last[0], place + 1, chosen, space)
        else:
            groups.append((place, place + 1, chosen, space))
        font = chosen
    if missing:
        raise MissingGlyph(missing, language)
    pieces = []
    for start, end, chosen, space in groups:
        word = shape(
            chosen, text[start:end], bool(level & 1), language,
            before if start == 0 and not space else "",
            after if end == len(text) and not space else "",
        )  # fmt: skip
        pieces.append(_Piece(word, start, end, space))
    return tuple(pieces)
