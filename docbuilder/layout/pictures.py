"""Drawings: scenes to scale, labels in columns outside, captions."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from docbuilder.caching import kept, memo
from docbuilder.document.blocks import FigureBlock, Run
from docbuilder.document.scene import Label, Path, Point, Scene, Segment
from docbuilder.layout.boxes import Box, Room, Stack
from docbuilder.layout.flow import Flow
from docbuilder.layout.geometry import MM, Frame
from docbuilder.layout.labels import Leader, place_labels
from docbuilder.layout.lettering import Align, TextBox, TextStyle, least_width
from docbuilder.layout.pen import Pen, circle, painted, path_operators
from docbuilder.layout.structure import Element
from docbuilder.layout.styles import Look

__all__ = ["FigureBox", "SceneBox", "measure_figure"]

_HEIGHTS = 16
"""So many heights are remembered for a drawing that may shrink."""
_LABEL_MM = 36.0
_LABEL_SHARE = 0.3
"""Of the frame, for one column of names."""
_BELOW_INK_PT = 2.0
"""What a line's frame has below its letters at the least."""
_HATCH_PT = 4.5
"""Distance of hatch lines; wide enough to survive a copier."""
_HIGHEST = 0.68
"""Share of an empty page that a drawing may take."""
_LESS = 0.93
"""Step by which a drawing shrinks further where its names take room too."""
_LEAST_SCALE = 0.78
"""How far a drawing may shrink to stay with the words before it."""


class SceneBox(Box):
    """A scene drawn to fit a width, or 1:1."""

    kind = "picture"

    def __init__(
        self, scene: Scene, width: float, flow: Flow, element: Element | None, highest: float
    ) -> None:
        scale = MM if scene.true_size else min(width / scene.width_mm, highest / scene.height_mm)
        super().__init__(scene.width_mm * scale, scene.height_mm * scale)
        self.scene, self.scale, self.flow, self.element = scene, scale, flow, element
        self._sunk = 0.0
        """How much lower the words at the foot stand, in points."""

    def keep_below(self, height: float) -> None:
        """Move the words under the drawing down, so that no line above *height* meets them."""
        tops = [
            label.at[1] * self.scale + self._lettered(label)[1]
            for label in self.scene.labels
            if self._is_foot(label)
        ]
        self._sunk = max(0.0, max(tops, default=0.0) - height + _BELOW_INK_PT) if tops else 0.0

    def _is_foot(self, label: Label) -> bool:
        """Tell whether a label stands in the drawing, below all that has a name beside it."""
        named = [other.at[1] for other in self.scene.labels if other.text and not other.inline]
        return label.inline and bool(label.text) and label.at[1] < min(named, default=0.0)

    def draw(self, pen: Pen, x: float, top: float) -> None:
        """Draw the paths, then the words that stand in the drawing."""
        if self.element is None or pen.is_marked:
            self.draw_content(pen, x, top)
            return
        frame = Frame(x, top - self.height, x + self.width, top)
        pen.describe(self.element, figure_attributes(frame))
        with pen.marked(self.element):
            self.draw_content(pen, x, top)

    def at(self, point: Point, x: float, top: float) -> Point:
        """Return a scene point in page points."""
        return x + point[0] * self.scale, top - self.height + point[1] * self.scale

    def draw_content(self, pen: Pen, x: float, top: float) -> None:
        """Draw without opening a mark of its own."""
        operators = _operators(self.scene.paths, self.scale, self.flow.look)
        pen.drawing(operators, x, top - self.height)
        for label in self.scene.labels:
            if label.inline and label.text:
                self._inline(pen, label, x, top)

    def _inline(self, pen: Pen, label: Label, x: float, top: float) -> None:
        box, rise = self._lettered(label)
        px, py = self.at(label.at, x, top)
        py -= self._sunk if self._is_foot(label) else 0.0
        frame = Frame(px - box.width / 2, py + rise - box.height, px + box.width / 2, py + rise)
        box.place_centred(pen, frame)

    def _lettered(self, label: Label) -> tuple[TextBox, float]:
        """Return an inline label's text, and how far its top stands above the label's point.

        The first line is at the point; more lines stand below it.
        """
        size = label.size_pt or label_pt(self.flow)
        style = self.flow.style(size, align="centre", leading=1.1)
        runs = (Run(label.text),)
        room = max(least_width(runs, style), self._room(label, size))
        wide = TextBox(runs, 10_000, style, None)
        return TextBox(runs, min(wide.natural_width, room) + 1, style, None), wide.height / 2

    def lowest(self) -> float:
        """Return how far the inline labels hang below the drawing, as 0 or a negative height."""
        feet = [0.0]
        for label in self.scene.labels:
            if label.inline and label.text:
                box, rise = self._lettered(label)
                sunk = self._sunk if self._is_foot(label) else 0.0
                feet.append(label.at[1] * self.scale + rise - box.height + _BELOW_INK_PT - sunk)
        return min(feet)

    def _room(self, label: Label, size: float) -> float:
        """Return how wide an inline label may be, in points.

        It keeps off the others on its line, and inside the drawing: names stand beside that.
        """
        beside = [
            abs(other.at[0] - label.at[0]) * self.scale - size
            for other in self.scene.labels
            if other is not label and other.inline and other.text
            and abs(other.at[1] - label.at[1]) * self.scale < 0.6 * size
            and other.at[0] != label.at[0]
        ]  # fmt: skip
        edge = min(label.at[0], self.scene.width_mm - label.at[0]) * self.scale
        return min([2 * edge, *beside])


