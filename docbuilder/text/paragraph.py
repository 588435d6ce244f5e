"""Paragraphs in lines: filling, alignment and vertical metrics.

`layout` sets styled runs in lines of a given width. Items of a line are kept in logical
(reading) order with their visual position, because a PDF is written in reading order.
Spaces at the end of a line hang. A word that is wider than the line is parted between
clusters as a last resort, and its lines are marked `forced`.

Lengths in points, except inside lines: thousandths of an em.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from itertools import pairwise
from typing import Any, Literal

from docbuilder.caching import kept, memo
from docbuilder.document.blocks import Run
from docbuilder.text.bidi import visual_order
from docbuilder.text.items import Item, Prepared, Stretch, prepare
from docbuilder.text.metrics import ASCENT, CLEARANCE, DESCENT, least_leading
from docbuilder.text.parting import parted

__all__ = ["Align", "Line", "TextBlock", "layout", "min_width", "natural_width"]

Align = Literal["start", "end", "centre"]
_TOLERANCE = 0.5
"""Half a thousandth of an em, for widths that went through points and back."""


@dataclass(frozen=True, slots=True)
class Line:
    """One line. *places* are the left edges of *items* from the line's left edge.

    *hanging* are the spaces at the end, outside *width*. *forced* says that a word was
    parted here because it is wider than the line, *spaced* that a space or a line end
    parts its last word from the next line.
    """

    items: tuple[Item, ...]
    places: tuple[int, ...]
    width: int
    hanging: tuple[Item, ...]
    forced: bool
    spaced: bool

    @property
    def text(self) -> str:
        """What the line draws, in logical order, hanging spaces included."""
        return "".join(item.word.text for item in (*self.items, *self.hanging))

    @property
    def top(self) -> int:
        """How far ink reaches above the baseline."""
        return max((item.word.ink.top for item in self.items), default=0)

    @property
    def bottom(self) -> int:
        """How far ink reaches below the baseline (negative)."""
        return min((item.word.ink.bottom for item in self.items), default=0)


@dataclass(frozen=True, slots=True)
class TextBlock:
    """A paragraph set in lines. Make it with `layout`."""

    runs: tuple[Run, ...]
    language: str
    rtl: bool
    align: Align
    size_pt: float
    width_pt: float
    leading_pt: float
    lines: tuple[Line, ...]
    forced: bool
    """Whether a word had to be parted to fit the width."""
    drawn: dict[Any, Any] = field(default_factory=memo, compare=False, repr=False)
    """How it is drawn, kept by `operators` for the next document with the same block."""

    @property
    def height_pt(self) -> float:
        """Height of all lines."""
        return self.leading_pt * len(self.lines)

    def baseline_pt(self, line: int) -> float:
        """Return how far the baseline of *line* is below the block's top."""
        extra = self.leading_pt - (ASCENT + DESCENT) * self.size_pt / 1000
        return self.leading_pt * line + extra / 2 + ASCENT * self.size_pt / 1000

    def left_pt(self, line: int) -> float:
        """Return how far the left edge of *line* is from the block's left edge."""
        room = self.width_pt - self.line_width_pt(line)
        if self.align == "centre":
            return room / 2
        return room if (self.align == "end") != self.rtl else 0.0

    def line_width_pt(self, line: int) -> float:
        """Return the width of *line* without its hanging spaces."""
        return self.lines[line].width * self.size_pt / 1000

    def part(self, first: int, last: int) -> TextBlock:
        """Return the block of lines *first* to *last* (excluded), for a page break."""
        lines = self.lines[first:last]
        return replace(self, lines=lines, forced=_any_forced(lines), drawn=memo())


