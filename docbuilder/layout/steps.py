"""Numbered steps: a number in a disc, the words, and what the unit shows."""

from __future__ import annotations

from docbuilder.document.blocks import Run, Step, Steps
from docbuilder.layout.boxes import Box, Stack
from docbuilder.layout.flow import Flow
from docbuilder.layout.geometry import MM, Frame
from docbuilder.layout.lettering import TextBox, TextStyle, isolated
from docbuilder.layout.pen import Pen, circle
from docbuilder.layout.pictures import SceneBox
from docbuilder.layout.rows import Cell, Row
from docbuilder.layout.structure import Element
from docbuilder.layout.text_blocks import keep_ends

__all__ = ["measure_steps"]

_PICTURE_MM = 30.0
_LEAST_WORDS_EM = 15
"""Room for words beside the displays, in font sizes."""


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
        self.inner = min(words.natural_width + 2 * self.pad + 4, room)
        self.drop = 0.0
        super().__init__(room, words.height + flow.space(1.5))

    def draw(self, pen: Pen, x: float, top: float) -> None:
        """Draw the panel at the start edge."""
        left = x + self.width - self.inner if self.flow.rtl else x
        frame = Frame(left, top - self.height, left + self.inner, top - self.drop)
        ground = (0.93, 0.935, 0.92)
        pen.box(frame, fill=ground, stroke=(0.25, 0.25, 0.25), width_pt=1.0, radius=4)
        with pen.on_ground(ground):
            self.words.place_centred(pen, frame)


def measure_steps(block: Steps, width: float, flow: Flow, parent: Element) -> list[Box]:
    """Return one unsplit row per step; displays stand in a column where there is room."""
    listed = parent.child("L", attributes="<</O/List/ListNumbering/Decimal>>")
    beside = _display_column(block, width, flow)
    rows: list[Box] = []
    for index, step in enumerate(block.steps):
        row = _row(step, block.start + index, width, beside, flow, listed.child("LI"))
        row.before = row.after = flow.space(2.5)
        rows.append(row)
    keep_ends(rows, flow)
    return rows


def _display_column(block: Steps, width: float, flow: Flow) -> float:
    """Return the width of the displays' column; 0: they stand below the words."""
    shown = [step.display for step in block.steps if step.display]
    if not shown or any(step.picture for step in block.steps):
        return 0.0
    style = _display_style(flow)
    texts = [TextBox((Run(isolated(words)),), 10_000, style, None) for words in shown]
    widest = max(_Display(text, 10_000, flow).inner for text in texts) + 1
    words_room = width - flow.text_pt * 2 - 2 * flow.space(2.5) - widest
    return widest if words_room >= flow.text_pt * _LEAST_WORDS_EM else 0.0


def _display_style(flow: Flow) -> TextStyle:
    return flow.style(bold=True, align="centre", leading=1.2)


def _row(step: Step, number: int, width: float, beside: float, flow: Flow, item: Element) -> Row:
    disc_size = flow.text_pt * 2
    style = flow.style(bold=True, tone="white", align="centre", leading=1.0)
    label = TextBox((Run(str(number)),), disc_size, style, item.child("Lbl"))
    disc = _Disc(disc_size, label, flow)
    body = item.child("LBody")
    gap = flow.space(2.5)
    start = disc_size + gap
    side = beside
    if step.picture is not None:
        side = min(_PICTURE_MM * MM * (1.2 if flow.look.text_pt >= 16 else 1.0), width * 0.35)
    room = width - start - (side + gap if side else 0.0)
    text = TextBox(
        step.runs, room, flow.style(), body.child("P"), measure=min(room, flow.look.measure)
    )
    text.lower(max(0.0, (disc_size - text.line_height) / 2))
    words: list[Box] = [text]
    cells = [Cell(0, Stack(disc_size, [disc])), Cell(start, Stack(room, words))]
    if step.display:
        shown = _display(step, beside or room, flow, body)
        if beside:
            shown.drop = max(0.0, (disc_size - shown.height) / 2)
            shown.height += shown.drop
            cells.append(Cell(width - beside, Stack(beside, [shown])))
        else:
            words.append(shown)
            cells[1] = Cell(start, Stack(room, words))
    if step.picture is not None:
        picture = SceneBox(step.picture, side, flow, None, highest=side * 1.4)
        picture.element = body.child("Figure", alt=step.picture_alt)
        cells.append(Cell(width - side, Stack(side, [picture])))
    row = Row(width, cells, flow.rtl)
    row.kind = "step"
    return row


def _display(step: Step, room: float, flow: Flow, body: Element) -> _Display:
    words = TextBox(
        (Run(isolated(step.display)),), room - flow.space(3) - 4, _display_style(flow),
        body.child("P"),
    )  # fmt: skip
    shown = _Display(words, room, flow)
    shown.before = flow.space(1.5)
    return shown
