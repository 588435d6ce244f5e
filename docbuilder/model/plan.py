"""The computed plan: everything that prints, before it has words or a page.

`clinical.make_plan` fills it; `content` reads it. Nothing here knows a language,
a file or a page. Sentences are `Message`s; numbers are exact.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from typing import Literal

from docbuilder.model.clinic import Clinic
from docbuilder.model.message import Message, Quantity
from docbuilder.model.prescription import Pads, Prescription, Reason
from docbuilder.model.unit import Parameter, Unit

__all__ = [
    "ConsentContent", "Figure", "Finding", "FollowUp", "Mark", "Notice", "Origin", "OutputAt",
    "OutputLimit", "Plan", "Schedule", "ScreeningLine", "Session", "SetupStep", "Setting",
    "Severity", "Source", "Supplies",
]  # fmt: skip

Severity = Literal["stop", "ask", "caution", "note", "clear"]
Origin = Literal["prescription", "protocol", "clinic", "unit", "computed"]
Mark = Literal["published", "common practice, no source", "from memory", "definition"]


@dataclass(frozen=True, slots=True)
class Source:
    """Where a figure or a sentence comes from."""

    mark: Mark
    citation: str = ""
    """Author, year, journal, DOI; empty when the mark says there is none."""
    reviewed_on: date | None = None
    note: str = ""
    """What the citation ends with: which values of a range come from elsewhere, in English."""

    @property
    def reference(self) -> str:
        """The citation without its note."""
        return self.citation.removesuffix(self.note).removesuffix("; ")


@dataclass(frozen=True, slots=True)
class Setting:
    """One setting: prescribed, what the unit can do, and the published range."""

    name: Literal[
        "mode", "pulse_width_us", "pulse_rate_hz", "session_minutes", "channel", "on_off_s",
    ]  # fmt: skip
    prescribed: Quantity | str
    settable: Quantity | str
    shows: str
    """Exactly what the unit's display shows at the settable value."""
    distance: Decimal
    """settable minus prescribed, in the unit of the quantity; 0 for words."""
    origin: Origin
    range_low: Decimal | None
    range_high: Decimal | None
    source: Source
    outside_range: bool = False
    reason: Reason | None = None


@dataclass(frozen=True, slots=True)
class SetupStep:
    """One action on the unit: press *key* *presses* times, then the display shows *shows*."""

    action: Literal["power", "select", "change", "strength"]
    key: str
    presses: int
    shows: str
    parameter: Parameter | None = None
    channel: int | None = None
    """Channel whose current a strength step raises; None for all other steps."""


@dataclass(frozen=True, slots=True)
class Session:
    """One planned session."""

    number: int
    day: date
    week: int
    """Week of the course, from 1."""
    phase: Literal["course", "taper"] = "course"
    calendar_week: tuple[int, int] = (0, 0)
    """Week-numbering year and calendar week of the day, as the clinic's territory counts."""


@dataclass(frozen=True, slots=True)
class Schedule:
    """All dates of the plan, rising."""

    sessions: tuple[Session, ...]
    reviews: tuple[date, ...]
    call_on: date
    """One-week call."""
    skipped: tuple[date, ...]
    first_weekday: int
    """0 Monday ... 6 Sunday, by territory."""
    total_minutes: int
    minutes_a_week: int
    ends_on: date
    moved: tuple[tuple[date, date], ...] = ()
    """(planned day, day it was moved to); a day of `skipped` without one was dropped."""
    weeks: int = 0
    """Weeks of the main course, without the taper."""
    sessions_per_week: int = 0
    pattern: tuple[int, ...] = ()
    """Weekdays of the main course, 0 Monday ... 6 Sunday, rising."""
    as_needed: bool = False
    """The unit is used when the pain comes; the dates are a guide."""
    week_numbers: tuple[tuple[date, int], ...] = ()
    """(day, number of its calendar week) of each session, call and review; empty where
    people do not name weeks by their number."""

    @property
    def dated_sessions(self) -> tuple[Session, ...]:
        """The sessions that have their day; none where the unit waits for pain."""
        return () if self.as_needed else self.sessions

    @property
    def starts_on(self) -> date:
        """The day of the first session."""
        return self.sessions[0].day

    @property
    def length(self) -> timedelta:
        """Time from the first to the last session."""
        return self.ends_on - self.starts_on


@dataclass(frozen=True, slots=True)
class Supplies:
    """When pads and batteries run out, by use."""

    pad_sets: int
    pad_changes: tuple[date, ...]
    battery_changes: tuple[date, ...]
    """About; from the profile's hours of use. Recharge days if rechargeable."""
    pad_source: Source
    battery_source: Source


