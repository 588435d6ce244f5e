"""From the screening answers to what stops, what to ask, and what prints.

A class is never lowered here: unknown and unanswered weigh as the rule says for
"unknown", and a stop stands until the clinician has written a reason about it. The
tool informs; the clinician decides and signs.
"""

from __future__ import annotations

import difflib
from collections.abc import Callable, Mapping
from dataclasses import dataclass

from docbuilder.errors import Issue
from docbuilder.model.knowledge import Case, Knowledge, ScreeningRule
from docbuilder.model.message import Message
from docbuilder.model.plan import Finding, ScreeningLine, Severity
from docbuilder.model.prescription import Prescription, Reason

__all__ = ["SEVERITY_ORDER", "Screened", "by_severity", "reason_about", "screen"]

SEVERITY_ORDER: tuple[Severity, ...] = ("stop", "ask", "caution", "note", "clear")


@dataclass(frozen=True, slots=True)
class Screened:
    """What the screening of one patient gives the plan."""

    lines: tuple[ScreeningLine, ...]
    """One for each question that concerns this patient, in the order of asking."""
    findings: tuple[Finding, ...]
    """Stop first."""
    issues: tuple[Issue, ...]
    """What stops the build: raise `Refused` with these when there are any."""
    handout_cautions: tuple[Message, ...]
    personal_risks: tuple[Message, ...]


def by_severity(finding: Finding) -> int:
    """Return the sort key that puts stop first."""
    return SEVERITY_ORDER.index(finding.severity)


def reason_about(prescription: Prescription, code: str) -> Reason | None:
    """Return the clinician's written reason about *code*, if there is one."""
    return next((item for item in prescription.reasons if item.about == code), None)


def screen(prescription: Prescription, case: Case, knowledge: Knowledge) -> Screened:
    """Weigh every answer and every combination of facts.

    Issues name each stop without a reason, each combination that needs a reason, and
    each answer or reason with a code that is not known (a misspelt one must not go
    unheard).
    """
    lines, findings, issues = (
        [],
        [],
        [
            *_unknown_codes(prescription, knowledge),
            *_idle_reasons(prescription, knowledge),
            *_no_periods(prescription),
        ],
    )
    handout: list[Message] = []
    consent: list[Message] = []
    for rule in knowledge.screening:
        line = _line(rule, prescription, case)
        if line is None:
            continue
        lines.append(line)
        if line.severity == "clear":
            continue
        field = f"screening.{rule.code}"
        findings.append(
            Finding(field, line.severity, rule.checklist, field, rule.sources[0], line.override)
        )
        if line.severity == "stop" and line.override is None:
            issues.append(_stopped(prescription, rule, line))
        elif line.severity == "stop" and rule.specialist:
            issues += _agreed_with_oneself(prescription, rule)
        if _prints(line):
            handout += [rule.handout] if rule.handout else []
            consent += [rule.consent] if rule.consent else []
    for code in _derived(prescription, case, {line.code: line for line in lines}):
        derived = knowledge.derived[code]
        about = f"derived.{code}"
        override = reason_about(prescription, about)
        findings.append(
            Finding(about, derived.severity, derived.message, _FIELDS.get(code, "screening"),
                    derived.source, override)
        )  # fmt: skip
        if derived.needs_reason and override is None:
            issues.append(_needs_reason(prescription, about, derived.message))
        handout += [derived.handout] if derived.handout else []
        consent += [derived.consent] if derived.consent else []
    return Screened(
        lines=tuple(lines),
        findings=tuple(sorted(findings, key=by_severity)),
        issues=tuple(issues),
        handout_cautions=tuple(dict.fromkeys(handout)),
        personal_risks=tuple(dict.fromkeys(consent)),
    )


def _line(rule: ScreeningRule, prescription: Prescription, case: Case) -> ScreeningLine | None:
    """Return the rule's line, or None when it does not concern the patient and was not asked."""
    answer = prescription.screening.get(rule.code)
    if answer is None and not rule.scope.covers(case):
        return None
    severity = rule.severity(case.site, answer)
    return ScreeningLine(
        code=rule.code,
        question=rule.question,
        answer=answer or "missing",
        severity=severity,
        reason=None if severity == "clear" else rule.why,
        who_to_ask=None if severity == "clear" else rule.who_to_ask,
        disagreement=None if severity == "clear" else rule.disagreement,
        sources=rule.sources,
        override=None if severity == "clear"
        else reason_about(prescription, f"screening.{rule.code}"),
    )  # fmt: skip


def _prints(line: ScreeningLine) -> bool:
    """Say whether the patient's papers carry the rule's sentences."""
    return line.severity == "stop" or (line.answer == "yes" and line.severity != "note")


def _stopped(prescription: Prescription, rule: ScreeningRule, line: ScreeningLine) -> Issue:
    field = f"screening.{rule.code}"
    found = {"missing": "no answer", "unknown": "unknown", "yes": "yes"}[line.answer]
    who = f" {rule.who_to_ask.msgid}" if rule.who_to_ask else ""
    return Issue(
        prescription.place(field), field, found,
        f"no, or your written reason about {field}", f"{rule.checklist.msgid}{who}",
    )  # fmt: skip


def _agreed_with_oneself(prescription: Prescription, rule: ScreeningRule) -> list[Issue]:
    """Return an issue if the prescriber alone lifts a stop that a specialist has to lift."""
    prescriber, about = prescription.clinician.name.casefold(), f"screening.{rule.code}"
    return [
        Issue(
            prescription.place(f"reasons.{number}.name"), f"reasons.{number}.name",
            "the prescriber's own name", f"the name of who agreed about {about}",
            f"{rule.checklist.msgid}{f' {rule.who_to_ask.msgid}' if rule.who_to_ask else ''}",
        )
        for number, reason in enumerate(prescription.reasons, start=1)
        if reason.about == about and reason.name.casefold() == prescriber
    ]  # fmt: skip


