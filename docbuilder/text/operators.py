"""Text blocks as PDF content: one marked stretch of operators a style group.

`segments` yields complete `BT ... ET` pieces in reading order; the layout wraps each in
its own marked content (paragraph, link, language span). Inside right-to-left text the pen
moves back between clusters, so that the order in the file is the reading order.

A block is drawn in two steps. Its *stretches* hang on the block alone: positions from its
corner, codes of plain glyphs, holes where a document gives out the code. They are kept
with the block, so what many packs say alike is encoded once. Putting a stretch on a page
of a document fills in the corner and the holes.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from docbuilder.document.blocks import Run
from docbuilder.text.embed import FontBook
from docbuilder.text.fonts import Font
from docbuilder.text.items import Item
from docbuilder.text.paragraph import TextBlock
from docbuilder.text.shaping import Cluster, Word, shape

__all__ = ["Box", "Segment", "segments"]


_ABOVE, _BELOW = 0.9, 0.25
"""A box reaches this far above and below the baseline, in font sizes."""
_NO_BREAK_SPACE = "\u00a0"
"""Shares its glyph with the space, which is far more frequent and so the one that is plain."""


class Box(NamedTuple):
    """A rectangle on the page, in points."""

    left: float
    bottom: float
    right: float
    top: float


@dataclass(frozen=True, slots=True)
class Segment:
    """Consecutive runs of one group.

    *run* is the number of the first run, *boxes* holds one rectangle a line if the run is
    a link (for its annotations), *operators* is a complete text object.
    """

    run: int
    group: Hashable
    operators: str
    boxes: tuple[Box, ...]


def by_link_and_language(run: Run) -> Hashable:
    """Group runs as links and language spans need it."""
    return (run.link, run.language)


def segments(
    block: TextBlock,
    left_pt: float,
    top_pt: float,
    fonts: FontBook,
    *,
    inks: Sequence[str] = (),
    group: Callable[[Run], Hashable] = by_link_and_language,
) -> list[Segment]:
    """Return the operators that draw *block*.

    Args:
        block: The text, set in lines.
        left_pt: The block's left edge on the page.
        top_pt: The block's top edge on the page (y up).
        fonts: The document's fonts.
        inks: Operators that set the colour of each run, as "0 0 0 rg"; none leaves the
            colour that the page has.
        group: Consecutive runs with equal results share a segment.
    """
    key = (tuple(inks), group)
    stretches: tuple[_Stretch, ...] | None = block.drawn.get(key)
    if stretches is None:
        stretches = block.drawn[key] = _stretches(block, inks, group, {})
    clashing: dict[Font, set[int]] = {}
    for stretch in stretches:
        for font, glyphs in stretch.plain:
            if found := fonts.clashes(font, glyphs):
                clashing.setdefault(font, set()).update(found)
    if clashing:
        # Two texts share a glyph (a ligature and a letter of its own): here the other came first.
        stretches = _stretches(block, inks, group, clashing)
    return [stretch.on_page(left_pt, top_pt, fonts) for stretch in stretches]


@dataclass(frozen=True, slots=True)
class _Stretch:
    """A segment before it has a place and a document.

    *start* and *boxes* are from the block's upper left corner. *body* has "%s" for each of
    *holes*: the code of a cluster whose glyph the document makes. *plain* are the glyphs
    that stand for themselves, by font, with their texts.
    """

    run: int
    group: Hashable
    start: tuple[float, float]
    body: str
    holes: tuple[tuple[Font, Cluster], ...]
    plain: tuple[tuple[Font, dict[int, str]], ...]
    boxes: tuple[Box, ...]

    def on_page(self, left: float, top: float, fonts: FontBook) -> Segment:
        """Return the segment with the block's corner at (*left*, *top*)."""
        body = self.body
        if self.holes:
            body %= tuple(fonts.code(font, cluster) for font, cluster in self.holes)
        x, y = _number(left + self.start[0]), _number(top + self.start[1])
        boxes = tuple(
            Box(left + box.left, top + box.bottom, left + box.right, top + box.top)
            for box in self.boxes
        )
        return Segment(self.run, self.group, f"BT\n{x} {y} Td\n{body}ET", boxes)


def _stretches(
    block: TextBlock,
    inks: Sequence[str],
    group: Callable[[Run], Hashable],
    clashing: Mapping[Font, set[int]],
) -> tuple[_Stretch, ...]:
    """Return how *block* is drawn; *clashing* glyphs must not stand for themselves."""
    keys = [group(run) for run in block.runs]
    writers: list[_Writer] = []
    for number, line in enumerate(block.lines):
        left, base = block.left_pt(number), -block.baseline_pt(number)
        for item, place in zip(line.items, line.places, strict=True):
            if not writers or writers[-1].group != keys[item.run]:
                link = bool(block.runs[item.run].link)
                writers.append(
                    _Writer(item.run, keys[item.run], block.size_pt, link, inks, clashing)
                )
            writers[-1].draw(item, place, left, base)
        if line.spaced and line.items:
            writers[-1].draw_space(0 if block.rtl else line.width)
    return tuple(writer.stretch() for writer in writers)


