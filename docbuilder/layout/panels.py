"""Tinted panels: stop, caution, info and plain."""

from __future__ import annotations

from docbuilder.document.blocks import Panel, Run
from docbuilder.document.scene import Tone
from docbuilder.layout.boxes import Box, Room, Stack
from docbuilder.layout.flow import Flow, MeasureAll
from docbuilder.layout.geometry import Frame, start_x
from docbuilder.layout.lettering import TextBox
from docbuilder.layout.pen import Pen
from docbuilder.layout.rows import Cell, Row
from docbuilder.layout.signs import octagon, warning_triangle
from docbuilder.layout.structure import Element
from docbuilder.layout.styles import RGB

__all__ = ["PanelBox", "measure_panel"]

_LONG = 0.6
"""Share of an empty page up to which a panel stays whole."""


class PanelBox(Box):
    """A ground with a bar at the start edge, and blocks inside."""

    kind = "panel"

    def __init__(
        self, width: float, inner: Stack, flow: Flow, ground: RGB, edge: RGB, pad: float, bar: float
    ) -> None:
        self.inner, self.flow, self.pad, self.bar = inner, flow, pad, bar
        self.fill_colour, self.edge = ground, edge
        super().__init__(width, inner.height + 2 * pad)
        self.before = self.after = flow.space(3)

    def split(self, room: Room) -> tuple[Box, Box] | None:
        """Split between the blocks inside, once the panel is long or forced."""
        if not room.force and self.height <= room.page * _LONG:
            return None
        parts = self.inner.split(Room(room.height - 2 * self.pad, room.page, room.force))
        if parts is None:
            return None
        first, rest = (self._part(part) for part in parts)
        return first, rest

    def _part(self, inner: Box) -> PanelBox:
        assert isinstance(inner, Stack)
        part = PanelBox(
            self.width, inner, self.flow, self.fill_colour, self.edge, self.pad, self.bar
        )
        part.number = self.number
        return part

    def draw(self, pen: Pen, x: float, top: float) -> None:
        """Draw the ground, the bar, then the blocks."""
        frame = Frame(x, top - self.height, x + self.width, top)
        pen.box(frame, fill=self.fill_colour)
        if self.bar:
            bar_x = start_x(x, self.width, 0, self.bar, self.flow.rtl)
            pen.box(Frame(bar_x, frame.y0, bar_x + self.bar, top), fill=self.edge)
        left = start_x(x, self.width, self.bar + self.pad, self.inner.width, self.flow.rtl)
        with pen.on_ground(self.fill_colour):
            self.inner.place(pen, left, top - self.pad, frame)


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
    pad = flow.space(3 if width > look.measure * 0.6 else 2)
    element = parent.child("Sect")
    inner = width - bar - 2 * pad
    boxes: list[Box] = []
    if panel.kind in ("stop", "caution"):
        boxes.append(_signed_head(panel, inner, flow, element))
    elif panel.title:
        boxes.append(_title(panel, inner, flow, element))
    boxes += measure_all(panel.blocks, inner, flow, element)
    if boxes:
        boxes[0].before = boxes[-1].after = 0
    return [PanelBox(width, Stack(inner, boxes), flow, ground, edge, pad, bar)]


def _title(panel: Panel, width: float, flow: Flow, parent: Element) -> TextBox:
    style = flow.style(
        round(flow.text_pt * 1.1, 1), bold=True, leading=1.25,
        tone="stop" if panel.kind == "stop" else "black",
    )  # fmt: skip
    title = TextBox(panel.title, width, style, parent.child("P"))
    title.kind, title.keep_next, title.after = "title", True, flow.space(1.5)
    return title


def _signed_head(panel: Panel, width: float, flow: Flow, parent: Element) -> Box:
    size = flow.text_pt * 3.4 if panel.kind == "stop" else flow.text_pt * 2.2
    word, word_size = None, round(flow.text_pt * 0.9, 1)
    beside: list[Box] = []
    if panel.sign_word:
        runs = (Run(panel.sign_word),)
        if panel.kind == "stop":
            tried = TextBox(
                runs, size, flow.style(word_size, bold=True, tone="white", align="centre"), None
            )
            if tried.line_count == 1 and tried.natural_width <= size * 0.84:
                word = TextBox(runs, size, tried.style, parent.child("P"))
        if word is None:
            tone: Tone = "stop" if panel.kind == "stop" else "black"
            style = flow.style(
                round(flow.text_pt * (1.3 if panel.kind == "stop" else 1.1), 1),
                bold=True, tone=tone, leading=1.2,
            )  # fmt: skip
            beside.append(TextBox(runs, 10_000, style, None))
    gap = flow.space(2.5)
    room = width - size - gap
    boxes: list[Box] = [
        TextBox(old.runs, room, old.style, parent.child("P"))
        for old in beside
        if isinstance(old, TextBox)
    ]
    if panel.title:
        boxes.append(_title(panel, room, flow, parent))
    sign = _Sign(panel, size, flow, word)
    head = Row(
        width, [Cell(0, Stack(size, [sign])), Cell(size + gap, Stack(room, boxes))],
        flow.rtl, middle=True,
    )  # fmt: skip
    head.keep_next, head.after = True, flow.space(2)
    return head
