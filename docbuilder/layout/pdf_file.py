"""The PDF file: pages of operators, the structure tree, outline and metadata.

ReportLab numbers and writes the objects and holds the fonts that the text engine
adds; everything that makes the file accessible (tags, PDF/UA-1) and archivable
(PDF/A-2u) is written here. Bytes depend on the input alone.
"""

from __future__ import annotations

import zlib
from collections.abc import Sequence
from dataclasses import dataclass

from reportlab.pdfbase import pdfdoc

from docbuilder.layout.colour_profile import srgb_profile
from docbuilder.layout.metadata import Description, xmp_packet
from docbuilder.layout.structure import Annotation, Element, Mark, text_string

__all__ = ["Bookmark", "PdfFile"]


class _Raw(pdfdoc.PDFObject):
    """An object whose PDF source we write ourselves."""

    __RefOnly__ = 1

    def __init__(self, source: bytes = b"null") -> None:
        self.source = source

    def format(self, document: object) -> bytes:
        return self.source


class _Stream(pdfdoc.PDFStream):
    """ReportLab's stream with the end-of-line before `endstream` that PDF/A asks for."""

    def format(self, document: object) -> bytes:
        entries = self.dictionary.dict
        packed = zlib.compress(self.content, 9) if self.filters else self.content
        entries |= {"Length": len(packed)}
        if self.filters:
            entries |= {"Filter": "/FlateDecode"}
        head: bytes = pdfdoc.format(pdfdoc.PDFDictionary(entries), document)
        return head + b"\nstream\n" + _ended(packed)


class _Objects(pdfdoc.PDFDocument):
    """The object store; streams that others register are sealed on the way in."""

    def Reference(self, obj: object, name: str | None = None) -> object:  # noqa: N802
        if type(obj) is pdfdoc.PDFStream:
            obj.__class__ = _Stream
        return super().Reference(obj, name)


class _NoOutline(pdfdoc.PDFObject):
    """Keeps ReportLab from preparing an outline; ours is written as objects."""

    ready = -1

    def prepare(self, document: object, canvas: object) -> None:
        """Do nothing."""


class _Catalogue(pdfdoc.PDFCatalog):
    __NoDefault__ = [*pdfdoc.PDFCatalog.__NoDefault__, "OutputIntents"]


@dataclass(frozen=True, slots=True)
class Bookmark:
    """An outline entry: *level* from 1, the page's index and the height to show."""

    level: int
    title: str
    page: int
    top: float


