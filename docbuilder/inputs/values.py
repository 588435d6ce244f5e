"""Converters: from one written value to a typed one, or `Unfit` with what to mend.

Each function makes a converter for `Section.required`, `optional`, `pairs` and
`list_of`. Numbers are exact; a unit after a number is refused, because the key's
own name says the unit.
"""

from __future__ import annotations

import calendar
import re
import unicodedata
from collections.abc import Iterable
from dataclasses import replace
from datetime import date
from decimal import Decimal
from typing import TypeVar, cast

from docbuilder.inputs.fields import Convert, Fault, Unfit, nearest, scalar
from docbuilder.inputs.yaml_file import Node, shown

__all__ = [
    "choice", "clock_time", "day", "decimal", "flag", "integer", "language_tag", "one_of",
    "pattern", "person", "text", "unsaid",
]  # fmt: skip

Choice = TypeVar("Choice", bound=str)
Kind = TypeVar("Kind")

_NUMBER = re.compile(r"-?(?:0|[1-9][0-9]*)(?:\.[0-9]+)?", re.ASCII)
_WITH_UNIT = re.compile(r"(-?[0-9][0-9.,]*)\s*([^\W\d_%/.,]{1,8}|%)\.?")
_DATE = re.compile(r"([0-9]{4})-([0-9]{2})-([0-9]{2})", re.ASCII)
_CLOCK = re.compile(r"(?:[01][0-9]|2[0-3]):[0-5][0-9]", re.ASCII)
_MARKUP = frozenset("<>{}[]|\\`")
_OVERRIDES = frozenset(range(0x202A, 0x202F))
_TAG = re.compile(
    r"[a-z]{2,3}(?:-[a-z]{3}){0,3}(?:-[a-z]{4})?"
    r"(?:-(?:[a-z]{2}|[0-9]{3}))?(?:-(?:[a-z0-9]{5,8}|[0-9][a-z0-9]{3}))*"
    r"(?:-[a-wy-z0-9](?:-[a-z0-9]{2,8})+)*(?:-x(?:-[a-z0-9]{1,8})+)?",
    re.ASCII | re.IGNORECASE,
)
"""Form of a language tag, RFC 5646 section 2.1, without the old irregular tags."""


def text(max_length: int, *, lines: bool = False) -> Convert[str]:
    """Make a converter for running text of 1 to *max_length* characters.

    Refuses control, bidi-override and private-use characters; with *lines* false,
    line breaks too. The text comes out in NFC without space at its ends.
    """

    def read(node: Node) -> str:
        value = scalar(node, "text")
        result = unicodedata.normalize("NFC", value.text.strip())
        if not result:
            raise Unfit(Fault(node.line, "nothing", "text", "write a value or remove the line"))
        if len(result) > max_length:
            allowed = f"at most {max_length} characters"
            raise Unfit(Fault(node.line, f"{len(result)} characters", allowed, "shorten it"))
        if fault := _odd_character(result, node.line, lines=lines):
            raise Unfit(fault)
        return result

    return read


def person(max_length: int = 80) -> Convert[str]:
    """Make a converter for a name of a person, a clinic or a record: no markup signs."""
    plain = text(max_length)

    def read(node: Node) -> str:
        result = plain(node)
        if signs := sorted(_MARKUP.intersection(result)):
            hint = "write the name as it shall print, without " + " ".join(signs)
            allowed = "letters, digits and ordinary punctuation"
            # The signs, never the name: it may be a patient's.
            raise Unfit(Fault(node.line, f"markup in it: {' '.join(signs)}", allowed, hint))
        if not any(c.isalnum() for c in result):
            hint = "write the name as it shall print"
            raise Unfit(Fault(node.line, shown(result), "a name with letters or digits", hint))
        return result

    return read


def unsaid(read: Convert[Kind]) -> Convert[Kind]:
    """Make of a date's converter one whose faults do not repeat what was written.

    A date of birth is the patient's own: it must not come into a report or a log.
    """

    def convert(node: Node) -> Kind:
        try:
            return read(node)
        except Unfit as unfit:
            hint = "look at the line; write year-month-day, as in 1961-04-09"
            raise Unfit(
                *(replace(fault, found="another value", hint=hint) for fault in unfit.faults)
            ) from None

    return convert


