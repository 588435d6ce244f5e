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

    def draw(self, item: Item, place: int, left: float, base: float) -> None:
        """Draw an item whose left edge is *place* thousandths of an em from *left*."""
        font = self._fonts.font(item.word.font)
        ink = self._inks[item.run] if self._inks else ""
        if font is not self._font or ink != self._ink or base != self._base:
            self._flush()
            if font is not self._font:
                self._lines.append(f"/{font.resource} {_number(self._size)} Tf")
            if ink != self._ink:
                self._lines.append(ink)
            x = left + place * self._size / 1000
            self._lines.append(f"1 0 0 1 {_number(x)} {_number(base)} Tm")
            self._font, self._ink, self._pen = font, ink, place
            self._note_line(base)
        operands, end = font.operands(item.word)
        self._append(operands, self._pen - place)
        self._pen = place + end
        self._widen(left, base, place, place + item.word.width)

    def draw_space(self, edge: int) -> None:
        """Draw a space without width, so that the last word of a line stays a word."""
        if self._font is not None:
            self._append((self._font.hanging_space(),), self._pen - edge)
            self._pen = edge

    def segment(self) -> Segment:
        """Finish."""
        self._flush()
        operators = "\n".join([*self._lines, "ET"])
        return Segment(self.run, self.group, operators, tuple(self._boxes))

    def _append(self, operands: Sequence[Operand], back: int) -> None:
        """Append TJ operands behind a move of *back* to the left."""
        for operand in (back, *operands):
            last = self._operands[-1] if self._operands else None
            if isinstance(operand, int):
                if isinstance(last, int):
                    operand += self._operands.pop()  # type: ignore[operator]
                if operand:
                    self._operands.append(operand)
            elif isinstance(last, str):
                self._operands[-1] = last + operand
            else:
                self._operands.append(operand)

    def _flush(self) -> None:
        if self._operands:
            shown = "".join(
                f"<{operand}>" if isinstance(operand, str) else str(operand)
                for operand in self._operands
            )
            whole = len(self._operands) == 1 and isinstance(self._operands[0], str)
            self._lines.append(f"{shown} Tj" if whole else f"[{shown}] TJ")
            self._operands = []

    def _note_line(self, base: float) -> None:
        if base != self._base:
            low, high = base - 0.25 * self._size, base + 0.9 * self._size
            self._boxes.append(Box(float("inf"), low, float("-inf"), high))
            self._base = base

    def _widen(self, left: float, base: float, start: int, end: int) -> None:
        box, unit = self._boxes[-1], self._size / 1000
        self._boxes[-1] = box._replace(
            left=min(box.left, left + start * unit), right=max(box.right, left + end * unit)
        )


def _number(value: float) -> str:
    return f"{value:.2f}".rstrip("0").rstrip(".")