class PdfFile:
    """A PDF under construction."""

    def __init__(self, language: str) -> None:
        self.doc = _Objects(compression=1, invariant=1, pdfVersion=(1, 7), lang=language)
        self.doc.Catalog.__class__ = _Catalogue
        self.doc.Outlines = self.doc.outline = _NoOutline()
        self.doc.Catalog.Outlines = None
        self.root = Element("Document")
        self.bookmarks: list[Bookmark] = []
        self._pages: list[_Raw] = []
        self._references: list[str] = []
        self._marks: list[list[Element]] = []
        self._links: list[tuple[Element, Annotation]] = []
        self._images: dict[str, str] = {}

    # While drawing

    def new_page(self) -> int:
        """Reserve the next page and return its index."""
        page = _Raw()
        self._pages.append(page)
        self._references.append(self.add(page))
        self._marks.append([])
        return len(self._pages) - 1

    def add(self, obj: object) -> str:
        """Register an object and return its reference, as in "12 0 R"."""
        reference = self.doc.Reference(obj)
        number, version = self.doc.idToObjectNumberAndVersion[reference.name]
        return f"{number} {version} R"

    def mark(self, element: Element, page: int) -> int:
        """Return a fresh marked-content id on *page*, joined to *element*."""
        mcid = len(self._marks[page])
        self._marks[page].append(element)
        element.kids.append(Mark(page, mcid))
        return mcid

    def link(
        self,
        element: Element,
        page: int,
        box: tuple[float, float, float, float],
        url: str,
        says: str,
    ) -> None:
        """Add a link annotation over *box* and tie it to *element*."""
        annotation = _Raw()
        key = len(self._links)
        self._links.append((element, Annotation(page, self.add(annotation), key)))
        element.kids.append(self._links[-1][1])
        rect = " ".join(f"{edge:.2f}" for edge in box)
        # Keys above the pages' own: the parent tree numbers pages first.
        annotation.source = (
            f"<</Type/Annot/Subtype/Link/Rect[{rect}]/Border[0 0 0]/F 4/StructParent {{key}}"
            f"/Contents{text_string(says)}/A<</Type/Action/S/URI/URI({_escaped(url)})>>>>"
        ).encode("ascii")

    def image(self, pixels: bytes, width: int, height: int) -> str:
        """Register an RGB image and return its resource name."""
        name = f"I{len(self._images) + 1}"
        self._images[name] = self.add(
            _stream(
                f"/Type/XObject/Subtype/Image/Width {width}/Height {height}"
                "/ColorSpace/DeviceRGB/BitsPerComponent 8",
                pixels,
            )
        )
        return name

    # At the end

    def save(
        self, operators: Sequence[bytes], size: tuple[float, float], described: Description
    ) -> bytes:
        """Write the file: *operators* is the content of each reserved page."""
        self._finish_pages(operators, size)
        self._finish_tree()
        self._finish_outline()
        self._finish_catalogue(described)
        data: bytes = self.doc.GetPDFData(None)
        return data

    def _finish_pages(self, operators: Sequence[bytes], size: tuple[float, float]) -> None:
        images = "".join(f"/{name} {reference}" for name, reference in self._images.items())
        resources = _Resources(self, images)
        resources_at = self.add(resources)
        tree = _Raw()
        tree_at = self.add(tree)
        for index, page in enumerate(self._pages):
            content = self.add(_stream("", operators[index]))
            notes = " ".join(note.reference for _, note in self._links if note.page == index)
            page.source = (
                f"<</Type/Page/Parent {tree_at}/MediaBox[0 0 {size[0]:.2f} {size[1]:.2f}]"
                f"/Resources {resources_at}/Contents {content}/StructParents {index}/Tabs/S"
                + (f"/Annots[{notes}]" if notes else "")
                + ">>"
            ).encode("ascii")
        kids = " ".join(self._references)
        tree.source = f"<</Type/Pages/Count {len(self._pages)}/Kids[{kids}]>>".encode("ascii")
        self.doc.Catalog.Pages = tree

    def _finish_tree(self) -> None:
        self.root.prune()
        objects = {element: _Raw() for element in self.root.walk()}
        numbers = {element: self.add(raw) for element, raw in objects.items()}
        top = _Raw()
        top_at = self.add(top)
        for element, raw in objects.items():
            parent = top_at if element.parent is None else numbers[element.parent]
            raw.source = element.source(parent, self._references, numbers.__getitem__).encode(
                "ascii"
            )
        first_key = len(self._pages)
        nums = []
        for index, marks in enumerate(self._marks):
            at = self.add(_Raw(f"[{' '.join(numbers[e] for e in marks)}]".encode("ascii")))
            nums.append(f"{index} {at}")
        for element, note in self._links:
            nums.append(f"{first_key + note.key} {numbers[element]}")
            raw = self._object(note.reference)
            raw.source = raw.source.replace(b"{key}", str(first_key + note.key).encode("ascii"))
        parents = self.add(_Raw(f"<</Nums[{' '.join(nums)}]>>".encode("ascii")))
        top.source = (
            f"<</Type/StructTreeRoot/K {numbers[self.root]}/ParentTree {parents}"
            f"/ParentTreeNextKey {first_key + len(self._links)}>>"
        ).encode("ascii")
        self.doc.Catalog.StructTreeRoot = top

    def _object(self, reference: str) -> _Raw:
        raw: _Raw = self.doc.idToObject[self.doc.numberToId[int(reference.split()[0])]]
        return raw

    def _finish_outline(self) -> None:
        if not self.bookmarks:
            return
        outline = _Raw()
        outline_at = self.add(outline)
        entries = [_Raw() for _ in self.bookmarks]
        at = [self.add(entry) for entry in entries]
        parents, kids = _outline_tree([mark.level for mark in self.bookmarks])
        for index, mark in enumerate(self.bookmarks):
            parent = parents[index]
            family = kids[parent]
            place = family.index(index)
            parts = [
                f"<</Title{text_string(mark.title)}",
                f"/Parent {outline_at if parent is None else at[parent]}",
                f"/Dest[{self._references[mark.page]}/XYZ null {mark.top:.2f} null]",
            ]
            if place:
                parts.append(f"/Prev {at[family[place - 1]]}")
            if place + 1 < len(family):
                parts.append(f"/Next {at[family[place + 1]]}")
            if own := kids.get(index):
                parts.append(f"/First {at[own[0]]}/Last {at[own[-1]]}/Count {len(own)}")
            entries[index].source = ("".join(parts) + ">>").encode("ascii")
        top = kids[None]
        outline.source = (
            f"<</Type/Outlines/First {at[top[0]]}/Last {at[top[-1]]}/Count {len(self.bookmarks)}>>"
        ).encode("ascii")
        self.doc.Catalog.Outlines = outline

    def _finish_catalogue(self, described: Description) -> None:
        catalogue = self.doc.Catalog
        catalogue.MarkInfo = _Raw(b"<</Marked true>>")
        catalogue.ViewerPreferences = _Raw(
            f"<</DisplayDocTitle true/Direction/{'R2L' if described.rtl else 'L2R'}>>".encode()
        )
        packet = xmp_packet(described)
        catalogue.Metadata = _stream("/Type/Metadata/Subtype/XML", packet, packed=False)
        profile = self.add(_stream("/N 3", srgb_profile()))
        catalogue.OutputIntents = _Raw(
            b"[<</Type/OutputIntent/S/GTS_PDFA1/OutputConditionIdentifier(sRGB)"
            b"/Info(sRGB IEC61966-2.1)/DestOutputProfile " + profile.encode() + b">>]"
        )
        self.doc.info = _Info(described)
        self.doc.updateSignature(packet)


