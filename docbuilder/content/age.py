"""Whether the patient is a child."""

from __future__ import annotations

from docbuilder.model.plan import Plan

__all__ = ["is_child"]

_ADULT_AT = 18


def is_child(plan: Plan) -> bool:
    """Say whether the patient is under 18, or without a date of birth a child by indication."""
    rx = plan.prescription
    born, today = rx.patient.born, rx.prescribed_on
    if born is None:
        return rx.indication == "child_overactive_bladder"
    age = today.year - born.year - ((today.month, today.day) < (born.month, born.day))
    return age < _ADULT_AT
