"""What would keep the unit's strongest output within a limit: figures that really do."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import replace
from decimal import Decimal

from docbuilder.clinical.output import (
    LimitRule,
    PulseTrain,
    output_at,
    pad_area_cm2,
    rules_at,
    strongest_within,
)  # fmt: skip
from docbuilder.model.message import Message, Quantity
from docbuilder.model.prescription import Pads
from docbuilder.model.unit import Unit, UnitMode

__all__ = ["PAD_SIZES", "remedies"]

_RECTANGLES = ((25, 25), (30, 30), (40, 40), (50, 50), (50, 90), (50, 100))
_ROUNDS = (32, 50, 70)
PAD_SIZES = (
    *(Pads("rectangle", Decimal(width), Decimal(height)) for width, height in _RECTANGLES),
    *(Pads("round", Decimal(width), Decimal(width)) for width in _ROUNDS),
)
"""Pad sizes in common use; common practice, no source."""


def remedies(
    rule: LimitRule, train: PulseTrain, rate_hz: Decimal, unit: Unit, mode: UnitMode, pads: Pads
) -> tuple[Message, ...]:
    """Return what would mend *rule* at the unit's maximum: pad, width, rate, strength.

    Each figure was put back into the formula; widths and rates are ones that the unit
    can be set to. What cannot mend it is left out.
    """
    top = unit.max_current_ma

    def mends(other: PulseTrain, rate: Decimal = rate_hz) -> bool:
        current = next(item for item in rules_at(rate) if item.code == rule.code)
        return not current.passed(getattr(output_at(other, top), rule.quantity))

    found = (
        _larger_pad(train, pads, mends),
        _narrower_pulse(train, mode.widths_at(rate_hz), mends),
        _lower_rate(train, rate_hz, mode, mends),
        _less_strength(rule, train, unit),
    )
    return tuple(message for message in found if message is not None)


def _larger_pad(
    train: PulseTrain, pads: Pads, mends: Callable[[PulseTrain], bool]
) -> Message | None:
    """Return the smallest common pad that mends it, of the same shape if there is one."""
    alike = "round" if pads.shape == "round" else "rectangle"
    sizes = sorted(PAD_SIZES, key=lambda size: (size.shape != alike, pad_area_cm2(size)))
    for size in sizes:
        area = pad_area_cm2(size)
        if area > train.area_cm2 and mends(replace(train, area_cm2=area)):
            return _pad_message(size)
    return None


def _pad_message(size: Pads) -> Message:
    width, height = Quantity(size.width_mm, "mm"), Quantity(size.height_mm, "mm")
    if size.shape == "round":
        return Message(
            "Round pads of %(width)s or more across keep even the strongest output within it.",
            values=(("width", width),),
        )
    return Message(
        "Pads of %(width)s by %(height)s or larger keep even the strongest output within it.",
        values=(("width", width), ("height", height)),
    )


def _narrower_pulse(
    train: PulseTrain, widths: Iterable[Decimal], mends: Callable[[PulseTrain], bool]
) -> Message | None:
    narrower = sorted((width for width in widths if width < train.width_us), reverse=True)
    for width in narrower:
        if mends(replace(train, width_us=width)):
            return Message(
                "A pulse width of %(width)s or less keeps even the strongest output within it.",
                values=(("width", Quantity(width, "us")),),
            )
    return None


def _lower_rate(
    train: PulseTrain, rate_hz: Decimal, mode: UnitMode,
    mends: Callable[[PulseTrain, Decimal], bool],
) -> Message | None:  # fmt: skip
    for rate in reversed(mode.pulse_rate_hz.values):
        pulses = mode.pulses_a_second(rate)
        if rate < rate_hz and mends(replace(train, pulses_a_second=pulses), rate):
            return Message(
                "A pulse rate of %(rate)s or less keeps even the strongest output within it.",
                values=(("rate", Quantity(rate, "Hz")),),
            )
    return None


def _less_strength(rule: LimitRule, train: PulseTrain, unit: Unit) -> Message | None:
    current = strongest_within(train, rule, unit.current_step_ma)
    if not 0 < current < unit.max_current_ma:
        return None
    return Message(
        "With these settings and pads, a strength of %(current)s or less stays within it.",
        values=(("current", Quantity(current, "mA")),),
    )
