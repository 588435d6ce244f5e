"""What stands on every page outside the body: header, footer and marks.

All of it is an artifact but the review line on the first page: a screen reader hears
the document once, without the repeats. Start and end swap in right-to-left documents.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from io import BytesIO

from PIL import Image

from docbuilder.caching import kept
from docbuilder.document.blocks import Document, Run, Runs
from docbuilder.document.scene import Tone
from docbuilder.layout.asking import text_asker
from docbuilder.layout.codes import CodeBox
from docbuilder.layout.flow import Flow
from docbuilder.layout.geometry import MM, Frame, Sheet, start_x
from docbuilder.layout.lettering import Align, TextBox, TextStyle, isolated
from docbuilder.layout.pen import Pen
from docbuilder.layout.structure import Element

__all__ = ["Furnisher"]

_CODE_MM = 18.0
_LOGO_MM = 14.0
_INITIALS_MM = (24.0, 10.0)
_ABOVE_FOOT_PT = 8.0
_STRIP_PAD, _STRIP_GAP, _STRIP_STEP, _STRIP_RISE = 6.0, 4.0, 7.0, 4.0
"""Of the framed lines: padding at the sides, gap above, from one to the next, and by how
much they rise over the line of the document's name."""
_EVEN = (1.06, 1.12, 1.2, 1.3)
"""Widths tried for a framed text of some lines, against an equal share of its length."""


@dataclass(frozen=True, slots=True)
class _Logo:
    pixels: bytes
    width: int
    height: int

    @property
    def size(self) -> tuple[float, float]:
        """Size in points: at most 14 mm high and 60 mm wide."""
        scale = min(_LOGO_MM * MM / self.height, 60 * MM / self.width)
        return self.width * scale, self.height * scale


@kept(8)
def _read_logo(data: bytes) -> _Logo:
    """Return the picture on white; metadata and transparency stay behind."""
    with Image.open(BytesIO(data)) as picture:
        layer = picture.convert("RGBA")
        ground = Image.new("RGBA", layer.size, (255, 255, 255, 255))
        ground.alpha_composite(layer)
        return _Logo(ground.convert("RGB").tobytes(), *layer.size)


_NARROW_LOGO = 0.3
"""Share of the width up to which a logo leaves room for the name beside it."""


