"""Body dimensions from stature.

Ratios are fractions of standing height: R. Drillis and R. Contini, Body Segment
Parameters (1966), as printed in D. A. Winter, Biomechanics and Motor Control of Human
Movement. They describe adults of one population, so a drawing shows where a place
is on the body and not this patient's outline; a child's is an adult's, smaller.
"""

from __future__ import annotations

__all__ = [
    "DEFAULT_STATURE_MM", "RATIOS", "REFERENCE_MM", "STATURE_RANGE_MM", "checked_factor", "size_mm",
]  # fmt: skip

RATIOS: dict[str, float] = {
    "ankle_height": 0.039,
    "knee_height": 0.285,
    "hip_height": 0.530,
    "crotch_height": 0.485,
    "foot_length": 0.152,
    "foot_breadth": 0.055,
    "hip_breadth": 0.191,
    "shoulder_breadth": 0.259,
    "shoulder_height": 0.818,
}
REFERENCE_MM = 1750.0
"""Stature in which the landmark points of the outlines are written down."""
DEFAULT_STATURE_MM = 1650.0
"""Drawn when the patient's height is not given; a middle adult height, our choice."""
STATURE_RANGE_MM = (900.0, 2300.0)


def size_mm(name: str, stature_mm: float) -> float:
    """Return the published length *name* for a stature, in mm.

    >>> round(size_mm("foot_length", 1750), 1)
    266.0
    """
    return RATIOS[name] * stature_mm


def checked_factor(stature_mm: float | None) -> float:
    """Return the factor from reference landmarks to a person of *stature_mm*.

    Raises:
        ValueError: The stature is outside `STATURE_RANGE_MM`.
    """
    stature = DEFAULT_STATURE_MM if stature_mm is None else float(stature_mm)
    low, high = STATURE_RANGE_MM
    if not low <= stature <= high:
        raise ValueError(f"a stature of {stature:g} mm is outside {low:g} to {high:g} mm")
    return stature / REFERENCE_MM
