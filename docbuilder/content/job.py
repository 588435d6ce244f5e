"""One document being written: its plan, its words, and the tools that templates call."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from typing import Literal

from docbuilder.content.markdown import parse_blocks, parse_runs
from docbuilder.content.tokens import Fact, Prose, TemplateFault, TokenStore
from docbuilder.document.blocks import Block, Runs
from docbuilder.language.words import Words
from docbuilder.model.message import Message, Quantity
from docbuilder.model.plan import Plan
from docbuilder.model.prescription import DocumentKind, Prescription

__all__ = ["IssueInfo", "Job", "PackFile", "ReviewState"]

_JOINER = "\u2060"
"""Word joiner: no line break here; draws nothing."""
_BIDI_CONTROLS = dict.fromkeys([*range(0x202A, 0x202F), *range(0x2066, 0x206A)])


ReviewState = Literal["original", "reviewed", "awaiting review"]
"""Original: the paper is in the source language."""


@dataclass(frozen=True, slots=True)
class PackFile:
    """One file of the pack, as the clinician's checklist lists it."""

    kind: DocumentKind
    languages: tuple[str, ...]
    """Tags of its languages, in the order in which they print."""
    pages: int
    document_id: str
    review: ReviewState
    """How far its words are reviewed. Reviewed: each language has a signature that stands."""


@dataclass(frozen=True, slots=True)
class IssueInfo:
    """What identifies this print: which paper, of which day, made from what."""

    document_id: str
    version_date: date
    """Date of issue; comes in, never from a clock."""
    awaiting_review: bool = False
    """The translation has no standing review: print the line that says so."""
    draft: bool = False
    templates_digest: str = ""
    catalogue_digest: str = ""
    handout_id: str = ""
    """Document id of the handout given with this form; prints on the consent form."""
    pack: tuple[PackFile, ...] = ()
    """The other files; the checklist is made last."""


