"""The book of figures, and its pages on unit, pads, output and limits."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal

from docbuilder.clinical.output import DEFINITION, PulseTrain, ramp_share, to_digits
from docbuilder.model.knowledge import Protocol
from docbuilder.model.message import Quantity
from docbuilder.model.plan import Figure, OutputAt, Plan, Source
from docbuilder.model.unit import number_text

__all__ = [
    "Book", "PRESCRIPTION", "WRITTEN", "enter_limits", "enter_output", "enter_pads", "enter_unit",
    "shown",
]  # fmt: skip

PRINTED_DIGITS = 3
"""Significant digits of computed output on the checklist."""
WRITTEN = "taken from the prescription"
PRESCRIPTION = Source("definition", "the prescription")


@dataclass(slots=True)
class Book:
    """Figures by name, in the order in which they were entered."""

    figures: dict[str, Figure] = field(default_factory=dict)

    def enter(self, name: str, value: object, how: str, source: Source = DEFINITION) -> None:
        """Enter one figure."""
        self.figures[name] = Figure(name, shown(value), how, source)


def shown(value: object) -> str:
    """Return *value* as a figure shows it."""
    if isinstance(value, Quantity):
        return f"{number_text(value.value)} {value.unit}"
    if isinstance(value, Decimal):
        return number_text(value)
    return value.isoformat() if isinstance(value, date) else str(value)


def enter_unit(book: Book, plan: Plan) -> None:
    """Enter what comes from the unit's profile, and the key presses."""
    unit, profile = plan.unit, f"taken from the profile of {plan.unit.id}"
    source = Source("definition", unit.source)
    book.enter("unit.max_current_ma", Quantity(unit.max_current_ma, "mA"), profile, source)
    book.enter("unit.current_step_ma", Quantity(unit.current_step_ma, "mA"), profile, source)
    book.enter("unit.load_ohm", Quantity(unit.load_ohm, "ohm"), profile, source)
    hours = Quantity(unit.battery.hours_of_use, "h")
    book.enter("unit.battery.hours_of_use", hours, profile, source)
    book.enter("unit.ramp_s", Quantity(unit.ramp_s, "s"), profile, source)
    book.enter("unit.battery.count", unit.battery.count, profile, source)
    for number, step in enumerate(plan.steps, start=1):
        shows = "what the display shows after the step, from the profile"
        book.enter(f"steps.{number}.shows", step.shows, shows, source)
        if step.action == "strength":
            continue
        how = f"presses of {step.key}, counted from power-on through the profile"
        if step.action == "change":
            how += ", the shortest way that keeps the unit's own limits"
        book.enter(f"steps.{number}.presses", step.presses, how, source)


def enter_pads(
    book: Book, plan: Plan, protocol: Protocol, train: PulseTrain, origins: dict[str, str]
) -> None:
    """Enter size, area and life of the pads."""
    pads, taken = plan.pads, origins["pads"]
    source = PRESCRIPTION if taken == WRITTEN else protocol.pad_source
    book.enter("pads.width_mm", Quantity(pads.width_mm, "mm"), taken, source)
    book.enter("pads.height_mm", Quantity(pads.height_mm, "mm"), taken, source)
    how = f"{number_text(pads.width_mm)} x {number_text(pads.height_mm)} / 100"
    if pads.shape != "rectangle":
        how += " x pi / 4"
    area = train.area_cm2.quantize(Decimal("0.001")).normalize()
    book.enter("pads.area_cm2", Quantity(area, "cm2"), how)
    if pads.uses_per_set is not None:
        book.enter("pads.uses_per_set", pads.uses_per_set, taken, source)
    if pads.replace_after_days is not None:
        book.enter("pads.replace_after_days", pads.replace_after_days, taken, source)