class Furnisher:
    """Draws the furniture and says which frame it leaves to the body."""

    def __init__(self, document: Document, sheet: Sheet, flow: Flow, root: Element) -> None:
        self.document, self.sheet, self.flow = document, sheet, flow
        self.words = document.furniture
        self.pt = flow.look.furniture_pt
        self.logo = _read_logo(document.logo) if document.logo else None
        self.code = CodeBox(self.words.document_id, _CODE_MM, None)
        self.strips = self._strips(sheet.body_width - 2 * _STRIP_PAD, None)
        # The frame may come near the quiet zone of the code, which reaches into the margin.
        room = sheet.body_width - self.code.width + 4 * self.code.module - _STRIP_GAP
        room -= self._name_offset
        self.first_strips = self._strips(room - 2 * _STRIP_PAD, root)
        self._logo_name = ""
        self._bodies: dict[bool, Frame] = {}
        self._root = root
        self._last: Element | None = None

    # What is left for the body

    def body(self, first: bool) -> Frame:
        """Return the body's frame on the first page or on a later one."""
        if first not in self._bodies:
            self._bodies[first] = self._body(first)
        return self._bodies[first]

    def _body(self, first: bool) -> Frame:
        sheet = self.sheet
        top = sheet.height - sheet.top - self._header_height(first)
        return Frame(
            sheet.left, sheet.foot + self._footer_height() + _ABOVE_FOOT_PT,
            sheet.width - sheet.right, top - self.flow.space(2),
        )  # fmt: skip

    def _header_height(self, first: bool) -> float:
        if first:
            return max(self._clinic_height(), self.code.height - 8)
        return self.pt * 1.4 + 5 + (0.0 if self._in_line else _strips_height(self.strips))

    @property
    def _in_line(self) -> bool:
        """The only strip stands in the line of the document's name, where both fit."""
        if len(self.strips) != 1 or self.strips[0].line_count > 1:
            return False
        name = self._text(self.words.document_name, 10_000, bold=True).natural_width
        return name + self.strips[0].natural_width + 40 <= self.sheet.body_width

    def _clinic_height(self) -> float:
        words = self._words_height()
        if self.logo is None:
            return words
        height = self.logo.size[1]
        return max(height, words) if self._beside else height + 3 + words

    def _words_height(self) -> float:
        """Return the height of the clinic's lines with the strips below, on the first page."""
        return sum(box.height for box in self._clinic_lines()) + _strips_height(self.first_strips)

    @property
    def _beside(self) -> bool:
        """The clinic's name stands beside a narrow logo and below a wide one."""
        return self.logo is not None and self.logo.size[0] < self.sheet.body_width * _NARROW_LOGO

    @property
    def _name_offset(self) -> float:
        return self.logo.size[0] + 8 if self.logo is not None and self._beside else 0.0

    def _footer_height(self) -> float:
        lines = sum(max(a.height, b.height) for a, b in self._footer_lines("00", "00"))
        label = self.words.initials_label
        return max(lines, _INITIALS_MM[1] * MM if label else 0.0) + 5

    # Words

    def _text(
        self, text: str, width: float, *, bold: bool = False, tone: Tone = "grey",
        align: Align = "start", size: float | None = None,
    ) -> TextBox:  # fmt: skip
        style = self.flow.style(size or self.pt, bold=bold, tone=tone, align=align, leading=1.3)
        return TextBox((Run(text),), width, style, None)

    def _clinic_lines(self) -> list[TextBox]:
        room = self.sheet.body_width - self.code.width - 12 - self._name_offset
        return [
            self._text(self.words.clinic, room, bold=True, tone="accent", size=self.pt * 1.35),
            self._text(_joined(self.words.clinic_contact), room),
        ]

    def _strips(self, width: float, root: Element | None) -> list[TextBox]:
        """Return the draft and review lines; with *root* they are read, before all else."""
        lines = [line for line in (self.words.draft_mark, self.words.review_line) if line]
        style = self.flow.style(max(self.pt + 1, 10.0), bold=True, align="centre", leading=1.3)
        if root is None:
            return [TextBox((Run(line),), width, style, None) for line in lines]
        boxes = [_even((Run(line),), width, style) for line in lines]
        for box in boxes:
            box.element = root.child("P")
        return boxes

    def _page_of(self, page: str, pages: str) -> str:
        digits = self.flow.own_digits
        return self.words.page_of.format(page=digits(page), pages=digits(pages))

    def _footer_lines(self, page: str, pages: str) -> list[tuple[TextBox, TextBox]]:
        words, width = self.words, self._footer_width()
        count = self._page_of(page, pages)
        about = _joined(words.document_id, words.version)
        place = _joined(words.clinic, words.clinic_contact)
        pairs = [(about, count, True), (words.patient, place, False)]
        if words.initials_label:
            # The box takes a third of the foot: clinic and patient stand under each other.
            pairs = [(about, "", False), (words.patient, count, True), (place, "", False)]
        lines = []
        for start, end, bold in pairs:
            end_box = self._text(end, width * 0.6, bold=bold, align="end")
            taken = min(end_box.natural_width, width * 0.6) + 12
            lines.append((self._text(start, width - taken, bold=False), end_box))
        return lines

    def _footer_width(self) -> float:
        if not self.words.initials_label:
            return self.sheet.body_width
        return self.sheet.body_width - _INITIALS_MM[0] * MM - self._initials().width - 20

    def _initials(self) -> TextBox:
        text = self.words.initials_label
        wide = self._text(text, 10_000, tone="black").natural_width + 1
        return self._text(text, min(wide, 90.0), tone="black", align="end")

    # Drawing

    def draw(self, pen: Pen, page: int, pages: int) -> None:
        """Draw header and footer of page number *page*."""
        with pen.artifact("Header"):
            top = self.sheet.height - self.sheet.top
            if page == 1:
                foot = self._first_header(pen, top)
            else:
                self._header(pen, top)
        if page == 1:
            with pen.furniture():
                self._draw_strips(pen, self.first_strips, self._name_offset, foot)
        with pen.artifact("Footer"):
            box, number = self._footer(pen, str(page), str(pages))
        with pen.artifact("Footer"):
            # By itself and last: all before it is the same on each page from the second on.
            self._place(pen, *number)
        if box is not None and self.flow.fillable:
            self._ask_initials(pen, box, str(page), str(pages))

    def _place(self, pen: Pen, box: TextBox, offset: float, top: float) -> None:
        sheet = self.sheet
        x = start_x(sheet.left, sheet.body_width, offset, box.width, self.flow.rtl)
        box.place(pen, x, top, Frame(0, 0, sheet.width, sheet.height))

    def _first_header(self, pen: Pen, top: float) -> float:
        sheet, y = self.sheet, top
        if self.logo is not None:
            width, height = self.logo.size
            self._logo_name = self._logo_name or pen.file.image(
                self.logo.pixels, self.logo.width, self.logo.height
            )
            x = start_x(sheet.left, sheet.body_width, 0, width, self.flow.rtl)
            pen.picture(self._logo_name, Frame(x, y - height, x + width, y))
            words = self._words_height()
            y -= max(0.0, (height - words) / 2) if self._beside else height + 3
        for box in self._clinic_lines():
            self._place(pen, box, self._name_offset, y)
            y -= box.height
        # The quiet zone may reach into the margin, so that the symbol keeps the edge.
        quiet = 4 * self.code.module
        offset = sheet.body_width - self.code.width + quiet
        x = start_x(sheet.left, sheet.body_width, offset, self.code.width, self.flow.rtl)
        self.code.draw(pen, x, top + quiet)
        return y

    def _header(self, pen: Pen, top: float) -> None:
        sheet, words = self.sheet, self.words
        name = self._text(words.document_name, sheet.body_width, bold=True)
        self._place(pen, name, 0, top)
        foot = top - self.pt * 1.4 - 3
        pen.rule(
            (sheet.left, foot), (sheet.width - sheet.right, foot), self.flow.look.hairline, 0.6
        )
        if not self._in_line:
            self._draw_strips(pen, self.strips, 0.0, foot - 2)
            return
        strip = self.strips[0]
        width = strip.natural_width + 2 * _STRIP_PAD
        short = TextBox(strip.runs, strip.natural_width + 1, strip.style, None)
        self._framed(pen, short, sheet.body_width - width, top + _STRIP_RISE)

    def _draw_strips(self, pen: Pen, strips: Sequence[TextBox], offset: float, top: float) -> None:
        y = top - _STRIP_GAP
        for strip in strips:
            self._framed(pen, strip, offset, y)
            y -= strip.height + _STRIP_STEP

    def _framed(self, pen: Pen, strip: TextBox, offset: float, top: float) -> None:
        """Draw a strip with its frame, *offset* from the start edge."""
        width, sheet = strip.width + 2 * _STRIP_PAD, self.sheet
        x = start_x(sheet.left, sheet.body_width, offset, width, self.flow.rtl)
        frame = Frame(x, top - strip.height - 4, x + width, top)
        pen.box(frame, fill=(1, 1, 1), stroke=(0, 0, 0), width_pt=1.2)
        strip.place(pen, x + _STRIP_PAD, top - 2, Frame(0, 0, sheet.width, sheet.height))

    def _ask_initials(self, pen: Pen, box: Frame, page: str, pages: str) -> None:
        """Make the box a field; these come last, after all that the document says."""
        if self._last is None:
            self._last = self._root.child("Sect")
        count = self._page_of(page, pages)
        ask = text_asker(
            self.flow, self._last, f"{self.words.initials_label}: {count}", kind="initials"
        )
        if ask is not None:
            ask(pen, box)

    def _footer(
        self, pen: Pen, page: str, pages: str
    ) -> tuple[Frame | None, tuple[TextBox, float, float]]:
        """Draw the footer but for the page's number.

        Returns:
            The box for initials, if there is one; the number, its offset and its top.
        """
        sheet, box = self.sheet, None
        y = sheet.foot + self._footer_height()
        pen.rule((sheet.left, y), (sheet.width - sheet.right, y), self.flow.look.hairline, 0.6)
        y -= 5
        if self.words.initials_label:
            box = self._draw_initials(pen, y)
        width = self._footer_width()
        placed = []
        for start, end in self._footer_lines(page, pages):
            placed += [(start, 0.0, y), (end, width - end.width, y)]
            y -= max(start.height, end.height)
        number = next(one for one in placed if one[0].style.bold)
        for one in placed:
            if one is not number:
                self._place(pen, *one)
        return box, number

    def _draw_initials(self, pen: Pen, top: float) -> Frame:
        width, height = (side * MM for side in _INITIALS_MM)
        sheet = self.sheet
        offset = sheet.body_width - width
        x = start_x(sheet.left, sheet.body_width, offset, width, self.flow.rtl)
        pen.box(Frame(x, top - height, x + width, top), stroke=(0, 0, 0), width_pt=1.0)
        label = self._initials()
        drop = (height - label.height) / 2
        self._place(pen, label, offset - label.width - 6, top - drop)
        return Frame(x, top - height, x + width, top)


def _even(runs: Runs, width: float, style: TextStyle) -> TextBox:
    """Return the runs in a box; its lines are of nearly one length, no word stands alone."""
    box = TextBox(runs, width, style, None)
    if box.line_count == 1:
        return box
    for share in _EVEN:
        even = box.natural_width / box.line_count * share
        narrow = TextBox(runs, min(width, even), style, None)
        if narrow.line_count == box.line_count:
            return narrow
    return box


def _joined(*parts: str) -> str:
    """Join parts, each isolated, so that a number stands right among other scripts."""
    return "\u00a0· ".join(isolated(part) for part in parts if part)


def _strips_height(strips: Sequence[TextBox]) -> float:
    return _STRIP_GAP + sum(strip.height + _STRIP_STEP for strip in strips) if strips else 0.0
