"""A small sRGB profile for the output intent, built from the published numbers.

Primaries are the D50-adapted colorants and the transfer curve is the parametric
curve of IEC 61966-2-1, in an ICC version 2.1... see `srgb_profile`.
"""

from __future__ import annotations

import struct
from functools import cache

__all__ = ["srgb_profile"]

# Bradford-adapted to D50, as s15Fixed16; columns of the sRGB to PCS XYZ matrix
# (IEC 61966-2-1 Annex, rounded to the ICC's sixteen fraction bits).
_RED = (0.43607, 0.22249, 0.01392)
_GREEN = (0.38515, 0.71687, 0.09708)
_BLUE = (0.14307, 0.06061, 0.71410)
_D50 = (0.9642, 1.0, 0.8249)
_CURVE_STEPS = 256


def _fixed(value: float) -> bytes:
    return struct.pack(">i", round(value * 65536))


def _xyz(values: tuple[float, float, float]) -> bytes:
    return b"XYZ \0\0\0\0" + b"".join(map(_fixed, values))


def _decoded(signal: float) -> float:
    """Return the linear light of an sRGB signal."""
    return signal / 12.92 if signal <= 0.04045 else ((signal + 0.055) / 1.055) ** 2.4


def _curve() -> bytes:
    steps = [round(65535 * _decoded(i / (_CURVE_STEPS - 1))) for i in range(_CURVE_STEPS)]
    return b"curv\0\0\0\0" + struct.pack(f">I{_CURVE_STEPS}H", _CURVE_STEPS, *steps)


def _description(text: bytes) -> bytes:
    # ICC.1:2001-04, 6.5.17: ASCII with count, then empty Unicode and script parts.
    return b"desc\0\0\0\0" + struct.pack(">I", len(text) + 1) + text + b"\0" + bytes(8 + 3 + 67)


@cache
def srgb_profile() -> bytes:
    """Return the profile: version 2.1, display class, matrix and curves; no clock in it."""
    curve = _curve()
    tags: list[tuple[bytes, bytes]] = [
        (b"desc", _description(b"sRGB")),
        (b"cprt", b"text\0\0\0\0No copyright, use freely\0"),
        (b"wtpt", _xyz(_D50)),
        (b"rXYZ", _xyz(_RED)),
        (b"gXYZ", _xyz(_GREEN)),
        (b"bXYZ", _xyz(_BLUE)),
        (b"rTRC", curve),
        (b"gTRC", curve),
        (b"bTRC", curve),
    ]
    offset = 128 + 4 + 12 * len(tags)
    table, body, placed = b"", b"", {}
    for name, data in tags:
        if data not in placed:
            padded = data + bytes(-len(data) % 4)
            placed[data] = offset + len(body)
            body += padded
        table += struct.pack(">4sII", name, placed[data], len(data))
    size = offset + len(body)
    head = struct.pack(
        ">I4sI4s4s4s6H4s4sII4sQI", size, b"\0\0\0\0", 0x02100000, b"mntr", b"RGB ", b"XYZ ",
        2000, 1, 1, 0, 0, 0, b"acsp", b"\0\0\0\0", 0, 0, b"\0\0\0\0", 0, 0,
    )  # fmt: skip
    head += b"".join(map(_fixed, _D50)) + b"\0\0\0\0"
    return head.ljust(128, b"\0") + struct.pack(">I", len(tags)) + table + body
