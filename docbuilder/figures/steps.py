"""Small pictures beside the steps, 30 x 24 mm, in the hand of the placement drawings."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from docbuilder.document.scene import Ink, Scene
from docbuilder.figures import geometry
from docbuilder.figures.drawing import Board, Frame

__all__ = ["HEIGHT_MM", "STEP_NAMES", "WIDTH_MM", "step_scene"]

WIDTH_MM, HEIGHT_MM = 30.0, 24.0
PAD = Ink(stroke="black", fill="accent_tint", width_pt=1.2)


def step_scene(name: str) -> Scene:
    """Return the picture called *name*, without labels.

    Raises:
        ValueError: There is no such picture.
    """
    if name not in _PICTURES:
        raise ValueError(f"no step picture {name!r}; there are {', '.join(STEP_NAMES)}")
    board = Board()
    _PICTURES[name](board)
    return board.scene(Frame(0, 0, WIDTH_MM, HEIGHT_MM))


def _pad(board: Board) -> None:
    board.draw(geometry.rounded_rectangle((15, 12), 10, 10, 1.5), PAD)


_PICTURES: Mapping[str, Callable[[Board], None]] = dict.fromkeys(
    (
        "skin_clean_dry", "pad_on", "lead_in", "strength_up_slowly", "how_it_should_feel",
        "stop_peel_off", "sitting_position", "lying_position",
    ),
    _pad,
)  # fmt: skip
STEP_NAMES: tuple[str, ...] = tuple(_PICTURES)
