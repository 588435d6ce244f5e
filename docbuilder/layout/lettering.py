"""Text as boxes: set by the text engine, tagged and logged as it is drawn."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

from docbuilder.caching import kept
from docbuilder.document.blocks import Run, Runs
from docbuilder.layout.boxes import Box, Room, Shape
from docbuilder.layout.geometry import Frame
from docbuilder.layout.pen import Pen
from docbuilder.layout.structure import Element
from docbuilder.layout.styles import RGB
from docbuilder.text import Segment, TextBlock, layout, min_width, natural_width, segments

__all__ = ["Align", "TextBox", "TextStyle", "isolated", "least_width"]

Align = Literal["start", "end", "centre", "left", "right"]

_CAP_HEIGHT = 0.714
"""Of the capitals and figures, in font sizes (Noto Sans)."""
_TIED_HYPHEN = "-\u2060"
LEADING = 1.36
"""Baseline distance of running text, in font sizes."""
_RUNT = 0.16
"""A last line shorter than this share of the measure is one stray word."""
_NARROWER = (0.95, 0.9, 0.85, 0.78, 0.7)
"""Measures tried to bring company to a stray word."""
_LEAST_LINES = 2
"""No single line of a paragraph stands alone on a page."""


@dataclass(frozen=True, slots=True)
class TextStyle:
    """How text is set. *left* and *right* are sides of the paper whatever the script."""

    size_pt: float
    ink: RGB
    language: str
    rtl: bool
    bold: bool = False
    align: Align = "start"
    leading: float | None = None
    """Baseline distance in font sizes; None: `LEADING`."""

    @property
    def set_align(self) -> Literal["start", "end", "centre"]:
        """Return the alignment by reading direction."""
        if self.align in ("left", "right"):
            return "start" if (self.align == "right") == self.rtl else "end"
        return self.align  # type: ignore[return-value]


class TextBox(Box):
    """A paragraph in lines; *measure* is the widest line, *width* the room it stands in."""

    kind = "text"
    runt = _RUNT
    """Share of the measure that the last line should reach."""

    def __init__(
        self,
        runs: Runs,
        width: float,
        style: TextStyle,
        element: Element | None,
        *,
        measure: float | None = None,
    ) -> None:
        self.runs, self.style, self.element = runs, style, element
        self.block, self.measure = _evened(runs, min(width, measure or width), style, self.runt)
        self.drop = 0.0
        self._inks = (_operator(style.ink),) * max(1, len(runs))
        super().__init__(width, self.block.height_pt)

    @property
    def line_count(self) -> int:
        """Number of lines."""
        return len(self.block.lines)

    @property
    def line_height(self) -> float:
        """Baseline to baseline."""
        return self.block.leading_pt

    @property
    def first_baseline(self) -> float:
        """Distance of the first baseline from the top."""
        return self.drop + self.block.baseline_pt(0)

    @property
    def natural_width(self) -> float:
        """Width on one line."""
        style = self.style
        return natural_width(
            self.runs, language=style.language, rtl=style.rtl, size_pt=style.size_pt,
            bold=style.bold,
        )  # fmt: skip

    def lower(self, drop: float) -> None:
        """Add room above the first line."""
        self.drop += drop
        self.height += drop

    def split(self, room: Room) -> tuple[Box, Box] | None:
        """Split between lines, two at least on each side."""
        count = self.line_count
        fitting = int((room.height - self.drop + 0.01) // self.line_height)
        first = min(fitting, count - _LEAST_LINES)
        if first < _LEAST_LINES or self.keep_next:
            return None
        return self._part(0, first), self._part(first, count)

    @property
    def shape(self) -> Shape:
        """Its outline, and its lines."""
        return *self.outline, self.drop, self.line_count, self.line_height

    def _part(self, first: int, last: int) -> TextBox:
        part = object.__new__(type(self))
        part.__dict__.update(self.__dict__)
        part.tapes = None
        part.block = self.block.part(first, last)
        part.drop = self.drop if first == 0 else 0.0
        part.height = part.block.height_pt + part.drop
        return part

    def draw(self, pen: Pen, x: float, top: float) -> None:
        """Draw the lines, each stretch in its own mark."""
        frame = Frame(x, top - self.height, x + self.width, top)
        left = x + (self.width - self.measure if self.style.rtl else 0.0)
        self._draw(pen, left, top - self.drop, frame)

    def place_centred(self, pen: Pen, frame: Frame) -> None:
        """Draw with the capitals' middle at the middle of *frame*."""
        middle = (frame.y0 + frame.y1) / 2
        if self.line_count == 1:
            top = middle - _CAP_HEIGHT / 2 * self.style.size_pt + self.block.baseline_pt(0)
        else:
            top = middle + self.block.height_pt / 2
        self._draw(pen, (frame.x0 + frame.x1 - self.measure) / 2, top, frame)

    def _draw(self, pen: Pen, left: float, top: float, room: Frame) -> None:
        for segment in segments(self.block, left, top, pen.fonts, inks=self._inks):
            self._draw_segment(pen, segment)
        self._log(pen, left, top, room)

    def _draw_segment(self, pen: Pen, segment: Segment) -> None:
        run = self.runs[segment.run]
        element = self._element(pen, segment.run, run)
        tagged = not pen.is_marked
        pen.text(segment.operators, element)
        if run.link and element is not None:
            for box in segment.boxes:
                y = box.bottom + 0.14 * self.style.size_pt
                pen.rule((box.left, y), (box.right, y), self.style.ink, 0.6)
                if tagged:
                    pen.file.link(element, pen.page, box, run.link, run.text)

    def _element(self, pen: Pen, number: int, run: Run) -> Element | None:
        """Return the element for a run: a link, a span in another language, or our own."""
        foreign = run.language if run.language not in (None, self.style.language) else ""
        if self.element is None or not (run.link or foreign):
            return self.element
        tag = "Link" if run.link else "Span"
        return pen.file.inner(self.element, (self.number, number), tag, foreign or "")

    def _log(self, pen: Pen, left: float, top: float, room: Frame) -> None:
        size = self.style.size_pt
        for number, line in enumerate(self.block.lines):
            if not line.items:
                continue
            x = left + self.block.left_pt(number)
            base = top - self.block.baseline_pt(number)
            frame = Frame(
                x, base - 0.2 * size, x + self.block.line_width_pt(number), base + 0.7 * size
            )
            pen.lettered(frame, room, size, self.style.ink, line.forced)


