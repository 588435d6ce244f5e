"""A printed batch as piles of paper: for each one file to print and one cover list on top.

One file for ten thousand packs would be no use at the printer: gigabytes that a spooler
gives up on, and after a jam nobody finds the page to go on from. So a long list becomes
several piles, numbered in the list's order. A pack is never torn: each patient's papers
are in one pile.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path

from docbuilder.pack.batch import Result

__all__ = ["MOST_SHEETS", "Pile", "earlier_piles", "piles"]

MOST_SHEETS = 1000
"""Of a pile where the caller names no other number: two reams; common practice, no source.

An evening's forty packs stay in one file.
"""
_MOST_ROWS = 500
"""Of a cover list: laying one out takes memory for every row."""
_COVER, _RUN = "cover_list", "print_run"
_NAMES = re.compile(rf"(?:{_COVER}|{_RUN})(?:_\d+)?\.pdf", re.ASCII)


@dataclass(frozen=True, slots=True)
class Pile:
    """Rows of the list, one after the other, whose papers are printed from one file."""

    number: int
    """From 1."""
    count: int
    """So many piles there are."""
    results: tuple[Result, ...]

    @property
    def cover_name(self) -> str:
        """File name of the cover list; numbered where there are several piles."""
        return self._named(_COVER)

    @property
    def run_name(self) -> str:
        """File name of the PDF with all papers of the pile."""
        return self._named(_RUN)

    @property
    def packs(self) -> int:
        """Packs in the pile; rows that were refused have none."""
        return sum(one.stands for one in self.results)

    @property
    def sheets(self) -> int:
        """Sheets of paper, printed on both sides."""
        return sum(map(_sheets, self.results))

    def first_pages(self) -> Mapping[int, int]:
        """Return the page of the file on which each pack begins, by the row's number."""
        starts, sheets = {}, 0
        for one in self.results:
            if one.stands:
                starts[one.number] = 2 * sheets + 1
            sheets += _sheets(one)
        return starts

    def _named(self, stem: str) -> str:
        if self.count == 1:
            return f"{stem}.pdf"
        return f"{stem}_{self.number:0{len(str(self.count))}}.pdf"


def piles(results: Iterable[Result], most_sheets: int = MOST_SHEETS) -> list[Pile]:
    """Part the results, in the list's order, into piles.

    Args:
        results: Of the whole batch.
        most_sheets: Of one pile; a single pack with more is a pile of its own.
    """
    ordered = sorted(results, key=lambda one: one.number)
    parts = list(_parted(ordered, most_sheets))
    return [Pile(number, len(parts), part) for number, part in enumerate(parts, start=1)]


def earlier_piles(out: Path) -> list[Path]:
    """Return the cover lists and print runs that lie in *out*, of however many piles."""
    try:
        return sorted(path for path in out.iterdir() if _NAMES.fullmatch(path.name))
    except OSError:  # not there yet
        return []


def _parted(ordered: list[Result], most_sheets: int) -> Iterator[tuple[Result, ...]]:
    part: list[Result] = []
    sheets = 0
    for one in ordered:
        more = _sheets(one)
        if part and (sheets + more > most_sheets or len(part) == _MOST_ROWS):
            yield tuple(part)
            part, sheets = [], 0
        part.append(one)
        sheets += more
    if part:
        yield tuple(part)


def _sheets(result: Result) -> int:
    """Each paper begins on the front of a sheet."""
    return sum((paper.pages + 1) // 2 for paper in result.papers)
