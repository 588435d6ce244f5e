"""Each number that the plan prints can be followed back."""

from __future__ import annotations

import re
from dataclasses import replace
from decimal import Decimal

import pytest
from example_cases import knowledge, plan, prescription

from docbuilder.clinical.plan import make_plan
from docbuilder.errors import DocbuilderError
from docbuilder.inputs.clinic import read_clinic
from docbuilder.inputs.prescription import read_prescription
from docbuilder.inputs.unit import find_unit
from docbuilder.model.message import Quantity
from docbuilder.model.plan import OutputAt
from docbuilder.model.prescription import Pads, SettingsRequest
from docbuilder.model.unit import number_text
from docbuilder.paths import data_folder

DEMO = data_folder("demo")


def demo_plans():
    clinic = read_clinic(DEMO)
    for path in sorted((DEMO / "prescriptions").glob("*.yaml")):
        try:
            rx = read_prescription(path)
            yield make_plan(rx, clinic, find_unit(rx.device, clinic), knowledge())
        except DocbuilderError:
            continue


def text(value):
    if isinstance(value, Quantity):
        return f"{number_text(value.value)} {value.unit}"
    return number_text(value) if isinstance(value, Decimal) else str(value)


def expected_figures(plan):
    """Numbers of the plan, walked here on their own, by the name that explain knows."""
    for s in plan.settings:
        yield f"settings.{s.name}.prescribed", text(s.prescribed)
        if s.name != "channel":
            yield f"settings.{s.name}.settable", text(s.settable)
        if isinstance(s.settable, Quantity):
            yield f"settings.{s.name}.distance", f"{number_text(s.distance)} {s.settable.unit}"
            yield f"settings.{s.name}.range_low", f"{number_text(s.range_low)} {s.settable.unit}"
            yield f"settings.{s.name}.range_high", f"{number_text(s.range_high)} {s.settable.unit}"
    for number, step in enumerate(plan.steps, 1):
        if step.presses:
            yield f"steps.{number}.presses", str(step.presses)
    for output in plan.output:
        for name in OutputAt.__dataclass_fields__:
            if name == "label":
                continue
            value = number_text(getattr(output, name))
            yield f"output.{output.label}.{name}", value
    for limit in plan.limits:
        yield f"limits.{limit.code}.limit", text(limit.limit)
        yield (
            f"limits.{limit.code}.at_maximum",
            f"{number_text(limit.at_maximum)} {limit.limit.unit}",
        )
        for number, _ in enumerate(limit.remedies, 1):
            yield f"limits.{limit.code}.remedies.{number}", None
    schedule = plan.schedule
    yield "schedule.session_count", str(len(schedule.sessions))
    yield "schedule.weeks", str(schedule.weeks)
    yield "schedule.sessions_per_week", str(schedule.sessions_per_week)
    yield "schedule.total_minutes", f"{schedule.total_minutes} min"
    yield "schedule.minutes_a_week", f"{schedule.minutes_a_week} min"
    yield "schedule.ends_on", str(schedule.ends_on)
    yield "schedule.call_on", str(schedule.call_on)
    for name, days in (
        ("schedule.sessions", [s.day for s in schedule.sessions]),
        ("schedule.reviews", schedule.reviews),
        ("schedule.skipped", schedule.skipped),
        ("supplies.pad_changes", plan.supplies.pad_changes),
        ("supplies.battery_changes", plan.supplies.battery_changes),
    ):
        for number, day in enumerate(days, 1):
            yield f"{name}.{number}", day.isoformat()
    yield "supplies.pad_sets", str(plan.supplies.pad_sets)
    yield "pads.width_mm", text(Quantity(plan.pads.width_mm, "mm"))
    yield "unit.max_current_ma", text(Quantity(plan.unit.max_current_ma, "mA"))
    yield "unit.battery.hours_of_use", text(Quantity(plan.unit.battery.hours_of_use, "h"))


def small_pad_plan():
    settings = SettingsRequest(pulse_width_us=Decimal(200), pulse_rate_hz=Decimal(100))
    rx = replace(prescription("pelvic_pain", "sacral"), settings=settings,
                 pads=Pads("rectangle", Decimal(25), Decimal(25)))  # fmt: skip
    return plan(rx)


@pytest.mark.parametrize("made", [*demo_plans(), small_pad_plan()])
def test_every_number_has_its_figure(made):
    found = made.figures
    for name, value in expected_figures(made):
        assert name in found, name
        shown = found[name].value
        if value is None or name.startswith("output."):
            assert value is None or shown.split()[0] == value, name
        else:
            assert shown == value, name


@pytest.mark.parametrize("made", [*demo_plans(), small_pad_plan()])
def test_every_figure_says_how_and_from_where(made):
    for name, figure in made.figures.items():
        assert figure.field == name
        assert len(figure.how) > 4, name
        if figure.source.mark == "published":
            assert figure.source.citation, f"{name}: published where?"


def test_the_formula_shown_gives_the_value_shown():
    """Read the numbers out of the sentence and compute again, as an auditor would."""
    figures = small_pad_plan().figures
    number = r"[0-9.]+"

    def numbers(name):
        return [float(n) for n in re.findall(number, figures[name].how)]

    def value(name):
        return float(figures[name].value.split()[0])

    n, w, f = numbers("output.maximum.duty")
    assert n * w * 1e-6 * f == pytest.approx(value("output.maximum.duty"), rel=1e-3)
    peak, duty = re.search(rf"({number}) mA x sqrt\(({number})\)",
                           figures["output.maximum.rms_ma"].how).groups()  # fmt: skip
    assert float(peak) * float(duty) ** 0.5 == pytest.approx(
        value("output.maximum.rms_ma"), rel=1e-3
    )
    rms, area = re.search(rf"({number}) mA / ({number}) cm2",
                          figures["output.maximum.rms_density_ma_cm2"].how).groups()  # fmt: skip
    assert float(rms) / float(area) == pytest.approx(
        value("output.maximum.rms_density_ma_cm2"), rel=1e-3
    )
    weeks, a_week = numbers("schedule.session_count")[:2]
    assert weeks * a_week == value("schedule.session_count")