def enter_output(book: Book, output: OutputAt, train: PulseTrain) -> None:
    """Enter the output at one current, each with its formula and numbers."""
    name, peak = f"output.{output.label}", number_text(output.peak_ma)
    width, pulses = number_text(train.width_us), number_text(train.pulses_a_second)
    area, load = number_text(round(train.area_cm2, 3)), number_text(train.load_ohm)
    share, rms = number_text(output.duty), number_text(output.rms_ma)
    power = number_text(output.mean_power_mw)
    taken = "the unit's strongest, from its profile" if output.label == "maximum" else WRITTEN
    work = ""
    if train.work_s is not None:
        work = ", over the fullest second of work"
        if train.work_s >= 1:
            work = "; no credit for the rest, as the work lasts a second or more"
    ramps = ramp_share(train)
    within = share if ramps == 1 else f"{share} x {number_text(to_digits(ramps))} for the ramps"
    book.enter(f"{name}.peak_ma", Quantity(output.peak_ma, "mA"), taken)
    _computed(
        book, f"{name}.charge_per_phase_uc", Quantity(output.charge_per_phase_uc, "uC"),
        f"peak x width: {peak} mA x {width} us / 1000",
    )  # fmt: skip
    book.enter(
        f"{name}.duty", output.duty,
        f"phases x width x pulses a second: {train.phases} x {width} us x {pulses}{work}",
    )  # fmt: skip
    _computed(
        book, f"{name}.rms_ma", Quantity(output.rms_ma, "mA"),
        f"peak x sqrt(duty): {peak} mA x sqrt({within})",
    )  # fmt: skip
    _computed(
        book, f"{name}.rms_density_ma_cm2", Quantity(output.rms_density_ma_cm2, "mA/cm2"),
        f"r.m.s. / pad area: {rms} mA / {area} cm2",
    )  # fmt: skip
    _computed(
        book, f"{name}.mean_power_mw", Quantity(output.mean_power_mw, "mW"),
        f"load x r.m.s. squared: {load} ohm x ({rms} mA)^2 / 1000",
    )  # fmt: skip
    _computed(
        book, f"{name}.power_density_mw_cm2", Quantity(output.power_density_mw_cm2, "mW/cm2"),
        f"mean power / pad area: {power} mW / {area} cm2",
    )  # fmt: skip
    energy = f"load x peak squared x width: {load} ohm x ({peak} mA)^2 x {width} us"
    _computed(
        book, f"{name}.energy_per_phase_mj", Quantity(output.energy_per_phase_mj, "mJ"), energy
    )  # fmt: skip
    _computed(
        book, f"{name}.energy_per_pulse_mj", Quantity(output.energy_per_pulse_mj, "mJ"),
        f"{energy} x {train.phases} phases",
    )  # fmt: skip


def _computed(book: Book, name: str, value: Quantity, how: str) -> None:
    """Enter a computed amount; the checklist prints it to fewer digits, so say to which."""
    printed = to_digits(value.value, PRINTED_DIGITS)
    if printed != value.value:
        how += f"; prints as {number_text(printed)}"
    book.enter(name, value, how)


def enter_limits(book: Book, plan: Plan) -> None:
    """Enter each limit, how the plan stands to it, and the figures of its remedies."""
    for limit in plan.limits:
        name, unit = f"limits.{limit.code}", limit.limit.unit
        kind = "asks for attention above this" if limit.kind == "attention" else "a limit"
        book.enter(f"{name}.limit", limit.limit, kind, limit.source)
        how = f"output.maximum.{limit.quantity}"
        book.enter(f"{name}.at_maximum", Quantity(limit.at_maximum, unit), how)
        if limit.at_expected is not None:
            how = f"output.expected.{limit.quantity}"
            book.enter(f"{name}.at_expected", Quantity(limit.at_expected, unit), how)
        for number, remedy in enumerate(limit.remedies, start=1):
            for _, value in remedy.values:
                how = "largest or smallest value that, put into the formula, keeps within it"
                found = f"{name}.remedies.{number}"
                already = book.figures.get(found)
                text = f"{already.value} x {shown(value)}" if already else shown(value)
                book.enter(found, text, how)
