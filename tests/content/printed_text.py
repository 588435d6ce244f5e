"""What an independent reader finds on the pages of a document, against its catalogue."""

from __future__ import annotations

import re
import sys
import unicodedata
from collections.abc import Iterator, Mapping
from io import BytesIO
from pathlib import Path

import pikepdf
import pymupdf

from docbuilder.language.catalogue import Key
from docbuilder.language.words import Words
from docbuilder.layout.compose import Composed

sys.path.insert(0, str(Path(__file__).parents[1] / "layout"))
from structure_reader import read_structure

_UNSEEN = re.compile("[\\s\u00a0\u202f\u2060\u200b-\u200f\u2066-\u2069\u061c\ufeff]+")
_PLACEHOLDER = re.compile(r"%\(\w+\)s")
_MARKUP = re.compile(r"\*\*|^\s*(?:[-*#]+|\d+\.)\s+|\]\([^)]*\)|[\[\]\\`]", re.MULTILINE)
_SPOKEN = ("/Alt", "/TU", "/Summary", "/Title", "/Contents")
LONGEST_VALUE = 300
"""Characters that a value may put between two parts of a sentence."""


def squeezed(text: str) -> str:
    """Return *text* without spaces, joiners and direction marks: lines break anywhere."""
    return _UNSEEN.sub("", text)


def printed_text(composed: Composed) -> tuple[str, str]:
    """Return what MuPDF reads in file order: all of it, and without head and foot of the pages.

    A sentence that goes on overleaf is whole only in the second one.
    """
    flags = pymupdf.TEXT_PRESERVE_WHITESPACE | pymupdf.TEXT_PRESERVE_LIGATURES
    whole, bodies = [], []
    with pymupdf.open("pdf", composed.pdf) as document:
        for page, log in zip(document, composed.log, strict=True):
            found = list(_characters(page.get_text("rawdict", flags=flags)))
            low, high = page.rect.height - log.body.y1 - 2, page.rect.height - log.body.y0 + 2
            whole += [char for char, _ in found]
            bodies += [char for char, y in found if low <= y <= high]
    return squeezed("".join(whole)), squeezed("".join(bodies))


def _characters(found: dict) -> Iterator[tuple[str, float]]:
    for block in found["blocks"]:
        for line in block.get("lines", ()):
            for span in line["spans"]:
                for character in span["chars"]:
                    if not character.get("synthetic"):
                        yield character["c"], character["origin"][1]


def structure_text(pdf: bytes) -> str:
    """Return what the tags give in their order, by pikepdf, spaces left out."""
    return squeezed(read_structure(pdf).all_text)


def spoken_text(pdf: bytes) -> str:
    """Return what is told in words only: alternates, the title, names of form parts."""
    with pikepdf.open(BytesIO(pdf)) as document:
        told = [str(document.docinfo.get(key, "")) for key in ("/Title", "/Subject")]
        for item in document.objects:
            if isinstance(item, pikepdf.Dictionary):
                kept = [item.get(key) for key in _SPOKEN]
                told += [str(text) for text in kept if isinstance(text, pikepdf.String)]
    return squeezed("\n".join(told))


_ON_PARTED = ("", "%(title)s (continued)")
"""Prints only where a panel goes on on a later page; in two languages one panel may go on
and the other not. `tests/layout/test_together.py` holds that it prints then.
"""


def missing_sentences(
    composed: Composed, words: Words, plurals: Mapping[Key, str]
) -> list[tuple[str, str]]:
    """Return (context, text) of each message looked up that stands nowhere in logical order.

    Args:
        composed: The document.
        words: The words that it was made with.
        plurals: The English plural of each key, for a document in the source language.
    """
    body, told = printed_text(composed), spoken_text(composed.pdf)
    lost = []
    for key in sorted(words.used):
        if key == _ON_PARTED:
            continue
        entry = words.entries.get(key)
        texts = [text for text in (entry.texts if entry else (key[1], plurals[key])) if text]
        if not any(_stands(text, place) for text in texts for place in (*body, told)):
            lost.append((key[0], texts))
    # MuPDF drops a character close to an equal one (Bengali স্ককে), and in the file a row of
    # two columns that goes on overleaf comes half by half: the tags tell the order.
    tags = structure_text(composed.pdf) if lost else ""
    return [
        (context, texts[0]) for context, texts in lost
        if not any(_stands(text, tags) for text in texts)
    ]  # fmt: skip


def _stands(text: str, page: str) -> bool:
    plain = _MARKUP.sub("", text.replace("%%", "%"))
    parts = [squeezed(part) for part in _PLACEHOLDER.split(plain)]
    first, *rest = [part for part in parts if part] or [""]
    at = page.find(first)
    while at >= 0:
        end = at + len(first)
        for part in rest:
            found = page.find(part, end, end + LONGEST_VALUE + len(part))
            if found < 0:
                break
            end = found + len(part)
        else:
            return True
        at = page.find(first, at + 1)
    return False


def name_places(pages: pymupdf.Document, word: str) -> list[list[float]]:
    """Return, for each place where *word* stands on one line, the x of its letters.

    Marks stand by their letter, not in line.
    """
    found = []
    for page in pages:
        for block in page.get_text("rawdict")["blocks"]:
            for line in block.get("lines", ()):
                marks = [char for span in line["spans"] for char in span["chars"]]
                text = "".join(char["c"] for char in marks)
                at = text.find(word)
                while at >= 0:
                    found.append([
                        char["origin"][0] for char in marks[at : at + len(word)]
                        if unicodedata.category(char["c"])[0] != "M"
                    ])  # fmt: skip
                    at = text.find(word, at + 1)
    return found
