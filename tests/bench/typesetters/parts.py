"""Our documents as a few parts that any typesetter can set: words, lists, grids, boxes, pictures.

What the pages say comes from the blocks that docbuilder itself draws, so that every
typesetter gets the same words in the same order. Only the look is simplified.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

import segno

from docbuilder.document import blocks as b
from docbuilder.document.blocks import Run, Runs
from docbuilder.document.scene import Scene
from docbuilder.figures.svg import scene_to_svg
from docbuilder.layout.styles import Look

FAMILY = "Noto Sans"
_CODE_MM = 18.0
_CALENDAR_ACROSS = 2
_LETTER_EM, _TEXT_PT = 0.75, 480.0
"""A bold letter with its share of the cell's edges, in ems, and the width of a page's text:
the typesetters do not widen a column whose head is longer than its share, as we do, and words
that overlap are read back as one."""


@dataclass(frozen=True)
class Words:
    """One paragraph; *level* 1 to 3 makes it a heading."""

    runs: Runs
    pt: float
    bold: bool = False
    centred: bool = False
    level: int = 0


@dataclass(frozen=True)
class Items:
    """A list with bullets or numbers."""

    items: tuple[tuple[Part, ...], ...]
    start: int = 0
    """First number; 0: bullets."""
    zero: str = "0"
    """The zero of the digits to count with."""


@dataclass(frozen=True)
class Grid:
    """Rows of cells; with *ruled* a table with lines, whose first *heads* rows repeat."""

    shares: tuple[float, ...]
    rows: tuple[tuple[tuple[Part, ...], ...], ...]
    ruled: bool = False
    heads: int = 0
    row_mm: float = 0.0
    whole: bool = False


@dataclass(frozen=True)
class Box:
    """Parts on a ground, with a coloured bar at the start edge."""

    parts: tuple[Part, ...]
    ground: str
    edge: str


@dataclass(frozen=True)
class Picture:
    """A drawing as SVG, *width_mm* wide; *tight* in a cell of its own."""

    svg: str
    width_mm: float
    height_mm: float
    alt: str


@dataclass(frozen=True)
class Tick:
    """An empty square to tick."""

    width_mm: float
    height_mm: float


@dataclass(frozen=True)
class Rule:
    """Clear room with a line at its foot."""

    height_mm: float


@dataclass(frozen=True)
class Other:
    """Parts in another language than the page's."""

    parts: tuple[Part, ...]
    language: str
    rtl: bool


@dataclass(frozen=True)
class Whole:
    """Parts that stay on one page."""

    parts: tuple[Part, ...]


@dataclass(frozen=True)
class NewPage:
    """Start a page."""


Part = Words | Items | Grid | Box | Picture | Tick | Rule | Other | Whole | NewPage
_GROUNDS = {
    "stop": ("#f9eeef", "#9e0017"),
    "caution": ("#fff9e6", "#000000"),
    "info": ("#edf4f6", "#005a70"),
    "plain": ("#f2f2f2", "#f2f2f2"),
}


def parts_of(document: b.Document, weekdays: Callable[[b.CalendarMonth], Sequence[str]]) -> Lowered:
    """Return *document* as parts.

    Args:
        document: What docbuilder drew.
        weekdays: Which of a month's names of weekdays our page shows; it depends on room.
    """
    look = Look.of(document.text_pt, document.accent)
    maker = _Maker(look, document.text_pt, weekdays, dict(document.zeros), document.language)
    return Lowered(document, tuple(maker.all(document.blocks)))


@dataclass(frozen=True)
class Lowered:
    """A document's parts, with what stands on every page left in the document."""

    document: b.Document
    parts: tuple[Part, ...]

    def words(self) -> str:
        """Return every word of the body."""
        return "\n".join(said(self.parts))

    def furniture(self) -> str:
        """Return every word that may stand on a page outside the body."""
        words = self.document.furniture
        return " ".join(
            (words.document_name, words.document_id, words.version, words.patient, words.clinic,
             words.clinic_contact, words.page_of.format(page="", pages=""), words.review_line,
             words.initials_label, words.draft_mark)
        )  # fmt: skip


def _widest(runs: Runs) -> int:
    """Return the letters of the longest word."""
    return max((len(word) for run in runs for word in run.text.split()), default=0)


def said(parts: Iterable[Part]) -> Iterator[str]:
    """Yield every text of *parts*, in order."""
    for part in parts:
        match part:
            case Words():
                yield "".join(run.text for run in part.runs)
            case Items():
                for item in part.items:
                    yield from said(item)
            case Grid():
                for row in part.rows:
                    for cell in row:
                        yield from said(cell)
            case Box() | Whole() | Other():
                yield from said(part.parts)
            case _:
                pass


def code_svg(payload: str) -> Picture:
    """Return the document's code."""
    code = segno.make_qr(payload, error="m", boost_error=False)
    svg = code.svg_inline(scale=1, border=4, omitsize=True)
    svg = svg.replace("<svg", '<svg xmlns="http://www.w3.org/2000/svg"', 1)
    side = _CODE_MM * (len(code.matrix) + 8) / len(code.matrix)
    return Picture(svg, side, side, payload)


