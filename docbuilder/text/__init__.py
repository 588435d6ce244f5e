"""Unicode text to positioned glyphs: bidi, line breaking, shaping, embedding.

What the layout uses:

    from docbuilder.text import (
        FontBook, MissingFont, MissingGlyph, layout, min_width, natural_width, segments,
    )

    block = layout(runs, language="ar", rtl=True, width_pt=300, size_pt=14)
    block.height_pt, block.lines, block.leading_pt, block.forced   # points; a word was parted
    block.part(0, 3)                                               # lines 0 to 2, for a page
    block.baseline_pt(0), block.left_pt(0), block.line_width_pt(0)
    natural_width(runs, language="ar", rtl=True, size_pt=14)       # on one line
    min_width(runs, language="ar", rtl=True, size_pt=14)           # widest unbreakable

    fonts = FontBook.of(canvas)                                    # one a document
    for segment in segments(block, left_pt, top_pt, fonts, inks=["0 0 0 rg"] * len(runs)):
        canvas._code.append(segment.operators)    # "BT ... ET"; wrap it in BDC and EMC
        runs[segment.run].link, segment.boxes     # a rectangle a line, for annotations

* `runs` is a sequence of `docbuilder.document.blocks.Run`; U+000A or U+2028 ends a line.
* Bidi isolates, U+200B, U+2060 and the like steer the setting and are never drawn.
* Consecutive runs with the same link and language share a segment; `group=` changes that.
* `MissingGlyph.characters` names the characters that no font has; `MissingFont.remedy` the
  command that installs a font. Both are raised by `layout`, `min_width`, `natural_width`.
* `outlines(block, left, top)` gives glyph outlines as scene segments, for SVG.
"""

from docbuilder.text.embed import FontBook
from docbuilder.text.font_files import MissingFont
from docbuilder.text.fonts import MissingGlyph
from docbuilder.text.metrics import least_leading
from docbuilder.text.operators import Box, Segment, segments
from docbuilder.text.outline import outlines
from docbuilder.text.paragraph import Align, Line, TextBlock, layout, min_width, natural_width

__all__ = [
    "Align", "Box", "FontBook", "Line", "MissingFont", "MissingGlyph", "Segment", "TextBlock",
    "layout", "least_leading", "min_width", "natural_width", "outlines", "segments",
]  # fmt: skip
