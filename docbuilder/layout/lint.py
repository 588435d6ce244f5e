"""What an eye would find on the pages, found from the record of what was drawn."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal, Protocol, TypeVar

from docbuilder.layout.compose import Composed
from docbuilder.layout.geometry import Frame
from docbuilder.layout.page_log import Lettering, PageLog, Placed
from docbuilder.layout.styles import LEAST_CONTRAST, contrast

__all__ = ["Fault", "faults_that_hurt", "lint"]

LEAST_TYPE_PT = 9.0
"""Of any lettering; only furniture and weekday names come near it."""
_BESIDE_THE_WORDS = frozenset(
    {"figure", "picture", "months", "key", "sign", "signing fields", "pair head", "table head",
     "caption", "small"}
)  # fmt: skip
"""Boxes whose lettering may be smaller than words that are read: names in drawings and grids,
heads of columns, labels under a line to sign on."""
LEAST_FILLED = 0.2
"""Share of the body that every page but the last must use."""
_WHOLE = {"step", "signature", "month", "figure", "check item"}
_LETTER_SLACK = 1.5

Name = Literal[
    "outside", "overlap", "near-empty", "widowed heading", "split", "small type", "contrast",
    "parted word", "small words", "widow",
]  # fmt: skip


_HURTING: frozenset[Name] = frozenset({"outside", "overlap", "split", "contrast", "small type"})
"""Not a parted word: it is legible, and a long name must not cost a patient the papers."""


@dataclass(frozen=True, slots=True)
class Fault:
    """One fault: its *name*, the page from 1, where on it (points), and by how much."""

    name: Name
    page: int
    frame: Frame
    detail: str

    @property
    def severity(self) -> Literal["stop", "look"]:
        """Stop: words may be lost or read wrongly. Look: a page less good than it should be."""
        return "stop" if self.name in _HURTING else "look"

    def __str__(self) -> str:
        x, y = self.frame.x0, self.frame.y1
        return f"page {self.page}, {x:.0f}/{y:.0f} pt: {self.name}: {self.detail}"


def lint(composed: Composed) -> list[Fault]:
    """Return every fault of the pages, in page order."""
    faults: list[Fault] = []
    for page in composed.log:
        faults += _headings(page)
        if page.number < composed.pages:
            faults += _near_empty(page)
    faults += _widows(composed.log)
    return sorted([*_where_words_stand(composed), *faults], key=lambda fault: fault.page)


def faults_that_hurt(composed: Composed) -> list[Fault]:
    """Return the faults for which a document must not be handed out, in page order."""
    faults = [fault for fault in _where_words_stand(composed) if fault.severity == "stop"]
    return sorted(faults, key=lambda fault: fault.page)


def _where_words_stand(composed: Composed) -> Iterator[Fault]:
    """Yield the faults of words and boxes themselves: any that hurts is among them."""
    for page in composed.log:
        yield from _outside(page)
        yield from _overlaps(page)
        yield from _letters(page)
    yield from _split(composed.log)


def _outside(page: PageLog) -> Iterator[Fault]:
    for box in page.placed:
        if box.overflow:
            detail = f"a {box.kind} passes its frame by {box.overflow:.1f} pt"
            yield Fault("outside", page.number, box.frame, detail)
    for line in page.lettering:
        if not line.room.holds(line.frame, _LETTER_SLACK):
            yield Fault("outside", page.number, line.frame, "lettering leaves its frame")
        elif not page.paper.holds(line.frame, 0.0):
            yield Fault("outside", page.number, line.frame, "lettering leaves the paper")
        elif not line.furniture and not page.body.holds(line.frame, _LETTER_SLACK):
            yield Fault("outside", page.number, line.frame, "lettering leaves the body")


def _overlaps(page: PageLog) -> Iterator[Fault]:
    stacked = [box for box in page.placed if box.depth == 0 and not box.furniture]
    for one, other in _meeting(stacked):
        detail = f"a {one.kind} and a {other.kind} overlap"
        yield Fault("overlap", page.number, other.frame, detail)
    for _, line in _meeting(page.lettering):
        yield Fault("overlap", page.number, line.frame, "two lines overlap")


class _Framed(Protocol):
    @property
    def frame(self) -> Frame: ...


_FramedThing = TypeVar("_FramedThing", bound=_Framed)


def _meeting(things: Sequence[_FramedThing]) -> Iterator[tuple[_FramedThing, _FramedThing]]:
    """Yield the pairs that overlap, by a sweep from the foot of the page upwards."""
    open_things: list[tuple[int, _FramedThing]] = []
    for index in sorted(range(len(things)), key=lambda index: things[index].frame.y0):
        thing, foot = things[index], things[index].frame.y0
        open_things = [(i, other) for i, other in open_things if other.frame.y1 > foot]
        for i, other in open_things:
            if thing.frame.overlaps(other.frame):
                yield (other, thing) if i < index else (thing, other)
        open_things.append((index, thing))


def _headings(page: PageLog) -> Iterator[Fault]:
    body = [line for line in page.lettering if not line.furniture]
    for box in page.placed:
        if box.kind == "heading" and not _followed(box, page.placed, body):
            yield Fault("widowed heading", page.number, box.frame, "nothing follows below it")


def _followed(heading: Placed, placed: Sequence[Placed], lines: Sequence[Lettering]) -> bool:
    def below(frame: Frame) -> bool:
        across = min(frame.x1, heading.frame.x1) - max(frame.x0, heading.frame.x0) > 0
        return across and frame.y1 <= heading.frame.y0 + 1

    drawn = [box.frame for box in placed if box.kind in ("figure", "picture", "code")]
    return any(below(line.frame) for line in lines) or any(below(frame) for frame in drawn)


def _letters(page: PageLog) -> Iterator[Fault]:
    for line in page.lettering:
        if line.size_pt < LEAST_TYPE_PT:
            detail = f"{line.size_pt:g} pt, at least {LEAST_TYPE_PT:g}"
            yield Fault("small type", page.number, line.frame, detail)
        elif line.size_pt < page.least_pt and not (
            line.furniture or line.within & _BESIDE_THE_WORDS
        ):
            detail = f"words of {line.size_pt:g} pt, at least {page.least_pt:g}"
            yield Fault("small words", page.number, line.frame, detail)
        ratio = contrast(line.ink, line.ground)
        if ratio < LEAST_CONTRAST:
            detail = f"{ratio:.1f}:1, at least {LEAST_CONTRAST:g}:1"
            yield Fault("contrast", page.number, line.frame, detail)
        if line.parted:
            detail = "a word is wider than its frame"
            yield Fault("parted word", page.number, line.frame, detail)


def _near_empty(page: PageLog) -> Iterator[Fault]:
    if page.filled < LEAST_FILLED:
        detail = f"{page.filled:.0%} of the page is used"
        yield Fault("near-empty", page.number, page.body, detail)


def _split(pages: Sequence[PageLog]) -> Iterator[Fault]:
    seen: dict[int, set[int]] = defaultdict(set)
    for page in pages:
        for box in page.placed:
            if box.kind not in _WHOLE:
                continue
            if seen[box.box] - {page.number}:
                detail = f"a {box.kind} goes over two pages"
                yield Fault("split", page.number, box.frame, detail)
            seen[box.box].add(page.number)


def _widows(pages: Sequence[PageLog]) -> Iterator[Fault]:
    """Find paragraphs that go over pages and leave one line alone on one of them."""
    parts: dict[int, list[tuple[PageLog, Placed]]] = defaultdict(list)
    for page in pages:
        for box in page.placed:
            if box.kind in ("text", "small") and not (box.furniture or box.repeated):
                parts[box.box].append((page, box))
    for found in parts.values():
        if len({page.number for page, _ in found}) < 2:
            continue
        for page, box in found:
            lines = {round(line.frame.y0) for line in page.lettering if box.frame.holds(line.frame)}
            if len(lines) == 1:
                yield Fault("widow", page.number, box.frame, "one line of a paragraph stands alone")