def pattern(form: str, allowed: str, hint: str = "") -> Convert[str]:
    """Make a converter for a word that wholly matches the ASCII regular expression *form*."""
    compiled = re.compile(form, re.ASCII)

    def read(node: Node) -> str:
        value = scalar(node, allowed)
        if not compiled.fullmatch(value.text):
            raise Unfit(
                Fault(node.line, shown(value.text), allowed, hint or "write it in that form")
            )
        return value.text

    return read


def integer(low: int, high: int) -> Convert[int]:
    """Make a converter for a whole number from *low* to *high*."""
    exact = decimal(low, high, places=0)
    return lambda node: int(exact(node))


def decimal(
    low: int | str | Decimal, high: int | str | Decimal, *, places: int = 3
) -> Convert[Decimal]:
    """Make a converter for a number from *low* to *high*, at most *places* decimals."""
    bottom, top = Decimal(low), Decimal(high)
    kind = "a number" if places else "a whole number"
    allowed = f"{kind} from {bottom} to {top}"

    def read(node: Node) -> Decimal:
        value = scalar(node, allowed)
        written = value.text
        if not value.plain or not _NUMBER.fullmatch(written) or len(written) > 30:
            hint = _number_hint(written)
            raise Unfit(Fault(node.line, shown(written), allowed, hint))
        number = Decimal(written)
        if not bottom <= number <= top:
            raise Unfit(Fault(node.line, written, allowed, "check the number and the unit"))
        if len(written.partition(".")[2].rstrip("0")) > places:
            form = f"at most {places} decimals" if places else "a whole number"
            raise Unfit(Fault(node.line, written, form, "round it as you mean it"))
        return number

    return read


def flag() -> Convert[bool]:
    """Make a converter for `true` or `false`; nothing else counts."""

    def read(node: Node) -> bool:
        value = scalar(node, "true or false")
        if not value.plain or value.text not in ("true", "false"):
            word = {"yes": "true", "on": "true", "no": "false", "off": "false"}.get(
                value.text.lower(), value.text.lower()
            )
            hint = (
                f"write {word if word in ('true', 'false') else 'one of the two'}, without quotes"
            )
            raise Unfit(Fault(node.line, shown(value.text), "true or false", hint))
        return value.text == "true"

    return read


def day(earliest: date = date(1900, 1, 1), latest: date = date(2100, 12, 31)) -> Convert[date]:
    """Make a converter for a date written year-month-day (ISO 8601)."""
    allowed = f"a date from {earliest} to {latest}"

    def read(node: Node) -> date:
        value = scalar(node, allowed)
        match = _DATE.fullmatch(value.text)
        if not match:
            hint = "write year-month-day with dashes, as in 2026-12-01"
            raise Unfit(Fault(node.line, shown(value.text), allowed, hint))
        year, month, number = (int(part) for part in match.groups())
        if not (1 <= month <= 12 and year >= 1):
            hint = "the form is year-month-day"
            raise Unfit(Fault(node.line, value.text, "a month from 01 to 12", hint))
        last = calendar.monthrange(year, month)[1]
        if not 1 <= number <= last:
            hint = f"{calendar.month_name[month]} {year} has {last} days"
            raise Unfit(Fault(node.line, value.text, "a date that exists", hint))
        result = date(year, month, number)
        if not earliest <= result <= latest:
            raise Unfit(Fault(node.line, value.text, allowed, "check the year"))
        return result

    return read


def clock_time() -> Convert[str]:
    """Make a converter for a local time of day, "HH:MM" on 24 hours."""
    form, hint = "a time from 00:00 to 23:59", "write hours and minutes, as in 08:30"

    def read(node: Node) -> str:
        value = scalar(node, form)
        if not _CLOCK.fullmatch(value.text):
            raise Unfit(Fault(node.line, shown(value.text), form, hint))
        return value.text

    return read


def choice(allowed: tuple[Choice, ...]) -> Convert[Choice]:
    """Make a converter for exactly one of the words *allowed*."""
    known = one_of(allowed)
    return lambda node: cast(Choice, known(node))


