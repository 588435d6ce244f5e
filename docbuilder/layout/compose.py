"""From a document to a PDF: measure, break into pages, draw, write."""

from __future__ import annotations

from dataclasses import dataclass, replace

from docbuilder import __version__
from docbuilder.document.blocks import Document
from docbuilder.errors import Issue, Place, Refused
from docbuilder.layout.arrangements import Piece, orders, pieces
from docbuilder.layout.boxes import Box, Filled
from docbuilder.layout.flow import Flow
from docbuilder.layout.furniture import Furnisher
from docbuilder.layout.geometry import Frame, Sheet
from docbuilder.layout.loans import Loans
from docbuilder.layout.measure import measure_all
from docbuilder.layout.metadata import Description
from docbuilder.layout.page_log import PageLog
from docbuilder.layout.pagination import NEARLY_EMPTY
from docbuilder.layout.pdf_file import PdfFile
from docbuilder.layout.pen import Pen
from docbuilder.layout.structure import Annotation, Element, Mark
from docbuilder.layout.styles import Look
from docbuilder.layout.weighed import break_into_pages
from docbuilder.text import MissingFont, MissingGlyph

__all__ = ["Composed", "compose"]

_AIR = (1.0, 0.72, 0.66)
_AIR_FOR_A_PAGE = 0.72
"""How far spaces may shrink to save a page; further only against a nearly empty one."""
_MUCH_BETTER = 20.0
"""What breaks are better by for which spaces shrink though no page is saved."""
_LEAST_WORDS_PT = 12.0
"""Smallest size of words that are read, where the body is not smaller by choice."""


@dataclass(frozen=True, slots=True)
class Composed:
    """A finished document and the record of its pages."""

    pdf: bytes
    pages: int
    log: tuple[PageLog, ...]


def compose(document: Document) -> Composed:
    """Return *document* as a tagged PDF (PDF/UA-1 and PDF/A-2u); equal input, equal bytes.

    Raises:
        Refused: A font is not installed, no font has some of the characters, or a box is
            taller than a page.
        ValueError: The accent has too little contrast, or a block cannot be measured.
    """
    try:
        composed = compose_unchecked(document)
    except MissingGlyph as missing:
        names = ", ".join(f"U+{ord(character):04X}" for character in missing.characters)
        raise Refused(
            [
                Issue(
                    Place(f"{document.kind} ({document.language})"), "glyphs", names,
                    "characters that an installed font has",
                    "spell the word without them, or install the font for its script",
                )
            ]
        ) from None  # fmt: skip
    except MissingFont as missing:
        raise Refused(
            [
                Issue(
                    Place(f"{document.kind} ({document.language})"), "font", str(missing),
                    "a language whose font is installed", missing.remedy,
                )
            ]
        ) from None  # fmt: skip
    _refuse_lost_content(document, composed)
    return composed


def _refuse_lost_content(document: Document, composed: Composed) -> None:
    """Raise Refused when a box stands over the foot of its page: words could be lost."""
    issues = [
        Issue(
            Place(f"{document.kind} ({document.language})"), f"page {page.number}",
            f"a {box.kind} {box.overflow:.0f} pt too tall for its page",
            "boxes that fit on a page", "shorten it, or choose smaller type",
        )
        for page in composed.log
        for box in page.placed
        if box.depth == 0 and not page.body.holds(box.frame)
        and not box.furniture
    ]  # fmt: skip
    if issues:
        raise Refused(issues)


def compose_unchecked(document: Document) -> Composed:
    """Do what `compose` does, whatever the pages look like."""
    loans = Loans()
    composed = _best(document, loans)
    loans.give_back()
    return composed


