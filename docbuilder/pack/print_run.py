"""Many PDFs as one, ready for a duplex printer, tags and bookmarks kept.

Each paper begins on the front of a sheet: one with an odd number of pages is followed
by a blank back. The structure trees become one, so that the file still reads aloud in
order. Files are taken one at a time and their objects written through with new numbers;
what stays in memory is the table of objects. Streams that papers have in common, fonts
above all, are written once.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from hashlib import sha256
from pathlib import Path
from typing import BinaryIO

from docbuilder.layout.metadata import Description, xmp_packet
from docbuilder.layout.object_file import ObjectFile
from docbuilder.layout.structure import text_string
from docbuilder.pack.paper_only import without_fields
from docbuilder.pack.print_source import REFERENCE, PaperSource, PdfObject, found

__all__ = ["merge_for_print"]

_CATALOGUE, _PAGES, _TREE, _PARENTS, _OUTLINE, _INFO, _PACKET, _INTENT, _PROFILE, _NOTHING = range(
    1, 11
)
_FIRST_FREE = 11
_PARENT_KEY = re.compile(rb"/(StructParents?) (\d+)")


def merge_for_print(papers: Iterable[Path], target: BinaryIO, described: Description) -> int:
    """Write *papers* one after the other into *target* and return the pages written.

    Args:
        papers: PDF files of packs, in the order to print; at least one.
        target: A new file.
        described: Title and language of the whole.

    Raises:
        ValueError: No papers, or a file that is not of our making.
        OSError: A file cannot be read, or the disk refuses.
    """
    run = _Run(target)
    for path in papers:
        paper = PaperSource(path.read_bytes())
        without_fields(paper)
        run.add(paper)
    if not run.pages:
        raise ValueError("nothing to merge")
    run.finish(described)
    return run.pages


class _Run:
    """The file being written."""

    def __init__(self, target: BinaryIO) -> None:
        self.pages = 0
        self._file = ObjectFile(target.write)
        for _ in range(1, _FIRST_FREE):
            self._file.reserve()
        self._keys = 0
        self._page_nodes: list[int] = []
        self._documents: list[int] = []
        self._parent_leaves: list[int] = []
        self._bookmarks: list[tuple[int, bytes]] = []
        self._streams: dict[bytes, int] = {}
        self._intent: tuple[PdfObject, PdfObject] | None = None

    def add(self, source: PaperSource) -> None:
        """Write the objects of one paper under new numbers."""
        if self._intent is None:
            self._intent = source.objects[source.intents], source.objects[source.profile]
        numbers = {source.tree: _TREE, source.outline: _OUTLINE}
        kept = [number for number in source.objects if number not in source.dropped]
        fresh = [number for number in kept if self._numbered(number, source, numbers)]
        blank = self._file.reserve() if len(source.kids) % 2 else 0
        top = self._top_bookmark(source)
        references = {b"%d" % old: b"%d 0 R" % new for old, new in numbers.items()}
        for number in fresh:
            body = source.objects[number]
            head = body.head
            if b"/StructParent" in head:
                head = _PARENT_KEY.sub(self._shifted, head)
            if number == source.parents:
                head = self._parent_leaf(head)
            head = _renumbered(head, references)
            if number == source.pages:
                head = self._page_node(head, blank)
            elif number == source.document and b"/Lang" not in head:
                head = head.replace(b"/S/", b"/Lang(" + source.language + b")/S/", 1)
            if number == top:
                self._bookmarks.append((numbers[number], head))
            else:
                self._put(numbers[number], head, body.stream)
        if blank:
            box = found(rb"/MediaBox(\[[^\]]*\])", source.objects[source.kids[0]].head)
            parent = numbers[source.pages]
            self._put(
                blank,
                b"<</Type/Page/Parent %d 0 R/MediaBox%b/Resources<<>>/Contents %d 0 R>>"
                % (parent, box, _NOTHING),
            )
        self._page_nodes.append(numbers[source.pages])
        self._documents.append(numbers[source.document])
        self._parent_leaves.append(numbers[source.parents])
        self._keys += int(found(rb"/ParentTreeNextKey (\d+)", source.objects[source.tree].head))
        self.pages += len(source.kids) + bool(blank)

    def finish(self, described: Description) -> None:
        """Write what holds the papers together, the table of objects and the end."""
        assert self._intent is not None
        self._finish_outline()
        packet = xmp_packet(described)
        self._put(_PACKET, b"<</Type/Metadata/Subtype/XML/Length %d>>" % len(packet),
                  b"stream\n" + packet + b"\nendstream")  # fmt: skip
        title, producer = text_string(described.title), text_string(described.producer)
        self._put(_INFO, f"<</Title{title}/Subject{text_string('')}/Producer{producer}>>".encode())
        intent, profile = self._intent
        self._put(_INTENT, REFERENCE.sub(b"%d 0 R" % _PROFILE, intent.head))
        self._put(_PROFILE, profile.head, profile.stream)
        self._put(_NOTHING, b"<</Length 0>>", b"stream\n\nendstream")
        kids = _references(self._page_nodes)
        self._put(_PAGES, b"<</Type/Pages/Count %d/Kids[%b]>>" % (self.pages, kids))
        self._put(
            _TREE,
            b"<</Type/StructTreeRoot/K[%b]/ParentTree %d 0 R/ParentTreeNextKey %d>>"
            % (_references(self._documents), _PARENTS, self._keys),
        )
        self._put(_PARENTS, b"<</Kids[%b]>>" % _references(self._parent_leaves))
        outline = b"/Outlines %d 0 R" % _OUTLINE if self._bookmarks else b""
        self._put(
            _CATALOGUE,
            b"<</Type/Catalog/Lang(%b)/MarkInfo<</Marked true>>/Metadata %d 0 R"
            b"/OutputIntents %d 0 R/Pages %d 0 R/StructTreeRoot %d 0 R%b"
            b"/ViewerPreferences<</DisplayDocTitle true/PrintScaling/None"
            b"/Duplex/DuplexFlipLongEdge>>>>"
            % (described.language.encode(), _PACKET, _INTENT, _PAGES, _TREE, outline),
        )
        self._file.finish(_CATALOGUE, _INFO)

    def _finish_outline(self) -> None:
        """Chain the papers' own titles to one list of bookmarks."""
        numbers = [number for number, _ in self._bookmarks]
        for index, (number, head) in enumerate(self._bookmarks):
            links = b"/Prev %d 0 R" % numbers[index - 1] if index else b""
            if index + 1 < len(numbers):
                links += b"/Next %d 0 R" % numbers[index + 1]
            self._put(number, head.rstrip()[:-2] + links + b">>")
        if numbers:
            self._put(
                _OUTLINE,
                b"<</Type/Outlines/First %d 0 R/Last %d 0 R/Count %d>>"
                % (numbers[0], numbers[-1], len(numbers)),
            )
        else:
            self._put(_OUTLINE, b"<</Type/Outlines>>")

    def _numbered(self, number: int, source: PaperSource, numbers: dict[int, int]) -> bool:
        """Give an object its number in the whole; tell whether it must still be written."""
        body = source.objects[number]
        if not body.stream or b" 0 R" in body.head:
            numbers[number] = self._file.reserve()
            return True
        digest = sha256(body.head + body.stream).digest()
        known = self._streams.get(digest, 0)
        numbers[number] = known or self._file.reserve()
        self._streams[digest] = numbers[number]
        return not known

    def _top_bookmark(self, source: PaperSource) -> int:
        if not source.outline:
            return 0
        head = source.objects[source.outline].head
        first, last = (int(found(rb"/%b (\d+) 0 R" % end, head)) for end in (b"First", b"Last"))
        if first != last:
            raise ValueError("a paper with more than one title")
        return first

    def _page_node(self, head: bytes, blank: int) -> bytes:
        head = head.replace(b"/Type/Pages", b"/Type/Pages/Parent %d 0 R" % _PAGES, 1)
        if not blank:
            return head
        count = int(found(rb"/Count (\d+)", head))
        head = head.replace(b"/Count %d" % count, b"/Count %d" % (count + 1), 1)
        return head.replace(b"]", b" %d 0 R]" % blank, 1)

    def _parent_leaf(self, head: bytes) -> bytes:
        """Move the keys of a parent tree behind those of the papers before."""
        pairs = re.findall(rb"(\d+) (\d+ 0 R)", head)
        keys = [int(key) + self._keys for key, _ in pairs]
        nums = b" ".join(b"%d %b" % (key, at) for key, (_, at) in zip(keys, pairs, strict=True))
        return b"<</Limits[%d %d]/Nums[%b]>>" % (min(keys), max(keys), nums)

    def _shifted(self, match: re.Match[bytes]) -> bytes:
        return b"/%b %d" % (match[1], int(match[2]) + self._keys)

    def _put(self, number: int, head: bytes, stream: bytes = b"") -> None:
        if stream:
            self._file.put_stream(number, head + stream)
        else:
            self._file.put(number, head)


def _renumbered(head: bytes, references: Mapping[bytes, bytes]) -> bytes:
    parts = REFERENCE.split(head)
    try:
        parts[1::2] = [references[number] for number in parts[1::2]]
    except KeyError:
        raise ValueError("a reference to an object that is not kept") from None
    return b"".join(parts)


def _references(numbers: list[int]) -> bytes:
    return b" ".join(b"%d 0 R" % number for number in numbers)