@dataclass(frozen=True, slots=True)
class Job:
    """Works with one plan and one language; hands templates facts, not values."""

    kind: DocumentKind
    plan: Plan
    words: Words
    issue: IssueInfo
    store: TokenStore = field(default_factory=TokenStore)

    @property
    def rx(self) -> Prescription:
        """The prescription behind the plan."""
        return self.plan.prescription

    # Values to facts, by type.

    def fact(self, value: object) -> Fact:
        """Return the fact that stands for *value*.

        Raises:
            TemplateFault: No type that prints by itself; a plain string has to say
                what it is (`text`, `ltr`, `phone`).
        """
        if isinstance(value, Fact):
            return value
        if isinstance(value, Message):
            return self.store.fact(self.words.text(value))
        if isinstance(value, Quantity):
            return self.quantity(value)
        if isinstance(value, date):
            return self.day(value)
        if isinstance(value, int | Decimal) and not isinstance(value, bool):
            return self.count(value)
        raise TemplateFault(f"a bare {type(value).__name__} cannot stand in a sentence")

    def text(self, value: str, language: str | None = None) -> Fact:
        """Free text that somebody wrote: printed as it stands, never translated.

        Direction controls typed into it are dropped: they draw nothing, and an odd one
        would turn the rest of the line round.
        """
        differs = language if language != self.words.tag else None
        clean = value.translate(_BIDI_CONTROLS)
        return self.store.fact(self.words.isolate(clean) if clean else "", language=differs)

    def ltr(self, value: str) -> Fact:
        """A code, key name or display text that runs left to right in every language.

        It is never broken over two lines, not even after a hyphen.
        """
        clean = value.translate(_BIDI_CONTROLS).replace("-", f"-{_JOINER}")
        return self.store.fact(self.words.isolate_ltr(clean))

    def phone(self, number: str) -> Fact:
        """A telephone number to call by a touch; it is never broken over two lines."""
        dial = "".join(char for char in number if char.isdigit() or char == "+")
        link = f"tel:{dial}" if dial.strip("+") else None
        shown = number.translate(_BIDI_CONTROLS).replace(" ", "\u00a0")
        return self.store.fact(self.words.isolate_ltr(shown), link=link)

    def email(self, address: str) -> Fact:
        """An electronic mail address."""
        clean = address.translate(_BIDI_CONTROLS)
        return self.store.fact(self.words.isolate_ltr(clean), link=f"mailto:{clean}")

    def quantity(self, value: Quantity) -> Fact:
        """A number with its unit, in Latin digits."""
        return self.store.fact(self.words.quantity(value))

    def minutes(self, value: int) -> Fact:
        """So many minutes, spelled out as running text says it."""
        # NOTE: Stands inside a sentence: "Each session lasts 30 minutes."
        spelled = self.words.ngettext("%(num)s minute", "%(num)s minutes", value, num=value)
        return self.store.fact(spelled)

    def day(self, value: date, style: str = "long") -> Fact:
        """A date: "full" with its weekday, "long", "medium" or "short"."""
        if style not in ("full", "long", "medium", "short"):
            raise TemplateFault(f"no date style {style!r}")
        return self.store.fact(self.words.date(value, style))  # type: ignore[arg-type]

    def days(self, values: tuple[date, ...], style: str = "long") -> Fact:
        """Several dates as one list."""
        return self.listed([self.day(value, style).text for value in values])

    def calendar_week(self, days: Iterable[date]) -> Prose | None:
        """Name the calendar week of *days*, or None where people do not number weeks."""
        numbers = dict(self.plan.schedule.week_numbers)
        found = list(dict.fromkeys(numbers[day] for day in days if day in numbers))
        if not found:
            return None
        week = self.listed([self.words.number(number) for number in found])
        # NOTE: Stands behind a date or a week of the course: the number that the week has in
        # the calendar (German "KW 51"), or two of them, "51 and 52".
        return self.gettext("calendar week %(week)s", week=week)

    def weekday(self, number: int) -> Fact:
        """A weekday's name, 0 Monday ... 6 Sunday."""
        return self.store.fact(self.words.weekday(number))

    def listed(self, items: list[str]) -> Fact:
        """Words joined as the language lists things."""
        return self.store.fact(self.words.list(items))

    def count(self, value: int | Decimal) -> Fact:
        """A number; a plural form can be chosen by it."""
        whole = int(value) if value == int(value) else None
        return self.store.fact(self.words.number(value), number=whole)

    # Sentences. The names are gettext's, so that extraction finds the sources.

    def gettext(self, msgid: str, **values: object) -> Prose:
        """Return a sentence with facts in its placeholders."""
        return self._filled(self.words.gettext(msgid), values)

    def pgettext(self, context: str, msgid: str, **values: object) -> Prose:
        """Return a sentence of one context."""
        return self._filled(self.words.pgettext(context, msgid), values)

    def ngettext(self, msgid: str, plural: str, number: Fact | int, **values: object) -> Prose:
        """Return the form of a sentence for *number*; `%(num)s` prints it."""
        fact, whole = self._number(number)
        return self._filled(self.words.ngettext(msgid, plural, whole), {"num": fact, **values})

    def npgettext(
        self, context: str, msgid: str, plural: str, number: Fact | int, **values: object
    ) -> Prose:
        """Return the form of a sentence of one context for *number*."""
        fact, whole = self._number(number)
        found = self.words.npgettext(context, msgid, plural, whole)
        return self._filled(found, {"num": fact, **values})

    def _number(self, number: Fact | int) -> tuple[Fact, int]:
        fact = number if isinstance(number, Fact) else self.count(number)
        if fact.number is None:
            raise TemplateFault("a plural needs a whole number")
        return fact, fact.number

    def _filled(self, text: str, values: dict[str, object]) -> Prose:
        facts = {name: self.fact(value) for name, value in values.items()}
        return Prose.from_catalogue(text) % facts

    # Text to blocks.

    def blocks(self, source: str) -> tuple[Block, ...]:
        """Parse rendered template text."""
        return parse_blocks(source, self.store)

    def runs(self, source: str | Fact) -> Runs:
        """Parse one sentence."""
        return parse_runs(str(source), self.store)

    def plain(self, source: str | Fact) -> str:
        """Return one sentence as plain text, for labels and alternate texts."""
        return "".join(run.text for run in self.runs(source))
