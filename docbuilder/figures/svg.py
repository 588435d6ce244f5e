"""A scene as SVG, for the screen and for looking at drawings on their own.

Text stays text, with its bidi isolates. Labels stand in a column at each side.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import Literal
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
_STEP = _LABEL_PT * 1.3 * _MM_PER_PT
_GAP = 1.2
"""Between two labels of a column, in mm."""
_DROP = 0.35
"""Baseline below the middle of a line, in ems."""


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
        _text(item, column + item.at[0] * factor, height - item.at[1] * factor, "middle")
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
    labels = sorted(labels, key=lambda label: -label.at[1])
    texts = [_lines(label.text, column - 4) for label in labels]
    tall = [len(lines) * _STEP for lines in texts]
    spots: list[float] = []
    lowest = 0.0
    for label, size in zip(labels, tall, strict=True):
        spots.append(max(height - label.at[1] * factor, lowest + size / 2))
        lowest = spots[-1] + size / 2 + _GAP
    lowest = height
    for index in reversed(range(len(spots))):
        spots[index] = min(spots[index], lowest - tall[index] / 2)
        lowest = spots[index] - tall[index] / 2 - _GAP
    edge = column - 2 if left else width - column + 2
    out = []
    for label, lines, y in zip(labels, texts, spots, strict=True):
        x, anchor_y = column + label.at[0] * factor, height - label.at[1] * factor
        out.append(
            f'<path d="M{x:.3f} {anchor_y:.3f}L{edge:.3f} {y:.3f}" fill="none" '
            f'stroke="{tones["black"]}" stroke-width="{0.6 * _MM_PER_PT:.3f}"/>'
            f'<circle cx="{x:.3f}" cy="{anchor_y:.3f}" r="{2 * _MM_PER_PT:.3f}" '
            f'fill="{tones["black"]}"/>'
        )
        top = y - (len(lines) - 1) * _STEP / 2
        for number, line in enumerate(lines):
            at = (edge + (-1 if left else 1), top + number * _STEP)
            out.append(_text(replace(label, text=line), *at, "end" if left else "start"))
    return out


def _lines(text: str, width: float) -> list[str]:
    """Break *text* at spaces so that each line surely fits *width* mm.

    Runs inside a bidi isolate stay whole; scripts without spaces break anywhere.
    """
    words: list[str] = []
    depth = 0
    for piece in re.split(r"(?<= )", text):
        if depth:
            words[-1] += piece
        elif any(unicodedata.east_asian_width(mark) in "WF" for mark in piece):
            words.extend(piece)
        else:
            words.append(piece)
        depth += sum(piece.count(mark) for mark in "\u2066\u2067\u2068") - piece.count("\u2069")
    lines = [""]
    for word in words:
        if lines[-1] and _wide(lines[-1] + word.rstrip()) > width:
            lines.append("")
        lines[-1] += word
    return [line.rstrip() for line in lines]


def _wide(text: str) -> float:
    """Return a width in mm that *text* does not pass in common sans-serif faces."""
    marks = [mark for mark in text if unicodedata.category(mark) not in ("Mn", "Cf")]
    ems = sum(1.0 if unicodedata.east_asian_width(mark) in "WF" else 0.6 for mark in marks)
    return ems * _LABEL_PT * _MM_PER_PT


def _text(label: Label, x: float, y: float, anchor: Literal["start", "middle", "end"]) -> str:
    """Set one line.

    A right-to-left line is an isolate in a left-to-right one: renderers do not agree
    on what text-anchor means once the direction attribute is set.
    """
    size = (label.size_pt or _LABEL_PT) * _MM_PER_PT
    text = f"\u2067{label.text}\u2069" if _right_to_left(label.text) else label.text
    return (
        f'<text x="{x:.3f}" y="{y + _DROP * size:.3f}" font-size="{size:.3f}" '
        f'text-anchor="{anchor}" data-key={quoteattr(label.key)}>{escape(text)}</text>'
    )


def _right_to_left(text: str) -> bool:
    """Return whether the first strong character outside isolates runs to the left (UAX #9, P2)."""
    depth = 0
    for mark in text:
        kind = unicodedata.bidirectional(mark)
        depth += (kind in ("LRI", "RLI", "FSI")) - (kind == "PDI")
        if not depth and kind in ("L", "R", "AL"):
            return kind != "L"
    return False
