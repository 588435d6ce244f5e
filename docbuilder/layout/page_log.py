"""What stands where: a record of each page for the page lint and for tests."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import NamedTuple

from docbuilder.layout.geometry import Frame
from docbuilder.layout.styles import RGB

__all__ = ["Lettering", "PageLog", "Placed"]


class Placed(NamedTuple):
    """A box as drawn. *depth* 0 stands in the page's own stack."""

    kind: str
    frame: Frame
    depth: int = 0
    box: int = 0
    """Number of the measured box; the parts of a split box share it."""
    overflow: float = 0.0
    """Points by which the box passes its room; 0 when it fits."""
    furniture: bool = False
    repeated: bool = False
    """Drawn once more for the eye, such as a head on a later page."""


class Lettering(NamedTuple):
    """One line of lettering: its frame, the frame that it must keep to, size and colours."""

    frame: Frame
    room: Frame
    size_pt: float
    ink: RGB
    ground: RGB
    furniture: bool = False
    parted: bool = False
    """A word was parted because its frame is narrower than the word."""
    within: frozenset[str] = frozenset()
    """Kinds of the boxes that it stands in."""


@dataclass(slots=True)
class PageLog:
    """One page. *body* is the frame for the document's own blocks."""

    number: int
    paper: Frame
    body: Frame
    least_pt: float = 0.0
    """Smallest size of words that are read; 0: none is asked for."""
    placed: list[Placed] = field(default_factory=list)
    lettering: list[Lettering] = field(default_factory=list)

    @property
    def filled(self) -> float:
        """The share of the body's height that is used."""
        feet = [box.frame.y0 for box in self.placed if box.depth == 0 and not box.furniture]
        return (self.body.y1 - min(feet, default=self.body.y1)) / self.body.height
