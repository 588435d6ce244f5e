"""Draws on pages: shapes in points, marked content, and the log of what was drawn.

Content that belongs to no element is an artifact; the pen sees to it, so nothing
unmarked can reach a page.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from typing import Literal

from docbuilder.caching import kept
from docbuilder.document.scene import Point, Segment
from docbuilder.layout.geometry import Frame
from docbuilder.layout.page_log import Lettering, PageLog, Placed
from docbuilder.layout.pdf_file import PdfFile
from docbuilder.layout.structure import Element, text_string
from docbuilder.layout.styles import RGB
from docbuilder.text import FontBook

__all__ = ["Pen", "circle", "painted", "path_operators", "polygon", "rounded"]

_SEGMENTS = {"M": "%.2f %.2f m", "L": "%.2f %.2f l", "Z": "h",
             "C": "%.2f %.2f %.2f %.2f %.2f %.2f c"}  # fmt: skip
_KAPPA = 0.5522847498
"""Control distance of a quarter circle drawn as one cubic."""


class Pen:
    """Writes one page after the other into a `PdfFile`."""

    def __init__(self, file: PdfFile) -> None:
        self.file = file
        self.fonts = FontBook(file.doc)
        self.pages: list[list[str]] = []
        self.logs: list[PageLog] = []
        self.described: list[tuple[Element, str]] = []
        self.page = -1
        self._inside: Literal["", "mark", "artifact"] = ""
        self._grounds: list[RGB] = [(1.0, 1.0, 1.0)]
        self._kinds: list[str] = []
        self._within: frozenset[str] | None = None
        self._furniture = False

    def start_page(self, log: PageLog) -> None:
        """Turn to a fresh page."""
        self.page = self.file.new_page()
        self.pages.append([])
        self.logs.append(log)

    def write(self, operators: str) -> None:
        """Append raw content; the caller has opened a mark."""
        self.pages[self.page].append(operators)

    def write_artifact(self, operators: str) -> None:
        """Append content without meaning, in a mark of its own if none is open."""
        marked = operators if self._inside else f"/Artifact BMC\n{operators}\nEMC"
        self.pages[self.page].append(marked)

    def text(self, operators: str, element: Element | None) -> None:
        """Append a text object of *element*, in a mark of its own if none is open."""
        if element is None:
            self.write_artifact(operators)
        elif self._inside:
            self.write(operators)
        else:
            self.open(element)
            self.write(f"{operators}\nEMC")

    # Marked content

    def open(self, element: Element, rest: str = ">> BDC") -> None:
        """Open a mark of *element*; the caller closes it."""
        mcid = self.file.mark(element, self.page)
        self.write(f"/{element.tag} <</MCID {mcid}{rest}")

    def describe(self, element: Element, attributes: str) -> None:
        """Tell of *element* what is known only where it is drawn."""
        element.attributes = attributes
        self.described.append((element, attributes))

    @property
    def in_artifact(self) -> bool:
        """Whether what is drawn now carries no meaning."""
        return self._inside == "artifact"

    @property
    def is_marked(self) -> bool:
        """Whether a mark is open, so that no other may be opened."""
        return self._inside != ""

    @contextmanager
    def marked(self, element: Element, actual_text: str | None = None) -> Iterator[None]:
        """Draw content of *element*; *actual_text* says what a drawn shape reads as."""
        if self._inside:
            yield
            return
        says = f"/ActualText{text_string(actual_text)}" if actual_text else ""
        self.open(element, f"{says}>> BDC")
        self._inside = "mark"
        yield
        self._inside = ""
        self.write("EMC")

    @contextmanager
    def artifact(self, kind: Literal["", "Header", "Footer"] = "") -> Iterator[None]:
        """Draw content that a screen reader passes over."""
        if self._inside:
            yield
            return
        self.write(
            f"/Artifact <</Type/Pagination/Subtype/{kind}>> BDC" if kind else "/Artifact BMC"
        )
        self._inside = "artifact"
        before = self._furniture
        self._furniture = before or bool(kind)
        yield
        self._inside, self._furniture = "", before
        self.write("EMC")

    @contextmanager
    def furniture(self) -> Iterator[None]:
        """Draw what stands outside the body and yet is read."""
        self._furniture = True
        yield
        self._furniture = False

    # Shapes

    def shape(
        self,
        segments: Sequence[Segment],
        *,
        fill: RGB | None = None,
        stroke: RGB | None = None,
        width_pt: float = 0.7,
        dash_pt: Sequence[float] = (),
    ) -> None:
        """Draw one path in page points."""
        if fill is not None or stroke is not None:
            self.write_artifact(painted(path_operators(segments), fill, stroke, width_pt, dash_pt))

    def box(
        self,
        frame: Frame,
        *,
        fill: RGB | None = None,
        stroke: RGB | None = None,
        width_pt: float = 0.7,
        radius: float = 0.0,
    ) -> None:
        """Draw a rectangle, with round corners if *radius* is set."""
        if radius:
            path = path_operators(rounded(frame, radius))
        else:
            path = f"{frame.x0:.2f} {frame.y0:.2f} {frame.width:.2f} {frame.height:.2f} re"
        if fill is not None or stroke is not None:
            self.write_artifact(painted(path, fill, stroke, width_pt))

    def rule(
        self, start: Point, end: Point, colour: RGB, width_pt: float = 0.7,
        dash_pt: Sequence[float] = (),
    ) -> None:  # fmt: skip
        """Draw a straight line."""
        path = f"{start[0]:.2f} {start[1]:.2f} m {end[0]:.2f} {end[1]:.2f} l"
        self.write_artifact(painted(path, None, colour, width_pt, dash_pt))

    def drawing(self, operators: str, x: float, y: float, scale: float = 1.0) -> None:
        """Draw prepared operators with their origin at (*x*, *y*)."""
        size = f"{scale:.4f}".rstrip("0").rstrip(".")
        self.write_artifact(f"q {size} 0 0 {size} {x:.2f} {y:.2f} cm\n{operators}\nQ")

    def picture(self, name: str, frame: Frame) -> None:
        """Draw a registered image into *frame*."""
        self.write_artifact(
            f"q {frame.width:.2f} 0 0 {frame.height:.2f} {frame.x0:.2f} {frame.y0:.2f} cm "
            f"/{name} Do Q"
        )

    # Log

    @property
    def surroundings(self) -> tuple[object, ...]:
        """What the log tells of a box beside what the box itself tells."""
        return self._inside, self._furniture, self.ground, tuple(self._kinds)

    @property
    def ground(self) -> RGB:
        """The colour that lettering stands on now."""
        return self._grounds[-1]

    @contextmanager
    def on_ground(self, colour: RGB) -> Iterator[None]:
        """Say what colour lies under the lettering that follows."""
        self._grounds.append(colour)
        yield
        self._grounds.pop()

    def enter(self, kind: str, frame: Frame, box: int, room: Frame) -> None:
        """Log a box, and everything up to `leave` one level deeper."""
        overflow = 0.0 if room.holds(frame) else room.passed_by(frame)
        self.logs[self.page].placed.append(
            Placed(kind, frame, len(self._kinds), box, overflow, self._furniture, self.in_artifact)
        )
        self._kinds.append(kind)
        self._within = None

    def leave(self) -> None:
        """Come out of the box that was entered last."""
        self._kinds.pop()
        self._within = None

    def lettered(self, frame: Frame, room: Frame, size_pt: float, ink: RGB, parted: bool) -> None:
        """Log one line of lettering."""
        if self._within is None:
            self._within = frozenset(self._kinds)
        self.logs[self.page].lettering.append(
            Lettering(frame, room, size_pt, ink, self.ground, self._furniture, parted, self._within)
        )


def rounded(frame: Frame, radius: float) -> list[Segment]:
    """Return a rectangle's path."""
    x0, y0, x1, y1 = frame.x0, frame.y0, frame.x1, frame.y1
    if not radius:
        return [("M", x0, y0), ("L", x1, y0), ("L", x1, y1), ("L", x0, y1), ("Z",)]
    r = min(radius, frame.width / 2, frame.height / 2)
    c = r * (1 - _KAPPA)
    return [
        ("M", x0 + r, y0), ("L", x1 - r, y0), ("C", x1 - c, y0, x1, y0 + c, x1, y0 + r),
        ("L", x1, y1 - r), ("C", x1, y1 - c, x1 - c, y1, x1 - r, y1),
        ("L", x0 + r, y1), ("C", x0 + c, y1, x0, y1 - c, x0, y1 - r),
        ("L", x0, y0 + r), ("C", x0, y0 + c, x0 + c, y0, x0 + r, y0), ("Z",),
    ]  # fmt: skip


