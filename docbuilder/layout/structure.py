"""The structure tree: what the marks on the pages mean and in which order they read.

Elements are made while blocks are measured, so their order is the document's order;
marks join them while pages are drawn. Written out as ISO 32000-1, 14.7 asks.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import NamedTuple

__all__ = ["Annotation", "Element", "Mark", "spoken", "text_string"]

_ISOLATES = dict.fromkeys(range(0x2066, 0x206A))


class Mark(NamedTuple):
    """Marked content *mcid* on the page of index *page*."""

    page: int
    mcid: int


@dataclass(frozen=True, slots=True)
class Annotation:
    """A link annotation by object number *reference* ("12 0 R"), with its parent-tree key."""

    page: int
    reference: str
    key: int


@dataclass(eq=False, slots=True)
class Element:
    """A structure element: tag, natural language, alternate text, kids in reading order.

    It does not know its parent. So no element is part of a cycle, and a document's tree goes
    when its document goes, without the cycle collector.
    """

    tag: str
    language: str = ""
    alt: str = ""
    attributes: str = ""
    """The attribute dictionary as PDF source."""
    kids: list[Element | Mark | Annotation] = field(default_factory=list)

    def child(self, tag: str, language: str = "", alt: str = "", attributes: str = "") -> Element:
        """Return a new last kid."""
        kid = Element(tag, language, alt, attributes)
        self.kids.append(kid)
        return kid

    @property
    def is_titled(self) -> bool:
        """Whether it is a document's root and holds the title already.

        That is all that a block may learn of its surroundings: measured blocks are lent.
        """
        return self.tag == "Document" and any(
            isinstance(kid, Element) and kid.tag == "H1" for kid in self.kids
        )

    def prune(self) -> bool:
        """Drop kids that hold no mark; tell whether anything is left.

        An empty table cell stays, since its column counts.
        """
        if self.kids:
            self.kids = [k for k in self.kids if not isinstance(k, Element) or k.prune()]
        return bool(self.kids) or self.tag in ("TD", "TH")

    def walk(self) -> Iterator[Element]:
        """Yield this element and all below it, in reading order."""
        waiting = [self]
        while waiting:
            element = waiting.pop()
            yield element
            waiting += [kid for kid in reversed(element.kids) if isinstance(kid, Element)]

    def source(self, own_parent: str, pages: Sequence[str], numbers: Mapping[Element, str]) -> str:
        """Return the element's PDF dictionary; *numbers* are the references of all elements."""
        home: int | None = None
        kids: list[str] = []
        for kid in self.kids:
            if isinstance(kid, Element):
                kids.append(numbers[kid])
                continue
            home = kid.page if home is None else home
            kids.append(_content(kid, home, pages))
        parts = ["<</Type/StructElem/S/", self.tag, "/P ", own_parent]
        if home is not None:
            parts += ["/Pg ", pages[home]]
        if self.language:
            parts.append(f"/Lang({self.language})")
        if self.alt:
            parts += ["/Alt", text_string(self.alt)]
        if self.attributes:
            parts += ["/A", self.attributes]
        if kids:
            parts.append(f"/K[{' '.join(kids)}]")
        return "".join(parts) + ">>"


def _content(kid: Mark | Annotation, home: int, pages: Sequence[str]) -> str:
    if isinstance(kid, Annotation):
        return f"<</Type/OBJR/Obj {kid.reference}/Pg {pages[kid.page]}>>"
    if kid.page == home:
        return str(kid.mcid)
    return f"<</Type/MCR/Pg {pages[kid.page]}/MCID {kid.mcid}>>"


def text_string(text: str) -> str:
    """Return *text* as a PDF text string in UTF-16BE hexadecimal form."""
    return f"<FEFF{spoken(text).encode('utf-16-be').hex().upper()}>"


def spoken(text: str) -> str:
    """Return *text* without bidi isolates, which old readers show as boxes."""
    return text.translate(_ISOLATES)