class _Resources(pdfdoc.PDFObject):
    """Page resources, written late: the fonts are known when all text is drawn."""

    __RefOnly__ = 1

    def __init__(self, file: PdfFile, images: str) -> None:
        self.file, self.images = file, images

    def format(self, document: object) -> bytes:
        fonts = self.file.doc.Reference(self.file.doc.idToObject["BasicFonts"])
        number, version = self.file.doc.idToObjectNumberAndVersion[fonts.name]
        images = f"/XObject<<{self.images}>>" if self.images else ""
        return f"<</Font {number} {version} R{images}>>".encode("ascii")


class _Info(pdfdoc.PDFObject):
    """The information dictionary: nothing but what the XMP packet says too."""

    __RefOnly__ = 1
    invariant = 1

    def __init__(self, described: Description) -> None:
        self.described = described

    def digest(self, signature: object) -> None:
        """Add nothing: the XMP packet is in the file's digest already."""

    def format(self, document: object) -> bytes:
        said = self.described
        return (
            f"<</Title{text_string(said.title)}/Subject{text_string(said.subject)}"
            f"/Producer{text_string(said.producer)}>>"
        ).encode("ascii")


def _stream(entries: str, content: bytes, packed: bool = True) -> _Raw:
    body = zlib.compress(content, 9) if packed else content
    filtered = "/Filter/FlateDecode" if packed else ""
    head = f"<<{entries}{filtered}/Length {len(body)}>>\nstream\n".encode("ascii")
    return _Raw(head + _ended(body))


def _ended(content: bytes) -> bytes:
    """Return stream content with its end: an end-of-line that cannot join the last byte."""
    line_end = b"\r\n" if content[-1:] in (b"\r", b"\n") else b"\n"
    return content + line_end + b"endstream\n"


def _outline_tree(
    levels: Sequence[int],
) -> tuple[list[int | None], dict[int | None, list[int]]]:
    """Return each entry's parent and each parent's kids, by index."""
    parents: list[int | None] = []
    kids: dict[int | None, list[int]] = {}
    open_entries: list[int] = []
    for index, level in enumerate(levels):
        while open_entries and levels[open_entries[-1]] >= level:
            open_entries.pop()
        parent = open_entries[-1] if open_entries else None
        parents.append(parent)
        kids.setdefault(parent, []).append(index)
        open_entries.append(index)
    return parents, kids


def _escaped(url: str) -> str:
    ascii_url = url.encode("ascii", "strict").decode("ascii")
    return ascii_url.replace("\\", r"\\").replace("(", r"\(").replace(")", r"\)")
