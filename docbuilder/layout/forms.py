"""Room to tick, to write and to sign."""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import nullcontext
from dataclasses import replace

from docbuilder.document.blocks import CheckItem, Run, SignatureBlock, SignatureLine, WriteLines
from docbuilder.layout.asking import (
    Asker,
    choice_askers,
    plain,
    signature_asker,
    text_asker,
    tick_asker,
)
from docbuilder.layout.boxes import Box, Gap, Shape, Stack
from docbuilder.layout.flow import Flow
from docbuilder.layout.geometry import MM, Frame
from docbuilder.layout.lettering import TextBox
from docbuilder.layout.pen import Pen
from docbuilder.layout.rows import Cell, Row
from docbuilder.layout.structure import Element

__all__ = ["LEAST_SIGNING_MM", "measure_check", "measure_signature", "measure_write_lines"]

LEAST_SIGNING_MM = 9.0
"""Clear height above a line to sign; common practice, no source."""
_LEAST_FIELD_PT = 52.0
_LEAST_NAME_PT, _LEAST_NAME = 9.5, 0.8
"""Smallest type of a printed name, in points and against the body."""
_ABOVE_RULE_PT = 2.0
"""Keeps the tails of printed letters off the line."""


class _TickBox(Box):
    """An empty square that reads as ☐, or as the field that it asks for."""

    kind = "tick box"

    def __init__(
        self, width: float, height: float, drop: float, element: Element, ask: Asker | None
    ) -> None:
        super().__init__(width, height + drop)
        self.drop, self.element, self.ask = drop, element, ask

    def draw(self, pen: Pen, x: float, top: float) -> None:
        """Draw the square below its drop."""
        frame = Frame(x, top - self.height, x + self.width, top - self.drop)
        with nullcontext() if self.ask else pen.marked(self.element, actual_text="☐"):
            pen.box(frame, stroke=(0, 0, 0), width_pt=1.1, radius=1.5)
        if self.ask is not None:
            self.ask(pen, frame)


class _Rule(Box):
    """Clear room with a line at its foot; printed text may stand on the line."""

    kind = "write line"

    def __init__(
        self, width: float, height: float, text: TextBox | None = None,
        ask: Asker | None = None, lines: int = 1,
    ) -> None:  # fmt: skip
        super().__init__(width, height)
        self.text, self.ask, self.lines = text, ask, lines
        """*lines*: how many ruled lines, this one and those above, the field covers."""

    def draw(self, pen: Pen, x: float, top: float) -> None:
        """Draw the line, then what stands on it."""
        foot = top - self.height
        pen.rule((x, foot), (x + self.width, foot), (0, 0, 0), 0.8)
        if self.text is not None:
            room = Frame(x, foot, x + self.width, top)
            self.text.place(pen, x, foot + self.text.height + _ABOVE_RULE_PT, room)
        if self.ask is not None:
            self.ask(pen, Frame(x, foot, x + self.width, foot + self.height * self.lines))


def measure_check(block: CheckItem, width: float, flow: Flow, listed: Element) -> list[Box]:
    """Return one item of a checklist; *listed* is the L element it joins."""
    item = listed.child("LI")
    maker = {"tick": _tick, "initials": _initials, "yes_no": _yes_no}[block.box]
    row = maker(block, width, flow, item)
    row.kind = "check item"
    row.before = row.after = flow.space(1.5)
    return [row]


def _tick(block: CheckItem, width: float, flow: Flow, item: Element) -> Row:
    side = flow.text_pt * 1.05
    drop = (flow.text_pt * 1.4 - side) / 2
    label = item.child("Lbl")
    box = _TickBox(side, side, drop, label, tick_asker(flow, label, plain(block.runs)))
    offset = side + flow.space(2)
    text = _says(block, width - offset, flow, item.child("LBody"))
    return Row(
        width, [Cell(0, Stack(side, [box])), Cell(offset, Stack(width - offset, [text]))], flow.rtl
    )


def _says(block: CheckItem, width: float, flow: Flow, element: Element) -> TextBox:
    measure = min(width, flow.look.measure)
    return TextBox(block.runs, width, flow.style(), element, measure=measure)


def _initials(block: CheckItem, width: float, flow: Flow, item: Element) -> Row:
    box_width, height = 20 * MM, 9 * MM
    room = width - box_width - flow.space(3)
    label = item.child("Lbl")
    box = _TickBox(
        box_width, height, 0, label, text_asker(flow, label, plain(block.runs), kind="initials")
    )
    text = _says(block, room, flow, item.child("LBody"))
    return Row(
        width,
        [Cell(0, Stack(room, [text])), Cell(width - box_width, Stack(box_width, [box]))],
        flow.rtl,
    )


