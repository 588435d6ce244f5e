"""The document model: typed blocks between the words and the pages.

Content makes them, layout draws and tags them, tests read them. A block knows its
role, never its place on a page. All text is in `Run`s and is never markup.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from docbuilder.document.scene import Scene

__all__ = [
    "Block", "CalendarGrid", "CalendarMonth", "CalendarDay", "Card", "CheckItem", "Column",
    "Columns", "Document", "FigureBlock", "Floating", "Furniture", "Heading", "KeepTogether",
    "Landing", "ListBlock", "PageBreak",
    "Pair", "Pairs", "Panel", "Paragraph", "QrCode", "Run", "Runs", "SettingsPanel",
    "SettingsEntry", "SignatureBlock", "SignatureLine", "Step", "Steps", "Table", "WriteLines",
]  # fmt: skip


@dataclass(frozen=True, slots=True)
class Run:
    """A stretch of text in one style. *language* is set where it differs from its document."""

    text: str
    bold: bool = False
    link: str | None = None
    language: str | None = None


Runs = tuple[Run, ...]


@dataclass(frozen=True, slots=True)
class Heading:
    """A heading; level 1 is the document's title and stands once."""

    level: Literal[1, 2, 3]
    runs: Runs


@dataclass(frozen=True, slots=True)
class Paragraph:
    """A paragraph. *role*: lead (larger opening), body, note (as large as a caption), small
    (legal, sources), draft (the awaiting-review mark).
    """

    runs: Runs
    role: Literal["body", "lead", "note", "small", "draft"] = "body"


@dataclass(frozen=True, slots=True)
class ListBlock:
    """A bulleted or numbered list; each item is a tuple of blocks and is not split."""

    items: tuple[tuple[Block, ...], ...]
    ordered: bool = False
    start: int = 1


@dataclass(frozen=True, slots=True)
class Step:
    """One numbered instruction, with a small picture or the unit's display beside it."""

    runs: Runs
    picture: Scene | None = None
    picture_alt: str = ""
    display: str = ""
    """What the unit's display shows after the step, drawn as a small neutral panel."""


@dataclass(frozen=True, slots=True)
class Steps:
    """Numbered steps, never split inside a step."""

    steps: tuple[Step, ...]
    start: int = 1
    columns: int = 1
    """How many stand side by side, in rows, where the width allows; reading row by row."""


@dataclass(frozen=True, slots=True)
class Column:
    """A table column; *share* is its part of the width."""

    header: Runs
    share: float
    align: Literal["start", "end", "centre"] = "start"


@dataclass(frozen=True, slots=True)
class Table:
    """A table with a header row that repeats on each page."""

    columns: tuple[Column, ...]
    rows: tuple[tuple[Runs, ...], ...]
    row_headers: bool = False
    """The first cell of each row is a row header."""
    min_row_mm: float = 0.0
    caption: Runs = ()
    compact: bool = False
    shaded_rows: tuple[int, ...] = ()
    alt: str = ""
    """Table summary for a screen reader; optional."""
    attached: bool = False
    """It belongs to the table above: no gap between them, and smaller heads."""
    fill_page: bool = False
    """Empty rows are added to the foot of the page, where nothing else follows on it."""
    dense: bool = False
    """Rows close together, as in a long list in which one line is looked up."""
    wrapped_heads: bool = False
    """Heads are sentences, which may wrap: the columns keep their shares."""
    most_row_mm: float = 0.0
    """Rows may grow as high as this, where their page has room to spare."""


@dataclass(frozen=True, slots=True)
class SettingsEntry:
    """One figure of the settings panel: label above, value large, unit small; note below all."""

    label: str
    value: str
    unit: str = ""
    note: str = ""


@dataclass(frozen=True, slots=True)
class SettingsPanel:
    """The figures that a patient looks for daily, in the unit's own order."""

    title: Runs
    entries: tuple[SettingsEntry, ...]


@dataclass(frozen=True, slots=True)
class Panel:
    """A tinted or framed box. stop: octagon and word; caution: triangle and word."""

    kind: Literal["stop", "caution", "info", "plain"]
    title: Runs
    blocks: tuple[Block, ...]
    sign_word: str = ""
    """The word set in or beside the sign (translated "STOP" or "Caution")."""
    continued: Runs = ()
    """The title where the panel goes on, on a later page; (): the title once more."""


@dataclass(frozen=True, slots=True)
class FigureBlock:
    """A drawing with its alternate text and caption."""

    scene: Scene
    alt: str
    caption: Runs = ()
    width_mm: float | None = None
    """Width of the picture without labels; None: as wide as the frame allows."""
    least_mm: float | None = None
    """Width to which the picture may shrink where that saves room; None: as it is."""


@dataclass(frozen=True, slots=True)
class CalendarDay:
    """One cell: day number as text, mark drawn as a shape, word for screen readers."""

    number: str
    mark: Literal["none", "session", "rest", "review", "pads", "battery", "call"] = "none"
    word: str = ""
    session: str = ""
    """Session number as text, in session cells."""


