"""PDF objects as we write them, inside ReportLab's numbering.

ReportLab numbers objects, formats its own and lets the text engine add its fonts; streams
get the end that PDF/A asks for, and `object_file` puts everything into the file.
"""

from __future__ import annotations

import zlib
from typing import Any

from reportlab.pdfbase import pdfdoc

from docbuilder.caching import kept
from docbuilder.layout.metadata import Description
from docbuilder.layout.object_file import LEVEL, ObjectFile, ended
from docbuilder.layout.structure import text_string

__all__ = ["Info", "Raw", "Sealed", "new_store", "stream"]


class Raw(pdfdoc.PDFObject):
    """An object whose PDF source we write ourselves."""

    __RefOnly__ = 1

    def __init__(self, source: bytes = b"null") -> None:
        self.source = source

    def format(self, document: object) -> bytes:
        """Return the source as it is."""
        return self.source


class Sealed(Raw):
    """An object with a stream, packed and ended already."""


class _Stream(pdfdoc.PDFStream):
    """ReportLab's stream with the end-of-line before `endstream` that PDF/A asks for."""

    def format(self, document: object) -> bytes:
        entries = self.dictionary.dict
        packed = _deflated(self.content) if self.filters else self.content
        entries |= {"Length": len(packed)}
        if self.filters:
            entries |= {"Filter": "/FlateDecode"}
        head: bytes = pdfdoc.format(pdfdoc.PDFDictionary(entries), document)
        return head + b"\nstream\n" + ended(packed)


@kept(128)
def _deflated(content: bytes) -> bytes:
    """Pack a font program or a map of its characters: patients' papers share them."""
    return zlib.compress(content, LEVEL)


class _Objects(pdfdoc.PDFDocument):
    """The object store; streams that others register are sealed on the way in."""

    Catalog: Any
    info: Any

    def __init__(self, **settings: Any) -> None:
        super().__init__(**settings)
        self._plain: dict[int, bytes] = {}

    def Reference(self, obj: Any, name: str | None = None) -> Any:  # noqa: N802
        if type(obj) is pdfdoc.PDFStream:
            obj.__class__ = _Stream
        return super().Reference(obj, name)  # type: ignore[no-untyped-call]

    def enrol(self, obj: Any) -> int:
        """Register a new object and return its number: what `Reference` does, in fewer steps.

        A paper has some seven hundred objects, nearly all of them ours.
        """
        if type(obj) is pdfdoc.PDFStream:
            obj.__class__ = _Stream
        number: int = self.objectcounter + 1
        self.objectcounter = number
        name = f"R{number}"
        obj.__InternalName__ = name
        self.idToObjectNumberAndVersion[name] = (number, 0)
        self.numberToId[number] = name
        self.idToObject[name] = obj
        return number

    def reserve(self, count: int) -> int:
        """Return the first of *count* numbers for objects that only we refer to.

        ReportLab knows nothing of them: most objects of a paper are structure elements.
        """
        first: int = self.objectcounter + 1
        self.objectcounter += count
        return first

    def put(self, number: int, source: bytes) -> None:
        """Write the object of a reserved number."""
        self._plain[number] = source

    def format(self) -> bytes:
        """Return the file. ReportLab has registered and numbered all objects by now."""
        parts: list[bytes] = []
        small: list[tuple[int, bytes]] = []
        file = ObjectFile(parts.append)
        # An object may register others while it is written.
        number = 0
        while (number := number + 1) <= self.objectcounter:
            if number in self._plain:
                file.reserve()
                small.append((number, self._plain[number]))
                continue
            obj = self.idToObject[self.numberToId[number]]
            source = obj.source if isinstance(obj, Raw) else pdfdoc.format(obj, self, toplevel=1)
            file.reserve()
            if isinstance(obj, Sealed | _Stream):
                file.put_stream(number, source)
            else:
                small.append((number, source))
        for number, source in small:
            file.put(number, source)
        file.finish(self._number(self.Catalog), self._number(self.info))
        return b"".join(parts)

    def _number(self, obj: Any) -> int:
        number: int = self.idToObjectNumberAndVersion[obj.__InternalName__][0]
        return number


class _NoOutline(pdfdoc.PDFObject):
    """Keeps ReportLab from preparing an outline; ours is written as objects."""

    ready = 1

    def prepare(self, document: object, canvas: object) -> None:
        """Do nothing."""


class _Catalogue(pdfdoc.PDFCatalog):
    __NoDefault__ = [*pdfdoc.PDFCatalog.__NoDefault__, "OutputIntents"]  # noqa: RUF012


class Info(pdfdoc.PDFObject):
    """The information dictionary: nothing but what the XMP packet says too."""

    __RefOnly__ = 1
    invariant = 1

    def __init__(self, described: Description) -> None:
        self.described = described

    def digest(self, signature: object) -> None:
        """Add nothing: the XMP packet is in the file's digest already."""

    def format(self, document: object) -> bytes:
        """Return the dictionary."""
        said = self.described
        return (
            f"<</Title{text_string(said.title)}/Subject{text_string(said.subject)}"
            f"/Producer{text_string(said.producer)}>>"
        ).encode("ascii")


def stream(entries: str, content: bytes, packed: bool = True) -> Raw:
    """Return a stream object; *entries* are its dictionary's own."""
    body = zlib.compress(content, LEVEL) if packed else content
    filtered = "/Filter/FlateDecode" if packed else ""
    head = f"<<{entries}{filtered}/Length {len(body)}>>\nstream\n".encode("ascii")
    return Sealed(head + ended(body))


def new_store(language: str) -> Any:
    """Return an empty object store whose bytes hang on its content alone."""
    store: Any = _Objects(compression=1, invariant=1, pdfVersion=(1, 7), lang=language)
    store.Catalog.__class__ = _Catalogue
    store.Outlines = store.outline = _NoOutline()
    store.Catalog.Outlines = None
    return store
