"""One of our PDFs taken apart into its objects, for joining with others.

It reads only PDFs that `docbuilder.layout` wrote: one cross-reference table, text as
hexadecimal strings, references only in dictionaries and arrays.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from itertools import pairwise

__all__ = ["REFERENCE", "PaperSource", "PdfObject", "found"]

REFERENCE = re.compile(rb"(?<![\w.])(\d+) 0 R")


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
        table = data[at:].split(b"trailer", 1)
        lines = table[0].split(b"\n")
        if lines[0].strip() != b"xref" or len(table) != 2:
            raise ValueError("no cross-reference table of ours")
        offsets = {
            number: int(line[:10]) for number, line in enumerate(lines[2:]) if line[17:18] == b"n"
        }
        ends = dict(pairwise([*sorted(offsets.values()), at]))
        self.objects = {
            number: _body(data[offset : ends[offset]]) for number, offset in offsets.items()
        }
        self.root = int(found(rb"/Root (\d+) 0 R", table[1]))
        self.info = int(found(rb"/Info (\d+) 0 R", table[1]))
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


def _body(data: bytes) -> PdfObject:
    inside = data[data.index(b"obj") + 3 : data.rindex(b"endobj")].strip()
    head, mark, stream = inside.partition(b"stream")
    if mark and b"/Length" not in head:
        raise ValueError("a stream without its length")
    return PdfObject(head, mark + stream)
