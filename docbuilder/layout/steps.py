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

_PICTURE_MM = 26.0
_LEAST_WORDS_EM = 9.5
"""Room for words beside the displays, in font sizes."""
_LEAST_CELL_EM = 10
"""Width of one of several steps side by side, in font sizes."""
_CELL_PICTURE_MM = (28.0, 17.0)
"""Widest and highest picture above the words of a step, at 14 pt."""
_BESIDE_EM = 15
"""From this width of a cell on the picture stands beside the words, not above them."""
_BESIDE_MM = (18.0, 18.0)
_DISC_EM = 1.7


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
    across = _across(block, width, flow)
    if across > 1:
        return _grid(block, across, width, flow, listed)
    beside = _display_column(block, width, flow)
    rows: list[Box] = []
    for index, step in enumerate(block.steps):
        row = _row(step, block.start + index, width, beside, flow, listed.child("LI"))
        row.before = row.after = flow.space(1.25)
        rows.append(row)
    keep_ends(rows, flow)
    return rows


def _across(block: Steps, width: float, flow: Flow) -> int:
    """Return how many steps stand side by side: as asked, if each has room for its words."""
    if any(step.display for step in block.steps):
        return 1
    gap = flow.space(4)
    fitting = int((width + gap) // (flow.text_pt * _LEAST_CELL_EM + gap))
    return max(1, min(block.columns, fitting, len(block.steps)))


def _grid(block: Steps, across: int, width: float, flow: Flow, listed: Element) -> list[Box]:
    """Return rows of steps side by side, the picture above the words."""
    gap = flow.space(4)
    rows: list[Box] = []
    for start in range(0, len(block.steps), across):
        steps = block.steps[start : start + across]
        # Fewer in the last row share its width, and leave no hole.
        cell = (width - gap * (len(steps) - 1)) / len(steps)
        made = [
            _cell(step, block.start + start + index, cell, flow, listed.child("LI"))
            for index, step in enumerate(steps)
        ]
        tallest = max((top.height for top, _ in made if top is not None), default=0.0)
        cells = []
        for index, (top, words) in enumerate(made):
            boxes: list[Box] = list(words)
            if top is not None:
                # Words of neighbours begin on one line, whatever their pictures' heights.
                top.height = tallest
                boxes.insert(0, top)
            stack = Stack(cell, boxes, whole=True)
            stack.kind = "step"
            cells.append(Cell(index * (cell + gap), stack))
        row = Row(width, cells, flow.rtl)
        row.kind = "steps"
        row.before = row.after = flow.space(3)
        rows.append(row)
    if len(rows) > 1:
        rows[0].keep_next = len(rows) == 2 and rows[1].height < rows[0].height / 2
    return rows


def _cell(
    step: Step, number: int, width: float, flow: Flow, item: Element
) -> tuple[Row | None, list[Box]]:
    """Return a step's number with its picture, and its words below or beside the number."""
    disc, label_width = _numbered(number, flow, item)
    body = item.child("LBody")
    start = label_width + flow.space(2)
    room = width - start
    beside = width >= flow.text_pt * _BESIDE_EM
    side = 0.0
    cells = [Cell(0, Stack(label_width, [disc]))]
    if step.picture is not None:
        scale = max(1.0, flow.text_pt / 14)
        sides = _BESIDE_MM if beside else _CELL_PICTURE_MM
        widest, highest = (part * MM * scale for part in sides)
        picture = SceneBox(step.picture, min(room, widest), flow, None, highest=highest)
        if not beside:
            picture.element = _figure(step, body)
            text = TextBox(step.runs, width, flow.style(), body.child("P"))
            text.before = flow.space(1)
            cells.append(Cell(start, Stack(room, [picture])))
            return Row(width, cells, flow.rtl), [text]
        side = picture.width + flow.space(2)
    text = TextBox(step.runs, room - side, flow.style(), body.child("P"))
    text.lower(max(0.0, (disc.height - text.line_height) / 2))
    cells.append(Cell(start, Stack(room - side, [text])))
    if step.picture is not None:
        picture.element = _figure(step, body)
        cells.append(Cell(width - picture.width, Stack(picture.width, [picture])))
    return None, [Row(width, cells, flow.rtl)]


def _figure(step: Step, body: Element) -> Element | None:
    """Return the picture's element; none for one that only repeats the words."""
    return body.child("Figure", alt=step.picture_alt) if step.picture_alt else None


def _numbered(number: int, flow: Flow, item: Element) -> tuple[_Disc, float]:
    size = flow.text_pt * _DISC_EM
    style = flow.style(bold=True, tone="white", align="centre", leading=1.0)
    label = TextBox((Run(flow.own_digits(str(number))),), size, style, item.child("Lbl"))
    return _Disc(size, label, flow), size


def _display_column(block: Steps, width: float, flow: Flow) -> float:
    """Return the width of the displays' column; 0: they stand below the words."""
    shown = [step.display for step in block.steps if step.display]
    if not shown or any(step.picture for step in block.steps):
        return 0.0
    style = _display_style(flow)
    texts = [TextBox((Run(isolated(words)),), 10_000, style, None) for words in shown]
    widest = max(_Display(text, 10_000, flow).inner for text in texts) + 1
    words_room = width - flow.text_pt * _DISC_EM - 2 * flow.space(2) - widest
    return widest if words_room >= flow.text_pt * _LEAST_WORDS_EM else 0.0


def _display_style(flow: Flow) -> TextStyle:
    return flow.style(bold=True, align="centre", leading=1.2)


def _row(step: Step, number: int, width: float, beside: float, flow: Flow, item: Element) -> Row:
    disc, disc_size = _numbered(number, flow, item)
    body = item.child("LBody")
    gap = flow.space(2)
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
        picture.element = _figure(step, body)
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