class _Writer:
    """Writes one stretch. Of a line the pen counts in thousandths of an em from its left edge."""

    def __init__(
        self,
        run: int,
        group: Hashable,
        size_pt: float,
        link: bool,
        inks: Sequence[str],
        clashing: Mapping[Font, set[int]],
    ) -> None:
        self.run, self.group = run, group
        self._size, self._link, self._inks = size_pt, link, inks
        self._clashing = clashing
        self._parts: list[str] = []
        self._holes: list[tuple[Font, Cluster]] = []
        self._plain: dict[Font, dict[int, str]] = {}
        self._font: Font | None = None
        self._ink = ""
        self._base: float | None = None
        self._start = self._at = (0.0, 0.0)
        self._operands: list[str | int] = []
        self._pen = 0
        self._boxes: list[Box] = []
        self._left, self._first, self._last = 0.0, 0, 0

    def draw(self, item: Item, place: int, left: float, base: float) -> None:
        """Draw an item whose left edge is *place* thousandths of an em from *left*."""
        font, ink = item.word.font, self._inks[item.run] if self._inks else ""
        if font is not self._font or ink != self._ink or base != self._base:
            self._flush()
            self._move(left, place, base)
            if font is not self._font:
                self._parts.append(f"/{font.resource} {_number(self._size)} Tf\n")
            if ink != self._ink:
                self._parts.append(ink + "\n")
            self._font, self._ink, self._pen = font, ink, place
        self._append(self._pen - place)
        self._pen = place + self._encode(item.word, font)
        self._first = min(self._first, place)
        self._last = max(self._last, place + item.word.width)

    def draw_space(self, edge: int) -> None:
        """Draw a space without width, so that the last word of a line stays a word."""
        if self._font is not None:
            self._append(self._pen - edge)
            space = shape(self._font, " ", False, "").clusters[-1]
            self._append(self._hole(self._font, space._replace(width=0)))
            self._pen = edge

    def stretch(self) -> _Stretch:
        """Finish."""
        self._flush()
        self._close_line()
        return _Stretch(
            self.run, self.group, self._start, "".join(self._parts), tuple(self._holes),
            tuple(self._plain.items()), tuple(self._boxes),
        )  # fmt: skip

    def _move(self, left: float, place: int, base: float) -> None:
        """Move to the start of a piece; written steps are summed, so that none adds an error."""
        x = left + place * self._size / 1000
        if self._base is None:
            self._start = self._at = (x, base)
        elif (x, base) != self._at:
            across, up = round(x - self._at[0], 2), round(base - self._at[1], 2)
            self._parts.append(f"{_number(across)} {_number(up)} Td\n")
            self._at = (self._at[0] + across, self._at[1] + up)
        if base != self._base:
            self._close_line()
            self._left, self._first, self._last = left, place, place
            self._base = base

    def _encode(self, word: Word, font: Font) -> int:
        """Show the clusters of a word; return where they leave the pen from its left edge."""
        plain = self._plain.setdefault(font, {})
        clashing = self._clashing.get(font, ())
        pen = 0
        for cluster in word.clusters:
            part = cluster.parts[0]
            if (
                len(cluster.parts) == 1
                and not (part.dx or part.dy)
                and part.glyph not in clashing
                and cluster.text != _NO_BREAK_SPACE
                and plain.setdefault(part.glyph, cluster.text) == cluster.text
            ):
                code = f"{part.glyph:04X}"
            else:
                code = self._hole(font, cluster)
            self._append(pen - cluster.x)
            self._append(code)
            pen = cluster.x + cluster.width
        return pen

    def _hole(self, font: Font, cluster: Cluster) -> str:
        self._holes.append((font, cluster._replace(start=0, x=0)))
        return "%s"

    def _append(self, operand: str | int) -> None:
        """Append an operand of TJ: codes, or an adjustment to the left."""
        waiting = self._operands
        if operand == 0:
            return
        if waiting and isinstance(waiting[-1], str) == isinstance(operand, str):
            waiting[-1] += operand  # type: ignore[operator]
        else:
            waiting.append(operand)

    def _flush(self) -> None:
        shown = [f"<{part}>" if isinstance(part, str) else str(part) for part in self._operands]
        if len(shown) == 1:
            self._parts.append(f"{shown[0]} Tj\n" if shown[0][0] == "<" else f"[{shown[0]}] TJ\n")
        elif shown:
            self._parts.append(f"[{''.join(shown)}] TJ\n")
        self._operands = []

    def _close_line(self) -> None:
        """Note the rectangle that a link took on its line."""
        if self._link and self._base is not None:
            low, high = self._base - _BELOW * self._size, self._base + _ABOVE * self._size
            unit = self._size / 1000
            left, right = self._left + self._first * unit, self._left + self._last * unit
            self._boxes.append(Box(left, low, right, high))


def _number(value: float) -> str:
    return f"{value:.2f}".rstrip("0").rstrip(".")
