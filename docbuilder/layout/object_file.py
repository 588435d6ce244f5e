"""The file around PDF objects: streams as they are, everything else packed together.

A tagged document has far more small objects than bytes of text, so they go into object
streams and the table of objects into a cross-reference stream (ISO 32000-1, 7.5.7 and
7.5.8; PDF/A-2 allows both). That takes a pack to less than half its size.
"""

from __future__ import annotations

import hashlib
import struct
import zlib
from collections.abc import Callable, Iterator

__all__ = ["LEVEL", "ObjectFile", "ended"]

_PACKED_TOGETHER = 400
"""Objects in one object stream: a reader unpacks all of them to read one."""
LEVEL = 6
"""Of deflate for all streams: 9 makes a pack 2 % smaller and takes twice as long."""
_FREE, _PLAIN, _PACKED = 0, 1, 2
_ENTRY = struct.Struct(">BQH")
"""A row of the table: kind, place (or number of the object stream), index in the stream."""
_UP = 2
"""PNG predictor of a row: less what stands above (ISO 15948, 9.2)."""
_ROWS_AT_ONCE = 1 << 12
"""Of the table, while it is packed: a print run has two hundred thousand."""


def ended(content: bytes) -> bytes:
    """Return stream content with its end: an end-of-line that cannot join the last byte."""
    line_end = b"\r\n" if content[-1:] in (b"\r", b"\n") else b"\n"
    return content + line_end + b"endstream\n"


class ObjectFile:
    """Writes numbered objects and, at the end, the table of them.

    Args:
        write: Takes the file's bytes, piece by piece.
    """

    def __init__(self, write: Callable[[bytes], object]) -> None:
        self._target = write
        self._at = 0
        self._digest = hashlib.sha256()
        # Packed rows, eleven bytes an object: this is all that grows while a file is written.
        self._table = bytearray(_ENTRY.pack(_FREE, 0, 0xFFFF))
        self._waiting: list[tuple[int, bytes]] = []
        self._write(b"%PDF-1.7\n%\xe2\xe3\xcf\xd3\n")

    def reserve(self) -> int:
        """Return a number for an object that follows."""
        self._table += bytes(_ENTRY.size)
        return len(self._table) // _ENTRY.size - 1

    def put(self, number: int, source: bytes) -> None:
        """Write an object that has no stream."""
        self._waiting.append((number, source))
        if len(self._waiting) == _PACKED_TOGETHER:
            self._pack()

    def put_stream(self, number: int, source: bytes) -> None:
        """Write an object with its stream, "<<...>> stream ... endstream"."""
        self._note(number, _PLAIN, self._at)
        self._write(b"%d 0 obj\n%b\nendobj\n" % (number, source.rstrip(b"\n")))

    def finish(self, root: int, info: int) -> None:
        """Write the table, which names the catalogue *root* and the *info* dictionary."""
        self._pack()
        table, start = self.reserve(), self._at
        self._note(table, _PLAIN, start)
        name = self._digest.hexdigest()[:32].encode("ascii")
        packer = zlib.compressobj(LEVEL)
        body = b"".join([*map(packer.compress, _differences(self._table)), packer.flush()])
        self._write(
            b"%d 0 obj\n<</Type/XRef/Size %d/W[1 8 2]/Root %d 0 R/Info %d 0 R/ID[<%b><%b>]"
            b"/Filter/FlateDecode/DecodeParms<</Predictor 12/Columns %d>>/Length %d>>\n"
            b"stream\n%bendobj\nstartxref\n%d\n%%%%EOF\n"
            % (table, table + 1, root, info, name, name, _ENTRY.size, len(body), ended(body), start)
        )

    def _pack(self) -> None:
        """Write the waiting objects as one stream."""
        if not self._waiting:
            return
        home = self.reserve()
        places, at = [], 0
        for index, (number, source) in enumerate(self._waiting):
            self._note(number, _PACKED, home, index)
            places.append(b"%d %d" % (number, at))
            at += len(source) + 1
        head = b" ".join(places) + b"\n"
        sources = b"\n".join(source for _, source in self._waiting)
        body = _deflated_apart(head, sources)
        self.put_stream(
            home,
            b"<</Type/ObjStm/N %d/First %d/Filter/FlateDecode/Length %d>>\nstream\n%b"
            % (len(places), len(head), len(body), ended(body)),
        )
        self._waiting = []

    def _note(self, number: int, kind: int, place: int, index: int = 0) -> None:
        _ENTRY.pack_into(self._table, number * _ENTRY.size, kind, place, index)

    def _write(self, data: bytes) -> None:
        self._target(data)
        self._digest.update(data)
        self._at += len(data)


def _deflated_apart(places: bytes, sources: bytes) -> bytes:
    """Return both as one zlib stream (RFC 1950), each with codes of its own.

    Numbers and places are digits that hardly repeat: in the codes made for the objects they
    would take a fifth more room.
    """
    first = zlib.compressobj(LEVEL, strategy=zlib.Z_HUFFMAN_ONLY)
    second = zlib.compressobj(LEVEL, wbits=-zlib.MAX_WBITS)
    return b"".join((
        first.compress(places), first.flush(zlib.Z_FULL_FLUSH),
        second.compress(sources), second.flush(),
        zlib.adler32(places + sources).to_bytes(4, "big"),
    ))  # fmt: skip


def _differences(table: bytearray) -> Iterator[bytes]:
    """Yield all rows as differences from the row above, many at a time."""
    above = bytes(_ENTRY.size)
    for at in range(0, len(table), _ROWS_AT_ONCE * _ENTRY.size):
        rows = bytes(table[at : at + _ROWS_AT_ONCE * _ENTRY.size])
        yield _less_above(rows, above)
        above = rows[-_ENTRY.size :]


def _less_above(rows: bytes, row_before: bytes) -> bytes:
    """Return *rows* as differences from the row above, each behind its predictor's mark.

    All bytes are subtracted at once, modulo 256 each, inside two long numbers: the highest
    bits are set first, so that no byte borrows from its neighbour. Byte by byte, the table
    took longer than the packing of all objects.
    """
    size, length = _ENTRY.size, len(rows)
    this = int.from_bytes(rows, "big")
    above = int.from_bytes(row_before + rows[:-size], "big")
    high = int.from_bytes(b"\x80" * length, "big")
    difference = ((this | high) - (above & ~high)) ^ (((this ^ above) & high) ^ high)
    less = difference.to_bytes(length, "big")
    mark = bytes((_UP,))
    return b"".join(mark + less[at : at + size] for at in range(0, length, size))
