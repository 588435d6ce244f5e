"""Aids at true size: a 10 cm ruler, the pad's outline and a line to check the print.

One scene millimetre is one millimetre on paper.
"""

from __future__ import annotations

from docbuilder.caching import kept
from docbuilder.document.scene import Ink, Scene
from docbuilder.figures import geometry
from docbuilder.figures.drawing import Board, Frame
from docbuilder.figures.pads import pad_shape, pad_size
from docbuilder.model import lengths
from docbuilder.model.prescription import Pads

__all__ = [
    "CARD_WIDTH_MM", "LABEL_KEYS", "MAX_HEIGHT_MM", "MAX_WIDTH_MM", "RULER_MM", "true_size_scene",
]  # fmt: skip

RULER_MM = float(lengths.RULER_MM)
CARD_WIDTH_MM = float(lengths.CARD_WIDTH_MM)
"""Width of an ID-1 card, nominal (ISO/IEC 7810)."""
MAX_WIDTH_MM, MAX_HEIGHT_MM = 170.0, 240.0
LABEL_KEYS = frozenset({"ruler_10_cm", "check_line_card", "pad_outline"})
_LEFT = 8.0
"""Where the scale, the check line and the pad begin."""
_STRIP_MM, _BLANK = 19.0, 5.0
"""Breadth of the ruler's strip, and what it runs on beyond its scale."""
_EDGE, _SCALES_MM, _COLUMN = 1.0, 46.0, 119.0
"""Margin; height of ruler with check line; where a second column begins."""
_FINE = Ink(stroke="black", width_pt=0.4)
_LINE = Ink(stroke="black", width_pt=0.8)
_CUT = Ink(stroke="black", fill="white", width_pt=0.6, dash_pt=(4.0, 2.5))


@kept(64)
def true_size_scene(pads: Pads) -> Scene:
    """Return ruler, check line and pad outline, to be printed at 1:1.

    Raises:
        ValueError: The pad is too large for the printable width or height.
    """
    width, height = pad_size(pads)
    if width + 2 * _LEFT > MAX_WIDTH_MM or height + 60 > MAX_HEIGHT_MM:
        raise ValueError(f"a pad of {width:g} x {height:g} mm is too large for one page")
    board = Board()
    beside = _COLUMN + width + _EDGE <= MAX_WIDTH_MM
    corner = (_COLUMN, 0.0) if beside else (_LEFT, 0.0)
    middle = (corner[0] + width / 2, _EDGE + height / 2)
    board.draw(pad_shape(pads, middle), _CUT)
    board.write("pad_outline", middle)
    # Beside the scales where the page is wide enough, else below them.
    foot = max(0.0, height + 2 * _EDGE - _SCALES_MM) if beside else height + 8
    _check_line(board, foot + 14)
    _ruler(board, foot + 26)
    right = _COLUMN + width + _EDGE if beside else max(_COLUMN, width + 2 * _LEFT)
    return board.scene(Frame(0, 0, right, foot + _SCALES_MM), true_size=True)


def _check_line(board: Board, y: float) -> None:
    x0, x1 = _LEFT, _LEFT + CARD_WIDTH_MM
    board.draw(geometry.line((x0, y), (x1, y)), _LINE)
    for x in (x0, x1):
        board.draw(geometry.line((x, y - 3), (x, y + 3)), _LINE)
    board.write("check_line_card", ((x0 + x1) / 2, y - 6))


def _ruler(board: Board, y: float) -> None:
    """A strip to cut out, with its scale along the upper edge."""
    middle = (_LEFT + RULER_MM / 2, y + _STRIP_MM / 2)
    strip = geometry.rounded_rectangle(middle, RULER_MM + 2 * _BLANK, _STRIP_MM, 0)
    board.draw(strip, Ink(stroke="black", fill="white", width_pt=0.6))
    top = y + _STRIP_MM
    for mm in range(int(RULER_MM) + 1):
        tick = 8.0 if mm % 10 == 0 else 5.5 if mm % 5 == 0 else 3.5
        ink = _LINE if mm % 10 == 0 else _FINE
        board.draw(geometry.line((_LEFT + mm, top), (_LEFT + mm, top - tick)), ink)
        if mm % 10 == 0:
            board.write("ruler_digit", (_LEFT + mm, top - 10.5), str(mm // 10), 10)
    board.write("ruler_10_cm", (_LEFT + RULER_MM / 2, y + 3.2))