class FigureBox(Box):
    """A scene with its names in columns at both sides."""

    kind = "figure"

    def __init__(
        self, scene: Scene, width: float, flow: Flow, element: Element,
        picture_width: float | None, least: float = 0.0,
    ) -> None:  # fmt: skip
        self.flow, self.element = flow, element
        self.named = [label for label in scene.labels if label.text and not label.inline]
        widest = _LABEL_MM * MM * (1.25 if flow.look.text_pt >= 16 else 1.0)
        widest = min(widest, width * _LABEL_SHARE)
        wide = [
            TextBox((Run(label.text),), 10_000, self._style("left"), None) for label in self.named
        ]
        self.gap = flow.space(4)
        lefts = {label.at[0] < scene.width_mm / 2 for label in self.named}
        if picture_width and lefts:
            # What a small picture leaves free is the names'.
            widest = max(widest, (width - picture_width) / len(lefts) - self.gap)
        if least and lefts:
            # The picture comes first; names may wrap, but not within a word.
            words = [least_width(text.runs, text.style) + 1 for text in wide]
            widest = max(*words, min(widest, (width - least) / len(lefts) - self.gap))
        self.column = min(widest, max((text.natural_width + 1 for text in wide), default=0.0))
        room = width - len(lefts) * (self.column + self.gap)
        self.picture = SceneBox(
            scene, min(picture_width or room, room), flow, None, flow.page_height * _HIGHEST
        )
        used = self.picture.width + len(lefts) * (self.column + self.gap)
        before = self.column + self.gap if True in lefts else 0.0
        self._left = (width - used) / 2 + before
        super().__init__(width, self._arrange())

    def _style(self, align: Align) -> TextStyle:
        return self.flow.style(label_pt(self.flow), align=align, leading=1.2)

    def _text(self, label: Label, align: Align) -> TextBox:
        return TextBox((Run(label.text),), self.column, self._style(align), None)

    def _arrange(self) -> float:
        """Place the names; return the height that picture and names need."""
        scale, left = self.picture.scale, self._left
        edges = (left - self.gap, left + self.picture.width + self.gap)
        anchors = [(left + label.at[0] * scale, label.at[1] * scale) for label in self.named]
        heights = [self._text(label, "left").height for label in self.named]
        self.leaders = place_labels(anchors, heights, edges, self.flow.space(1))
        self.picture.keep_below(min((leader.port[1] for leader in self.leaders), default=0.0))
        halves = [heights[leader.index] / 2 for leader in self.leaders]
        tops = [leader.middle + half for leader, half in zip(self.leaders, halves, strict=True)]
        feet = [leader.middle - half for leader, half in zip(self.leaders, halves, strict=True)]
        self._rise = -min([self.picture.lowest(), *feet])
        self.texts = [
            self._text(label, "right" if leader.side == "left" else "left")
            for label, leader in zip(self.named, self.leaders, strict=True)
        ]
        return max([self.picture.height, *tops]) + self._rise

    def draw(self, pen: Pen, x: float, top: float) -> None:
        """Draw the scene, the leaders, then the names, all as one figure."""
        frame = Frame(x, top - self.height, x + self.width, top)
        pen.describe(self.element, figure_attributes(frame))
        foot = top - self.height + self._rise
        with pen.marked(self.element):
            self.picture.place(pen, x + self._left, foot + self.picture.height, frame)
            for leader in self.leaders:
                _draw_leader(pen, leader, x, foot)
            for leader, text in zip(self.leaders, self.texts, strict=True):
                port = x + leader.port[0]
                left = port - self.column if leader.side == "left" else port
                text.place(pen, left, foot + leader.middle + text.height / 2, frame)


@kept(512)
def _operators(paths: tuple[Path, ...], scale: float, look: Look) -> str:
    """Return the operators of a scene's paths, from its lower left corner, in points."""
    return "\n".join(_path(path, scale, look) for path in paths)


