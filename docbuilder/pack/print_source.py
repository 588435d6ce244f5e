"""One of our PDFs taken apart into its objects, for joining with others.

It reads only PDFs that `docbuilder.layout` wrote: one cross-reference stream, objects in
object streams, text as hexadecimal strings, references only in dictionaries and arrays.
"""

from __future__ import annotations

import re
import struct
import zlib
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

__all__ = ["REFERENCE", "PaperSource", "PdfObject", "found"]

REFERENCE = re.compile(rb"(?<![\w.])(\d+) 0 R")
_ROW = struct.Struct(">BQH")
_LOW = int.from_bytes(b"\x7f" * _ROW.size, "big")
_HIGH = int.from_bytes(b"\x80" * _ROW.size, "big")


@dataclass(frozen=True, slots=True)
class PdfObject:
    """A dictionary or array, and after it the stream if there is one."""

    head: bytes
    stream: bytes


class PaperSource:
    """One paper: its objects by number, and what its catalogue points at.

    Args:
        data: The whole file.

    Raises:
        ValueError: Not a file of our making.
    """

    def __init__(self, data: bytes) -> None:
        at = int(found(rb"startxref\s+(\d+)\s+%%EOF", data[-64:]))
        table = data[at:]
        self.objects = _objects(data, at, _rows(table))
        self.root = int(found(rb"/Root (\d+) 0 R", table))
        self.info = int(found(rb"/Info (\d+) 0 R", table))
        catalogue = self.objects[self.root].head
        self.language = found(rb"/Lang \(([\w-]+)\)", catalogue)
        self.tree = self._named(catalogue, b"StructTreeRoot")
        self.pages = self._named(catalogue, b"Pages")
        self.intents = self._named(catalogue, b"OutputIntents")
        self.profile = self._named(self.objects[self.intents].head, b"DestOutputProfile")
        self.document = self._named(self.objects[self.tree].head, b"K")
        self.parents = self._named(self.objects[self.tree].head, b"ParentTree")
        self.outline = self._named(catalogue, b"Outlines") if b"/Outlines" in catalogue else 0
        kept = (self.tree, self.pages, self.outline)
        named = {int(one) for one in REFERENCE.findall(catalogue)} - set(kept)
        self.dropped = {self.root, self.info, self.tree, self.outline, self.profile, *named}
        if b"/MediaBox" not in self.objects[self.kids[0]].head:
            raise ValueError("a page without its size")

    @staticmethod
    def _named(head: bytes, name: bytes) -> int:
        return int(found(rb"/" + name + rb" (\d+) 0 R", head))

    @property
    def kids(self) -> list[int]:
        """Numbers of the pages."""
        kids = found(rb"/Kids\[([^\]]*)\]", self.objects[self.pages].head)
        return [int(one) for one in REFERENCE.findall(kids)]


def found(pattern: bytes, data: bytes) -> bytes:
    """Return the first group of *pattern* in *data*.

    Raises:
        ValueError: It is not there.
    """
    match = re.search(pattern, data)
    if match is None:
        raise ValueError(f"not a file of ours: no {pattern.decode('latin-1')}")
    return bytes(match[1])


def _rows(table: bytes) -> list[tuple[int, ...]]:
    """Return the cross-reference stream's rows: kind, place, index; ISO 32000-1, 7.5.8."""
    if b"/Type/XRef" not in table or b"/W[1 8 2]" not in table or b"/Predictor 12" not in table:
        raise ValueError("no cross-reference stream of ours")
    data = _unpacked(_body(table[: table.rindex(b"startxref")]))
    rows, above = [], 0
    for place in range(1, len(data), _ROW.size + 1):
        less = int.from_bytes(data[place : place + _ROW.size], "big")
        # Added byte by byte, modulo 256: no carry leaves the lower seven bits of a byte.
        above = ((above & _LOW) + (less & _LOW)) ^ ((above ^ less) & _HIGH)
        rows.append(_ROW.unpack(above.to_bytes(_ROW.size, "big")))
    return rows


def _objects(data: bytes, end: int, rows: list[tuple[int, ...]]) -> dict[int, PdfObject]:
    """Return all objects but the streams that hold others."""
    offsets = {number: at for number, (kind, at, _) in enumerate(rows) if kind == 1}
    ends = dict(pairwise([*sorted(offsets.values()), end]))
    objects = {number: _body(data[at : ends[at]]) for number, at in offsets.items() if at < end}
    for number in sorted({home for kind, home, _ in rows if kind == 2}):
        objects.update(_held(objects.pop(number)))
    return objects


def _held(holder: PdfObject) -> Iterator[tuple[int, PdfObject]]:
    """Yield the objects of an object stream by number; ISO 32000-1, 7.5.7."""
    data = _unpacked(holder)
    first = int(found(rb"/First (\d+)", holder.head))
    numbers = [int(one) for one in data[:first].split()]
    places = [first + at for at in numbers[1::2]]
    for number, (at, end) in zip(numbers[::2], pairwise([*places, len(data)]), strict=True):
        yield number, PdfObject(data[at:end].strip(), b"")


def _unpacked(body: PdfObject) -> bytes:
    length = int(found(rb"/Length (\d+)", body.head))
    start = body.stream.index(b"\n") + 1
    return zlib.decompress(body.stream[start : start + length])


def _body(data: bytes) -> PdfObject:
    inside = data[data.index(b"obj") + 3 : data.rindex(b"endobj")].strip()
    head, mark, stream = inside.partition(b"stream")
    if mark and b"/Length" not in head:
        raise ValueError("a stream without its length")
    return PdfObject(head, mark + stream)
