"""Whether PDFs of different typesetters hold the same words.

The words are read back with PDFium, after NFKC. Every word of the document has to be
there as often as in the document, and nothing else but what stands on each page around
the body: head, foot, bullets, page numbers, repeated table heads.

Arabic cannot be read back word by word from every PDF: the fonts build a letter from parts.
Ours gives each letter once. Typst's PDFs repeat a letter for each part, so the letters
without dots are counted, which have one part, with a few in a hundred let pass that the
readers lose. WeasyPrint's PDFs give wrong letters; so its pages are compared by the text of
its own line boxes.
"""

from __future__ import annotations

import re
import unicodedata
from collections import Counter
from collections.abc import Iterable

import pymupdf
import pypdfium2
from parts import Grid, Lowered, Part, said

_WORD = re.compile(r"[0-9]+|[A-Za-z\u00b5\u00c0-\u024f\u0370-\u03ff\u1e00-\u1eff]+")
"""A number and its unit are two words: beside right-to-left text they are read back either way."""
_RTL = re.compile(r"[\u0590-\u08ff\ufb1d-\ufdff\ufe70-\ufefc]")
_SINGLE = frozenset("حدرسصطعكلمهوى")
"""Arabic letters that the fonts draw as one glyph."""

_LOST = 0.03
"""Share of the letters that a reader may lose or double."""


class Different(Exception):
    """A PDF does not hold the words of its document."""


def pages_and_text(pdf: bytes) -> tuple[int, str]:
    """Return the number of pages and all text."""
    document = pypdfium2.PdfDocument(pdf)
    try:
        text = "\n".join(page.get_textpage().get_text_range() for page in document)
        return len(document), text
    finally:
        document.close()


def words_in(text: str) -> Counter[str]:
    """Return the words of the left-to-right scripts, split at every sign between letters."""
    # PDFium marks a hyphen at a line's end; the other controls draw nothing.
    plain = unicodedata.normalize("NFKC", text.replace("\u0002", "-").replace("\ufffe", "-"))
    return Counter(_WORD.findall(plain.replace("μ", "µ")))


def letters_in(text: str) -> Counter[str]:
    """Return the Arabic letters that are one glyph each."""
    return Counter(c for c in unicodedata.normalize("NFKC", text) if c in _SINGLE)


def has_rtl(text: str) -> bool:
    """Say whether right-to-left letters stand in *text*."""
    return bool(_RTL.search(text))


def check_same(lowered: Lowered, pdf: bytes, name: str, laid_out: str = "") -> int:
    """Check one PDF against its document and return its number of pages.

    Args:
        lowered: The document.
        pdf: The whole file.
        name: Who made it, for the fault.
        laid_out: The text of the typesetter's line boxes, where its PDF cannot be read back.

    Raises:
        Different: Words are missing, or there are others.
    """
    pages, text = pages_and_text(pdf)
    text = laid_out or text
    body = lowered.words()
    around = f"{lowered.furniture()} {' '.join(_heads(lowered.parts))}"
    rtl = has_rtl(body)
    _compare(words_in(body), words_in(text), set(words_in(around)), name, rtl)
    if rtl:
        wanted, most = letters_in(body), letters_in(around)
        found = letters_in(text)
        if not laid_out:
            found |= letters_in(_second_reading(pdf))
        for letter in wanted:
            low = wanted[letter] * (1 - _LOST)
            # What stands on each page comes once a page.
            high = wanted[letter] * (1 + _LOST) + (pages + 1) * most[letter]
            if not low <= found[letter] <= high:
                told = f"{found[letter]}, not {low:.0f} to {high:.0f}"
                raise Different(f"{name}: letter {letter}: {told}")
    return pages


def _second_reading(pdf: bytes) -> str:
    with pymupdf.open("pdf", pdf) as document:
        return "".join(page.get_text() for page in document)


def _compare(
    wanted: Counter[str], found: Counter[str], around: set[str], what: str, rtl: bool
) -> None:
    """Compare; beside right-to-left text single Latin letters too many are let pass.

    WeasyPrint's PDFs give some parts of Arabic letters such letters.
    """
    missing = wanted - found
    surplus = Counter({
        word: count for word, count in (found - wanted).items()
        if word not in around and not word.isdecimal() and not (rtl and len(word) == 1)
    })  # fmt: skip
    if missing or surplus:
        raise Different(f"{what}: missing {dict(missing)}, surplus {dict(surplus)}")


def _heads(parts: Iterable[Part]) -> Iterable[str]:
    """Yield what a table repeats on each page."""
    for part in parts:
        if isinstance(part, Grid):
            for row in part.rows[: max(part.heads, 1)]:
                for cell in row:
                    yield from said(cell)
            for row in part.rows:
                for cell in row:
                    yield from _heads(cell)
        for name in ("parts", "items"):
            inner = getattr(part, name, ())
            for one in inner:
                yield from _heads(one if isinstance(one, tuple) else (one,))
