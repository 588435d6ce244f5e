"""Prescriptions made by hand, every question answered no until a test says otherwise."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from functools import cache

from docbuilder.clinical.plan import make_plan
from docbuilder.clinical.protocols import case_of
from docbuilder.clinical.screening import Screened, screen
from docbuilder.inputs.knowledge import read_knowledge
from docbuilder.inputs.unit import read_unit
from docbuilder.model.clinic import Clinic
from docbuilder.model.knowledge import Knowledge
from docbuilder.model.plan import Plan
from docbuilder.model.prescription import (
    Clinician,
    Patient,
    Prescription,
    Reason,
    ScheduleRequest,
    SettingsRequest,
)
from docbuilder.model.unit import Unit
from docbuilder.paths import data_folder

DAY = date(2026, 12, 1)
CLINIC = Clinic(
    name="Example Clinic", phone="555-0100", territory="US", language="en", emergency_number="911"
)


@cache
def knowledge() -> Knowledge:
    return read_knowledge()


@cache
def unit() -> Unit:
    return read_unit(data_folder("demo") / "units" / "demo-duo.yaml")


def prescription(
    indication: str = "urgency",
    placement: str = "tibial",
    *,
    born: date | None = date(1980, 5, 1),
    sex: str | None = "female",
    guardian: str | None = None,
    reasons: tuple[str, ...] = (),
    only: bool = False,
    **answers: str | None,
) -> Prescription:
    """Return a prescription; *only* drops the answers that are not given as keywords."""
    given = {} if only else dict.fromkeys((rule.code for rule in knowledge().screening), "no")
    given |= answers
    return Prescription(
        patient=Patient("Sam Sample", "X-1", "en", born, sex, guardian_name=guardian),
        indication=indication,
        placement=placement,
        side="left" if placement == "tibial" else "midline",
        device="demo-duo",
        settings=SettingsRequest(),
        schedule=ScheduleRequest(start=date(2026, 12, 7)),
        clinician=Clinician("Alex Example", "physiotherapist"),
        prescribed_on=DAY,
        screening={code: answer for code, answer in given.items() if answer is not None},
        reasons=tuple(Reason(about, "agreed after review", "Dr Example") for about in reasons),
    )


def screened(rx: Prescription, clinic: Clinic = CLINIC) -> Screened:
    return screen(rx, case_of(rx, clinic, unit()), knowledge())


def plan(rx: Prescription, clinic: Clinic = CLINIC, **unit_changes: object) -> Plan:
    return make_plan(rx, clinic, replace(unit(), **unit_changes), knowledge())
