"""Numbers, dates, weekdays and lists of one language in one territory, from CLDR.

Units are not CLDR's: its short forms translate Hz and µs in some languages and
leave keys in others, and the patient must match the letters on the unit's display.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from datetime import date as Date  # noqa: N812 - a method is called date
from datetime import time
from decimal import Decimal
from typing import Any, Literal

from babel import Locale, UnknownLocaleError, localedata
from babel.core import get_global
from babel.dates import format_date, format_skeleton, format_time, get_day_names
from babel.lists import format_list
from babel.numbers import format_decimal

from docbuilder.caching import kept
from docbuilder.language.isolates import isolate_ltr
from docbuilder.language.registry import Language, find_language
from docbuilder.model.message import Quantity, UnitSymbol

__all__ = [
    "DateStyle", "Formats", "Paper", "UNIT_SYMBOLS", "first_weekday", "paper_for",
]  # fmt: skip

Paper = Literal["A4", "Letter"]
DateStyle = Literal["full", "long", "medium", "short"]
NameWidth = Literal["wide", "abbreviated", "short", "narrow"]

UNIT_SYMBOLS: dict[UnitSymbol, str] = {
    "us": "\u00b5s", "Hz": "Hz", "mA": "mA", "min": "min", "h": "h", "s": "s", "mm": "mm",
    "cm": "cm", "cm2": "cm\u00b2", "uC": "\u00b5C", "mJ": "mJ", "mW": "mW",
    "mA/cm2": "mA/cm\u00b2", "mW/cm2": "mW/cm\u00b2", "ml": "ml", "V": "V", "ohm": "\u03a9",
    "mAh": "mAh",
}  # fmt: skip
"""What prints for each unit: SI symbols in Latin letters (Ω in Greek), micro as U+00B5."""

_LETTER = frozenset({
    "BZ", "CA", "CL", "CO", "CR", "GT", "MX", "NI", "PA", "PH", "PR", "SV", "US", "VE",
})  # fmt: skip
"""Territories on US Letter paper: CLDR 48 supplemental measurementData, paperSize."""

_NARROW, _NBSP = "\u202f", "\u00a0"
_BESIDE_FIGURE = re.compile(r"(?<=\d) |(?<=\d de) |(?<=\der) |(?<=\dº) |(?<=\dº de) | (?=\d)")
"""Day and year do not part from the month at the end of a line: 28 de febrero, 1er mars."""


_FIRST = {"fr": "1er", "pt_BR": "1º"}
"""How the first of a month is written where CLDR's patterns have the bare figure."""
_ONE = re.compile(r"(?<!\d)1(?=[ \u00a0])")


def paper_for(territory: str) -> Paper:
    """Return the usual paper of a territory.

    >>> paper_for("PH"), paper_for("GB")
    ('Letter', 'A4')

    Args:
        territory: ISO 3166-1 alpha-2, upper case.
    """
    return "Letter" if territory in _LETTER else "A4"


@kept(512)
def first_weekday(territory: str) -> int:
    """Return the first day of the week there: 0 Monday ... 6 Sunday (CLDR weekData).

    >>> first_weekday("US"), first_weekday("GB"), first_weekday("EG")
    (6, 0, 5)
    """
    likely = get_global("likely_subtags").get(f"und_{territory}", "")
    spoken = get_global("territory_languages").get(territory, {})
    names = [likely, likely.replace("_Latn_", "_"), *(f"{code}_{territory}" for code in spoken)]
    for name in [*names, f"en_{territory}"]:
        locale = _locale(name)
        if locale is not None and locale.territory == territory:
            return int(locale.first_week_day)
    return 0


def _locale(name: str) -> Locale | None:
    try:
        return Locale.parse(name)
    except (UnknownLocaleError, ValueError, TypeError):
        return None


@kept(128)
def _unshared(name: str) -> Locale:
    """Return the locale with data of its own.

    Babel 2.18 keeps resolved aliases in dictionaries that locales share, so the day
    names of a locale can turn into those of one used before it (seen: Urdu names in
    Hindi; python-babel issue 1234). Reading the data afresh leaves nothing shared.
    """
    locale = Locale.parse(name)
    with localedata._cache_lock:
        kept = dict(localedata._cache)
        localedata._cache.clear()
        try:
            own: dict[Any, Any] = localedata.load(name)
        finally:
            localedata._cache.clear()
            localedata._cache.update(kept)
    vars(locale)["_Locale__data"] = localedata.LocaleDataDict(own)
    return locale


