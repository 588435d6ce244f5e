"""Tinted panels: stop, caution, info and plain."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import nullcontext
from dataclasses import dataclass, replace
from functools import cached_property

from docbuilder.document.blocks import Panel, Run
from docbuilder.layout.boxes import Box, Remainder, Room, Stack
from docbuilder.layout.flow import Flow, MeasureAll
from docbuilder.layout.geometry import Frame, start_x
from docbuilder.layout.lettering import TextBox
from docbuilder.layout.pen import Pen
from docbuilder.layout.rows import Cell, Row
from docbuilder.layout.signs import octagon, warning_triangle
from docbuilder.layout.structure import Element
from docbuilder.layout.styles import RGB
from docbuilder.layout.text_blocks import section_title

__all__ = ["Dress", "PanelBox", "measure_panel"]

_LONG = 0.45
_LONG_STOP = 0.75
"""Share of an empty page up to which a panel always stays whole; more for a stop panel."""
_WORTH = 0.28
"""Share of a page left below which a longer panel goes whole to the next page."""


@dataclass(frozen=True, slots=True)
class Dress:
    """A panel's ground, the colour and width of its bar, and its padding."""

    ground: RGB
    edge: RGB
    bar: float
    pad: float


class PanelBox(Box):
    """A ground with a bar at the start edge; where it goes on, its head says so."""

    kind = "panel"

    def __init__(
        self, width: float, head: Box | None, inner: Stack, dress: Dress, flow: Flow,
        first: bool = True, long: float = _LONG, later: Callable[[], Box] | None = None,
    ) -> None:  # fmt: skip
        self.long, self.later = long, later
        """*later* measures the head for the pages after the first; None: the same head."""
        self.head, self.inner, self.dress, self.flow = head, inner, dress, flow
        self.first = first
        self.gap = head.after if head and inner.boxes else 0.0
        above = head.height + self.gap if head else 0.0
        self.frame_height = above + 2 * dress.pad
        super().__init__(width, inner.height + self.frame_height)
        self.before = self.after = flow.space(3)

    def split(self, room: Room) -> tuple[Box, Box] | None:
        """Split between the blocks inside, once the panel is long or forced."""
        better_whole = self.height <= room.page * self.long or room.height < room.page * _WORTH
        if not room.force and self.height <= room.page and better_whole:
            return None
        height = room.height - self.frame_height
        parts = self.inner.split(Room(height, room.page, room.force))
        if parts is None:
            return None
        return self._part(parts[0], self.first), self._part(parts[1], False)

    @property
    def stiff(self) -> bool:
        """Whether what is inside has no lower form."""
        return self.inner.stiff

    def squeeze(self, height: float) -> Box | None:
        """Return the panel with its blocks closer, where that makes it fit."""
        inner = None if self.stiff else self.inner.squeeze(height - self.frame_height)
        return None if inner is None else self._part(inner, self.first)

    @cached_property
    def remainder(self) -> Remainder:
        """What is left inside."""
        return *super().remainder, self.inner.remainder

    def _part(self, inner: Box, first: bool) -> PanelBox:
        assert isinstance(inner, Stack)
        head = self.head
        if self.first and not first and self.later is not None:
            head = self.later()
        part = PanelBox(
            self.width, head, inner, self.dress, self.flow, first, self.long, self.later
        )
        part.kind, part.number = self.kind, self.number
        return part

    def draw(self, pen: Pen, x: float, top: float) -> None:
        """Draw the ground, the bar, then head and blocks."""
        frame = Frame(x, top - self.height, x + self.width, top)
        bar, pad, rtl = self.dress.bar, self.dress.pad, self.flow.rtl
        pen.box(frame, fill=self.dress.ground)
        if bar:
            bar_x = start_x(x, self.width, 0, bar, rtl)
            pen.box(Frame(bar_x, frame.y0, bar_x + bar, top), fill=self.dress.edge)
        left = start_x(x, self.width, bar + pad, self.inner.width, rtl)
        y = top - pad
        with pen.on_ground(self.dress.ground):
            if self.head is not None:
                with nullcontext() if self.first else pen.artifact():
                    self.head.place(pen, left, y, frame)
                y -= self.head.height + self.gap
            self.inner.place(pen, left, y, frame)


class _Sign(Box):
    """The octagon with its word, or the triangle."""

    kind = "sign"

    def __init__(self, panel: Panel, size: float, flow: Flow, word: TextBox | None) -> None:
        super().__init__(size, size)
        self.panel, self.flow, self.word = panel, flow, word

    def draw(self, pen: Pen, x: float, top: float) -> None:
        """Draw the shape; a word that fits stands inside the octagon."""
        centre, middle = x + self.width / 2, top - self.height / 2
        if self.panel.kind == "caution":
            warning_triangle(pen, centre, middle, self.width)
            return
        red, radius = self.flow.look.colour("stop"), self.width / 2 / 0.9239
        pen.shape(octagon(centre, middle, radius), fill=red)
        pen.shape(octagon(centre, middle, radius * 0.9), stroke=(1, 1, 1), width_pt=1.1)
        if self.word is None:
            bar = self.width * 0.26
            pen.box(
                Frame(centre - bar, middle - bar * 0.24, centre + bar, middle + bar * 0.24),
                fill=(1, 1, 1),
            )
            return
        with pen.on_ground(red):
            frame = Frame(x, top - self.height, x + self.width, top)
            self.word.place(pen, x, middle + self.word.height / 2, frame)