def _best(document: Document, loans: Loans) -> Composed:
    """Return the document with as much air as does it good.

    Where a page holds but a few lines, or where it saves a page, there is less air between
    the blocks: the most air that does as well as the least. When the least does no better
    than the full air, what lies between is not measured. Pages that break much better, as
    steps that stay with their drawing, are worth less air too.
    """
    full = _plan(document, 1.0, loans)
    airs = [air for air in _AIR[1:] if air >= _AIR_FOR_A_PAGE or full.short_pages]
    if len(full.pages) == 1 or not airs:
        return _draw(document, full)
    least = _plan(document, airs[-1], loans)
    if least.cost == full.cost and full.breaks - least.breaks >= _MUCH_BETTER:
        return _draw(document, least)
    if least.cost >= full.cost:
        return _draw(document, full)
    between = (_plan(document, air, loans) for air in airs[:-1])
    return _draw(document, next((plan for plan in between if plan.cost <= least.cost), least))


@dataclass(frozen=True, slots=True)
class _Plan:
    """Where everything will stand, before anything is drawn."""

    sheet: Sheet
    furnisher: Furnisher
    file: PdfFile
    pages: list[Filled]
    breaks: float
    """What its page breaks cost, as `pagination` weighs them."""

    def body(self, index: int) -> Frame:
        """Return the body's frame on the page of *index*."""
        return self.furnisher.body(first=index == 0)

    @property
    def cost(self) -> tuple[int, int]:
        """What less air may better: nearly empty pages, then pages."""
        return self.short_pages, len(self.pages)

    @property
    def short_pages(self) -> int:
        """How many pages are nearly empty, a last page among them."""
        pages = enumerate(self.pages)
        return sum(
            index > 0 and page.height < NEARLY_EMPTY * self.body(index).height
            for index, page in pages
        )


def _plan(document: Document, air: float, loans: Loans) -> _Plan:
    look = Look.of(document.text_pt, document.accent, air)
    sheet = Sheet.of(document.paper, document.binding_mm, document.rtl)
    flow = Flow(look, document.language, document.rtl, document.text_pt, sheet.height,
                fillable=document.fillable, zeros=document.zeros)  # fmt: skip
    file = PdfFile(document.language)
    furnisher = Furnisher(document, sheet, flow, file.root)
    first, later = (furnisher.body(first=first).height for first in (True, False))
    flow = replace(flow, page_height=later, loans=loans)
    parts = pieces(document.blocks)
    measured = [_measured(part, sheet.body_width, flow, file.root) for part in parts]
    boxes = [part.boxes for part in measured]
    order, pages, breaks = break_into_pages(boxes, tuple(orders(parts)), first, later)
    # Read in the order in which it is printed.
    own = file.root.kids[: len(file.root.kids) - sum(len(part.kids) for part in measured)]
    file.root.kids = [*own, *(kid for index in order for kid in measured[index].kids)]
    return _Plan(sheet, furnisher, file, pages, breaks)


@dataclass(frozen=True, slots=True)
class _Measured:
    """The boxes of one piece and the elements that they fill."""

    boxes: list[Box]
    kids: list[Element | Mark | Annotation]


def _measured(part: Piece, width: float, flow: Flow, root: Element) -> _Measured:
    before = len(root.kids)
    boxes = measure_all(part.blocks, width, flow, root)
    return _Measured(boxes, root.kids[before:])


def _draw(document: Document, plan: _Plan) -> Composed:
    pen = Pen(plan.file)
    sheet, count = plan.sheet, len(plan.pages)
    for index, page in enumerate(plan.pages):
        body = plan.body(index)
        paper = Frame(0, 0, sheet.width, sheet.height)
        pen.start_page(PageLog(index + 1, paper, body, min(document.text_pt, _LEAST_WORDS_PT)))
        plan.furnisher.draw(pen, index + 1, count)
        for box, offset in page.placed:
            box.place(pen, body.x0, body.y1 - offset, body)
    described = Description(
        document.title, document.subject, document.language, f"docbuilder {__version__}",
        document.rtl,
    )  # fmt: skip
    pdf = plan.file.save(pen.pages, (sheet.width, sheet.height), described)
    return Composed(pdf, count, tuple(pen.logs))
