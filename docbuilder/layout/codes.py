"""The document's code: a QR symbol of the document id, and the id in letters."""

from __future__ import annotations

import re
from collections.abc import Iterator

import segno

from docbuilder.caching import kept
from docbuilder.document.blocks import QrCode, Run
from docbuilder.layout.boxes import Box, Stack
from docbuilder.layout.flow import Flow
from docbuilder.layout.geometry import MM, Frame
from docbuilder.layout.lettering import TextBox
from docbuilder.layout.pen import Pen
from docbuilder.layout.pictures import figure_attributes
from docbuilder.layout.rows import Cell, Row
from docbuilder.layout.structure import Element

__all__ = ["CodeBox", "measure_code"]

_QUIET = 4
"""Modules of white around the symbol (ISO/IEC 18004)."""


class CodeBox(Box):
    """The symbol with its quiet zone; *size_mm* is the symbol's own width."""

    kind = "code"

    def __init__(self, payload: str, size_mm: float, element: Element | None) -> None:
        self.modules = _symbol(payload)
        self.module = size_mm * MM / len(self.modules)
        super().__init__(*[(len(self.modules) + 2 * _QUIET) * self.module] * 2)
        self.element = element

    def draw(self, pen: Pen, x: float, top: float) -> None:
        """Draw all dark modules as one path, a rectangle per run, a module as the unit."""
        frame = Frame(x, top - self.height, x + self.width, top)
        if self.element is None:
            with pen.artifact():
                self._modules(pen, frame)
            return
        pen.describe(self.element, figure_attributes(frame))
        with pen.marked(self.element):
            self._modules(pen, frame)

    def _modules(self, pen: Pen, frame: Frame) -> None:
        pen.box(frame, fill=(1, 1, 1))
        dark = [
            f"{column} {row} {width} 1 re"
            for row, modules in enumerate(reversed(self.modules))
            for column, width in _dark(modules)
        ]
        corner = _QUIET * self.module
        operators = " ".join(["0 0 0 rg", *dark, "f"])
        pen.drawing(operators, frame.x0 + corner, frame.y0 + corner, self.module)


def _dark(modules: bytes) -> Iterator[tuple[int, int]]:
    """Yield start and length of each run of dark modules in a row."""
    return ((run.start(), run.end() - run.start()) for run in re.finditer(b"\\x01+", modules))


@kept(64)
def _symbol(payload: str) -> tuple[bytes, ...]:
    """Return the symbol's modules, row by row, 1 for dark."""
    return tuple(map(bytes, segno.make_qr(payload, error="m", boost_error=False).matrix))


def measure_code(block: QrCode, width: float, flow: Flow, parent: Element) -> list[Box]:
    """Return the symbol with caption and payload beside it."""
    alt = f"{block.caption} {block.payload}".strip()
    code = CodeBox(block.payload, 20.0, parent.child("Figure", alt=alt))
    gap = flow.space(2)
    room = width - code.width - gap
    boxes: list[Box] = []
    if block.caption:
        boxes.append(TextBox((Run(block.caption),), room, flow.style(), parent.child("P")))
    style = flow.style(bold=True)
    boxes.append(TextBox((Run(block.payload),), room, style, parent.child("P")))
    cells = [Cell(0, Stack(code.width, [code])), Cell(code.width + gap, Stack(room, boxes))]
    row = Row(width, cells, flow.rtl, middle=True)
    row.kind = "code block"
    row.before = row.after = flow.space(2)
    return [row]