def _needs_reason(prescription: Prescription, about: str, message: Message) -> Issue:
    field = _FIELDS.get(about.partition(".")[2], "screening")
    return Issue(
        prescription.place(field), field, "no written reason",
        f"your written reason about {about}", message.msgid,
    )  # fmt: skip


def _unknown_codes(prescription: Prescription, knowledge: Knowledge) -> list[Issue]:
    known = [rule.code for rule in knowledge.screening]
    issues = []
    for code in prescription.screening:
        if code not in known:
            near = difflib.get_close_matches(code, known, n=1)
            issues.append(
                Issue(
                    prescription.place(f"screening.{code}"), f"screening.{code}",
                    "a question that is not known", "one of " + ", ".join(known),
                    f"did you mean {near[0]}?" if near else "",
                )
            )  # fmt: skip
    return issues


def _idle_reasons(prescription: Prescription, knowledge: Knowledge) -> list[Issue]:
    """Return an issue for each reason about a rule, combination or notice that is not known."""
    known = {
        *(f"screening.{rule.code}" for rule in knowledge.screening),
        *(f"derived.{code}" for code in knowledge.derived),
        *(f"notice.{rule.code}" for rule in knowledge.notices),
    }
    kinds = ("screening.", "derived.", "notice.")
    issues = []
    for number, reason in enumerate(prescription.reasons, start=1):
        if reason.about.startswith(kinds) and reason.about not in known:
            near = difflib.get_close_matches(reason.about, sorted(known), n=1)
            field = f"reasons.{number}.about"
            issues.append(
                Issue(
                    prescription.place(field), field, repr(reason.about),
                    "a rule, combination or notice that is known",
                    f"did you mean {near[0]}?" if near else "",
                )
            )  # fmt: skip
    return issues


def _no_periods(prescription: Prescription) -> list[Issue]:
    """Return an issue for period pain in a man: pregnancy and coil would go unasked."""
    if prescription.indication != "period_pain" or prescription.patient.sex != "male":
        return []
    field = "patient.sex"
    return [
        Issue(prescription.place(field), field, "male, with period_pain", "female or other",
              "who has periods is asked about pregnancy and coil: write other, or another"
              " indication")
    ]  # fmt: skip


_FIELDS = {
    "child_guardian": "patient.guardian_name",
    "young_person": "patient.guardian_name",
    "under_five": "patient.born",
    "child_supervision": "patient.born",
    "child_implant": "patient.born",
    "adult_values_for_child": "indication",
    "child_values_for_adult": "indication",
    "age_unknown": "patient.born",
    "alone_no_carer": "patient.guardian_name",
    "period_pain_decision": "indication",
    "low_tone_confirmed": "indication",
    "high_tone_pain": "indication",
    "both_legs": "side",
    "both_ankles_looked_at": "placement",
}
"""The prescription field that each combination is about; screening for the rest."""


@dataclass(frozen=True, slots=True)
class _Facts:
    """What the combinations are made of."""

    case: Case
    lines: Mapping[str, ScreeningLine]
    guardian_named: bool

    def yes(self, *codes: str) -> bool:
        return any(code in self.lines and self.lines[code].answer == "yes" for code in codes)

    def maybe(self, code: str) -> bool:
        """Yes, unknown or unanswered."""
        return code in self.lines and self.lines[code].answer != "no"

    def both(self, one: str, other: str) -> bool:
        """One is answered yes and the other is not ruled out."""
        return self.maybe(one) and self.maybe(other) and self.yes(one, other)


def _under(age: int | None, years: int) -> bool:
    return age is not None and age < years


_CONDITIONS: dict[str, Callable[[_Facts], bool]] = {
    "age_unknown": lambda f: f.case.age is None,
    "child_guardian": lambda f: (
        f.case.child and not f.guardian_named and (f.case.age is None or f.case.age < 16)
    ),
    "young_person": lambda f: _under(f.case.age, 18) and not _under(f.case.age, 16),
    "under_five": lambda f: _under(f.case.age, 5),
    "child_supervision": lambda f: f.case.child and (f.case.age is None or f.case.age < 16),
    "child_implant": lambda f: f.case.child and f.yes("cardiac_device", "other_active_implant"),
    "adult_values_for_child": lambda f: (
        _under(f.case.age, 18) and f.case.indication != "child_overactive_bladder"
    ),
    "child_values_for_adult": lambda f: (
        not f.case.child and f.case.indication == "child_overactive_bladder"
    ),
    "pregnancy_tibial": lambda f: f.case.site == "tibial" and f.maybe("pregnancy"),
    "numb_alone": lambda f: f.both("reduced_sensation", "cannot_use_alone"),
    "alone_no_carer": lambda f: f.yes("cannot_use_alone") and not f.guardian_named,
    "period_pain_decision": lambda f: f.case.indication == "period_pain",
    "low_tone_confirmed": lambda f: f.case.indication == "weak_pelvic_floor",
    "high_tone_pain": lambda f: (
        f.case.indication == "weak_pelvic_floor" and f.yes("undiagnosed_pain")
    ),
    "both_legs": lambda f: f.case.site == "tibial" and f.case.side_both,
    "both_ankles_looked_at": lambda f: f.case.site == "tibial",
}


def _derived(
    prescription: Prescription, case: Case, lines: Mapping[str, ScreeningLine]
) -> list[str]:
    facts = _Facts(case, lines, prescription.patient.guardian_name is not None)
    return [code for code, holds in _CONDITIONS.items() if holds(facts)]
