"""A card to cut out and to fold: a dashed edge, a dotted line between its halves."""

from __future__ import annotations

from docbuilder.document.blocks import Card
from docbuilder.document.scene import Point
from docbuilder.layout.boxes import Box, Shape, Stack
from docbuilder.layout.flow import Flow, MeasureAll
from docbuilder.layout.geometry import Frame
from docbuilder.layout.pen import Pen, polygon
from docbuilder.layout.rows import Cell, Row
from docbuilder.layout.signs import scissors
from docbuilder.layout.structure import Element

__all__ = ["measure_card"]

_SMALLER = 0.86
"""Type of the card: it is kept at hand, not read from afar."""
_CUT_PT, _CUT_DASH = 1.0, (5.0, 3.5)
_FOLD_PT, _FOLD_DASH = 0.8, (1.0, 3.0)
_BLADES_PT = 6.0
"""Size of the scissors on the edge."""
_BLADES_IN = 24.0
"""Their distance from the corner."""


class _CardRow(Row):
    """Two halves inside an edge to cut along; never parted, since it is one piece of paper."""

    kind = "card"

    @property
    def shape(self) -> Shape:
        """Its outline, since it has no other form."""
        return self.outline if self.stiff else (self.number,)

    def split(self, room: object) -> None:
        """Never."""
        return None

    def draw(self, pen: Pen, x: float, top: float) -> None:
        """Draw the edges, then the halves."""
        frame = Frame(x, top - self.height, x + self.width, top)
        corners: list[Point] = [
            (frame.x0, frame.y0), (frame.x1, frame.y0), (frame.x1, frame.y1), (frame.x0, frame.y1),
        ]  # fmt: skip
        pen.shape(polygon(corners), stroke=(0, 0, 0), width_pt=_CUT_PT, dash_pt=_CUT_DASH)
        middle = (frame.x0 + frame.x1) / 2
        pen.rule((middle, frame.y0), (middle, frame.y1), (0, 0, 0), _FOLD_PT, dash_pt=_FOLD_DASH)
        blades = frame.x1 - _BLADES_IN if self.rtl else frame.x0 + _BLADES_IN
        scissors(pen, blades, frame.y1, _BLADES_PT, -1 if self.rtl else 1)
        super().draw(pen, x, top)


def measure_card(
    block: Card, width: float, flow: Flow, parent: Element, measure_all: MeasureAll
) -> list[Box]:
    """Return the card as one box that stays whole."""
    flow = flow.sized(max(flow.look.least_read_pt, flow.text_pt * _SMALLER))
    pad = flow.space(3)
    half = width / 2 - 2 * pad
    element = parent.child("Sect")
    cells = []
    for index, blocks in enumerate((block.first, block.second)):
        boxes = measure_all(blocks, half, flow, element.child("Div"))
        cells.append(Cell(index * width / 2 + pad, Stack(half, boxes)))
    card = _CardRow(width, cells, flow.rtl, pad=pad)
    card.before = card.after = flow.space(3)
    return [card]
