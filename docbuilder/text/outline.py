"""Glyph outlines of a text block as scene segments, for drawings that carry no font."""

from __future__ import annotations

import uharfbuzz as hb

from docbuilder.caching import kept
from docbuilder.document.scene import Segment
from docbuilder.text.fonts import Font
from docbuilder.text.paragraph import TextBlock

__all__ = ["outlines"]


def outlines(block: TextBlock, left_pt: float, top_pt: float) -> tuple[Segment, ...]:
    """Return the outlines of all glyphs of *block*, to fill by the non-zero rule.

    Args:
        block: The text, set in lines.
        left_pt: The block's left edge, in points; x to the right.
        top_pt: The block's top edge, in points; y up.
    """
    found: list[Segment] = []
    for number, line in enumerate(block.lines):
        left = left_pt + block.left_pt(number)
        base = top_pt - block.baseline_pt(number)
        for item, place in zip(line.items, line.places, strict=True):
            font = item.word.font
            unit = block.size_pt / font.face.upem
            for cluster in item.word.clusters:
                x = left + (place + cluster.x) * block.size_pt / 1000
                for glyph, dx, dy in cluster.parts:
                    for segment in _outline(font, glyph):
                        found.append(_moved(segment, unit, x + dx * unit, base + dy * unit))
    return tuple(found)


def _moved(segment: Segment, unit: float, x: float, y: float) -> Segment:
    kind, *numbers = segment
    moved = [
        round(value * unit + (y if place % 2 else x), 3) for place, value in enumerate(numbers)
    ]
    return (kind, *moved)  # type: ignore[return-value]


@kept(4096)
def _outline(font: Font, glyph: int) -> tuple[Segment, ...]:
    """Return a glyph's outline in font units, with cubic curves only."""
    found: list[Segment] = []
    pen: list[tuple[float, float]] = [(0.0, 0.0)]

    def move(x: float, y: float, _: object) -> None:
        found.append(("M", x, y))
        pen[0] = (x, y)

    def line(x: float, y: float, _: object) -> None:
        found.append(("L", x, y))
        pen[0] = (x, y)

    def cubic(a: float, b: float, c: float, d: float, x: float, y: float, _: object) -> None:
        found.append(("C", a, b, c, d, x, y))
        pen[0] = (x, y)

    def quadratic(a: float, b: float, x: float, y: float, _: object) -> None:
        from_x, from_y = pen[0]
        cubic(
            from_x + (a - from_x) * 2 / 3, from_y + (b - from_y) * 2 / 3,
            x + (a - x) * 2 / 3, y + (b - y) * 2 / 3, x, y, None,
        )  # fmt: skip

    draw = hb.DrawFuncs()
    draw.set_move_to_func(move)
    draw.set_line_to_func(line)
    draw.set_cubic_to_func(cubic)
    draw.set_quadratic_to_func(quadratic)
    draw.set_close_path_func(lambda _: found.append(("Z",)))
    font.shaper.draw_glyph(glyph, draw, None)
    return tuple(found)