def circle(x: float, y: float, radius: float) -> list[Segment]:
    """Return a circle's path."""
    sides = rounded(Frame(x - radius, y - radius, x + radius, y + radius), radius)
    return [segment for segment in sides if segment[0] != "L"]


def polygon(points: Sequence[Point]) -> list[Segment]:
    """Return a closed path through *points*."""
    first, *others = points
    return [("M", *first), *(("L", *point) for point in others), ("Z",)]


def painted(
    path: str,
    fill: RGB | None,
    stroke: RGB | None,
    width_pt: float = 0.7,
    dash_pt: Sequence[float] = (),
    inside: str = "",
) -> str:
    """Return the operators of one path, filled or stroked or both; *width_pt* as drawn.

    *inside* is drawn upon a filled path, and no further than its edge.
    """
    parts = ["q"]
    if stroke is not None:
        parts.append(f"{_rgb(stroke)} RG {width_pt:g} w 1 J 1 j")
        if dash_pt:
            parts.append(f"[{' '.join(f'{part:g}' for part in dash_pt)}] 0 d")
    if fill is not None:
        parts.append(f"{_rgb(fill)} rg")
    parts.append(path)
    if inside:
        parts.append(f"W* f*\n{inside}\nQ")
        return " ".join(parts)
    parts.append("B*" if fill and stroke else "f*" if fill else "S")
    return " ".join([*parts, "Q"])


@kept(256)
def _rgb(colour: RGB) -> str:
    return " ".join(f"{part:.3f}".rstrip("0").rstrip(".") for part in colour)


def path_operators(segments: Sequence[Segment]) -> str:
    """Return the operators that construct a path."""
    return " ".join([_SEGMENTS[segment[0]] % segment[1:] for segment in segments])
