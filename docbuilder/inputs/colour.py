"""Contrast of a house colour on white paper.

Source: WCAG 2.2, definitions of "relative luminance" and "contrast ratio"; 7:1 is its
success criterion 1.4.6 (enhanced).
"""

from __future__ import annotations

import re

from docbuilder.inputs.fields import Convert, Fault, Unfit, scalar
from docbuilder.inputs.yaml_file import Node, shown

__all__ = ["contrast_on_white", "dark_colour", "darker_until"]

_HEX = re.compile(r"#[0-9A-Fa-f]{6}", re.ASCII)


def contrast_on_white(colour: str) -> float:
    """Return the contrast ratio, 1 to 21, of *colour* (#RRGGBB) on white.

    >>> round(contrast_on_white("#767676"), 2)
    4.54
    """
    red, green, blue = (_linear(int(colour[at : at + 2], 16)) for at in (1, 3, 5))
    return 1.05 / (0.2126 * red + 0.7152 * green + 0.0722 * blue + 0.05)


def darker_until(colour: str, ratio: float) -> str:
    """Return the lightest darkening of *colour* whose contrast on white is *ratio* or more.

    The three channels keep their proportion, so the hue stays.

    >>> darker_until("#767676", 7)
    '#595959'
    """
    parts = [int(colour[at : at + 2], 16) for at in (1, 3, 5)]
    for share in range(1000, -1, -1):
        darker = "#" + "".join(f"{part * share // 1000:02X}" for part in parts)
        if contrast_on_white(darker) >= ratio:
            return darker
    return "#000000"


def dark_colour(ratio: float = 7.0) -> Convert[str]:
    """Make a converter for #RRGGBB with a contrast on white of at least *ratio*."""
    allowed = "a colour as #RRGGBB in quotes"

    def read(node: Node) -> str:
        colour = scalar(node, allowed).text
        if not _HEX.fullmatch(colour):
            hint = 'write a hash and six of 0-9 and A-F in quotes, as in "#005A70"'
            raise Unfit(Fault(node.line, shown(colour), allowed, hint))
        if (contrast := contrast_on_white(colour)) < ratio:
            found = f"{colour}, contrast {int(contrast * 10) / 10}:1 on white"
            hint = f'the nearest darker colour that passes is "{darker_until(colour, ratio)}"'
            raise Unfit(Fault(node.line, found, f"{ratio:g}:1 or more", hint))
        return colour.upper()

    return read


def _linear(part: int) -> float:
    """Return the linear light of one sRGB channel, 0 to 255 in, 0 to 1 out."""
    share = part / 255
    return share / 12.92 if share <= 0.04045 else float(((share + 0.055) / 1.055) ** 2.4)
