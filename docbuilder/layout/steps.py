"""Numbered steps: a number in a disc, the words, and what the unit shows."""

from __future__ import annotations

from docbuilder.document.blocks import Run, Step, Steps
from docbuilder.layout.boxes import Box, Stack
from docbuilder.layout.flow import Flow
from docbuilder.layout.geometry import MM, Frame
from docbuilder.layout.lettering import TextBox, isolated
from docbuilder.layout.pen import Pen, circle
from docbuilder.layout.pictures import SceneBox
from docbuilder.layout.rows import Cell, Row
from docbuilder.layout.structure import Element

__all__ = ["measure_steps"]

_PICTURE_MM = 38.0


class _Disc(Box):
    """The step's number, white on the accent."""

    kind = "number"

    def __init__(self, size: float, number: TextBox, flow: Flow) -> None:
        super().__init__(size, size)
        self.number_text, self.flow = number, flow

    def draw(self, pen: Pen, x: float, top: float) -> None:
        """Draw the disc, then the number in its middle."""
        radius = self.width / 2
        accent = self.flow.look.accent
        pen.shape(circle(x + radius, top - radius, radius), fill=accent)
        with pen.on_ground(accent):
            frame = Frame(x, top - self.height, x + self.width, top)
            self.number_text.place_centred(pen, frame)


class _Display(Box):
    """What the unit's display shows: a small neutral panel with the words."""

    kind = "display"

    def __init__(self, words: TextBox, room: float, flow: Flow) -> None:
        self.words, self.flow = words, flow
        self.pad = flow.space(1.5)
        self.inner = words.natural_width + 2 * self.pad + 4
        super().__init__(room, words.height + flow.space(1.5))

    def draw(self, pen: Pen, x: float, top: float) -> None:
        """Draw the panel at the start edge."""
        left = x + self.width - self.inner if self.flow.rtl else x
        frame = Frame(left, top - self.height, left + self.inner, top)
        ground = (0.93, 0.935, 0.92)
        pen.box(frame, fill=ground, stroke=(0.25, 0.25, 0.25), width_pt=1.0, radius=4)
        with pen.on_ground(ground):
            self.words.place_centred(pen, frame)


def measure_steps(block: Steps, width: float, flow: Flow, parent: Element) -> list[Box]:
    """Return one unsplit row per step."""
    listed = parent.child("L", attributes="<</O/List/ListNumbering/Decimal>>")
    rows: list[Box] = []
    for index, step in enumerate(block.steps):
        row = _row(step, block.start + index, width, flow, listed.child("LI"))
        row.before = row.after = flow.space(2.5)
        rows.append(row)
    return rows


def _row(step: Step, number: int, width: float, flow: Flow, item: Element) -> Row:
    disc_size = flow.text_pt * 2
    style = flow.style(bold=True, tone="white", align="centre", leading=1.0)
    label = TextBox((Run(str(number)),), disc_size, style, item.child("Lbl"))
    disc = _Disc(disc_size, label, flow)
    body = item.child("LBody")
    gap = flow.space(2.5)
    cells = [Cell(0, Stack(disc_size, [disc]))]
    room = width - disc_size - gap
    if step.picture is not None:
        side = min(_PICTURE_MM * MM * flow.look.scale, room * 0.42)
        words_room = room - side - gap
        picture = SceneBox(step.picture, side, flow, None, highest=side * 1.4)
        cells.append(Cell(disc_size + gap, _words(step, words_room, flow, body, disc_size)))
        picture.element = body.child("Figure", alt=step.picture_alt)
        cells.append(Cell(disc_size + gap + words_room + gap, Stack(side, [picture])))
    else:
        cells.append(Cell(disc_size + gap, _words(step, room, flow, body, disc_size)))
    row = Row(width, cells, flow.rtl)
    row.kind = "step"
    return row


def _words(step: Step, width: float, flow: Flow, body: Element, disc: float) -> Stack:
    measure = min(width, flow.look.measure)
    text = TextBox(step.runs, width, flow.style(), body.child("P"), measure=measure)
    text.lower(max(0.0, (disc - text.line_height) / 2))
    boxes: list[Box] = [text]
    if step.display:
        style = flow.style(bold=True, align="centre", leading=1.2)
        words = TextBox(
            (Run(isolated(step.display)),), width - flow.space(4), style, body.child("P")
        )
        shown = _Display(words, width, flow)
        shown.before = flow.space(1.5)
        boxes.append(shown)
    return Stack(width, boxes)
