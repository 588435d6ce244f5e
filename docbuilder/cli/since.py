"""`docbuilder check --since`: what changed since the last plan, and whether consent stands."""

from __future__ import annotations

from dataclasses import dataclass

from docbuilder.clinical.consent import needs_new_consent
from docbuilder.model.knowledge import Knowledge
from docbuilder.model.plan import Plan

__all__ = ["Changes", "changes_between"]

_FOLLOWS = ("steps.", "output.", "limits.", "unit.")
"""Figures that follow from settings and device; `docbuilder explain` shows them."""
_REPEATS = ("range_low", "range_start", "range_high", "distance")
"""Parts of a setting that repeat the protocol, or the two values beside them."""


@dataclass(frozen=True, slots=True)
class Changes:
    """How a plan differs from the one before it."""

    values: tuple[tuple[str, str, str], ...]
    """(field, before, after) of each place or figure that differs, "-" where there is none."""
    consent_again: tuple[str, ...]
    """Why the consent given to the plan before does not cover this one; empty: it does."""

    def as_json(self) -> dict[str, object]:
        """Return the changes as plain data."""
        rows = [{"field": name, "before": old, "after": new} for name, old, new in self.values]
        return {"changes": rows, "consent_again": list(self.consent_again)}

    def lines(self) -> tuple[str, ...]:
        """Return the changes as they are told to people."""
        told = tuple(f"{name}: {old} -> {new}" for name, old, new in self.values)
        if self.consent_again:
            return (*told, *(f"CONSENT AGAIN: {reason}" for reason in self.consent_again))
        if not told:
            return ("nothing changed, and consent still counts",)
        return (*told, "consent still counts: talk the change over, and both initial it")


def changes_between(old: Plan, new: Plan, knowledge: Knowledge) -> Changes:
    """Compare two plans: place, purpose, device, settings, dates and supplies."""
    before, after = _told(old), _told(new)
    names = dict.fromkeys((*before, *after))
    differ = ((name, before.get(name, "-"), after.get(name, "-")) for name in names)
    return Changes(
        tuple(row for row in differ if row[1] != row[2]),
        tuple(message.msgid for message in needs_new_consent(old, new, knowledge)),
    )


def _told(plan: Plan) -> dict[str, str]:
    rx = plan.prescription
    places = {
        "indication": rx.indication,
        "placement": rx.placement,
        "side": rx.side,
        "tibial_variant": rx.tibial_variant if rx.placement == "tibial" else "-",
        "device": rx.device,
    }
    figures = {
        figure.field: figure.value
        for figure in plan.figures.values()
        if not figure.field.startswith(_FOLLOWS) and figure.field.rpartition(".")[2] not in _REPEATS
    }
    return places | figures
