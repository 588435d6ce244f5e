"""One prescription's settings being resolved: what was asked, and the faults met."""

from __future__ import annotations

from dataclasses import dataclass, field
from decimal import Decimal

from docbuilder.errors import Issue
from docbuilder.model.knowledge import Protocol
from docbuilder.model.plan import Origin, Source
from docbuilder.model.prescription import Prescription, Reason
from docbuilder.model.unit import Unit

__all__ = ["Resolver", "TOLERANCE", "ask_reason", "cited", "reason_for"]

TOLERANCE = Decimal("0.1")
"""A settable value further than this share from the prescribed one needs a reason."""


@dataclass(slots=True)
class Resolver:
    """Resolves one prescription's settings and keeps the faults found on the way."""

    rx: Prescription
    unit: Unit
    protocol: Protocol
    issues: list[Issue] = field(default_factory=list)

    def refuse(self, name: str, found: str, allowed: str, hint: str) -> None:
        """Keep one fault of the prescription's field *name*."""
        self.issues.append(Issue(self.rx.place(name), name, found, allowed, hint))

    def wanted(self, name: str, start: object) -> tuple[object, Origin]:
        """Return the prescribed value of *name*, else the protocol's start value."""
        written = getattr(self.rx.settings, name)
        return (start, "protocol") if written is None else (written, "prescription")


def reason_for(rx: Prescription, about: str) -> Reason | None:
    """Return the clinician's written reason *about* a field or rule, if there is one."""
    return next((reason for reason in rx.reasons if reason.about == about), None)


def ask_reason(about: str, remedy: str) -> str:
    """Return the hint that tells how to go on with a written reason."""
    return f"{remedy}, or add to reasons: about: {about}, text, name"


def cited(source: Source) -> str:
    """Return *source* as it stands in a message."""
    return f"{source.mark}: {source.citation}" if source.citation else source.mark
