"""What the clinic's tool knows: protocols, questions to ask, guidance, wording by plan.

All of it is data (`docbuilder/data/knowledge/*.yaml`, and a clinic's own layer),
read and checked by `inputs.knowledge`. Sentences are `Message`s; values carry their
`Source`, so that every figure and sentence can be traced.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal

from docbuilder.model.message import Message
from docbuilder.model.plan import Severity, Source
from docbuilder.model.prescription import Answer, Pads, PlacementSite, Sex, StimulationMode

__all__ = [
    "Case", "ConsentTexts", "DerivedRule", "FollowUpTexts", "Indication", "Knowledge",
    "NoticeRule", "Protocol", "Range", "SafetyTexts", "Scope", "ScreeningRule", "Statement",
]  # fmt: skip


@dataclass(frozen=True, slots=True)
class Case:
    """The facts of one prescription that decide which texts and rules apply."""

    indication: str
    site: PlacementSite
    territory: str
    sex: Sex | None = None
    age: int | None = None
    """Whole years on the day of prescribing; None: date of birth not given."""
    off_label: bool = False
    """The unit's labelled purpose lacks the indication."""
    side_both: bool = False
    helped: bool = False
    """The patient cannot use the unit alone, by the screening answer."""
    weeks: int | None = None
    """Weeks of the course with its taper; None: the schedule is not made yet."""
    sessions_per_week: int | None = None
    """Sessions a week of the main course; None: the schedule is not made yet."""

    @property
    def child(self) -> bool:
        """Under 18 by date of birth, or by the indication when no date is given."""
        if self.age is None:
            return self.indication == "child_overactive_bladder"
        return self.age < 18

    @property
    def alone(self) -> bool:
        """The patient uses the unit without another person: no child, and nobody needed."""
        return not (self.child or self.helped)


@dataclass(frozen=True, slots=True)
class Scope:
    """Where a text or rule applies; an empty field means everywhere.

    A person whose sex is not stated is covered by every *sexes* but ("male",):
    guidance for women is shown rather than lost.
    """

    indications: tuple[str, ...] = ()
    sites: tuple[PlacementSite, ...] = ()
    sexes: tuple[Sex, ...] = ()
    territories: tuple[str, ...] = ()
    child: bool | None = None
    off_label: bool | None = None
    side_both: bool | None = None
    ages: tuple[int, int] | None = None
    """First and last whole year of age; a person of unknown age is covered."""
    alone: bool | None = None
    weeks_from: int | None = None
    """Only courses of so many weeks or more; one not yet dated is covered."""
    sessions_a_week_from: int | None = None
    """Only courses of so many sessions a week or more; one not yet dated is covered."""

    def covers(self, case: Case) -> bool:
        """Say whether the text or rule applies to *case*."""
        return (
            (not self.indications or case.indication in self.indications)
            and (not self.sites or case.site in self.sites)
            and (not self.territories or case.territory in self.territories)
            and (self.child is None or self.child == case.child)
            and (self.off_label is None or self.off_label == case.off_label)
            and (self.side_both is None or self.side_both == case.side_both)
            and (self.alone is None or self.alone == case.alone)
            and _reaches(case.weeks, self.weeks_from)
            and _reaches(case.sessions_per_week, self.sessions_a_week_from)
            and self._covers_sex(case.sex)
            and self._covers_age(case.age)
        )

    def _covers_sex(self, sex: Sex | None) -> bool:
        if not self.sexes or sex in self.sexes:
            return True
        return sex in (None, "other") and self.sexes != ("male",)

    def _covers_age(self, age: int | None) -> bool:
        return self.ages is None or age is None or self.ages[0] <= age <= self.ages[1]


def _reaches(count: int | None, least: int | None) -> bool:
    return count is None or least is None or count >= least


@dataclass(frozen=True, slots=True)
class Statement:
    """A sentence with the cases it is for and what supports it."""

    message: Message
    scope: Scope = field(default_factory=Scope)
    sources: tuple[Source, ...] = ()
    rule: str = ""
    """Screening rule that it repeats in general form; left out once that is overridden."""


@dataclass(frozen=True, slots=True)
class Indication:
    """One purpose of treatment."""

    code: str
    name: Message
    """For the clinician."""
    why: Message
    """Why you have this, for the patient, in one sentence."""


@dataclass(frozen=True, slots=True)
class Range:
    """A published or customary range with the value to start from; low <= start <= high."""

    low: Decimal
    start: Decimal
    high: Decimal
    source: Source

    def holds(self, value: Decimal) -> bool:
        """Say whether *value* lies in the range, its ends included."""
        return self.low <= value <= self.high


