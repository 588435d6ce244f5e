"""Sentences and quantities before they have a language."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Literal

__all__ = ["Message", "Quantity", "UnitSymbol", "Value"]

UnitSymbol = Literal[
    "us", "Hz", "mA", "min", "h", "s", "mm", "cm", "cm2", "uC", "mJ", "mW",
    "mA/cm2", "mW/cm2", "ml", "V", "ohm", "mAh",
]  # fmt: skip


@dataclass(frozen=True, slots=True)
class Quantity:
    """A number with its unit symbol, not yet formatted for a reader."""

    value: Decimal
    unit: UnitSymbol


Value = str | int | Decimal | date | Quantity


@dataclass(frozen=True, slots=True)
class Message:
    """A sentence to be looked up in a catalogue.

    *msgid* is the English source sentence with `%(name)s` placeholders, *context*
    its gettext context ("safety", "consent" or "" for the rest), *values* what
    fills the placeholders; the language layer formats each value by its type.
    With *plural* set, *count* chooses between *msgid* (one) and *plural*.
    """

    msgid: str
    context: str = ""
    values: tuple[tuple[str, Value], ...] = ()
    plural: str = ""
    count: int = 0
