"""Images as PDF objects: lossless, in a table of colours where there are few."""

from __future__ import annotations

from PIL import Image

from docbuilder.caching import kept
from docbuilder.layout.objects import stream

__all__ = ["image_source"]

_MOST_COLOURS = 256
"""A table of colours may have no more; ISO 32000-1, 8.6.6.3."""


@kept(8)
def image_source(pixels: bytes, width: int, height: int) -> bytes:
    """Return RGB *pixels* as an image object; drawn, it shows just these.

    A logo has few colours: with a table of them it takes half the bytes.
    """
    coded = _in_table(pixels, width, height)
    bits, space, samples = coded or (8, "/DeviceRGB", pixels)
    return stream(
        f"/Type/XObject/Subtype/Image/Width {width}/Height {height}"
        f"/ColorSpace{space}/BitsPerComponent {bits}",
        samples,
    ).source


def _in_table(pixels: bytes, width: int, height: int) -> tuple[int, str, bytes] | None:
    """Return bits a pixel, colour space and samples; None if there are too many colours."""
    picture = Image.frombytes("RGB", (width, height), pixels)
    colours = picture.getcolors(_MOST_COLOURS)
    if colours is None:
        return None
    coded = picture.quantize(len(colours), dither=Image.Dither.NONE)
    if coded.convert("RGB").tobytes() != pixels:
        return None
    table = bytes(coded.getpalette() or ())[: 3 * len(colours)]
    bits = 4 if len(colours) <= 16 else 8
    samples = coded.tobytes("raw", "P;4") if bits == 4 else coded.tobytes()
    return bits, f"[/Indexed/DeviceRGB {len(colours) - 1}<{table.hex()}>]", samples