def one_of(allowed: Iterable[str], what: str = "") -> Convert[str]:
    """Make a converter for one of the words *allowed*, called *what* in the message."""
    words = tuple(allowed)
    named = (f"{what}: " if what else "one of ") + ", ".join(words)

    def read(node: Node) -> str:
        value = scalar(node, named)
        if value.text not in words:
            answer = {"true": "yes", "false": "no"}.get(value.text.lower(), value.text)
            hint = f"write {answer}" if answer in words else nearest(value.text, words)
            hint = hint or "write one of these words just as it stands"
            raise Unfit(Fault(node.line, shown(value.text), named, hint))
        return value.text

    return read


def language_tag() -> Convert[str]:
    """Make a converter for a BCP 47 language tag; it comes out in the usual case."""
    allowed = "a language tag, as in en, es-US or zh-Hans"

    def read(node: Node) -> str:
        value = scalar(node, allowed)
        if len(value.text) > 35 or not _TAG.fullmatch(value.text):
            hint = "write the two letters of the language"
            if "_" in value.text:
                hint = "write a dash in place of the underscore"
            raise Unfit(Fault(node.line, shown(value.text), allowed, hint))
        return _usual_case(value.text)

    return read


def _usual_case(tag: str) -> str:
    """Write *tag* by the rule of RFC 5646 section 2.1.1, which goes by length alone."""
    parts = tag.lower().split("-")
    for at, part in enumerate(parts[1:], start=1):
        if len(parts[at - 1]) == 1:
            break  # after a singleton all stays small
        parts[at] = {2: part.upper(), 4: part.title()}.get(len(part), part)
    return "-".join(parts)


def _number_hint(written: str) -> str:
    latin = "".join(
        str(unicodedata.decimal(c)) if c.isdecimal() else {"٫": "."}.get(c, c) for c in written[:31]
    )
    if len(written) > 30:
        pass
    elif _NUMBER.fullmatch(written):
        return "remove the quotes"
    elif _NUMBER.fullmatch(latin):
        return f"write Latin digits: {latin}"
    elif match := _WITH_UNIT.fullmatch(written):
        return f"write {match[1]} alone: the key's name says the unit"
    elif _NUMBER.fullmatch(written.replace(",", ".", 1)):
        return f"write a point for the decimal mark: {written.replace(',', '.', 1)}"
    elif re.fullmatch(r"0[0-9.]+", written, re.ASCII):
        return "remove the zero at the front"
    return "write digits, as in 20 or 2.5"


def _odd_character(value: str, line: int, *, lines: bool) -> Fault | None:
    """Return the fault of the first character that must not reach paper."""
    if (value.replace("\n", "") if lines else value).isprintable():
        return None  # all that is odd is unprintable, though not the other way round
    hint = "delete the character, or type the text again"
    for paragraph in value.split("\n") if lines else [value]:
        depth = 0
        for c in paragraph:
            code = ord(c)
            depth += (0x2066 <= code <= 0x2068) - (code == 0x2069)
            if what := _kind_of(c) or ("an unpaired bidi isolate" if depth < 0 else ""):
                return Fault(line, f"{what}, U+{code:04X}", "text without it", hint)
        if depth:
            return Fault(line, "an unpaired bidi isolate", "text without it", hint)
    return None


def _kind_of(c: str) -> str:
    """Name what is wrong with the character *c*; empty when nothing is."""
    code, category = ord(c), unicodedata.category(c)
    if category == "Cc":
        return "a line break" if code in (0x0A, 0x0D, 0x85) else "a control character"
    if category in ("Zl", "Zp"):
        return "a line break"
    if code in _OVERRIDES:
        return "a bidi override or embedding"
    if category == "Co":
        return "a private-use character"
    if category == "Cs" or code & 0xFFFE == 0xFFFE or 0xFDD0 <= code <= 0xFDEF:
        return "a code that is no character"
    if 0xFFF9 <= code <= 0xFFFB or 0xE0000 <= code <= 0xE007F or code == 0xFEFF:
        return "an invisible character"
    return ""