def layout(
    runs: Sequence[Run],
    *,
    language: str,
    rtl: bool,
    width_pt: float,
    size_pt: float,
    leading: float = 1.4,
    align: Align = "start",
    bold: bool = False,
) -> TextBlock:
    """Set *runs* in lines.

    Args:
        runs: The styled text; U+000A or U+2028 ends a line.
        language: BCP 47 tag of the runs that name none.
        rtl: The paragraph's direction; start is its right side then.
        width_pt: Room for each line.
        size_pt: Font size.
        leading: Baseline to baseline in font sizes. Languages with tall marks get at
            least `metrics.least_leading`, and no two lines' inks ever meet.
        align: Where lines stand.
        bold: Set every run bold.

    Raises:
        MissingGlyph: No font has some of the characters.
        MissingFont: The font of the language's script is not installed.
        ValueError: A single character is wider than *width_pt*.
    """
    return _layout(
        tuple(runs), language, rtl, float(width_pt), float(size_pt), leading, align, bold
    )


def natural_width(
    runs: Sequence[Run], *, language: str, rtl: bool, size_pt: float, bold: bool = False
) -> float:
    """Return the width in points that *runs* take without any break but forced ones."""
    return prepare(tuple(runs), language, rtl, bold).natural * size_pt / 1000


def min_width(
    runs: Sequence[Run], *, language: str, rtl: bool, size_pt: float, bold: bool = False
) -> float:
    """Return the width in points of the widest stretch that no break may part."""
    return prepare(tuple(runs), language, rtl, bold).least * size_pt / 1000


# Five languages ask for 6,000 entries a round; with room for fewer than a mixed list asks for,
# each is dropped just before it is asked for again, and a pack takes half as long again.
@kept(8192)
def _layout(
    runs: tuple[Run, ...],
    language: str,
    rtl: bool,
    width_pt: float,
    size_pt: float,
    leading: float,
    align: Align,
    bold: bool,
) -> TextBlock:
    prepared = prepare(runs, language, rtl, bold)
    lines = _fill(prepared, width_pt * 1000 / size_pt + _TOLERANCE, runs, language)
    factor = max(leading, least_leading(language))
    meeting = max(
        (after.top - before.bottom + CLEARANCE for before, after in pairwise(lines)),
        default=0,
    )
    leading_pt = max(factor, meeting / 1000) * size_pt
    return TextBlock(
        runs, language, rtl, align, size_pt, width_pt, leading_pt, tuple(lines),
        _any_forced(lines),
    )  # fmt: skip


def _any_forced(lines: Sequence[Line]) -> bool:
    return any(line.forced for line in lines)


def _fill(prepared: Prepared, width: float, runs: tuple[Run, ...], language: str) -> list[Line]:
    """Fill lines greedily."""
    lines: list[Line] = []
    current: list[Item] = []
    used = pending = 0
    for stretch in prepared.stretches:
        # Spaces and controls alone never start a line.
        if current and stretch.width and used + pending + stretch.width > width:
            lines.append(_line(current))
            current, used, pending = [], 0, 0
        if stretch.width > width:
            *full, rest = parted(prepared, stretch, width, runs, language)
            lines += [_line(items, forced=True) for items in full]
            stretch = _restretched(rest, stretch)
        current += stretch.items
        if stretch.width:
            used += pending + stretch.width
            pending = 0
        pending += stretch.trailing
        if stretch.ends_line:
            lines.append(_line(current, ended=True))
            current, used, pending = [], 0, 0
    if current or not lines:
        lines.append(_line(current))
    return lines


def _restretched(items: list[Item], whole: Stretch) -> Stretch:
    width = sum(item.word.width for item in items) - whole.trailing
    return Stretch(tuple(items), width, whole.trailing, whole.ends_line)


def _line(items: list[Item], forced: bool = False, ended: bool = False) -> Line:
    """Place items: reorder by their levels, spaces at the end hang."""
    count = len(items)
    while count and items[count - 1].space:
        count -= 1
    kept, hanging = items[:count], items[count:]
    places = [0] * count
    pen = 0
    for index in visual_order([item.level for item in kept]):
        places[index] = pen
        pen += kept[index].word.width
    spaced = ended or bool(hanging)
    return Line(tuple(kept), tuple(places), pen, tuple(hanging), forced, spaced)