@dataclass(frozen=True, slots=True)
class OutputAt:
    """Electrical output at one peak current, for the prescribed settings and pads."""

    label: Literal["maximum", "expected"]
    peak_ma: Decimal
    charge_per_phase_uc: Decimal
    rms_ma: Decimal
    rms_density_ma_cm2: Decimal
    mean_power_mw: Decimal
    power_density_mw_cm2: Decimal
    energy_per_phase_mj: Decimal
    duty: Decimal
    """Share of time that current flows, over the fullest second."""
    energy_per_pulse_mj: Decimal = Decimal(0)
    """All phases of one pulse together; the energy limit is set for a pulse."""


@dataclass(frozen=True, slots=True)
class OutputLimit:
    """One limit and how the plan stands to it."""

    code: str
    quantity: str
    """Name of the OutputAt field."""
    limit: Quantity
    at_maximum: Decimal
    at_expected: Decimal | None
    passed_at_maximum: bool
    passed_at_expected: bool
    """passed_...: the value goes past the limit."""
    kind: Literal["limit", "attention"]
    remedies: tuple[Message, ...]
    source: Source


@dataclass(frozen=True, slots=True)
class ScreeningLine:
    """One screening question, the answer given and what follows from it."""

    code: str
    question: Message
    answer: Literal["yes", "no", "unknown", "missing"]
    severity: Severity
    reason: Message | None = None
    who_to_ask: Message | None = None
    disagreement: Message | None = None
    """Where sources disagree: what each says."""
    sources: tuple[Source, ...] = ()
    override: Reason | None = None


@dataclass(frozen=True, slots=True)
class Finding:
    """Something the clinician must see, from any check."""

    code: str
    severity: Severity
    message: Message
    field: str = ""
    """Dotted prescription field it concerns."""
    source: Source | None = None
    override: Reason | None = None


@dataclass(frozen=True, slots=True)
class Notice:
    """Guidance that applies to this patient in this country, in our words."""

    code: str
    text: Message
    patient_text: Message
    source: Source
    reason: Reason | None = None


@dataclass(frozen=True, slots=True)
class ConsentContent:
    """The sentences of the consent form that depend on the plan."""

    condition: Message
    purpose: Message
    benefit: tuple[Message, ...]
    uncertainty: tuple[Message, ...]
    common_risks: tuple[Message, ...]
    serious_risks: tuple[Message, ...]
    personal_risks: tuple[Message, ...]
    alternatives: tuple[Message, ...]
    off_label: Message | None
    renew_if: tuple[Message, ...]
    digest: str
    """Short digest of the material parts; a change calls for renewed consent."""
    evidence: tuple[Source, ...] = ()


@dataclass(frozen=True, slots=True)
class FollowUp:
    """What happens after the appointment."""

    red_flags: tuple[Message, ...]
    call_questions: tuple[Message, ...]
    review_measures: tuple[Message, ...]
    stop_rules: tuple[Message, ...]
    taper_rules: tuple[Message, ...]


@dataclass(frozen=True, slots=True)
class Figure:
    """A number that prints, with the way back to its formula or source (for `explain`)."""

    field: str
    value: str
    how: str
    """Formula with the numbers put in, or "taken from ...". English, for the clinician."""
    source: Source


@dataclass(frozen=True, slots=True)
class Plan:
    """One patient's computed plan."""

    prescription: Prescription
    clinic: Clinic
    unit: Unit
    indication_name: Message
    """For the clinician, e.g. "urge leakage"."""
    why: Message
    """Why you have this, in one sentence for the patient."""
    pads: Pads
    settings: tuple[Setting, ...]
    steps: tuple[SetupStep, ...]
    strength_rule: Message
    schedule: Schedule
    supplies: Supplies
    output: tuple[OutputAt, ...]
    limits: tuple[OutputLimit, ...]
    screening: tuple[ScreeningLine, ...]
    findings: tuple[Finding, ...]
    """Everything flagged, stop first."""
    notices: tuple[Notice, ...]
    handout_cautions: tuple[Message, ...]
    """Sentences that the screening adds to the handout."""
    never_place: tuple[Message, ...]
    stop_and_call: tuple[Message, ...]
    do_not_use: tuple[Message, ...]
    consent: ConsentContent
    follow_up: FollowUp
    figures: Mapping[str, Figure]
    """Keyed by dotted field, for `docbuilder explain`."""

    def setting(self, name: str) -> Setting | None:
        """Return the setting called *name*, or None when the plan has none such."""
        return next((item for item in self.settings if item.name == name), None)