def _yes_no(block: CheckItem, width: float, flow: Flow, item: Element) -> Row:
    side, near, apart = flow.text_pt * 1.05, flow.space(1), flow.space(3)
    drop = (flow.text_pt * 1.4 - side) / 2
    style = flow.style()
    words = [TextBox((Run(word),), 10_000, style, None) for word in block.yes_no_words]
    widths = [box.natural_width + 1 for box in words]
    needed = sum(widths) + 2 * (side + near) + apart
    room = width - needed - flow.space(3)
    body = item.child("LBody")
    cells = [Cell(0, Stack(room, [_says(block, room, flow, body.child("P"))]))]
    offset = width - needed
    # Elements in reading order: a box, its word, the other box, its word.
    spans = [(body.child("Span"), body.child("Span")) for _ in block.yes_no_words]
    asked = choice_askers(
        flow, [box for box, _ in spans], plain(block.asks or block.runs), block.yes_no_words
    )
    for word, word_width, (box_span, word_span), ask in zip(
        block.yes_no_words, widths, spans, asked, strict=True
    ):
        box = _TickBox(side, side, drop, box_span, ask)
        text = TextBox((Run(word),), word_width, style, word_span)
        cells.append(Cell(offset, Stack(side, [box])))
        cells.append(Cell(offset + side + near, Stack(word_width, [text])))
        offset += side + near + word_width + apart
    return Row(width, cells, flow.rtl)


def measure_write_lines(block: WriteLines, width: float, flow: Flow, parent: Element) -> list[Box]:
    """Return the label and the ruled room under it."""
    boxes: list[Box] = []
    if block.beside and any(run.text.strip() for run in block.label):
        row = _beside(block, width, flow, parent)
        if row is not None:
            return [row]
    if any(run.text.strip() for run in block.label):
        label = TextBox(
            block.label, width, flow.style(), parent.child("P"),
            measure=min(width, flow.look.measure),
        )  # fmt: skip
        label.keep_next = True
        boxes.append(label)
    boxes += [_Rule(width, block.line_mm * MM) for _ in range(block.lines - 1)]
    if block.lines:
        ask = text_asker(flow, parent, plain(block.label), block.lines)
        boxes.append(_Rule(width, block.line_mm * MM, ask=ask, lines=block.lines))
    stack = Stack(width, boxes, whole=True)
    stack.kind = "write lines"
    stack.before = stack.after = flow.space(2)
    return [stack]


def _beside(block: WriteLines, width: float, flow: Flow, parent: Element) -> Row | None:
    """Return the label with its line beside it; None if that would be too short."""
    label = TextBox(block.label, 10_000, flow.style(), None)
    taken = label.natural_width + 1 + flow.space(2)
    if width - taken < _LEAST_FIELD_PT or block.lines != 1:
        return None
    named = TextBox(block.label, label.natural_width + 1, flow.style(), parent.child("P"))
    height = block.line_mm * MM
    named.lower(max(0.0, height - named.height + _ABOVE_RULE_PT))
    line = _Rule(width - taken, height, ask=text_asker(flow, parent, plain(block.label)))
    cells = [Cell(0, Stack(named.width, [named])), Cell(taken, Stack(width - taken, [line]))]
    row = Row(width, cells, flow.rtl)
    row.kind = "write lines"
    row.before = row.after = flow.space(2)
    return row


def measure_signature(
    block: SignatureBlock, width: float, flow: Flow, parent: Element
) -> list[Box]:
    """Return statement and lines as one box that is never split."""
    element = parent.child("Sect")
    boxes: list[Box] = []
    if any(run.text.strip() for run in block.statement):
        statement = TextBox(
            block.statement, width, flow.style(), element.child("P"),
            measure=min(width, flow.look.measure),
        )  # fmt: skip
        statement.after = flow.space(2)
        boxes.append(statement)
    height = max(block.line_mm, LEAST_SIGNING_MM) * MM
    for line in block.lines:
        boxes += _signer(line, plain(block.statement or block.asks), height, width, flow, element)
    stack = _Unsplit(width, boxes)
    stack.kind = "signature"
    stack.before = stack.after = flow.space(3)
    return [stack]


class _Unsplit(Stack):
    """Stays whole whatever happens; the page lint tells if it is too tall."""

    @property
    def shape(self) -> Shape:
        """Its outline, where it has no other form."""
        loose = self.keep_next or self.headed or not self.stiff
        return (self.number,) if loose else self.outline

    def split(self, room: object) -> None:
        """Never."""
        return None


