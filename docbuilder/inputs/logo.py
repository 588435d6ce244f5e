"""Look at a logo file closely enough to know that it is a PNG or JPEG picture that draws.

Sources: PNG, ISO/IEC 15948 (signature, chunks, CRC, IHDR); JPEG, ITU-T T.81 annex B
(markers, frame header). What passes is decoded once by Pillow, which draws it later:
a picture that it cannot decode would stop the build of every pack.
"""

from __future__ import annotations

import zlib
from dataclasses import dataclass
from io import BytesIO
from typing import Literal

__all__ = ["MAX_LOGO_BYTES", "MAX_LOGO_PIXELS", "BadLogo", "Logo", "look_at_logo"]

MAX_LOGO_BYTES = 2_000_000
MAX_LOGO_PIXELS = 4000
_PNG = b"\x89PNG\r\n\x1a\n"
_PNG_DEPTHS = {0: (1, 2, 4, 8, 16), 2: (8, 16), 3: (1, 2, 4, 8), 4: (8, 16), 6: (8, 16)}
_NO_FRAME = {0xC4, 0xC8, 0xCC}
"""Markers between C0 and CF that start no frame."""


class BadLogo(Exception):
    """The bytes are no picture that we print; the message says what they are."""


@dataclass(frozen=True, slots=True)
class Logo:
    """Kind and size in pixels."""

    kind: Literal["png", "jpeg"]
    width: int
    height: int


def look_at_logo(data: bytes) -> Logo:
    """Return what picture *data* is.

    Raises:
        BadLogo: It is neither PNG nor JPEG, is damaged, has too many pixels a side, or
            is in printing-press colours.
    """
    if data.startswith(_PNG):
        logo = _png(data)
    elif data.startswith(b"\xff\xd8"):
        logo = _jpeg(data)
    else:
        raise BadLogo("a file that is neither PNG nor JPEG")
    if not (1 <= logo.width <= MAX_LOGO_PIXELS and 1 <= logo.height <= MAX_LOGO_PIXELS):
        raise BadLogo(f"{logo.width} x {logo.height} pixels")
    _decode(data)
    return logo


def _decode(data: bytes) -> None:
    from PIL import Image  # slow to load, and many commands look at no logo

    try:
        with Image.open(BytesIO(data), formats=("PNG", "JPEG")) as picture:
            picture.load()
    except Exception:  # Pillow raises OSError, SyntaxError, ValueError and struct.error
        raise BadLogo("a damaged picture that cannot be decoded") from None


def _png(data: bytes) -> Logo:
    at, logo, has_data = len(_PNG), None, False
    while at + 12 <= len(data):
        length, kind = int.from_bytes(data[at : at + 4], "big"), data[at + 4 : at + 8]
        end = at + 8 + length
        if end + 4 > len(data):
            break
        if zlib.crc32(data[at + 4 : end]) != int.from_bytes(data[end : end + 4], "big"):
            raise BadLogo("a damaged PNG (a checksum is wrong)")
        if logo is None:
            logo = _png_header(kind, data[at + 8 : end])
        has_data = has_data or kind == b"IDAT"
        if kind == b"IEND" and has_data:
            return logo
        at = end + 4
    raise BadLogo("a PNG that is cut short")


def _png_header(kind: bytes, body: bytes) -> Logo:
    if kind != b"IHDR" or len(body) != 13 or body[8] not in _PNG_DEPTHS.get(body[9], ()):
        raise BadLogo("a damaged PNG (its header is wrong)")
    return Logo("png", int.from_bytes(body[:4], "big"), int.from_bytes(body[4:8], "big"))


def _jpeg(data: bytes) -> Logo:
    at, logo = 2, None
    while at + 4 <= len(data):
        if data[at] != 0xFF:
            raise BadLogo("a damaged JPEG (a marker is missing)")
        marker, length = data[at + 1], int.from_bytes(data[at + 2 : at + 4], "big")
        if marker == 0xFF:  # fill byte
            at += 1
            continue
        if marker == 0xDA:
            if logo is None or b"\xff\xd9" not in data[at:]:
                break
            return logo
        if 0xC0 <= marker <= 0xCF and marker not in _NO_FRAME:
            logo = _jpeg_frame(data[at + 4 : at + 2 + length])
        if length < 2:
            break
        at += 2 + length
    raise BadLogo("a JPEG that is cut short")


def _jpeg_frame(body: bytes) -> Logo:
    if len(body) < 6:
        raise BadLogo("a damaged JPEG (its header is wrong)")
    if body[5] not in (1, 3):
        raise BadLogo("a JPEG in printing-press colours (CMYK)")
    return Logo("jpeg", int.from_bytes(body[3:5], "big"), int.from_bytes(body[1:3], "big"))
