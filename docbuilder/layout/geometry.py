"""Frames on paper, in PDF points from the lower left corner."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, NamedTuple

__all__ = ["MM", "PAPERS", "Frame", "Sheet", "start_x"]

MM = 72 / 25.4
"""Points in a millimetre."""

PAPERS: dict[str, tuple[float, float]] = {"A4": (210 * MM, 297 * MM), "Letter": (612.0, 792.0)}
"""Width and height in points (ISO 216; ANSI/ASME Y14.1)."""

_SIDE_MM = 19.0
_TOP_MM = 11.0
_FOOT_MM = 10.0


class Frame(NamedTuple):
    """A rectangle, left, bottom, right and top in points."""

    x0: float
    y0: float
    x1: float
    y1: float

    @property
    def width(self) -> float:
        """Width in points."""
        return self.x1 - self.x0

    @property
    def height(self) -> float:
        """Height in points."""
        return self.y1 - self.y0

    def holds(self, other: Frame, slack: float = 0.5) -> bool:
        """Tell whether *other* lies inside, give or take *slack* points."""
        return (
            other.x0 >= self.x0 - slack
            and other.y0 >= self.y0 - slack
            and other.x1 <= self.x1 + slack
            and other.y1 <= self.y1 + slack
        )

    def passed_by(self, other: Frame) -> float:
        """Return by how many points *other* reaches beyond one of the edges, at the most."""
        return max(
            0.0, self.x0 - other.x0, other.x1 - self.x1, self.y0 - other.y0, other.y1 - self.y1
        )

    def overlaps(self, other: Frame, slack: float = 0.5) -> bool:
        """Tell whether the two share more than *slack* points in both directions."""
        return (
            min(self.x1, other.x1) - max(self.x0, other.x0) > slack
            and min(self.y1, other.y1) - max(self.y0, other.y0) > slack
        )


@dataclass(frozen=True, slots=True)
class Sheet:
    """One paper size with its margins; the binding margin is on the start side."""

    width: float
    height: float
    left: float
    right: float
    top: float = _TOP_MM * MM
    foot: float = _FOOT_MM * MM

    @classmethod
    def of(cls, paper: Literal["A4", "Letter"], binding_mm: float, rtl: bool) -> Sheet:
        """Return the sheet for *paper* with *binding_mm* added where pages are bound."""
        width, height = PAPERS[paper]
        extra = binding_mm * MM
        side = _SIDE_MM * MM
        return cls(width, height, side + (0 if rtl else extra), side + (extra if rtl else 0))

    @property
    def body_width(self) -> float:
        """Width between the side margins, in points."""
        return self.width - self.left - self.right


def start_x(left: float, width: float, offset: float, part: float, rtl: bool) -> float:
    """Return the left edge of a *part* wide piece, *offset* from the start edge.

    >>> start_x(10, 100, 0, 30, rtl=False), start_x(10, 100, 0, 30, rtl=True)
    (10, 80)
    """
    return left + width - offset - part if rtl else left + offset
