"""What the clinician wrote, checked for form but not yet computed.

A field that may be left out is `None` here; the plan fills it from the protocol
and records where each value came from.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from typing import Literal

from docbuilder.errors import Place

__all__ = [
    "Answer", "Clinician", "DocumentKind", "DOCUMENT_KINDS", "Pads", "PadShape", "Patient",
    "PlacementSite", "Prescription", "Reason", "ScheduleRequest", "SettingsRequest", "Sex",
    "Side", "StimulationMode", "TibialVariant", "WEEKDAYS", "Weekday",
]  # fmt: skip

Answer = Literal["yes", "no", "unknown"]
Sex = Literal["female", "male", "other"]
StimulationMode = Literal["continuous", "burst", "modulated"]
PlacementSite = Literal["lower_abdomen", "sacral", "tibial"]
Side = Literal["left", "right", "both", "midline"]
TibialVariant = Literal["above_first", "foot_arch"]
PadShape = Literal["rectangle", "round", "oval"]
Weekday = Literal["mon", "tue", "wed", "thu", "fri", "sat", "sun"]
WEEKDAYS: tuple[Weekday, ...] = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
DocumentKind = Literal["handout", "consent", "diary", "checklist"]
DOCUMENT_KINDS: tuple[DocumentKind, ...] = ("handout", "consent", "diary", "checklist")


@dataclass(frozen=True, slots=True)
class Patient:
    """The person who will use the unit at home."""

    name: str
    record_number: str
    language: str
    """BCP 47 tag of the language that the patient reads."""
    born: date | None = None
    sex: Sex | None = None
    height_cm: int | None = None
    """Stature; sets the scale of the drawings. None: the drawing says so."""
    large_print: bool = False
    guardian_name: str | None = None
    """Parent, guardian or carer who co-signs."""
    interpreter_name: str | None = None


@dataclass(frozen=True, slots=True)
class SettingsRequest:
    """Stimulation settings as written; None is filled from the protocol."""

    mode: StimulationMode | None = None
    pulse_width_us: Decimal | None = None
    pulse_rate_hz: Decimal | None = None
    session_minutes: int | None = None
    channel: int | None = None
    on_s: Decimal | None = None
    off_s: Decimal | None = None
    ramp_s: Decimal | None = None
    expected_strength_ma: Decimal | None = None


@dataclass(frozen=True, slots=True)
class ScheduleRequest:
    """When the sessions should fall."""

    start: date
    weeks: int | None = None
    sessions_per_week: int | None = None
    weekdays: tuple[Weekday, ...] = ()
    """Given days win over an even spread of sessions_per_week."""
    skip: tuple[date, ...] = ()
    reviews: tuple[date, ...] = ()
    time_of_day: str | None = None
    """Local time "HH:MM" for the calendar file alone; None: all-day entries.

    The papers name days and leave the hour to the patient, who writes it in the diary.
    """
    taper_sessions_per_week: tuple[int, ...] = ()
    """One entry a week after the main course, for example (2, 1)."""


@dataclass(frozen=True, slots=True)
class Pads:
    """The pads of one channel, both alike. Rectangles and ovals: width x height."""

    shape: PadShape
    width_mm: Decimal
    height_mm: Decimal
    """Equal to width_mm for a round pad."""
    uses_per_set: int | None = None
    replace_after_days: int | None = None


@dataclass(frozen=True, slots=True)
class Clinician:
    """Who prescribes and signs."""

    name: str
    role: str
    registration: str | None = None


@dataclass(frozen=True, slots=True)
class Reason:
    """The clinician's written reason for going past a check.

    *about* is the field or rule code that it answers, for example
    "settings.pulse_rate_hz", "screening.pregnancy" or "notice.ng123".
    """

    about: str
    text: str
    name: str
    """Who takes the decision, as it will print."""


@dataclass(frozen=True, slots=True)
class Prescription:
    """One prescription as read; *places* maps dotted field names to file and line."""

    patient: Patient
    indication: str
    placement: PlacementSite
    side: Side
    device: str
    settings: SettingsRequest
    schedule: ScheduleRequest
    clinician: Clinician
    prescribed_on: date
    screening: Mapping[str, Answer] = field(default_factory=dict)
    pads: Pads | None = None
    tibial_variant: TibialVariant = "above_first"
    goal: str | None = None
    """The patient's goal in the clinician's words, in the patient's language; optional."""
    documents: tuple[DocumentKind, ...] = DOCUMENT_KINDS
    languages: tuple[str, ...] = ()
    """Extra languages for patient papers; the patient's own is always built."""
    reasons: tuple[Reason, ...] = ()
    places: Mapping[str, Place] = field(default_factory=dict)
    digest: str = ""
    """SHA-256 of the input bytes, in hex."""

    @property
    def needs_helper(self) -> bool:
        """The patient cannot use the unit alone, by the screening answer."""
        return self.screening.get("cannot_use_alone") == "yes"

    def place(self, name: str) -> Place:
        """Return where *name* (dotted) stands, or its nearest written parent."""
        while name:
            if name in self.places:
                return self.places[name]
            name = name.rpartition(".")[0]
        return self.places.get("", Place("prescription"))