def _signer(
    line: SignatureLine, statement: str, height: float, width: float, flow: Flow, parent: Element
) -> list[Box]:
    boxes: list[Box] = []
    if any(run.text.strip() for run in line.role):
        role = TextBox(line.role, width, flow.style(bold=True), parent.child("P"))
        role.before = flow.space(3)
        boxes.append(role)
    gap = flow.space(4)
    filled = (*line.prefilled, *[""] * len(line.fields))
    start = 0
    for count in _lines_of_fields([share for _, share in line.fields], width, gap):
        fields = line.fields[start : start + count]
        texts = filled[start : start + count]
        signer = plain(line.role) or statement
        row = _fields(fields, texts, height, width, gap, flow, parent, signer, signs=start == 0)
        boxes.append(_with_second(row, line, start, count, flow, parent))
        start += count
    return boxes


def _with_second(
    row: Row, line: SignatureLine, start: int, count: int, flow: Flow, parent: Element
) -> Box:
    """Return the fields with their labels in the second language below, if there is one."""
    labels = line.second_labels[start : start + count]
    if not any(labels):
        return row
    other = replace(flow, language=line.second_language, rtl=line.second_rtl)
    cells = []
    for cell, label in zip(row.cells, labels, strict=True):
        part = cell.stack.width
        # Below the first label, at the same edge, whatever the second language's direction.
        style = other.style(flow.look.small_pt, leading=1.2, align="right" if flow.rtl else "left")
        element = parent.child("P", language=other.language)
        boxes = [TextBox((Run(label),), part, style, element)] if label else [Gap(part, 0)]
        cells.append(Cell(cell.offset, Stack(part, boxes)))
    second = Row(row.width, cells, flow.rtl)
    both = Stack(row.width, [row, second], whole=True)
    both.kind = "signing fields"
    return both


def _printed(text: str, width: float, flow: Flow) -> TextBox:
    """Return a name that is there already: smaller, but not small, where one line holds it."""
    style = flow.style()
    wide = TextBox((Run(text),), 10_000, style, None).natural_width + 1
    if wide > width:
        fitting = int(10 * flow.text_pt * width / wide) / 10
        least = max(_LEAST_NAME_PT, flow.text_pt * _LEAST_NAME)
        style = flow.style(fitting if fitting >= least else None)
    return TextBox((Run(text),), width, style, None)


def _lines_of_fields(shares: Sequence[float], width: float, gap: float) -> list[int]:
    """Return how many fields stand on each line: none narrower than a signature needs."""
    for lines in range(1, len(shares) + 1):
        counts = [len(shares[line::lines]) for line in range(lines)]
        start, fits = 0, True
        for count in counts:
            part, room = shares[start : start + count], width - gap * (count - 1)
            fits = fits and (count == 1 or room * min(part) / sum(part) >= _LEAST_FIELD_PT)
            start += count
        if fits:
            return counts
    return []


def _fields(
    fields: Sequence[tuple[str, float]], texts: Sequence[str], height: float, width: float,
    gap: float, flow: Flow, parent: Element, signer: str, signs: bool,
) -> Row:  # fmt: skip
    """Return fields side by side; the first is for the signature if *signs*."""
    room = width - gap * (len(fields) - 1)
    total = sum(share for _, share in fields)
    cells, offset = [], 0.0
    printed = [
        _printed(text, room * share / total, flow) if text else None
        for (_, share), text in zip(fields, texts, strict=True)
    ]
    # One height for all, so that the lines to write on meet across the row.
    clear = max([height, *(box.height + _ABOVE_RULE_PT for box in printed if box)])
    for index, ((label, share), box) in enumerate(zip(fields, printed, strict=True)):
        part = room * share / total
        ask: Asker | None = None
        if box is not None:
            box.element = parent.child("P")
        else:
            asker = signature_asker if signs and index == 0 else text_asker
            ask = asker(flow, parent, f"{signer}: {label}" if signer else label)
        rule = _Rule(part, clear, box, ask)
        name = TextBox(
            (Run(label),), part, flow.style(flow.look.small_pt, leading=1.2), parent.child("P")
        )
        name.before = 2
        boxes: list[Box] = [rule, name] if label else [rule, Gap(part, 0)]
        cells.append(Cell(offset, Stack(part, boxes)))
        offset += part + gap
    row = Row(width, cells, flow.rtl)
    row.kind = "signing fields"
    return row
