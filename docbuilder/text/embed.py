"""Embedding: the fonts of one PDF, subset to what it uses.

`FontBook.of(canvas)` collects the glyphs that a document draws. Each font becomes a
Type0 / Identity-H / CIDFontType2 font with its weight pinned and one ToUnicode string for
every code:

* a cluster of one plain glyph keeps the glyph's own number as its code, so that text can
  be encoded before it is known which document it goes into (`docbuilder.text.operators`);
* any other cluster gets a composite glyph of its own behind the font's last glyph, in the
  order of first use, made by `docbuilder.text.composite`.

The bytes hang only on what the document draws, in its order, never on earlier work.
ReportLab calls `addObjects` of each entry of `PDFDocument.delayedFonts` when it saves.
"""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from typing import Any

import uharfbuzz as hb
from reportlab.pdfbase import pdfdoc

from docbuilder.caching import kept
from docbuilder.text.composite import Composite, composite_record
from docbuilder.text.font_program import font_program
from docbuilder.text.fonts import BOLD, Font
from docbuilder.text.glyph_records import glyph_records
from docbuilder.text.shaping import Cluster

__all__ = ["EmbeddedFont", "FontBook"]

_LAST_CODE = 0xFFFE
_CMAP_HEAD = (
    "/CIDInit /ProcSet findresource begin\n12 dict begin\nbegincmap\n"
    "/CIDSystemInfo << /Registry (Adobe) /Ordering (UCS) /Supplement 0 >> def\n"
    "/CMapName /Adobe-Identity-UCS def\n/CMapType 2 def\n"
    "1 begincodespacerange\n<0000> <FFFF>\nendcodespacerange"
)
_CMAP_TAIL = "endcmap\nCMapName currentdict /CMap defineresource pop\nend\nend"


class FontBook:
    """The fonts of one PDF document."""

    def __init__(self, document: Any) -> None:
        self._document = document
        self._fonts: dict[str, EmbeddedFont] = {}
        self.plain: list[tuple[Font, Mapping[int, str]]] = []
        """Plain glyphs taken into use, in order."""
        self.codes: list[tuple[Font, Cluster, str]] = []
        """Codes given out, in order."""
        self.clashed = 0
        """How often plain glyphs could not be used."""

    @classmethod
    def of(cls, canvas: Any) -> FontBook:
        """Return the font book of a ReportLab canvas; the same one at each call."""
        book: FontBook | None = canvas.__dict__.get("_docbuilder_fonts")
        if book is None:
            book = canvas.__dict__["_docbuilder_fonts"] = cls(canvas._doc)
        return book

    def clashes(self, font: Font, glyphs: Mapping[int, str]) -> set[int]:
        """Take plain *glyphs* with their texts into use; return those that read otherwise here."""
        found = self.font(font).clashes(glyphs)
        self.plain.append((font, glyphs))
        self.clashed += bool(found)
        return found

    def code(self, font: Font, cluster: Cluster) -> str:
        """Return the code of a cluster that takes a glyph of its own (start and x are 0)."""
        code = self.font(font).code(cluster)
        self.codes.append((font, cluster, code))
        return code

    def font(self, font: Font) -> EmbeddedFont:
        """Return the embedded counterpart of *font*, made at first use."""
        embedded = self._fonts.get(font.resource)
        if embedded is None:
            embedded = self._fonts[font.resource] = EmbeddedFont(font)
            self._document.fontMapping[embedded.fontName] = f"/{embedded.resource}"
            self._document.delayedFonts.append(embedded)
        return embedded


