"""Text blocks as PDF content: one marked stretch of operators a style group.

`segments` yields complete `BT ... ET` pieces in reading order; the layout wraps each in
its own marked content (paragraph, link, language span). Inside right-to-left text the pen
moves back between clusters, so that the order in the file is the reading order.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from docbuilder.document.blocks import Run
from docbuilder.text.embed import EmbeddedFont, FontBook, Operand
from docbuilder.text.items import Item
from docbuilder.text.paragraph import TextBlock

__all__ = ["Box", "Segment", "segments"]


_ABOVE, _BELOW = 0.9, 0.25
"""A box reaches this far above and below the baseline, in font sizes."""


class Box(NamedTuple):
    """A rectangle on the page, in points."""

    left: float
    bottom: float
    right: float
    top: float


@dataclass(frozen=True, slots=True)
class Segment:
    """Consecutive runs of one group.

    *run* is the number of the first run, *boxes* holds one rectangle a line (for link
    annotations), *operators* is a complete text object.
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
    keys = [group(run) for run in block.runs]
    writers: list[_Writer] = []
    for number, line in enumerate(block.lines):
        left = left_pt + block.left_pt(number)
        base = top_pt - block.baseline_pt(number)
        for item, place in zip(line.items, line.places, strict=True):
            if not writers or writers[-1].group != keys[item.run]:
                writers.append(_Writer(item.run, keys[item.run], block.size_pt, fonts, inks))
            writers[-1].draw(item, place, left, base)
        if line.spaced and line.items:
            writers[-1].draw_space(0 if block.rtl else line.width)
    return [writer.segment() for writer in writers]


class _Writer:
    """Writes one segment."""

    def __init__(
        self, run: int, group: Hashable, size_pt: float, fonts: FontBook, inks: Sequence[str]
    ) -> None:
        self.run, self.group = run, group
        self._size, self._fonts, self._inks = size_pt, fonts, inks
        self._lines = ["BT"]
        self._font: EmbeddedFont | None = None
        self._ink = ""
        self._base: float | None = None
        self._operands: list[Operand] = []
        self._pen = 0
        self._boxes: list[Box] = []
        self._left = 0.0
        self._start = self._end = 0

    def draw(self, item: Item, place: int, left: float, base: float) -> None:
        """Draw an item whose left edge is *place* thousandths of an em from *left*."""
        font = self._fonts.font(item.word.font)
        ink = self._inks[item.run] if self._inks else ""
        if font is not self._font or ink != self._ink or base != self._base:
            self._flush()
            if base != self._base:
                self._close_line()
                self._left, self._start, self._end = left, place, place
            if font is not self._font:
                self._lines.append(f"/{font.resource} {_number(self._size)} Tf")
            if ink != self._ink:
                self._lines.append(ink)
            x = left + place * self._size / 1000
            self._lines.append(f"1 0 0 1 {_number(x)} {_number(base)} Tm")
            self._font, self._ink, self._base, self._pen = font, ink, base, place
        operands, end = font.operands(item.word)
        self._append(self._pen - place, operands)
        self._pen = place + end
        self._start = min(self._start, place)
        self._end = max(self._end, place + item.word.width)

    def draw_space(self, edge: int) -> None:
        """Draw a space without width, so that the last word of a line stays a word."""
        if self._font is not None:
            self._append(self._pen - edge, (self._font.hanging_space(),))
            self._pen = edge

    def segment(self) -> Segment:
        """Finish."""
        self._flush()
        self._close_line()
        operators = "\n".join([*self._lines, "ET"])
        return Segment(self.run, self.group, operators, tuple(self._boxes))

    def _append(self, back: int, operands: Sequence[Operand]) -> None:
        """Append TJ operands behind a move of *back* to the left."""
        waiting = self._operands
        for operand in (back, *operands) if back else operands:
            last = waiting[-1] if waiting else None
            if isinstance(operand, str):
                if isinstance(last, str):
                    waiting[-1] = last + operand
                else:
                    waiting.append(operand)
            elif isinstance(last, int):
                waiting[-1] = last + operand
            else:
                waiting.append(operand)

    def _flush(self) -> None:
        shown = [f"<{part}>" if isinstance(part, str) else str(part) for part in self._operands]
        if len(shown) == 1:
            self._lines.append(f"{shown[0]} Tj" if shown[0][0] == "<" else f"[{shown[0]}] TJ")
        elif shown:
            self._lines.append(f"[{''.join(shown)}] TJ")
        self._operands = []

    def _close_line(self) -> None:
        """Note the rectangle that the segment took on its line."""
        if self._base is not None:
            low, high = self._base - _BELOW * self._size, self._base + _ABOVE * self._size
            unit = self._size / 1000
            left, right = self._left + self._start * unit, self._left + self._end * unit
            self._boxes.append(Box(left, low, right, high))


def _number(value: float) -> str:
    return f"{value:.2f}".rstrip("0").rstrip(".")
