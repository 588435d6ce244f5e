"""Pages: measured boxes of every block, broken into pages, drawn and tagged.

blocks -> `measure_all` (boxes of known height, structure elements in reading order)
       -> `break_into_pages` (boxes with their place on each page)
       -> `Pen` (operators, marked content, the page log) -> `PdfFile` (bytes)

Why an own paginator and not the library's frames: a page, a panel, a list item, a table
and a bilingual cell all break by the same rules (two lines at least, headings stay with
what follows, steps stay whole), and one function, `boxes.fill`, holds them. Elements
are made while blocks are measured, so a split box keeps one element over its pages, a
repeated table head can be drawn again as an artifact, and right-to-left columns are
mirrored on paper only. Where a page ends is weighed over the whole document: it may end
earlier, hold its boxes closer, or a smaller drawing, and floating pieces go where pages are
used best. ReportLab numbers and writes the objects.

What is the same for every patient is done once: blocks are measured once and lent (`loans`),
boxes of one shape broken once (`weighed`), boxes at one place drawn once (`tapes`).

`compose.compose(document)` makes the PDF; `lint.lint(composed)` looks for what the
eye would find: text outside its frame, boxes over one another, nearly empty pages.
"""
