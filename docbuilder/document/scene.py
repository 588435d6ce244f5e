"""A drawing as plain data: paths in millimetres, with anchors for labels.

Coordinates are in scene millimetres, x to the right, y up, origin at the lower
left corner. A scene has no language and no font: labels carry text that somebody
else put in, and the layout places them in columns outside the picture.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Literal

__all__ = ["Ink", "Label", "Path", "Point", "Scene", "Segment", "Tone"]

Point = tuple[float, float]
Segment = (
    tuple[Literal["M"], float, float]
    | tuple[Literal["L"], float, float]
    | tuple[Literal["C"], float, float, float, float, float, float]
    | tuple[Literal["Z"]]
)
Tone = Literal["black", "grey", "tint", "white", "accent", "accent_tint", "stop"]
"""Named colours; the style resolves them, accent to the clinic's."""


@dataclass(frozen=True, slots=True)
class Ink:
    """How a path is drawn; *width_pt* is true on paper whatever the scene's scale."""

    stroke: Tone | None = "black"
    fill: Tone | None = None
    width_pt: float = 1.2
    dash_pt: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True)
class Path:
    """One path: move, line, curve and close segments."""

    segments: tuple[Segment, ...]
    ink: Ink = Ink()


@dataclass(frozen=True, slots=True)
class Label:
    """A name tied to a point by a leader line.

    *key* says what is named ("inner_ankle_bone"); *text* is empty until content
    fills it. *inline* text is set at the point itself, centred, without a leader
    (dimension figures and the words on the unit's face).
    """

    key: str
    at: Point
    text: str = ""
    inline: bool = False
    size_pt: float = 0.0
    """0: the style's label size."""


@dataclass(frozen=True, slots=True)
class Scene:
    """A drawing of *width_mm* x *height_mm* scene millimetres."""

    width_mm: float
    height_mm: float
    paths: tuple[Path, ...]
    labels: tuple[Label, ...] = ()
    true_size: bool = False
    """Drawn at 1:1 on paper, never scaled."""

    def with_texts(self, texts: Mapping[str, str]) -> Scene:
        """Return the scene with every label's text put in.

        Raises:
            KeyError: A label's key has no text; the build must stop.
        """
        labels = tuple(
            label if label.text else replace(label, text=texts[label.key]) for label in self.labels
        )
        return replace(self, labels=labels)
