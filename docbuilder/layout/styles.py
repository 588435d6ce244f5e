"""Colours and sizes: every value of the house look is here.

Contrast is computed by the WCAG 2 formula (relative luminance of sRGB).
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass

from docbuilder.caching import kept
from docbuilder.document.scene import Tone

__all__ = ["RGB", "Look", "contrast", "hex_rgb", "mix"]

RGB = tuple[float, float, float]

LEAST_CONTRAST = 7.0
"""WCAG 2 level AAA for text."""

_BLACK: RGB = (0.0, 0.0, 0.0)
_WHITE: RGB = (1.0, 1.0, 1.0)


def hex_rgb(colour: str) -> RGB:
    """Return #RRGGBB as three numbers from 0 to 1.

    Raises:
        ValueError: *colour* is not #RRGGBB.
    """
    if not re.fullmatch(r"#[0-9A-Fa-f]{6}", colour):
        raise ValueError(f"{colour!r} is not a colour of the form #RRGGBB")
    red, green, blue = (int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5))
    return red, green, blue


def mix(colour: RGB, share: float) -> RGB:
    """Return *share* of *colour* on white paper."""
    red, green, blue = (1 - share + share * part for part in colour)
    return red, green, blue


def _luminance(colour: RGB) -> float:
    red, green, blue = (
        part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in colour
    )
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


@kept(1024)
def contrast(one: RGB, other: RGB) -> float:
    """Return the WCAG 2 contrast ratio of two colours, from 1 to 21.

    >>> contrast((0, 0, 0), (1, 1, 1))
    21.0
    """
    light, dark = sorted((_luminance(one), _luminance(other)), reverse=True)
    return round((light + 0.05) / (dark + 0.05), 4)


@kept(64)
def _tones(accent: RGB) -> Mapping[Tone, RGB]:
    return {
        "black": _BLACK,
        "grey": (0.30, 0.30, 0.30),
        "tint": (0.955, 0.945, 0.93),
        "white": _WHITE,
        "accent": accent,
        "accent_tint": mix(accent, 0.16),
        "stop": (0.62, 0.0, 0.09),
    }


@kept(64)
def _darkened(ink: RGB, grounds: tuple[RGB, ...]) -> RGB:
    """Return *ink*, darkened until lettering in it can be read on all *grounds*."""
    while min(contrast(ink, ground) for ground in grounds) < LEAST_CONTRAST:
        red, green, blue = ink
        ink = red * 0.96, green * 0.96, blue * 0.96
    return ink


@dataclass(frozen=True, slots=True)
class Look:
    """The sizes and colours of one document; *text_pt* is the body size in points."""

    text_pt: float
    accent: RGB
    air: float = 1.0
    """Spaces against their full size; below 1 where a few lines would fill a page alone."""

    @classmethod
    def of(cls, text_pt: float, accent: str, air: float = 1.0) -> Look:
        """Return the look for a body size and a house colour.

        Raises:
            ValueError: The colour is malformed or below 7:1 on white.
        """
        colour = hex_rgb(accent)
        ratio = contrast(colour, _WHITE)
        if ratio < LEAST_CONTRAST:
            raise ValueError(f"accent {accent} has {ratio:.1f}:1 on white, 7:1 is needed")
        return cls(text_pt, colour, air)

    # Colours

    @property
    def tint(self) -> RGB:
        """The accent's light panel ground; 7 % keeps black above 17:1 on it."""
        return mix(self.accent, 0.07)

    def colour(self, tone: Tone) -> RGB:
        """Return the colour that *tone* stands for."""
        return _tones(self.accent)[tone]

    @property
    def accent_ink(self) -> RGB:
        """The accent for lettering: darkened until it reaches 7:1 on every light ground."""
        grounds = (self.tint, self.neutral, self.stop_ground, self.caution_ground)
        return _darkened(self.accent, grounds)

    @property
    def caution_ground(self) -> RGB:
        """The ground of a caution panel."""
        return 1.0, 0.975, 0.90

    @property
    def stop_ground(self) -> RGB:
        """The ground of a stop panel."""
        return mix(self.colour("stop"), 0.055)

    @property
    def neutral(self) -> RGB:
        """The ground of a plain panel and of shaded rows."""
        return (0.95, 0.95, 0.95)

    @property
    def hairline(self) -> RGB:
        """Rules between rows; drawn, never lettering."""
        return (0.62, 0.62, 0.62)

    # Sizes in points

    @property
    def scale(self) -> float:
        """Size of spaces against the 12 pt page."""
        return self.text_pt / 12

    def space(self, steps: float) -> float:
        """Return *steps* of the 4 pt rhythm; large print opens it by a quarter.

        Type below 12 pt, which a clinician reads, closes it as far as its lines are lower.
        """
        wide = 1.25 if self.text_pt >= 16 else min(1.0, self.text_pt / 12)
        return 4 * steps * self.air * wide

    @property
    def lead_pt(self) -> float:
        """An opening paragraph."""
        return round(self.text_pt * 1.1, 1)

    @property
    def small_pt(self) -> float:
        """Legal lines, sources, captions."""
        return max(10.0, round(self.text_pt * 0.83, 1))

    @property
    def least_read_pt(self) -> float:
        """Smallest type of what is read: 12 pt, in large print 16 pt (RNIB clear print)."""
        return min(self.text_pt, 12.0 if self.text_pt < 16 else 16.0)

    @property
    def compact_pt(self) -> float:
        """Dense tables."""
        return max(10.0, round(self.text_pt * 0.86, 1))

    @property
    def furniture_pt(self) -> float:
        """Header and footer."""
        return max(9.0, round(self.text_pt * 0.66, 1))

    @property
    def value_pt(self) -> float:
        """The large figure of a setting."""
        return 26.0 if self.text_pt < 13 else 28.0 if self.text_pt < 16 else 30.0

    def heading_pt(self, level: int) -> float:
        """Return the size of a heading of *level* 1 to 3."""
        return round(self.text_pt * {1: 1.75, 2: 1.3, 3: 1.1}[level], 1)

    @property
    def measure(self) -> float:
        """The widest line of running text: at most 72 Latin letters (0.46 em each, measured)."""
        return self.text_pt * 32
