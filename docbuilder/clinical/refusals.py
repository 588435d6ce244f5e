"""What stops a plan beside the settings' own faults: each function tells one kind of it.

No reason can be written for what is impossible; where one can, the hint says about what.
"""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal
from itertools import pairwise

from docbuilder.clinical.consent import months_after
from docbuilder.clinical.output import to_digits
from docbuilder.clinical.resolver import ask_reason, reason_for
from docbuilder.clinical.screening import Screened
from docbuilder.errors import Issue
from docbuilder.model.clinic import Clinic
from docbuilder.model.knowledge import Knowledge, Protocol
from docbuilder.model.lengths import TIBIAL_CENTRES_MM
from docbuilder.model.plan import OutputLimit
from docbuilder.model.prescription import Pads, Prescription
from docbuilder.model.unit import Unit, number_text

__all__ = [
    "consent_ended", "course_issues", "limits_passed", "open_answers", "pads_too_near",
    "too_strong", "unanswered",
]  # fmt: skip

_LEAST_GAP_MM = Decimal(20)
"""Skin between two pads, as between those of the lower back; common practice, no source."""


def unanswered(rx: Prescription, screened: Screened) -> list[Issue]:
    """Return the screening's issues, with the unanswered questions gathered into one."""
    missing = [line.code for line in screened.lines if line.answer == "missing"]
    fields = {f"screening.{code}" for code in missing}
    issues = [issue for issue in screened.issues if issue.field not in fields]
    if missing:
        issues.append(
            Issue(rx.place("screening"), "screening", "no answer to " + ", ".join(missing),
                  "yes, no or unknown for each", "ask the patient; unknown never counts as no")
        )  # fmt: skip
    return issues


def open_answers(rx: Prescription, screened: Screened, knowledge: Knowledge) -> list[Issue]:
    """Return an issue for each answer that must be known before the consent form is printed.

    The patient signs that the safety answers are true, so none that matters may be open.
    What an unknown answer stops altogether is told by the screening itself.
    """
    if "consent" not in rx.documents:
        return []
    rules = {rule.code: rule for rule in knowledge.screening}
    issues = []
    for line in screened.lines:
        if line.answer != "unknown" or line.severity != "ask" or line.override is not None:
            continue
        field, who = f"screening.{line.code}", line.who_to_ask
        hint = rules[line.code].checklist.msgid + (f" {who.msgid}" if who else "")
        issues.append(
            Issue(rx.place(field), field, "unknown, with a consent form to print",
                  f"yes or no, or your written reason about {field}",
                  f"{hint} Until it is known, build without the consent form.")
        )  # fmt: skip
    return issues


def consent_ended(rx: Prescription, clinic: Clinic) -> list[Issue]:
    """Return an issue if the consent is over before the first session."""
    if clinic.consent_valid_months is None:
        return []
    ends = months_after(rx.prescribed_on, clinic.consent_valid_months)
    if rx.schedule.start <= ends:
        return []
    name = "schedule.start"
    return [
        Issue(rx.place(name), name, str(rx.schedule.start),
              f"a day up to {ends}, when the consent ends (consent_valid_months:"
              f" {clinic.consent_valid_months})",
              "check the year, or prescribe nearer to the start")
    ]  # fmt: skip


def course_issues(rx: Prescription, protocol: Protocol, weeks: int, sessions: int) -> list[Issue]:
    """Return an issue for a length or density outside the range, and for a taper that rises."""
    issues = []
    for name, count, span in (
        ("weeks", weeks, protocol.weeks),
        ("sessions_per_week", sessions, protocol.sessions_per_week),
    ):
        about = f"schedule.{name}"
        if span.holds(Decimal(count)) or reason_for(rx, about):
            continue
        written = "schedule.weekdays" if name != "weeks" and rx.schedule.weekdays else about
        issues.append(
            Issue(rx.place(written), about, str(count),
                  f"{number_text(span.low)} to {number_text(span.high)}"
                  f" ({span.source.mark}: {span.source.citation})",
                  ask_reason(about, "change the value"))
        )  # fmt: skip
    taper = rx.schedule.taper_sessions_per_week
    if any(later > earlier for earlier, later in pairwise((sessions, *taper))):
        name = "schedule.taper_sessions_per_week"
        issues.append(
            Issue(rx.place(name), name, ", ".join(map(str, taper)),
                  f"numbers that do not rise, from {sessions} or fewer",
                  "a taper is fewer sessions each week; a longer course is schedule.weeks")
        )  # fmt: skip
    return issues


def pads_too_near(rx: Prescription, pads: Pads) -> list[Issue]:
    """Return an issue if long pads up the leg leave too little skin between them.

    The trunk's pads keep their distance by where they are placed, so only these can touch.
    """
    gap_mm = TIBIAL_CENTRES_MM - pads.height_mm
    up_the_leg = rx.placement == "tibial" and rx.tibial_variant == "above_first"
    if not up_the_leg or gap_mm >= _LEAST_GAP_MM:
        return []
    name = "pads.height_mm"
    found = f"{number_text(pads.height_mm)} mm, with centers {TIBIAL_CENTRES_MM} mm apart"
    most = number_text(TIBIAL_CENTRES_MM - _LEAST_GAP_MM)
    return [Issue(rx.place(name), name, found, f"at most {most} mm at this place",
                  "choose shorter pads: close pads let current run over the skin")]  # fmt: skip


def too_strong(rx: Prescription, unit: Unit) -> list[Issue]:
    """Return an issue if the unit cannot give the expected strength."""
    strength, name = rx.settings.expected_strength_ma, "settings.expected_strength_ma"
    if strength is None or strength <= unit.max_current_ma:
        return []
    most = f"at most {number_text(unit.max_current_ma)} mA, the strongest of {unit.id}"
    return [Issue(rx.place(name), name, f"{number_text(strength)} mA", most, "check the number")]


def limits_passed(rx: Prescription, limits: Iterable[OutputLimit]) -> list[Issue]:
    """Return an issue for each limit that the expected strength passes without a reason."""
    name = "settings.expected_strength_ma"
    return [
        Issue(rx.place(name), name,
              f"{to_digits(limit.at_expected)} {limit.limit.unit} ({limit.quantity})",
              f"within {number_text(limit.limit.value)} {limit.limit.unit}",
              ask_reason(f"output.{limit.code}", "lower strength, width or rate"))
        for limit in limits
        if limit.kind == "limit" and limit.passed_at_expected and limit.at_expected is not None
        and reason_for(rx, f"output.{limit.code}") is None
    ]  # fmt: skip