@dataclass(frozen=True, slots=True)
class Protocol:
    """Start values and ranges for one indication at one site.

    Pulse width in microseconds a phase, rate in Hz, time in minutes; the on, off
    and ramp times (seconds) only where the muscle works and rests in turn.
    """

    indication: str
    site: PlacementSite
    mode: StimulationMode
    other_modes: tuple[StimulationMode, ...]
    mode_source: Source
    pulse_width_us: Range
    pulse_rate_hz: Range
    session_minutes: Range
    sessions_per_week: Range
    weeks: Range
    pads: Pads
    pad_source: Source
    strength_rule: Message
    """How strong it should feel, for the patient."""
    strength_source: Source
    on_s: Range | None = None
    off_s: Range | None = None
    ramp_s: Range | None = None
    as_needed: bool = False
    """Used when the pain comes, not by the calendar; the weeks and sessions are a guide."""
    grade: str = ""
    """How good the evidence is, in one or two English words, for `explain`."""

    def ranges(self) -> Mapping[str, Range]:
        """Return the ranges by the name of the prescription's setting or schedule field."""
        named = {
            "pulse_width_us": self.pulse_width_us,
            "pulse_rate_hz": self.pulse_rate_hz,
            "session_minutes": self.session_minutes,
            "sessions_per_week": self.sessions_per_week,
            "weeks": self.weeks,
            "on_s": self.on_s,
            "off_s": self.off_s,
            "ramp_s": self.ramp_s,
        }
        return {name: value for name, value in named.items() if value is not None}


@dataclass(frozen=True, slots=True)
class ScreeningRule:
    """One screening question and what each answer means at each site.

    No answer but "no" is ever clear. *handout* and *consent* print when the answer is
    yes, and when it is not known but the class is stop all the same.
    """

    code: str
    question: Message
    scope: Scope
    """Whom the question concerns; others are not asked it."""
    severities: Mapping[tuple[PlacementSite, Answer], Severity]
    why: Message
    checklist: Message
    """What the clinician does about it."""
    who_to_ask: Message | None
    disagreement: Message | None
    handout: Message | None
    consent: Message | None
    sources: tuple[Source, ...]
    specialist: bool = False
    """A stop is lifted only by somebody else's agreement, not by the prescriber's own."""

    def severity(self, site: PlacementSite, answer: Answer | None) -> Severity:
        """Return the class of *answer* (None: missing, weighed as unknown) at *site*."""
        return self.severities[site, answer or "unknown"]


@dataclass(frozen=True, slots=True)
class DerivedRule:
    """A finding that follows from several facts; `clinical.screening` holds the condition."""

    code: str
    severity: Severity
    message: Message
    needs_reason: bool
    """The build is refused until the clinician has written a reason."""
    handout: Message | None
    consent: Message | None
    source: Source


@dataclass(frozen=True, slots=True)
class NoticeRule:
    """Guidance of one country for one group of patients, in our words."""

    code: str
    scope: Scope
    severity: Severity
    needs_reason: bool
    text: Message
    patient_text: Message
    source: Source


@dataclass(frozen=True, slots=True)
class ConsentTexts:
    """Consent sentences; condition and purpose by indication, the rest by scope."""

    condition: Mapping[str, Message]
    purpose: Mapping[str, Message]
    benefit: tuple[Statement, ...]
    uncertainty: tuple[Statement, ...]
    common_risks: tuple[Statement, ...]
    serious_risks: tuple[Statement, ...]
    alternatives: tuple[Statement, ...]
    off_label: Message
    renew_if: tuple[Statement, ...]
    valid_until: Message
    """Renew after %(date)s; printed when the clinic has set a period."""
    changed: Mapping[str, Message]
    """For the clinician: what changed between two plans, by name of the material part."""


@dataclass(frozen=True, slots=True)
class FollowUpTexts:
    """What is asked and measured after the appointment."""

    red_flags: tuple[Statement, ...]
    call_questions: tuple[Statement, ...]
    review_measures: tuple[Statement, ...]
    stop_rules: tuple[Statement, ...]
    taper_rules: tuple[Statement, ...]


@dataclass(frozen=True, slots=True)
class SafetyTexts:
    """Standing safety sentences of the handout."""

    never_place: tuple[Statement, ...]
    stop_and_call: tuple[Statement, ...]
    do_not_use: tuple[Statement, ...]


@dataclass(frozen=True, slots=True)
class Knowledge:
    """Everything above, read once."""

    indications: Mapping[str, Indication]
    protocols: tuple[Protocol, ...]
    screening: tuple[ScreeningRule, ...]
    derived: Mapping[str, DerivedRule]
    notices: tuple[NoticeRule, ...]
    consent: ConsentTexts
    follow_up: FollowUpTexts
    safety: SafetyTexts
    sources: Mapping[str, Source]
    digest: str
    """SHA-256, in hex, over the files read, in their order."""
    clinic_files: tuple[str, ...] = ()
    """Names of the clinic's own files that were laid over the built-in ones."""