def measure_panel(
    panel: Panel, width: float, flow: Flow, parent: Element, measure_all: MeasureAll
) -> list[Box]:
    """Return the panel's box."""
    look = flow.look
    ground, edge, bar = {
        "stop": (look.stop_ground, look.colour("stop"), 5.0),
        "caution": (look.caution_ground, (0.0, 0.0, 0.0), 3.0),
        "info": (look.tint, look.accent, 3.0),
        "plain": (look.neutral, look.colour("grey"), 0.0),
    }[panel.kind]
    pad = flow.space(2.25 if width > look.measure * 0.6 else 2)
    element = parent.child("Sect")
    inner = width - bar - 2 * pad
    head = _head(panel, inner, flow, element, _is_section(panel, parent))
    boxes = measure_all(panel.blocks, inner, flow, element)
    if boxes:
        boxes[0].before = boxes[-1].after = 0
    dress = Dress(ground, edge, bar, pad)
    long = _LONG_STOP if panel.kind == "stop" else _LONG
    later = _LaterHead(panel, inner, flow) if head and panel.continued else None
    stack = Stack(inner, boxes)
    stack.gives = True
    box = PanelBox(width, head, stack, dress, flow, long=long, later=later)
    box.leans_back = panel.kind == "caution"
    return [box]


@dataclass
class _LaterHead:
    """The head for the pages after the first; measured when a panel is parted, as few are."""

    panel: Panel
    width: float
    flow: Flow
    box: Box | None = None

    def __call__(self) -> Box:
        """Return the head, which says that the panel goes on; it is no heading once more."""
        if self.box is None:
            panel = replace(self.panel, title=self.panel.continued)
            self.box = _head(panel, self.width, self.flow, Element("Sect"), False)
            assert self.box is not None
        return self.box


def _head(panel: Panel, width: float, flow: Flow, element: Element, section: bool) -> Box | None:
    if panel.kind in ("stop", "caution"):
        return _signed_head(panel, width, flow, element, section)
    return _title(panel, width, flow, element, section) if panel.title else None


def _title(panel: Panel, width: float, flow: Flow, parent: Element, section: bool) -> TextBox:
    style = flow.style(
        round(flow.text_pt * 1.1, 1), bold=True, leading=1.25,
        tone="stop" if panel.kind == "stop" else "black",
    )  # fmt: skip
    if section:
        return _finished(section_title(panel.title, width, style, parent.child("H2")), flow)
    title = TextBox(panel.title, width, style, parent.child("P"))
    title.kind = "title"
    return _finished(title, flow)


def _finished(title: TextBox, flow: Flow) -> TextBox:
    title.keep_next, title.after = True, flow.space(1.5)
    return title


def _is_section(panel: Panel, parent: Element) -> bool:
    """Tell whether a panel is a section of the document, to be found by its heading.

    Stop and caution panels are, where they stand among the sections below the title.
    """
    return panel.kind in ("stop", "caution") and parent.is_titled


def _signed_head(panel: Panel, width: float, flow: Flow, parent: Element, section: bool) -> Box:
    size = flow.text_pt * (2.8 if panel.kind == "stop" else 2.2)
    gap = flow.space(2.5)
    room = width - size - gap
    word = _word_in_sign(panel, size, flow, parent)
    sign = _Sign(panel, size, flow, word)
    cells = [Cell(0, Stack(size, [sign]))]
    boxes: list[Box] = []
    if panel.sign_word and word is None:
        said = _word_beside_sign(panel, room, flow, parent)
        boxes.append(said)
        used = said.natural_width + 1 + flow.space(3)
        title = (
            _title(panel, max(room - used, 1), flow, Element("Sect"), False)
            if panel.title
            else None
        )
        if title is not None and title.natural_width <= room - used:
            # Word and title on one line, if both fit.
            shown = TextBox(said.runs, said.natural_width + 1, said.style, said.element)
            cells.append(Cell(size + gap, Stack(shown.width, [shown])))
            gap, room, boxes = gap + used, room - used, []
    if panel.title:
        boxes.append(_title(panel, room, flow, parent, section))
    cells.append(Cell(size + gap, Stack(room, boxes)))
    head = Row(width, cells, flow.rtl, middle=True)
    head.keep_next, head.after = True, flow.space(1.5)
    return head


def _word_in_sign(panel: Panel, size: float, flow: Flow, parent: Element) -> TextBox | None:
    """Return the word for the octagon, if it fits inside."""
    if panel.kind != "stop" or not panel.sign_word:
        return None
    style = flow.style(round(flow.text_pt * 0.8, 1), bold=True, tone="white", align="centre")
    tried = TextBox((Run(panel.sign_word),), size, style, None)
    if tried.line_count > 1 or tried.natural_width > size * 0.84:
        return None
    tried.element = parent.child("P")
    return tried


def _word_beside_sign(panel: Panel, room: float, flow: Flow, parent: Element) -> TextBox:
    stop = panel.kind == "stop"
    style = flow.style(
        round(flow.text_pt * 1.1, 1), bold=True, leading=1.25,
        tone="stop" if stop else "black",
    )  # fmt: skip
    return TextBox((Run(panel.sign_word),), room, style, parent.child("P"))
