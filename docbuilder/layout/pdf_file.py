"""The PDF file: pages of operators, the structure tree, outline and metadata.

What makes the file accessible (tags, PDF/UA-1) and archivable (PDF/A-2u) is written
here. Bytes depend on the input alone.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import takewhile
from urllib.parse import quote

from reportlab.pdfbase import pdfdoc

from docbuilder.layout.colour_profile import srgb_profile
from docbuilder.layout.form_fields import FormFields
from docbuilder.layout.images import image_source
from docbuilder.layout.metadata import Description, xmp_packet
from docbuilder.layout.objects import Info, Raw, Sealed, new_store, stream
from docbuilder.layout.outline import Bookmark, write_outline
from docbuilder.layout.structure import Annotation, Element, Mark, text_string

__all__ = ["PdfFile"]

_LEAST_SHARING = 2
"""Pages after the first: one alone has nobody to share with."""


class PdfFile:
    """A PDF under construction."""

    def __init__(self, language: str) -> None:
        self.doc = new_store(language)
        self.root = Element("Document")
        self.bookmarks: list[Bookmark] = []
        self._pages: list[Raw] = []
        self._references: list[str] = []
        self._marks: list[list[Element]] = []
        self._notes: list[tuple[Element, Annotation]] = []
        self._images: dict[str, str] = {}
        self._inner: dict[tuple[int, int], Element] = {}
        self.fields = FormFields(self)

    # While drawing

    def new_page(self) -> int:
        """Reserve the next page and return its index."""
        page = Raw()
        self._pages.append(page)
        self._references.append(self.add(page))
        self._marks.append([])
        return len(self._pages) - 1

    def add(self, obj: object) -> str:
        """Register an object and return its reference, as in "12 0 R"."""
        return f"{self.doc.enrol(obj)} 0 R"

    def mark(self, element: Element, page: int) -> int:
        """Return a fresh marked-content id on *page*, joined to *element*."""
        mcid = len(self._marks[page])
        self._marks[page].append(element)
        element.kids.append(Mark(page, mcid))
        return mcid

    def marked_on(self, page: int) -> list[Element]:
        """Return the elements of the marks on *page*, by the marks' numbers."""
        return self._marks[page]

    @property
    def made_while_drawing(self) -> tuple[int, int]:
        """Return how many objects and inner elements there are."""
        return self.doc.objectcounter, len(self._inner)

    def inner(self, element: Element, run: tuple[int, int], tag: str, language: str) -> Element:
        """Return the element of a *run* (box and number) in *element*, made at first use."""
        if run not in self._inner:
            self._inner[run] = element.child(tag, language=language)
        return self._inner[run]

    def link(
        self,
        element: Element,
        page: int,
        box: tuple[float, float, float, float],
        url: str,
        says: str,
    ) -> None:
        """Add a link annotation over *box* and tie it to *element*."""
        rect = " ".join(f"{edge:.2f}" for edge in box)
        self.annotate(
            element, page,
            f"/Subtype/Link/Rect[{rect}]/Border[0 0 0]/F 4"
            f"/Contents{text_string(says)}/A<</Type/Action/S/URI/URI({_escaped(url)})>>",
        )  # fmt: skip

    def annotate(self, element: Element, page: int, entries: str) -> str:
        """Add an annotation of these *entries*, tie it to *element*; return its reference."""
        annotation = Raw()
        reference = self.add(annotation)
        note = Annotation(page, reference, len(self._notes))
        self._notes.append((element, note))
        element.kids.append(note)
        # Keys above the pages' own: the parent tree numbers pages first.
        annotation.source = f"<</Type/Annot/StructParent {{key}}{entries}>>".encode("ascii")
        return reference

    def image(self, pixels: bytes, width: int, height: int) -> str:
        """Register an RGB image and return its resource name."""
        name = f"I{len(self._images) + 1}"
        self._images[name] = self.add(Sealed(image_source(pixels, width, height)))
        return name

    # At the end

    def save(
        self,
        operators: Sequence[Sequence[str]],
        size: tuple[float, float],
        described: Description,
    ) -> bytes:
        """Write the file: *operators* is the content of each reserved page, piece by piece."""
        self._finish_pages(operators, size)
        self._finish_tree()
        if self.bookmarks:
            self.doc.Catalog.Outlines = write_outline(self.bookmarks, self._references, self.add)
        self._finish_catalogue(described)
        data: bytes = self.doc.GetPDFData(None)
        # The resources know the file and the file its objects: parted here, all goes at once.
        self.doc = None
        return data

    def _finish_pages(self, operators: Sequence[Sequence[str]], size: tuple[float, float]) -> None:
        images = "".join(f"/{name} {reference}" for name, reference in self._images.items())
        resources = _Resources(self, images)
        resources_at = self.add(resources)
        tree = Raw()
        tree_at = self.add(tree)
        contents = self._contents(operators)
        for index, page in enumerate(self._pages):
            notes = " ".join(note.reference for _, note in self._notes if note.page == index)
            page.source = (
                f"<</Type/Page/Parent {tree_at}/MediaBox[0 0 {size[0]:.2f} {size[1]:.2f}]"
                f"/Resources {resources_at}/Contents{contents[index]}/StructParents {index}/Tabs/S"
                + (f"/Annots[{notes}]" if notes else "")
                + ">>"
            ).encode("ascii")
        kids = " ".join(self._references)
        tree.source = f"<</Type/Pages/Count {len(self._pages)}/Kids[{kids}]>>".encode("ascii")
        self.doc.Catalog.Pages = tree

    def _contents(self, operators: Sequence[Sequence[str]]) -> list[str]:
        """Write the streams of all pages; return what each page says of its own.

        What all later pages begin with, header and footer, is one stream for all of them.
        """
        later = operators[1:]
        alike = takewhile(lambda pieces: len(set(pieces)) == 1, zip(*later, strict=False))
        shared = len(list(alike)) if len(later) >= _LEAST_SHARING else 0
        start = self._content(operators[1][:shared]) if shared else ""
        return [
            f"[{start} {self._content(page[shared:])}]" if index and shared
            else f" {self._content(page)}"
            for index, page in enumerate(operators)
        ]  # fmt: skip

    def _content(self, pieces: Sequence[str]) -> str:
        return self.add(stream("", "\n".join(pieces).encode("ascii")))

    def _finish_tree(self) -> None:
        self.root.prune()
        elements = list(self.root.walk())
        first = self.doc.reserve(len(elements))
        numbers = {element: f"{first + index} 0 R" for index, element in enumerate(elements)}
        parents = {
            kid: numbers[element]
            for element in elements
            for kid in element.kids
            if isinstance(kid, Element)
        }
        top = Raw()
        top_at = self.add(top)
        for number, element in enumerate(elements, first):
            source = element.source(parents.get(element, top_at), self._references, numbers)
            self.doc.put(number, source.encode("ascii"))
        first_key = len(self._pages)
        nums = []
        for index, marks in enumerate(self._marks):
            at = self.add(Raw(f"[{' '.join(numbers[e] for e in marks)}]".encode("ascii")))
            nums.append(f"{index} {at}")
        for element, note in self._notes:
            nums.append(f"{first_key + note.key} {numbers[element]}")
            raw = self._object(note.reference)
            raw.source = raw.source.replace(b"{key}", str(first_key + note.key).encode("ascii"))
        tree = self.add(Raw(f"<</Nums[{' '.join(nums)}]>>".encode("ascii")))
        top.source = (
            f"<</Type/StructTreeRoot/K {numbers[self.root]}/ParentTree {tree}"
            f"/ParentTreeNextKey {first_key + len(self._notes)}>>"
        ).encode("ascii")
        self.doc.Catalog.StructTreeRoot = top

    def _object(self, reference: str) -> Raw:
        raw: Raw = self.doc.idToObject[self.doc.numberToId[int(reference.split()[0])]]
        return raw

    def _finish_catalogue(self, described: Description) -> None:
        catalogue = self.doc.Catalog
        catalogue.MarkInfo = Raw(b"<</Marked true>>")
        catalogue.AcroForm = self.fields.finish()
        catalogue.ViewerPreferences = Raw(
            f"<</DisplayDocTitle true/Direction/{'R2L' if described.rtl else 'L2R'}>>".encode()
        )
        packet = xmp_packet(described)
        catalogue.Metadata = stream("/Type/Metadata/Subtype/XML", packet, packed=False)
        profile = self.add(stream("/N 3", srgb_profile()))
        catalogue.OutputIntents = Raw(
            b"[<</Type/OutputIntent/S/GTS_PDFA1/OutputConditionIdentifier(sRGB)"
            b"/Info(sRGB IEC61966-2.1)/DestOutputProfile " + profile.encode() + b">>]"
        )
        self.doc.info = Info(described)


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


def _escaped(url: str) -> str:
    ascii_url = quote(url, safe="%/:=&?~#+!$,;'@()*[]")
    return ascii_url.replace("\\", r"\\").replace("(", r"\(").replace(")", r"\)")
