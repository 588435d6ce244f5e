"""What drawing a box has put on a page, to be put there again without drawing.

A block that says the same to every patient mostly stands at the same place on its page. Then
its operators are the same too, but for the numbers of the marks; only these are written anew.

A tape is made of what was added to the page, to its log and to the document while the box was
drawn. It plays only at the same place and in the same surroundings, and where the document's
fonts give out the codes that it holds; else the box is drawn, as it would have been.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from docbuilder.layout.structure import Element

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Mapping, Sequence, Sized

    from docbuilder.layout.outline import Bookmark
    from docbuilder.layout.page_log import Lettering, Placed
    from docbuilder.layout.pen import Pen
    from docbuilder.text.fonts import Font
    from docbuilder.text.shaping import Cluster

__all__ = ["Tape", "drawn_on_tape"]

Place = tuple[object, ...]
Opened = tuple[Element, str]
"""The mark of an element: what follows its number."""


@dataclass(frozen=True, slots=True)
class Tape:
    """One drawing of a box."""

    place: Place
    content: tuple[str | Opened, ...]
    described: tuple[tuple[Element, str], ...]
    bookmarks: tuple[Bookmark, ...]
    placed: tuple[Placed, ...]
    lettering: tuple[Lettering, ...]
    plain: tuple[tuple[Font, Mapping[int, str]], ...]
    codes: tuple[tuple[Font, Cluster, str], ...]

    def play(self, pen: Pen, place: Place) -> bool:
        """Put everything on the page; False, and nothing is put there, where it does not fit."""
        if place != self.place or not self._coded_alike(pen):
            return False
        for piece in self.content:
            if isinstance(piece, str):
                pen.write(piece)
            else:
                pen.open(*piece)
        for element, attributes in self.described:
            pen.describe(element, attributes)
        pen.file.bookmarks += [replace(mark, page=pen.page) for mark in self.bookmarks]
        log = pen.logs[pen.page]
        log.placed += self.placed
        log.lettering += self.lettering
        return True

    def _coded_alike(self, pen: Pen) -> bool:
        """Take the glyphs into use as drawing does; tell whether their codes are the same."""
        clashing = [pen.fonts.clashes(font, glyphs) for font, glyphs in self.plain]
        if any(clashing):
            return False
        return all(pen.fonts.code(font, cluster) == code for font, cluster, code in self.codes)


def drawn_on_tape(pen: Pen, place: Place, draw: Callable[[], None]) -> Tape | None:
    """Draw, and return the tape of it; None of what another document cannot have so.

    That are fields, links and spans in another language, which make objects of their own.
    """
    file, fonts, log, page = pen.file, pen.fonts, pen.logs[pen.page], pen.pages[pen.page]
    marked = file.marked_on(pen.page)
    before, clashed = file.made_while_drawing, fonts.clashed
    kept: tuple[Sized, ...] = (
        page, marked, pen.described, file.bookmarks, log.placed, log.lettering, fonts.plain,
        fonts.codes,
    )  # fmt: skip
    lines, marks, described, bookmarks, placed, lettering, plain, codes = map(len, kept)
    draw()
    if file.made_while_drawing != before or fonts.clashed != clashed:
        return None
    return Tape(
        place,
        tuple(_pieces(page[lines:], marked[marks:], marks)),
        tuple(pen.described[described:]),
        tuple(file.bookmarks[bookmarks:]),
        tuple(log.placed[placed:]),
        tuple(log.lettering[lettering:]),
        _once(fonts.plain[plain:]),
        tuple(fonts.codes[codes:]),
    )


def _pieces(
    content: Sequence[str], elements: Sequence[Element], first: int
) -> Iterator[str | Opened]:
    """Yield the operators, joined as far as they hang on no mark, and the marks between."""
    waiting: list[str] = []
    number = 0
    for line in content:
        opening = ""
        if number < len(elements):
            opening = f"/{elements[number].tag} <</MCID {first + number}"
        if not opening or not line.startswith((f"{opening}>", f"{opening}/")):
            waiting.append(line)
            continue
        if waiting:
            yield "\n".join(waiting)
            waiting = []
        yield elements[number], line[len(opening) :]
        number += 1
    if waiting:
        yield "\n".join(waiting)


def _once(
    plain: Sequence[tuple[Font, Mapping[int, str]]],
) -> tuple[tuple[Font, Mapping[int, str]], ...]:
    """Return the glyphs of each font together; the fonts in the order of their first use."""
    joined: dict[Font, dict[int, str]] = {}
    for font, glyphs in plain:
        joined.setdefault(font, {}).update(glyphs)
    return tuple(joined.items())
