"""A scene as SVG, for the screen and for looking at drawings on their own.

Text stays text, with its bidi isolates. Labels stand in a column at each side.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from xml.sax.saxutils import escape, quoteattr

from docbuilder.document.scene import Label, Path, Scene, Segment, Tone

__all__ = ["TONES", "scene_to_svg"]

TONES: Mapping[Tone, str] = {
    "black": "#000000",
    "grey": "#6E6E6E",
    "tint": "#ECE9E4",
    "white": "#FFFFFF",
    "accent": "#005A70",
    "accent_tint": "#BFD9E0",
    "stop": "#B3261E",
}
_MM_PER_PT = 25.4 / 72
_LABEL_PT = 9.0
_LEADING = 1.4


def scene_to_svg(
    scene: Scene,
    font_family: str,
    *,
    width_mm: float | None = None,
    column_mm: float = 45.0,
    tones: Mapping[Tone, str] = TONES,
) -> str:
    """Return *scene* as one SVG document.

    Args:
        scene: The drawing; labels without text are left out.
        font_family: CSS font family list for the labels.
        width_mm: Width of the picture without label columns; None or a true-size
            scene: one scene millimetre is one millimetre.
        column_mm: Room for each label column, where there are labels.
        tones: A CSS colour for each tone.
    """
    factor = 1.0 if scene.true_size or width_mm is None else width_mm / scene.width_mm
    leaders = [label for label in scene.labels if label.text and not label.inline]
    column = column_mm if leaders else 0.0
    width, height = scene.width_mm * factor + 2 * column, scene.height_mm * factor
    body = [_path(path, factor, column, height, tones) for path in scene.paths]
    for left in (True, False):
        side = [item for item in leaders if (item.at[0] < scene.width_mm / 2) == left]
        body.extend(_column(side, left, factor, column, width, height, tones))
    body.extend(
        _text(item, column + item.at[0] * factor, height - item.at[1] * factor, "middle", 0.35)
        for item in scene.labels
        if item.text and item.inline
    )
    return (
        '<svg xmlns="http://www.w3.org/2000/svg" '
        f'width="{width:.3f}mm" height="{height:.3f}mm" viewBox="0 0 {width:.3f} {height:.3f}" '
        f"font-family={quoteattr(font_family)}>" + "".join(body) + "</svg>"
    )


def _path(path: Path, factor: float, dx: float, height: float, tones: Mapping[Tone, str]) -> str:
    ink = path.ink
    fill = tones[ink.fill] if ink.fill else "none"
    stroke = tones[ink.stroke] if ink.stroke else "none"
    dash = ",".join(f"{length * _MM_PER_PT:.3f}" for length in ink.dash_pt)
    return (
        f'<path d="{_commands(path.segments, factor, dx, height)}" fill="{fill}" '
        f'stroke="{stroke}" stroke-width="{ink.width_pt * _MM_PER_PT:.3f}" '
        f'stroke-linecap="round" stroke-linejoin="round"'
        + (f' stroke-dasharray="{dash}"' if dash else "")
        + "/>"
    )


def _commands(segments: Iterable[Segment], factor: float, dx: float, height: float) -> str:
    out = []
    for segment in segments:
        numbers: tuple[float, ...] = segment[1:]
        placed = [
            f"{dx + value * factor:.3f}" if index % 2 == 0 else f"{height - value * factor:.3f}"
            for index, value in enumerate(numbers)
        ]
        out.append(segment[0] + " ".join(placed))
    return "".join(out)


def _column(
    labels: list[Label],
    left: bool,
    factor: float,
    column: float,
    width: float,
    height: float,
    tones: Mapping[Tone, str],
) -> list[str]:
    """Spread the labels of one side down its column, each near its anchor's height."""
    step = _LABEL_PT * _LEADING * _MM_PER_PT
    labels = sorted(labels, key=lambda label: -label.at[1])
    spots: list[float] = []
    for label in labels:
        wanted = height - label.at[1] * factor
        spots.append(max(wanted, spots[-1] + step if spots else step / 2))
    lowest = height - step / 2
    for index in reversed(range(len(spots))):
        spots[index] = min(spots[index], lowest)
        lowest = spots[index] - step
    edge = column - 2 if left else width - column + 2
    out = []
    for label, y in zip(labels, spots, strict=True):
        x, anchor_y = column + label.at[0] * factor, height - label.at[1] * factor
        out.append(
            f'<path d="M{x:.3f} {anchor_y:.3f}L{edge:.3f} {y:.3f}" fill="none" '
            f'stroke="{tones["grey"]}" stroke-width="{0.6 * _MM_PER_PT:.3f}"/>'
        )
        out.append(_text(label, edge + (-1 if left else 1), y, "end" if left else "start", 0.35))
    return out


def _text(label: Label, x: float, y: float, anchor: str, drop: float) -> str:
    size = (label.size_pt or _LABEL_PT) * _MM_PER_PT
    return (
        f'<text x="{x:.3f}" y="{y + drop * size:.3f}" font-size="{size:.3f}" '
        f'text-anchor="{anchor}" data-key={quoteattr(label.key)}>{escape(label.text)}</text>'
    )
