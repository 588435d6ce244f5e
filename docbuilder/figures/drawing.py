"""A drawing board: collect paths and anchors in body millimetres, then frame them.

Line weights are those of the house style: outline 1.2 pt, inner contour 0.6 pt.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field, replace

from docbuilder.document.scene import Ink, Label, Path, Point, Scene, Segment
from docbuilder.figures import geometry

__all__ = ["CONTOUR", "DASHED", "MARK", "OUTLINE", "SHADE", "SKIN", "Board", "Frame", "mirror"]

OUTLINE = Ink(stroke="black", width_pt=1.2)
CONTOUR = Ink(stroke="black", width_pt=0.6)
DASHED = Ink(stroke="black", width_pt=0.6, dash_pt=(3.0, 2.0))
MARK = Ink(stroke="accent", width_pt=0.9)
SKIN = Ink(stroke=None, fill="white")
SHADE = Ink(stroke=None, fill="tint")

_DECIMALS = 3
"""Coordinates are kept to a thousandth of a millimetre, so bytes do not depend on the machine."""


@dataclass(frozen=True, slots=True)
class Frame:
    """The window of a board that becomes a scene, in the board's millimetres."""

    left: float
    bottom: float
    right: float
    top: float


@dataclass(slots=True)
class Board:
    """Paths and labels being put together, later over earlier."""

    paths: list[Path] = field(default_factory=list)
    labels: list[Label] = field(default_factory=list)

    def draw(self, segments: Iterable[Segment], ink: Ink = OUTLINE) -> None:
        """Add a path."""
        self.paths.append(Path(tuple(segments), ink))

    def curve(self, *points: Point, ink: Ink = CONTOUR, closed: bool = False) -> None:
        """Add a smooth curve through *points*."""
        self.draw(geometry.smooth(points, closed), ink)

    def name(self, key: str, at: Point) -> None:
        """Add a label with a leader line to *at*."""
        self.labels.append(Label(key, at))

    def write(self, key: str, at: Point, text: str = "", size_pt: float = 0.0) -> None:
        """Add a label set at the point itself."""
        self.labels.append(Label(key, at, text, inline=True, size_pt=size_pt))

    def place(self, other: Board, dx: float, dy: float, factor: float = 1.0) -> None:
        """Add another board, scaled about its origin and then moved; lines keep their weight."""
        for path in other.paths:
            segments = geometry.moved(geometry.scaled(path.segments, factor), dx, dy)
            self.paths.append(replace(path, segments=segments))
        for label in other.labels:
            at = (label.at[0] * factor + dx, label.at[1] * factor + dy)
            self.labels.append(replace(label, at=at))

    def flipped(self) -> Board:
        """Return the board mirrored about x = 0."""
        return Board(
            [replace(path, segments=geometry.mirrored(path.segments)) for path in self.paths],
            [replace(label, at=(-label.at[0], label.at[1])) for label in self.labels],
        )

    def frame(self, margin: float) -> Frame:
        """Return the smallest window round everything drawn, widened by *margin*."""
        points = [point for path in self.paths for point in geometry.flatten(path.segments, 8)]
        points += [label.at for label in self.labels]
        xs, ys = [x for x, _ in points], [y for _, y in points]
        return Frame(min(xs) - margin, min(ys) - margin, max(xs) + margin, max(ys) + margin)

    def scene(self, frame: Frame, true_size: bool = False) -> Scene:
        """Return the window as a scene with its origin at the lower left corner."""
        return Scene(
            width_mm=round(frame.right - frame.left, _DECIMALS),
            height_mm=round(frame.top - frame.bottom, _DECIMALS),
            paths=tuple(
                replace(
                    path,
                    segments=_rounded(geometry.moved(path.segments, -frame.left, -frame.bottom)),
                )
                for path in self.paths
            ),
            labels=tuple(
                replace(
                    label,
                    at=(
                        round(label.at[0] - frame.left, _DECIMALS),
                        round(label.at[1] - frame.bottom, _DECIMALS),
                    ),
                )
                for label in self.labels
            ),
            true_size=true_size,
        )


def mirror(scene: Scene) -> Scene:
    """Return *scene* mirrored left to right: a left leg becomes the right one."""
    axis = scene.width_mm / 2
    return replace(
        scene,
        paths=tuple(
            replace(path, segments=_rounded(geometry.mirrored(path.segments, axis)))
            for path in scene.paths
        ),
        labels=tuple(
            replace(label, at=(round(scene.width_mm - label.at[0], _DECIMALS), label.at[1]))
            for label in scene.labels
        ),
    )


def _rounded(segments: Iterable[Segment]) -> tuple[Segment, ...]:
    def near(value: float) -> float:
        return round(value, _DECIMALS) + 0.0

    out: list[Segment] = []
    for segment in segments:
        if segment[0] == "C":
            _, ax, ay, bx, by, cx, cy = segment
            out.append(("C", near(ax), near(ay), near(bx), near(by), near(cx), near(cy)))
        elif segment[0] == "M":
            out.append(("M", near(segment[1]), near(segment[2])))
        elif segment[0] == "L":
            out.append(("L", near(segment[1]), near(segment[2])))
        else:
            out.append(segment)
    return tuple(out)
