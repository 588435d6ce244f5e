"""People who sit or lie for a session, from the side, without a face."""

from __future__ import annotations

from docbuilder.document.scene import Ink, Point
from docbuilder.figures import geometry
from docbuilder.figures.drawing import CONTOUR, OUTLINE, SKIN, Board

__all__ = ["lying", "sitting"]

_SIT: tuple[Point, ...] = (
    (10.2, 18.4), (10.0, 17.4), (9.0, 16.7), (8.3, 15.4), (8.1, 13.6), (8.4, 11.8), (8.3, 10.4),
    (8.0, 9.2), (8.5, 8.0), (10, 7.6), (13, 7.6), (15.2, 7.5), (15.9, 6.9), (15.7, 5.6),
    (16.0, 4.2), (16.2, 3.0), (15.9, 2.2), (15.8, 1.5), (16.4, 1.2), (19.2, 1.2), (20.1, 1.5),
    (19.6, 2.1), (18.4, 2.6), (17.6, 3.2), (17.6, 4.5), (18.1, 6.4), (18.3, 8.0), (18.0, 9.2),
    (17.0, 9.7), (15.0, 9.9), (13.2, 10.2), (12.5, 10.7), (12.6, 12.2), (12.7, 13.8),
    (12.6, 15.2), (12.1, 16.4), (11.6, 17.2), (11.7, 18.4),
)  # fmt: skip
_SIT_ARM: tuple[Point, ...] = (
    (9.5, 15.8), (9.3, 14.2), (9.6, 12.6), (10.3, 11.6), (11.6, 11.2), (13.4, 10.9),
    (14.6, 10.6), (15.6, 10.0), (16.2, 10.2), (15.9, 10.9), (15.0, 11.5), (13.8, 11.9),
    (12.4, 12.3), (11.6, 13.0), (11.5, 14.2), (11.5, 15.2),
)  # fmt: skip
_LIE: tuple[Point, ...] = (
    (6.0, 8.8), (7.0, 8.5), (8.0, 9.0), (9.6, 9.6), (11.6, 9.4), (13.2, 9.0), (14.8, 9.0),
    (16.4, 9.5), (18.4, 10.9), (20.4, 12.2), (21.4, 12.3), (22.1, 11.6), (23.4, 9.4),
    (24.7, 7.4), (25.6, 6.7), (27.2, 6.2), (28.2, 5.7), (28.0, 5.2), (24.8, 5.2), (24.1, 5.6),
    (23.8, 6.6), (22.6, 8.4), (21.4, 9.6), (20.4, 9.5), (18.6, 8.0), (16.8, 6.2), (15.4, 5.4),
    (14.0, 5.2), (12.4, 5.7), (10.6, 5.4), (8.6, 5.3), (7.4, 6.0), (6.2, 6.9),
)  # fmt: skip
_LIE_ARM: tuple[Point, ...] = (
    (8.8, 8.0), (10.4, 7.8), (12.4, 7.3), (14.2, 7.1), (15.8, 7.1), (16.6, 6.8), (16.2, 6.2),
    (14.6, 6.1), (12.4, 6.2), (10.4, 6.4), (9.0, 6.6),
)  # fmt: skip
_PILLOW: tuple[Point, ...] = (
    (2.2, 4.9), (1.8, 6.0), (3.0, 6.9), (5.0, 6.9), (6.8, 6.6), (7.3, 5.6), (6.8, 4.9),
)  # fmt: skip
_KNEE_ROLL: tuple[Point, ...] = (
    (17.4, 4.9), (18.6, 7.2), (20.6, 9.6), (21.8, 9.2), (23.0, 7.0), (23.8, 4.9),
)  # fmt: skip
_FURNITURE = Ink(stroke="black", fill="tint", width_pt=0.6)


def _figure(board: Board, body: tuple[Point, ...], arm: tuple[Point, ...]) -> None:
    curve = geometry.smooth(body)
    board.draw((*curve, ("Z",)), SKIN)
    board.draw(curve, OUTLINE)
    board.draw((*geometry.smooth(arm), ("Z",)), SKIN)
    board.curve(*arm)


def sitting(board: Board) -> None:
    """Draw somebody who sits with the back supported and both feet on the floor."""
    board.draw(geometry.line((3, 1.0), (27, 1.0)), CONTOUR)
    for x in (6.9, 14.2):
        board.draw(geometry.rounded_rectangle((x, 4.0), 0.9, 6.0, 0.2), _FURNITURE)
    board.draw(geometry.rounded_rectangle((10.8, 6.9), 9.4, 1.0, 0.4), _FURNITURE)
    back = geometry.rounded_rectangle((6.8, 11.8), 1.0, 11.0, 0.4)
    board.draw(geometry.turned(back, (6.8, 7), 3), _FURNITURE)
    _figure(board, _SIT, _SIT_ARM)
    board.draw(geometry.ellipse((11.2, 19.8), 1.6, 2.0), Ink(fill="white"))


def lying(board: Board) -> None:
    """Draw somebody who lies on the back with a pillow under the head and the knees."""
    low = Board()
    low.draw(geometry.rounded_rectangle((15, 3.6), 27.6, 2.6, 0.8), _FURNITURE)
    for cushion in (_PILLOW, _KNEE_ROLL):
        low.curve(*cushion, ink=_FURNITURE)
    _figure(low, _LIE, _LIE_ARM)
    low.draw(geometry.ellipse((4.5, 8.6), 1.95, 1.6), Ink(fill="white"))
    board.place(low, 0, 4)