def isolated(text: str) -> str:
    """Return *text* in an isolate: its own direction, whatever stands around it."""
    return f"\u2068{text}\u2069"


def least_width(runs: Runs, style: TextStyle) -> float:
    """Return the width of the longest word, in points."""
    return min_width(
        runs, language=style.language, rtl=style.rtl, size_pt=style.size_pt, bold=style.bold
    )


@kept(8192)
def _evened(runs: Runs, measure: float, style: TextStyle, runt: float) -> tuple[TextBlock, float]:
    """Return the lines and their measure: a little shorter where the last holds a stray word."""
    block = _set(runs, measure, style)
    count = len(block.lines)
    if count < 2 or style.set_align != "start" or _last(block) >= runt * measure:
        return block, measure
    for share in _NARROWER:
        shorter = _set(runs, measure * share, style)
        if len(shorter.lines) > count or shorter.forced:
            break
        if _last(shorter) >= runt * measure:
            return shorter, measure * share
    return block, measure


def _last(block: TextBlock) -> float:
    return block.line_width_pt(len(block.lines) - 1)


def _set(runs: Runs, width: float, style: TextStyle) -> TextBlock:
    block = _laid(runs, width, style)
    if block.forced and any(_TIED_HYPHEN in run.text for run in runs):
        # A code wider than its frame: broken at a hyphen rather than anywhere.
        untied = tuple(replace(run, text=run.text.replace(_TIED_HYPHEN, "-")) for run in runs)
        return _laid(untied, width, style)
    return block


def _laid(runs: Runs, width: float, style: TextStyle) -> TextBlock:
    return layout(
        tuple(runs) or (Run(""),),
        language=style.language, rtl=style.rtl, width_pt=width, size_pt=style.size_pt,
        leading=style.leading or LEADING, align=style.set_align, bold=style.bold,
    )  # fmt: skip


@kept(256)
def _operator(colour: RGB) -> str:
    return " ".join(f"{part:.3f}".rstrip("0").rstrip(".") for part in colour) + " rg"
