"""A neutral stimulator face: display, keys and lead sockets, of no particular maker."""

from __future__ import annotations

from collections.abc import Sequence

from docbuilder.document.scene import Ink, Scene
from docbuilder.figures import geometry
from docbuilder.figures.drawing import OUTLINE, Board, Frame

__all__ = ["MAX_KEYS", "isolated", "unit_face_scene"]

MAX_KEYS = 16
_WIDTH = 56.0
_HEAD, _ROW = 27.0, 11.0
"""Height of the part with sockets and display, and of a row of keys."""
_WIDEST_KEY, _KEY_HIGH = 22.0, 8.6
_PT = 25.4 / 72
_ADVANCE = 0.68
"""Width of a capital in ems, on the generous side; no font is at hand here."""


def unit_face_scene(
    keys: Sequence[str],
    display: str,
    channels: int,
    strength_keys: Sequence[str] = (),
    pressed: str | None = None,
) -> Scene:
    """Return the unit's face in paper millimetres, at 1:1 so that the key names fit.

    Args:
        keys: Key names in the order on the face, as the steps name them.
        display: What the display shows.
        channels: Lead sockets on the upper edge, 1 to 4.
        strength_keys: Those of *keys* that change the strength; drawn round.
        pressed: A key to mark.

    Raises:
        ValueError: No key, too many keys or channels, or *pressed* is not among the keys.
    """
    if not 1 <= len(keys) <= MAX_KEYS:
        raise ValueError(f"a unit's face is drawn with 1 to {MAX_KEYS} keys, not {len(keys)}")
    if not 1 <= channels <= 4:
        raise ValueError(f"a unit is drawn with 1 to 4 channels, not {channels}")
    if pressed is not None and pressed not in keys:
        raise ValueError(f"the unit has no key {pressed!r}")
    board = Board()
    plain = [key for key in keys if key not in strength_keys]
    strong = [key for key in keys if key in strength_keys]
    rows = [*_rows(plain, 2 if len(plain) <= 6 else 3), *_rows(strong, 2)]
    height = _HEAD + len(rows) * _ROW + 4
    board.draw(geometry.rounded_rectangle((_WIDTH / 2, height / 2), _WIDTH, height, 7), OUTLINE)
    _sockets(board, channels, height)
    _display(board, display, height)
    for number, row in enumerate(rows):
        cell = (_WIDTH - 8) / len(row)
        for column, key in enumerate(row):
            at = (4 + cell * (column + 0.5), height - _HEAD - _ROW * (number + 0.5))
            label = f"key_{keys.index(key) + 1}"
            width = min(cell - 3, _WIDEST_KEY)
            _key(board, label, key, at, width, key in strong, key == pressed)
    return board.scene(Frame(-2, -2, _WIDTH + 2, height + 8), true_size=True)


def _rows(keys: Sequence[str], columns: int) -> list[Sequence[str]]:
    return [keys[start : start + columns] for start in range(0, len(keys), columns)]


def _sockets(board: Board, channels: int, height: float) -> None:
    for index in range(channels):
        x = _WIDTH * (index + 1) / (channels + 1)
        board.draw(geometry.rounded_rectangle((x, height + 2), 9, 5, 1), OUTLINE)
        board.draw(geometry.ellipse((x, height + 2), 1, 1), Ink(fill="black", width_pt=0.6))
        board.write(f"socket_{index + 1}", (x, height - 4.3), str(index + 1), 10)


def _display(board: Board, text: str, height: float) -> None:
    at = (_WIDTH / 2, height - 15.5)
    board.draw(
        geometry.rounded_rectangle(at, _WIDTH - 12, 14, 2),
        Ink(stroke="black", fill="tint", width_pt=0.6),
    )
    if text:
        board.write("display", at, isolated(text), _fitting(text, _WIDTH - 16, 16))


def _key(
    board: Board,
    label: str,
    text: str,
    at: tuple[float, float],
    width: float,
    strength: bool,
    pressed: bool,
) -> None:
    shape = geometry.rounded_rectangle(at, width, _KEY_HIGH, _KEY_HIGH / 2 if strength else 1.5)
    ink = Ink(fill="tint", width_pt=2.0) if pressed else Ink(fill="white", width_pt=0.6)
    board.draw(shape, ink)
    board.write(label, at, isolated(text), _fitting(text, width - 3, 12))


def isolated(text: str) -> str:
    """Return *text* as a left-to-right isolate: a key A+ must not read +A on an Arabic page."""
    return f"\u2066{text}\u2069"


def _fitting(text: str, width: float, largest_pt: float) -> float:
    """Return a type size at which *text* surely fits *width* mm, at most *largest_pt*."""
    return round(min(largest_pt, width / (max(len(text), 1) * _ADVANCE * _PT)), 2)
