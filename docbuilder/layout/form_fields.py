"""Fields to fill in on a screen, over the room that the page prints for a pen.

ISO 32000-1, 12.7. A field is a widget without border and ground, so the printed page is the
same with it and without. Each has a name for machines (`text-3`), a name to be read out
(`TU`), its own appearance, and a Form element in the structure tree, which is its place in
the tab order. What a viewer does with typed text is the viewer's: see `form_font`.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from typing import TYPE_CHECKING
from weakref import proxy

from docbuilder.layout.geometry import Frame
from docbuilder.layout.objects import Raw, stream
from docbuilder.layout.structure import Element, text_string
from docbuilder.text.form_font import FIRST_CODE, LAST_CODE, FormFont, form_font

if TYPE_CHECKING:
    from docbuilder.layout.pdf_file import PdfFile

__all__ = ["FormFields"]

_MULTILINE, _RADIO = 1 << 12, 1 << 15
_FONT = "Typed"
_PRINT, _RIGHT = 4, 2
_INSET = 0.22
"""Of a box: how far its cross stays from the edge."""


class FormFields:
    """The fields of one PDF, in the order in which they are drawn."""

    def __init__(self, file: PdfFile) -> None:
        self._file: PdfFile = proxy(file)  # which owns its fields
        self._fields: list[str] = []
        self._counts: Counter[str] = Counter()
        self._looks: dict[tuple[str, bytes], str] = {}

    def text(
        self, form: Element, page: int, frame: Frame, says: str, size_pt: float, lines: int = 1,
        kind: str = "text", rtl: bool = False,
    ) -> None:  # fmt: skip
        """Add a field for typed words.

        Args:
            form: Its element, tied to the field here.
            page: Index of the page.
            frame: Where on the page.
            says: What is read out.
            size_pt: Size of what is typed.
            lines: How many ruled lines the field covers.
            kind: Beginning of its name.
            rtl: What is typed begins at the right.
        """
        flags = (f"/Ff {_MULTILINE}" if lines > 1 else "") + (f"/Q {_RIGHT}" if rtl else "")
        entries = (
            f"/FT/Tx{self._named(kind, says)}{flags}"
            f"/DA(/{_FONT} {size_pt:g} Tf 0 g){self._empty(frame)}"
        )
        self._fields.append(self._widget(form, page, frame, entries))

    def signature(self, form: Element, page: int, frame: Frame, says: str) -> None:
        """Add a field for a digital signature."""
        entries = f"/FT/Sig{self._named('signature', says)}{self._empty(frame)}"
        self._fields.append(self._widget(form, page, frame, entries))

    def tick(self, form: Element, page: int, frame: Frame, says: str) -> None:
        """Add a box that can be ticked."""
        entries = f"/FT/Btn{self._named('tick', says)}{self._states(frame, 'Yes')}"
        self._fields.append(self._widget(form, page, frame, entries))

    def choice(self, page: int, says: str, options: Sequence[tuple[Element, Frame, str]]) -> None:
        """Add boxes of which one at most can be ticked: each with its element and word."""
        parent = Raw()
        at = self._file.add(parent)
        kids = []
        for number, (form, frame, word) in enumerate(options, 1):
            # A widget of a group has no field name of its own, but is read out by its word.
            entries = (
                f"/Parent {at}/TU{text_string(f'{says} {word}')}"
                f"{self._states(frame, f'Choice{number}')}"
            )
            kids.append(self._widget(form, page, frame, entries))
        parent.source = (
            f"<</FT/Btn/Ff {_RADIO}{self._named('choice', says)}/V/Off/Kids[{' '.join(kids)}]>>"
        ).encode("ascii")
        self._fields.append(at)

    def finish(self) -> Raw | None:
        """Return the interactive form for the catalogue; None if there is no field."""
        if not self._fields:
            return None
        font = self._font(form_font())
        return Raw(
            f"<</Fields[{' '.join(self._fields)}]/DR<</Font<</{_FONT} {font}>>>>"
            f"/DA(/{_FONT} 0 Tf 0 g)>>".encode("ascii")
        )

    def _named(self, kind: str, says: str) -> str:
        self._counts[kind] += 1
        return f"/T({kind}-{self._counts[kind]})/TU{text_string(says)}"

    def _widget(self, form: Element, page: int, frame: Frame, entries: str) -> str:
        rect = f"{frame.x0:.2f} {frame.y0:.2f} {frame.x1:.2f} {frame.y1:.2f}"
        return self._file.annotate(form, page, f"/Subtype/Widget/Rect[{rect}]/F {_PRINT}{entries}")

    def _empty(self, frame: Frame) -> str:
        return f"/MK<<>>/AP<</N {self._appearance(frame, b'/Tx BMC EMC')}>>"

    def _states(self, frame: Frame, name: str) -> str:
        """Return the two looks of a box, empty and crossed, and that it is empty now."""
        inset = min(frame.width, frame.height) * _INSET
        x1, y1 = frame.width - inset, frame.height - inset
        cross = (
            f"q 1.6 w 1 J 0 G {inset:.2f} {inset:.2f} m {x1:.2f} {y1:.2f} l "
            f"{inset:.2f} {y1:.2f} m {x1:.2f} {inset:.2f} l S Q"
        ).encode("ascii")
        ticked, empty = self._appearance(frame, cross), self._appearance(frame, b"")
        return f"/MK<<>>/AS/Off/AP<</N<</{name} {ticked}/Off {empty}>>>>"

    def _appearance(self, frame: Frame, content: bytes) -> str:
        """Return the look of a field; fields of one size share it."""
        box = f"/BBox[0 0 {frame.width:.2f} {frame.height:.2f}]/Resources<<>>"
        if (box, content) not in self._looks:
            look = stream(f"/Type/XObject/Subtype/Form{box}", content)
            self._looks[box, content] = self._file.add(look)
        return self._looks[box, content]

    def _font(self, font: FormFont) -> str:
        add = self._file.add
        program = add(stream(f"/Length1 {len(font.program)}", font.program))
        descriptor = add(
            Raw(
                f"<</Type/FontDescriptor/FontName/{font.name}/Flags 32/ItalicAngle 0/StemV 80"
                f"/FontBBox[-1000 {font.descent} 2000 {font.ascent}]/Ascent {font.ascent}"
                f"/Descent {font.descent}/CapHeight {font.cap_height}"
                f"/FontFile2 {program}>>".encode("ascii")
            )
        )
        widths = " ".join(map(str, font.widths))
        return add(
            Raw(
                f"<</Type/Font/Subtype/TrueType/BaseFont/{font.name}/Encoding/WinAnsiEncoding"
                f"/FirstChar {FIRST_CODE}/LastChar {LAST_CODE}/Widths[{widths}]"
                f"/FontDescriptor {descriptor}>>".encode("ascii")
            )
        )
