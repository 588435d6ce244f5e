"""Words bound to one language: every sentence and every value that prints goes through here.

English is the source language: its sentences need no catalogue, though a clinic may
reword them in its own. In any other language a message without a complete translation
is noted in `missing`, and the builder refuses the document; nothing falls back unseen.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from datetime import date, time
from decimal import Decimal
from gettext import c2py
from pathlib import Path
from typing import Literal

from docbuilder.caching import kept
from docbuilder.errors import Issue, Place, Refused
from docbuilder.language.catalogue import Entry, Key, load_catalogue
from docbuilder.language.formats import UNIT_SYMBOLS, Formats, Paper, paper_for
from docbuilder.language.isolates import has_rtl, isolate, isolate_amounts, isolate_ltr
from docbuilder.language.registry import Language, find_language
from docbuilder.language.review import (
    ReviewCount,
    Signature,
    review_state,
    standing_signatures,
)
from docbuilder.model.message import Message, Quantity, Value

__all__ = ["SOURCE_TAG", "Words", "load_words"]

SOURCE_TAG = "en"
_plural_rule = kept(64)(c2py)
_PLACEHOLDER = re.compile(r"%\(\w+\)s")
_LATIN_LETTER = re.compile("[A-Za-z]")


@kept(4096)
def _with_amounts(text: str) -> str:
    return isolate_amounts(text, UNIT_SYMBOLS.values())


class Words(Formats):
    """Sentences, numbers and dates in one language for one territory.

    `missing` and `used` fill as messages are looked up, so one `Words` serves one
    document; ask `load_words` for another.
    """

    def __init__(
        self,
        language: Language,
        territory: str,
        entries: Mapping[Key, Entry],
        digits: Literal["latin", "native"] = "latin",
        signatures: tuple[Signature, ...] = (),
    ) -> None:
        super().__init__(language, territory, digits)
        self.language = language
        self.tag = language.tag
        self.rtl = language.rtl
        self.territory = territory
        self.paper: Paper = paper_for(territory)
        """Usual paper of the territory; a clinic's own choice wins over it."""
        self.entries = entries
        self.signatures = signatures
        self.missing: list[Key] = []
        """(context, msgid) of each message without a complete translation, in order of use."""
        self.used: set[Key] = set()
        """(context, msgid) of every message looked up."""

    # Lookup. Without values the text comes back as it stands, placeholders and all
    # (jinja2's new-style gettext fills them itself); with values it is filled.

    def gettext(self, msgid: str, **values: Value) -> str:
        """Return the translation of *msgid*, placeholders filled from *values*."""
        return self._filled(self._look_up("", msgid, "", 0), values)

    def pgettext(self, context: str, msgid: str, **values: Value) -> str:
        """Return the translation of *msgid* in *context* ("safety", "consent")."""
        return self._filled(self._look_up(context, msgid, "", 0), values)

    def ngettext(self, msgid: str, plural: str, count: int, **values: Value) -> str:
        """Return the form for *count*; English has *msgid* (one) and *plural*."""
        return self._filled(self._look_up("", msgid, plural, count), values)

    def npgettext(self, context: str, msgid: str, plural: str, count: int, **values: Value) -> str:
        """Return the form for *count* in *context*."""
        return self._filled(self._look_up(context, msgid, plural, count), values)

    def text(self, message: Message, escape: Callable[[str], str] = str) -> str:
        """Return a message in words, its values formatted by their types.

        Args:
            message: What to say. A text value is taken as it is (a name, a phone
                number) and isolated; it is never translated.
            escape: Applied to each formatted value, so that no value can become markup.

        Raises:
            KeyError: The sentence has a placeholder that the message gives no value for.
        """
        found = self._look_up(message.context, message.msgid, message.plural, message.count)
        values = {name: escape(self.value(value)) for name, value in message.values}
        return found % values

    def value(self, value: Value) -> str:
        """Return one value formatted by its type."""
        if isinstance(value, Quantity):
            return self.quantity(value)
        if isinstance(value, int | Decimal):
            return self.number(value)
        if isinstance(value, date):
            return self.date(value)
        return self.isolate(value)

    def isolate(self, text: str) -> str:
        """Return a name, phone number or code so that it does not disturb its line.

        Left-to-right text in a left-to-right language needs no isolate and gets none.
        """
        return isolate(text) if self.rtl or has_rtl(text) else text

    def isolate_ltr(self, text: str) -> str:
        """Return a phone number, code or Latin name that always runs left to right."""
        return isolate_ltr(text) if self.rtl else text

    def quantity(self, quantity: Quantity) -> str:
        r"""Return value and unit, in Latin digits, isolated in a right-to-left language.

        >>> from decimal import Decimal
        >>> load_words("es", "US").quantity(Quantity(Decimal("2.5"), "Hz"))
        '2.5\xa0Hz'
        """
        return self.isolate_ltr(
            f"{self.device_number(quantity.value)}\u00a0{self.unit(quantity.unit)}"
        )

    def _filled(self, text: str, values: Mapping[str, Value]) -> str:
        if not values:
            return text
        return text % {name: self.value(value) for name, value in values.items()}

    def _look_up(self, context: str, msgid: str, plural: str, count: int) -> str:
        key = (context, msgid)
        self.used.add(key)
        entry = self.entries.get(key)
        if entry is not None and bool(plural) == bool(entry.plural):
            form = _plural_rule(entry.plural_rule)(abs(count)) if plural else 0
            text = self._with_own_figures(entry.texts[form])
            return _with_amounts(text) if self.rtl else text
        if self.tag != SOURCE_TAG and key not in self.missing:
            self.missing.append(key)
        return plural if plural and count != 1 else msgid

    def _with_own_figures(self, text: str) -> str:
        """Return a translation with the figures typed into it in the digits that were chosen.

        A text that holds Latin letters too (a unit, a citation) keeps all its figures: half
        of a range must not turn.
        """
        if not self.native or _LATIN_LETTER.search(_PLACEHOLDER.sub("", text)):
            return text
        return self._in_own_digits(text)

    def review(self) -> ReviewCount | None:
        """Return how far the messages used so far are reviewed; None for the source language."""
        if self.tag == SOURCE_TAG:
            return None
        return review_state(self.entries, self.signatures, self.used)

    def time_of_day(self, clock: time) -> str:
        """Return a time of day, isolated: some languages write AM and PM in Latin letters."""
        return self.isolate(super().time_of_day(clock))

    def refuse_missing(self, document: str) -> None:
        """Stop when the document just made would print an untranslated message.

        Args:
            document: Name of the document, for the report.

        Raises:
            Refused: One issue for each missing message.
        """
        if self.missing:
            raise Refused(
                Issue(
                    Place(f"locales/{self.tag}"),
                    f"{document}: {context or 'text'}",
                    f"no {self.language.english_name} translation of {msgid!r}",
                    "a complete translation that is not fuzzy",
                    "translate it, or use --draft for a marked draft (never for consent)",
                )
                for context, msgid in self.missing
            )


def load_words(
    tag: str,
    territory: str,
    clinic_folder: Path | None = None,
    digits: Literal["latin", "native"] = "latin",
) -> Words:
    """Return fresh `Words` for one document.

    Args:
        tag: BCP 47 tag of a known language.
        territory: ISO 3166-1 alpha-2 of the clinic; sets week, paper and date style.
        clinic_folder: The clinic's folder; its translations win message by message.
        digits: "native" prints running text in the language's own digits where it has
            them. Device settings stay in Latin digits.

    Raises:
        InputFault: Unknown language, or a catalogue that cannot be read.
    """
    language = find_language(tag)
    entries = load_catalogue(tag, clinic_folder)
    signatures = standing_signatures(tag, clinic_folder)
    return Words(language, territory, entries, digits, signatures)