@dataclass
class _Maker:
    look: Look
    pt: float
    weekdays: Callable[[b.CalendarMonth], Sequence[str]]
    zeros: dict[str, str]
    language: str

    @property
    def zero(self) -> str:
        """The zero of the digits that count lists and steps here."""
        return self.zeros.get(self.language, "0")

    def words(self, runs: Runs | str, pt: float = 0.0, **how: bool) -> Words:
        given = (Run(runs),) if isinstance(runs, str) else runs
        return Words(given, pt or self.pt, **how)

    def all(self, blocks: Iterable[b.Block]) -> Iterator[Part]:
        for block in blocks:
            yield from self.parts(block)

    def parts(self, block: b.Block) -> Iterator[Part]:
        match block:
            case b.Heading():
                yield Words(block.runs, self.look.heading_pt(block.level), True, level=block.level)
            case b.Paragraph():
                small = min(self.look.small_pt, self.pt)
                sizes = {"lead": self.look.lead_pt, "small": small}
                if any(run.text.strip() for run in block.runs):
                    yield self.words(block.runs, sizes.get(block.role, self.pt))
            case b.ListBlock():
                items = tuple(tuple(self.all(item)) for item in block.items)
                yield Items(items, block.start if block.ordered else 0, self.zero)
            case b.Steps():
                yield from self._steps(block)
            case b.Table():
                yield from self._table(block)
            case b.SettingsPanel():
                yield self._settings(block)
            case b.Panel():
                title = (self.words((Run(block.sign_word),), bold=True),) if block.sign_word else ()
                if block.title:
                    title += (self.words(block.title, self.pt * 1.1, bold=True),)
                yield Box((*title, *self.all(block.blocks)), *_GROUNDS[block.kind])
            case b.FigureBlock():
                yield from self._picture(block.scene, block.alt, block.width_mm)
                if block.caption:
                    yield self.words(block.caption, self.look.small_pt)
            case b.CalendarGrid():
                yield from self._calendar(block)
            case b.CheckItem():
                yield self._check(block)
            case b.WriteLines():
                label = (self.words(block.label),) if _says(block.label) else ()
                yield Whole((*label, *[Rule(block.line_mm)] * block.lines))
            case b.SignatureBlock():
                yield Whole(tuple(self._signatures(block)))
            case b.QrCode():
                told = [self.words(text) for text in (block.caption, block.payload) if text]
                yield Grid((1, 3), (((code_svg(block.payload),), tuple(told)),), whole=True)
            case b.Pairs():
                yield self._pairs(block)
            case b.Columns():
                cells = (tuple(self.all(block.first)), tuple(self.all(block.second)))
                yield Grid((block.share, 1 - block.share), (cells,))
            case b.KeepTogether():
                yield Whole(tuple(self.all(block.blocks)))
            case b.Landing():
                pass
            case b.Floating():
                yield from self.all(block.blocks)
            case b.Card():
                halves = (tuple(self.all(block.first)), tuple(self.all(block.second)))
                yield Grid((1.0, 1.0), (halves,), ruled=True, whole=True)
            case b.PageBreak():
                yield NewPage()
            case _:
                raise TypeError(type(block).__name__)

    def _picture(self, scene: Scene, alt: str, width_mm: float | None) -> Iterator[Part]:
        """Yield the drawing with its labels as words below.

        A label in the picture would be outlines for one typesetter and text for another.
        """
        bare = Scene(scene.width_mm, scene.height_mm, scene.paths, (), scene.true_size)
        width = scene.width_mm if scene.true_size or width_mm is None else width_mm
        width = min(width, 170.0) if not scene.true_size else width
        height = scene.height_mm * width / scene.width_mm
        if height > 190.0 and not scene.true_size:
            width, height = width * 190.0 / height, 190.0
        yield Picture(scene_to_svg(bare, FAMILY, width_mm=width), width, height, alt or "drawing")
        texts = [label.text for label in scene.labels if label.text]
        if texts:
            yield self.words(" ".join(texts), 9.0)

    def _steps(self, block: b.Steps) -> Iterator[Part]:
        cells = []
        for number, step in enumerate(block.steps, start=block.start):
            said: tuple[Part, ...] = (self.words(step.runs),)
            if step.display:
                said += (Box((self.words(step.display, bold=True),), "#edeeea", "#404040"),)
            picture = tuple(self._picture(step.picture, step.picture_alt, 28.0)) if step.picture \
                else ()  # fmt: skip
            digits = "".join(chr(ord(self.zero) + int(digit)) for digit in str(number))
            label = (self.words(digits, bold=True),)
            shares = (0.8, 8.0, 5.0) if picture else (0.8, 13.0)
            row = (label, said, picture) if picture else (label, said)
            cells.append(Grid(shares, (row,), whole=True))
        if block.columns == 1:
            yield from cells
            return
        for at in range(0, len(cells), block.columns):
            row = [(cell,) for cell in cells[at : at + block.columns]]
            row += [()] * (block.columns - len(row))  # type: ignore[list-item]
            yield Grid((1.0,) * block.columns, (tuple(row),), whole=True)

    def _table(self, block: b.Table) -> Iterator[Part]:
        pt = min(self.pt, self.look.compact_pt) if block.compact else self.pt
        if block.caption:
            yield self.words(block.caption, pt, bold=True)
        head = tuple((self.words(column.header, pt, bold=True),) for column in block.columns)
        rows = tuple(
            tuple(
                (self.words(cell, pt, bold=block.row_headers and at == 0),) if _says(cell) else ()
                for at, cell in enumerate(row)
            )
            for row in block.rows
        )
        wide = [_widest(column.header) * _LETTER_EM * pt / _TEXT_PT for column in block.columns]
        shares = tuple(
            max(column.share, least) for column, least in zip(block.columns, wide, strict=True)
        )
        yield Grid(shares, (head, *rows), ruled=True, heads=1, row_mm=block.min_row_mm)

    def _settings(self, block: b.SettingsPanel) -> Part:
        cells = []
        for entry in block.entries:
            cell = [self.words(entry.label)]
            value = (Run(entry.value, bold=True),)
            cell.append(self.words(value, self.look.value_pt if len(entry.value) < 6 else 18.0))
            cell += [self.words(text) for text in (entry.unit, entry.note) if text]
            cells.append(tuple(cell))
        title = (self.words(block.title, self.pt * 1.1, bold=True),) if block.title else ()
        across = min(len(cells), 4)
        rows = [tuple(cells[at : at + across]) for at in range(0, len(cells), across)]
        rows[-1] += ((),) * (across - len(rows[-1]))
        return Box((*title, Grid((1.0,) * across, tuple(rows))), *_GROUNDS["info"])

    def _calendar(self, block: b.CalendarGrid) -> Iterator[Part]:
        months = [self._month(month) for month in block.months]
        for at in range(0, len(months), _CALENDAR_ACROSS):
            row = months[at : at + _CALENDAR_ACROSS]
            row += [()] * (_CALENDAR_ACROSS - len(row))
            yield Grid((1.0,) * _CALENDAR_ACROSS, (tuple(row),), whole=True)
        yield Grid((1.0,) * len(block.key), (tuple((self.words(w),) for _, w in block.key),))

    def _month(self, month: b.CalendarMonth) -> tuple[Part, ...]:
        small = max(9.0, self.pt * 0.72)
        head = tuple((self.words(name, small, centred=True),) for name in self.weekdays(month))
        weeks = tuple(tuple(self._day(day, small) for day in week) for week in month.weeks)
        grid = Grid((1.0,) * 7, (head, *weeks), ruled=True, heads=1, whole=True)
        return (self.words(month.title, bold=True), grid)

    def _day(self, day: b.CalendarDay | None, pt: float) -> tuple[Part, ...]:
        if day is None:
            return ()
        number = (self.words(day.number, pt),)
        return (*number, self.words(day.session, pt, bold=True)) if day.session else number

    def _check(self, block: b.CheckItem) -> Part:
        said = (self.words(block.runs),) if _says(block.runs) else ()
        side = self.pt * 1.05 * 25.4 / 72
        if block.box == "tick":
            return Grid((1, 24), (((Tick(side, side),), said),), whole=True)
        if block.box == "initials":
            return Grid((5, 1), ((said, (Tick(20, 9),)),), whole=True)
        yes, no = ((Tick(side, side), self.words(word)) for word in block.yes_no_words)
        return Grid((6, 1, 1), ((said, yes, no),), whole=True)

    def _signatures(self, block: b.SignatureBlock) -> Iterator[Part]:
        if _says(block.statement):
            yield self.words(block.statement)
        for line in block.lines:
            yield self.words(line.role, bold=True)
            cells = []
            for at, (label, _) in enumerate(line.fields):
                text = line.prefilled[at] if at < len(line.prefilled) else ""
                cell: list[Part] = [self.words(text)] if text else []
                cell += [Rule(2.0 if text else block.line_mm), self.words(label)]
                if line.second_labels and line.second_labels[at] not in ("", label):
                    second = (self.words(line.second_labels[at]),)
                    cell.append(Other(second, line.second_language, line.second_rtl))
                cells.append(tuple(cell))
            yield Grid(tuple(share for _, share in line.fields), (tuple(cells),), whole=True)

    def _pairs(self, block: b.Pairs) -> Part:
        def second(parts: Sequence[Part]) -> tuple[Part, ...]:
            return (Other(tuple(parts), block.second_language, block.second_rtl),) if parts else ()

        rows = []
        other = replace(self, language=block.second_language)
        if any(_says(head) for head in block.heads):
            one, two = (self.words(head, self.look.small_pt, bold=True) for head in block.heads)
            rows.append(((one,), second((two,))))
        rows += [
            (tuple(self.parts(pair.first)), second(tuple(other.parts(pair.second))))
            for pair in block.pairs
        ]
        return Grid((1.0, 1.0), tuple(rows))


def _says(runs: Runs) -> bool:
    return any(run.text.strip() for run in runs)