@dataclass(frozen=True, slots=True)
class CalendarMonth:
    """One month: weekday heads and weeks of seven cells (None: outside the month)."""

    title: str
    weekdays: tuple[str, ...]
    weeks: tuple[tuple[CalendarDay | None, ...], ...]
    short_weekdays: tuple[tuple[str, ...], ...] = ()
    """Shorter names for narrow months, longest first."""


@dataclass(frozen=True, slots=True)
class CalendarGrid:
    """Months of the plan, with a key that names each mark."""

    months: tuple[CalendarMonth, ...]
    key: tuple[tuple[str, str], ...]
    """(mark, word) pairs in the order to print."""


@dataclass(frozen=True, slots=True)
class CheckItem:
    """An empty box to tick (or to initial) with its text."""

    runs: Runs
    box: Literal["tick", "initials", "yes_no"] = "tick"
    yes_no_words: tuple[str, str] = ("", "")
    asks: Runs = ()
    """What the boxes are about, where the words stand elsewhere."""


@dataclass(frozen=True, slots=True)
class WriteLines:
    """A label and ruled room to write by hand."""

    label: Runs
    lines: int = 1
    line_mm: float = 9.0
    beside: bool = False
    """The line begins beside the label, where there is room."""
    brief: bool = False
    """For a date or the like: one line is enough in a narrow column too."""


@dataclass(frozen=True, slots=True)
class SignatureLine:
    """One signer: role above, then signature, printed name, date and time."""

    role: Runs
    fields: tuple[tuple[str, float], ...]
    """(label, share of the width) from the start edge."""
    prefilled: tuple[str, ...] = ()
    """Text already in a field, by index; "" leaves it blank."""
    second_labels: tuple[str, ...] = ()
    """The labels in the second language of a bilingual form, set below the first."""
    second_language: str = ""
    second_rtl: bool = False


@dataclass(frozen=True, slots=True)
class SignatureBlock:
    """Signature lines that stay on one page together."""

    statement: Runs
    lines: tuple[SignatureLine, ...]
    line_mm: float = 12.0
    asks: Runs = ()
    """The statement, where it stands elsewhere."""


@dataclass(frozen=True, slots=True)
class QrCode:
    """The document id as a code and as text beside it."""

    payload: str
    caption: str = ""


@dataclass(frozen=True, slots=True)
class Pair:
    """One aligned row of a bilingual document: the same block in both languages."""

    first: Block
    second: Block


@dataclass(frozen=True, slots=True)
class Pairs:
    """A bilingual document's body. *first* is in the document's language."""

    pairs: tuple[Pair, ...]
    second_language: str
    second_rtl: bool
    heads: tuple[Runs, Runs]
    """The language names, printed above the columns."""


@dataclass(frozen=True, slots=True)
class Columns:
    """Two columns of blocks side by side, start edge first, tops aligned."""

    first: tuple[Block, ...]
    second: tuple[Block, ...]
    share: float = 0.5
    on_one_line: bool = False
    """One line of words in each: their feet are aligned."""
    spills: bool = False
    """Notes at the end of the first go below the second, where that makes both lower."""


@dataclass(frozen=True, slots=True)
class KeepTogether:
    """Blocks that stay on one page."""

    blocks: tuple[Block, ...]
    page_one: bool = False
    """They belong on the first page, if that can hold them at all."""


@dataclass(frozen=True, slots=True)
class Landing:
    """A place where the `Floating` of this name may stand instead."""

    name: str


@dataclass(frozen=True, slots=True)
class Floating:
    """Blocks that read as well at their landing; they go where pages are used best."""

    name: str
    blocks: tuple[Block, ...]


@dataclass(frozen=True, slots=True)
class Card:
    """A card to cut out along its dashed edge and to fold on the dotted line between its
    halves.
    """

    first: tuple[Block, ...]
    second: tuple[Block, ...]


@dataclass(frozen=True, slots=True)
class PageBreak:
    """Start a new page."""


Block = (
    Heading | Paragraph | ListBlock | Steps | Table | SettingsPanel | Panel | FigureBlock
    | CalendarGrid | CheckItem | WriteLines | SignatureBlock | QrCode | Pairs | Columns
    | KeepTogether | Landing | Floating | Card | PageBreak
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Furniture:
    """What stands on every page outside the body, already in words."""

    document_name: str
    document_id: str
    version: str
    patient: str
    clinic: str
    clinic_contact: str
    page_of: str
    """With the placeholders {page} and {pages}."""
    review_line: str = ""
    """Set when the translation awaits review; printed on every page."""
    initials_label: str = ""
    """Set on consent: an initials box on every page."""
    draft_mark: str = ""


@dataclass(frozen=True, slots=True)
class Document:
    """One document ready for pages."""

    kind: str
    title: str
    language: str
    rtl: bool
    paper: Literal["A4", "Letter"]
    text_pt: float
    furniture: Furniture
    blocks: tuple[Block, ...]
    accent: str = "#005A70"
    binding_mm: float = 0.0
    """Extra margin on the binding side."""
    logo: bytes = b""
    subject: str = ""
    fillable: bool = False
    """Room to write in gets form fields, for a screen; the print is the same."""
    zeros: tuple[tuple[str, str], ...] = ()
    """The zero of a language's own digits, where pages, lists and steps count with them."""
