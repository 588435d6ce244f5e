"""Which country's guidance and labelling speak about this patient's treatment."""

from __future__ import annotations

from dataclasses import dataclass

from docbuilder.clinical.screening import by_severity, reason_about
from docbuilder.errors import Issue
from docbuilder.model.knowledge import Case, Knowledge
from docbuilder.model.plan import Finding, Notice
from docbuilder.model.prescription import Prescription

__all__ = ["Noticed", "applicable_notices"]


@dataclass(frozen=True, slots=True)
class Noticed:
    """The notices that apply, what the checklist shows of them, and what stops the build."""

    notices: tuple[Notice, ...]
    findings: tuple[Finding, ...]
    issues: tuple[Issue, ...]
    """Guidance that says "do not offer" and has no written reason yet."""


def applicable_notices(prescription: Prescription, case: Case, knowledge: Knowledge) -> Noticed:
    """Find the notices for *case*; a "do not offer" needs a reason about `notice.CODE`."""
    notices, findings, issues = [], [], []
    for rule in knowledge.notices:
        if not rule.scope.covers(case):
            continue
        about = f"notice.{rule.code}"
        reason = reason_about(prescription, about)
        notices.append(Notice(rule.code, rule.text, rule.patient_text, rule.source, reason))
        findings.append(Finding(about, rule.severity, rule.text, "indication", rule.source, reason))
        if rule.needs_reason and reason is None:
            issues.append(
                Issue(
                    prescription.place("indication"), "indication",
                    f"{case.indication} at {case.site} in {case.territory}",
                    f"your written reason about {about}", rule.text.msgid,
                )
            )  # fmt: skip
    return Noticed(tuple(notices), tuple(sorted(findings, key=by_severity)), tuple(issues))
