"""The clinic whose name stands on the paper, and what it has chosen."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, time
from pathlib import Path
from typing import Literal

__all__ = ["Clinic", "Digits", "OpeningHours", "Paper", "PatientIdentifier"]

Paper = Literal["A4", "Letter"]
Digits = Literal["latin", "native"]
PatientIdentifier = Literal["initials_and_record", "record", "name_and_record"]


@dataclass(frozen=True, slots=True)
class OpeningHours:
    """From when to when the clinic can be reached, on some days of the week."""

    days: tuple[int, ...]
    """0 Monday ... 6 Sunday, rising."""
    opens: time
    closes: time


@dataclass(frozen=True, slots=True)
class Clinic:
    """Clinic data, read from the clinic folder's clinic.yaml."""

    name: str
    phone: str
    territory: str
    """ISO 3166-1 alpha-2; sets first weekday, paper size, notices, date style."""
    language: str
    """BCP 47 tag of the clinic's own language (checklist; second column of consent)."""
    emergency_number: str
    address: tuple[str, ...] = ()
    email: str | None = None
    hours: tuple[OpeningHours, ...] = ()
    hours_in_words: Mapping[str, str] = field(default_factory=dict)
    """Opening hours as the clinic words them, by language tag, where it gave no times."""
    paper: Paper | None = None
    """None: by territory (CLDR)."""
    accent: str = "#005A70"
    """House colour as #RRGGBB; refused when its contrast on white is below 7:1."""
    logo: Path | None = None
    patient_identifier: PatientIdentifier = "initials_and_record"
    digits: Mapping[str, Digits] = field(default_factory=dict)
    """Digits for running text, by language tag; device settings stay Latin."""
    holidays: tuple[date, ...] = ()
    witness_line: bool = False
    consent_valid_months: int | None = None
    folder: Path | None = None
    """The clinic folder; its units, protocols, templates and locales win."""
    fillable_forms: bool = False
    """Papers get fields to fill in on a screen as well."""
    holidays_file: Path | None = None
    """Where some of the holidays come from; None: all stand in clinic.yaml."""
    digest: str = ""
    """SHA-256 of clinic.yaml as it was read, in hex."""

    @property
    def open_days(self) -> frozenset[int]:
        """The weekdays (0 Monday) with opening hours; empty where no times were given."""
        return frozenset(day for hours in self.hours for day in hours.days)