class EmbeddedFont:
    """One font of one document, and the codes given out in it."""

    def __init__(self, font: Font) -> None:
        self.font, self.resource = font, font.resource
        self.fontName = f"docbuilder:{font.name}-{font.weight}"  # ReportLab's protocol
        self._plain: dict[int, str] = {}
        self._composites: dict[Cluster, int] = {}

    def clashes(self, glyphs: Mapping[int, str]) -> set[int]:
        """Take plain *glyphs* with their texts into use; return those that read otherwise here."""
        if glyphs.items() <= self._plain.items():
            return set()
        return {
            glyph for glyph, text in glyphs.items() if self._plain.setdefault(glyph, text) != text
        }

    def code(self, cluster: Cluster) -> str:
        """Return the code of a cluster that takes a glyph of its own (start and x are 0)."""
        number = self._composites.setdefault(cluster, len(self._composites))
        code = self.font.face.glyph_count + number
        if code > _LAST_CODE:
            raise OverflowError(f"{self.font!r}: more clusters than a font has codes")
        return f"{code:04X}"

    def addObjects(self, document: Any) -> None:  # noqa: N802 - ReportLab's name
        """Write the font's objects into *document*."""
        composites = tuple(Composite(key.parts, key.width) for key in self._composites)
        data = _font_program(self.font, tuple(sorted(self._plain)), composites)
        tag = "".join(chr(65 + byte % 26) for byte in hashlib.sha256(data).digest()[:6])
        name = f"{tag}+{self.font.name.title().replace('_', '')}-{self.font.weight}"
        to_unicode = _stream(document, self._to_unicode())
        program = _stream(document, data)
        program.dictionary["Length1"] = len(data)
        reference, array = document.Reference, pdfdoc.PDFArray
        descriptor = _dictionary(
            Type="/FontDescriptor", FontName="/" + name, Flags=4, ItalicAngle=0,
            StemV=140 if self.font.weight >= BOLD else 80, **self._metrics(),
            FontFile2=reference(program, "program:" + name),
        )  # fmt: skip
        descendant = _dictionary(
            Type="/Font", Subtype="/CIDFontType2", BaseFont="/" + name,
            CIDSystemInfo=_dictionary(
                Registry=pdfdoc.PDFString("Adobe"), Ordering=pdfdoc.PDFString("Identity"),
                Supplement=0,
            ),
            DW=0, W=self._widths(), CIDToGIDMap="/Identity",
            FontDescriptor=reference(descriptor, "descriptor:" + name),
        )  # fmt: skip
        whole = _dictionary(
            Type="/Font", Subtype="/Type0", BaseFont="/" + name, Encoding="/Identity-H",
            DescendantFonts=array([reference(descendant, "cid:" + name)]),
            ToUnicode=reference(to_unicode, "unicode:" + name),
        )  # fmt: skip
        fonts = document.idToObject["BasicFonts"].dict
        fonts[self.resource] = reference(whole, "font:" + name)

    def _metrics(self) -> dict[str, Any]:
        tags, shaper, per_unit = hb.OTMetricsTag, self.font.shaper, self.font.per_unit

        def metric(tag: Any) -> int:
            position: float = shaper.get_metric_position_with_fallback(tag)
            return round(position * per_unit)

        ascent, descent = metric(tags.HORIZONTAL_ASCENDER), metric(tags.HORIZONTAL_DESCENDER)
        box = pdfdoc.PDFArray([-1000, descent, 2000, ascent])
        return {
            "Ascent": ascent,
            "Descent": descent,
            "CapHeight": metric(tags.CAP_HEIGHT),
            "FontBBox": box,
        }

    def _widths(self) -> bytes:
        """Return the W array: runs of consecutive codes with their widths."""
        runs: list[tuple[int, list[int]]] = []
        for glyph in sorted(self._plain):
            if not runs or glyph != runs[-1][0] + len(runs[-1][1]):
                runs.append((glyph, []))
            runs[-1][1].append(self.font.advance(glyph))
        if self._composites:
            runs.append((self.font.face.glyph_count, [one.width for one in self._composites]))
        told = "".join(f"{first}[{' '.join(map(str, widths))}]" for first, widths in runs)
        return f"[{told}]".encode("ascii")

    def _to_unicode(self) -> bytes:
        first = self.font.face.glyph_count
        codes = sorted(self._plain.items())
        codes += [(first + number, key.text) for key, number in self._composites.items()]
        lines = [_CMAP_HEAD]
        for start in range(0, len(codes), 100):
            block = codes[start : start + 100]
            lines.append(f"{len(block)} beginbfchar")
            lines += [
                f"<{code:04X}> <{text.encode('utf-16-be').hex().upper()}>" for code, text in block
            ]
            lines.append("endbfchar")
        return "\n".join([*lines, _CMAP_TAIL]).encode("ascii")


def _dictionary(**entries: Any) -> Any:
    """Return a PDF dictionary; a string that starts with a slash is a name."""
    return pdfdoc.PDFDictionary({
        key: pdfdoc.PDFName(value[1:]) if isinstance(value, str) else value
        for key, value in entries.items()
    })  # fmt: skip


def _stream(document: Any, content: bytes) -> Any:
    stream = pdfdoc.PDFStream(content=content)
    stream.filters = [pdfdoc.PDFZCompress] if document.compression else []
    return stream


@kept(128)
def _font_program(font: Font, glyphs: tuple[int, ...], composites: tuple[Composite, ...]) -> bytes:
    """Return the file of *glyphs*, with the composite ones behind the font's last glyph."""
    parts = [part.glyph for composite in composites for part in composite.parts]
    records = glyph_records(font, [*glyphs, *parts])
    for number, composite in enumerate(composites, font.face.glyph_count):
        records[number] = composite_record(composite, records, 1 / font.per_unit)
    return font_program(font, records, max((len(one.parts) for one in composites), default=0))