class Formats:
    """Formats values for one language and territory; digits for running text as chosen.

    Where CLDR has the language in the clinic's territory (es-US, fr-CA, en-GB), its
    forms are used; else those of the language's default territory, with the week of
    the clinic's territory.
    """

    def __init__(
        self, language: Language, territory: str, digits: Literal["latin", "native"] = "latin"
    ) -> None:
        base = (language.formats_as or language.tag).replace("-", "_")
        found = _locale(f"{base}_{territory}")
        if found is None or found.territory != territory:
            found = Locale.parse(f"{base}_{language.territory}")
        self.locale = _unshared(str(found))
        self.first_weekday = first_weekday(territory)
        """0 Monday ... 6 Sunday."""
        self.native = digits == "native" and language.native_zero != "0"
        zero = ord(language.native_zero)
        self._digits = {ord("0") + i: chr(zero + i) for i in range(10)}
        self._system = self.locale.other_numbering_systems.get("native", "latn")

    def quantity(self, quantity: Quantity) -> str:
        """Return value and unit symbol, joined by a no-break space, as one isolate.

        The digits are Latin in every language: the unit's display shows them so.
        """
        return isolate_ltr(f"{self.device_number(quantity.value)}{_NBSP}{self.unit(quantity.unit)}")

    def device_number(self, value: Decimal | int) -> str:
        """Return a number in Latin digits with the language's decimal mark, ungrouped."""
        return _exact(str(value), self.locale, "latn")

    @staticmethod
    def unit(unit: UnitSymbol) -> str:
        """Return the symbol that prints for *unit*."""
        return UNIT_SYMBOLS[unit]

    def number(self, value: Decimal | int) -> str:
        """Return a number for running text, never rounded and never grouped."""
        if not self.native:
            return _exact(str(value), self.locale, "latn")
        return self._in_own_digits(_exact(str(value), self.locale, self._system))

    def date(self, day: Date, style: DateStyle = "long") -> str:
        """Return a date with the month as a word; never 3/4, which two countries read apart.

        full: weekday, day, month, year. long: day, month, year. medium: the same with
        a short month. short: short weekday, day, short month, no year. French has "1er"
        and Brazilian Portuguese "1º", which CLDR leaves out.
        """
        if style == "full":
            text = format_date(day, "full", self.locale)
        elif style == "long":
            text = format_date(day, "long", self.locale)
        else:
            text = self._by_skeleton(day, style)
        if day.day == 1:
            first = _FIRST.get(str(self.locale)) or _FIRST.get(self.locale.language)
            text = _ONE.sub(first, text, count=1) if first else text
        return self._finish(_BESIDE_FIGURE.sub(_NBSP, text))

    def _by_skeleton(self, day: Date, style: DateStyle) -> str:
        short, spelt = ("MMMEd", "MMMMEd") if style == "short" else ("yMMMd", "yMMMMd")
        text = str(format_skeleton(short, day, locale=self.locale))
        if "/" in text:
            text = str(format_skeleton(spelt, day, locale=self.locale))
        return text

    def language_name(self, tag: str) -> str:
        """Return what the language of *tag* is called in this one; in English if CLDR lacks it."""
        name = self.locale.languages.get(tag.replace("-", "_"))
        return str(name) if name else find_language(tag).english_name

    def month_title(self, month: Date) -> str:
        """Return month and year to stand above a calendar, with a capital where there is one."""
        text = self._finish(str(format_skeleton("yMMMM", month, locale=self.locale)))
        return text[:1].upper() + text[1:]

    def weekday(self, weekday: int, width: NameWidth = "wide") -> str:
        """Return the name of a day, 0 Monday ... 6 Sunday, as it stands alone."""
        return str(get_day_names(width, "stand-alone", self.locale)[weekday])

    def weekday_names(self, width: NameWidth = "wide") -> tuple[str, ...]:
        """Return the seven day names from the territory's first day of the week."""
        return tuple(self.weekday((self.first_weekday + i) % 7, width) for i in range(7))

    def time_of_day(self, clock: time) -> str:
        """Return a time of day with 12 or 24 hours as the locale does."""
        text = format_time(clock, "short", locale=self.locale)
        short, wide = (self._day_period(clock, width) for width in ("abbreviated", "wide"))
        if short and short.isascii() and not wide.isascii():
            text = text.replace(short, wide)
        return self._finish(text.replace(" ", _NBSP))

    def _day_period(self, clock: time, width: str) -> str:
        names = self.locale.day_periods["format"].get(width, {})
        return str(names.get("am" if clock.hour < 12 else "pm", ""))

    def span(self, first: str, last: str) -> str:
        """Return "from first to last" as CLDR joins the ends of an interval."""
        pattern = str(self.locale.interval_formats.get(None, "{0} \u2013 {1}"))
        # CLDR's thin spaces are in few fonts.
        return pattern.replace("\u2009", " ").replace("{0}", first).replace("{1}", last)

    def day_and_time(self, day: str, clock: str) -> str:
        """Return a day with a time, in the order and with the mark of the language (CLDR)."""
        pattern = str(self.locale.datetime_formats["medium"])
        return pattern.replace("'", "").replace("{1}", day).replace("{0}", clock)

    def list(self, items: Sequence[str], kind: Literal["and", "or"] = "and") -> str:
        """Join *items* as the language lists things."""
        style: Literal["standard", "or"] = "standard" if kind == "and" else "or"
        return str(format_list(list(items), style=style, locale=self.locale))

    def _finish(self, text: str) -> str:
        # CLDR's narrow no-break space is in few fonts; the plain one reads the same.
        return self._in_own_digits(text.replace(_NARROW, _NBSP))

    def _in_own_digits(self, text: str) -> str:
        return text.translate(self._digits) if self.native else text


@kept(2048)
def _exact(value: str, locale: Locale, system: str) -> str:
    """Format a number as written: 1.0 is not 1, though the two are equal."""
    return str(
        format_decimal(
            Decimal(value),
            locale=locale,
            decimal_quantization=False,
            group_separator=False,
            numbering_system=system,
        )
    )
