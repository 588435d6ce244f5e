"""Lengths that both the drawings and the reckoning state, in millimetres."""

from __future__ import annotations

from decimal import Decimal

__all__ = ["CARD_WIDTH_MM", "RULER_MM", "TIBIAL_CENTRES_MM"]

RULER_MM = Decimal(100)
"""The cut-out ruler, at true size."""
CARD_WIDTH_MM = Decimal("85.60")
"""Width of a bank card: ISO/IEC 7810, size ID-1."""
TIBIAL_CENTRES_MM = Decimal(100)
"""Between the middles of the two pads along the shin."""