def _path(path: Path, scale: float, look: Look) -> str:
    segments = [(kind, *(value * scale for value in values)) for kind, *values in path.segments]
    drawn, ink = path_operators(segments), path.ink  # type: ignore[arg-type]
    stroke = look.colour(ink.stroke) if ink.stroke else None
    fill = look.colour(ink.fill) if ink.fill else None
    outline = painted(
        drawn, None if ink.fill == "accent_tint" else fill, stroke, ink.width_pt, ink.dash_pt
    )
    if ink.fill != "accent_tint":
        return outline
    hatch = painted(path_operators(_hatch(segments)), None, look.accent, 0.6)
    return f"{painted(drawn, fill, None, inside=hatch)}\n{outline}"


def _hatch(segments: Sequence[tuple[Any, ...]]) -> list[Segment]:
    """Return diagonal lines over a path, so that pads show on a grey copy."""
    xs = [value for segment in segments for value in segment[1::2]]
    ys = [value for segment in segments for value in segment[2::2]]
    x0, x1, y0, y1 = min(xs), max(xs), min(ys), max(ys)
    lines: list[Segment] = []
    # Multiples of the pitch from the scene's corner: neighbours' lines meet.
    start = (x0 - y1) // (_HATCH_PT * 1.4142) * _HATCH_PT * 1.4142
    while start < x1 - y0:
        lines += [("M", start + y0, y0), ("L", start + y1, y1)]
        start += _HATCH_PT * 1.4142
    return lines


def _draw_leader(pen: Pen, leader: Leader, x: float, foot: float) -> None:
    inset = 3 if leader.side == "left" else -3
    start = (x + leader.port[0] + inset, foot + leader.port[1])
    end = (x + leader.anchor[0], foot + leader.anchor[1])
    pen.rule(start, end, (1, 1, 1), 2.2)
    pen.rule(start, end, (0, 0, 0), 0.6)
    pen.shape(circle(*end, 2.0), fill=(0, 0, 0), stroke=(1, 1, 1), width_pt=0.8)


def figure_attributes(frame: Frame) -> str:
    """Return the layout attributes of a figure: where it stands on its page."""
    box = " ".join(f"{edge:.1f}" for edge in (frame.x0, frame.y0, frame.x1, frame.y1))
    return f"<</O/Layout/Placement/Block/BBox[{box}]>>"


def label_pt(flow: Flow) -> float:
    """Return the size of names in drawings, in points."""
    return max(10.0, round(flow.text_pt * 0.86, 1))


class _Captioned(Stack):
    """A drawing and its caption: never split, a little smaller where that saves a page."""

    kind = "figure block"

    def __init__(self, drawing: FigureBox, caption: TextBox | None, least: float) -> None:
        super().__init__(drawing.width, [drawing, *([caption] if caption else [])])
        self.drawing, self.caption, self.least = drawing, caption, least
        """*least*: width of the picture to which it may shrink, in points."""
        self.before = self.after = drawing.flow.space(3)
        self._lower: dict[float, Box | None] = memo()

    @property
    def stiff(self) -> bool:
        """Whether the drawing has its least width already."""
        return self.least >= self.drawing.picture.width

    def split(self, room: Room) -> None:
        """Never."""
        return None

    def squeeze(self, height: float) -> Box | None:
        """Return the block with a smaller drawing, if it need not shrink by too much."""
        # Pages are weighed by trying the same heights again and again.
        if height in self._lower:
            return self._lower[height]
        lower = self._squeezed(height)
        if len(self._lower) < _HEIGHTS:
            self._lower[height] = lower
        return lower

    def _squeezed(self, height: float) -> Box | None:
        picture = self.drawing.picture
        width = picture.width * (1 - (self.height - height) / picture.height)
        while width >= self.least - 0.01:
            drawing = FigureBox(
                picture.scene, self.width, self.drawing.flow, self.drawing.element, width,
                min(width, self.least),
            )  # fmt: skip
            smaller = _Captioned(drawing, self.caption, self.least)
            if smaller.height <= height + 0.01:
                smaller.number = self.number
                return smaller
            # Names and words below the drawing do not shrink with it.
            if width <= self.least:
                break
            width = max(self.least, width * _LESS)
        return None


def measure_figure(block: FigureBlock, width: float, flow: Flow, parent: Element) -> list[Box]:
    """Return the drawing with its caption, which stay together."""
    element = parent.child("Figure", alt=block.alt)
    picture_width = block.width_mm * MM if block.width_mm else None
    room = min(block.least_mm, block.width_mm or block.least_mm) * MM if block.least_mm else 0.0
    drawing = FigureBox(block.scene, width, flow, element, picture_width, room)
    caption: TextBox | None = None
    if block.caption:
        style = flow.style(max(flow.look.small_pt, flow.look.least_read_pt), leading=1.3)
        caption = TextBox(
            block.caption, width, style, parent.child("P"), measure=min(width, flow.look.measure)
        )
        caption.kind, caption.before = "caption", flow.space(2)
    least = drawing.picture.width
    if block.least_mm is not None:
        least = block.least_mm * MM
    elif block.width_mm is None and not block.scene.true_size:
        least *= _LEAST_SCALE
    return [_Captioned(drawing, caption, least)]
