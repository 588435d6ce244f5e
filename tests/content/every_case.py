"""Every protocol, site and side of the shipped knowledge, as prescriptions and plans."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date
from functools import cache

from example_plans import CLINIC

from docbuilder.clinical.plan import make_plan
from docbuilder.errors import Refused
from docbuilder.inputs.knowledge import read_knowledge
from docbuilder.inputs.unit import read_unit
from docbuilder.model.prescription import (
    Clinician,
    Patient,
    Prescription,
    Reason,
    ScheduleRequest,
    SettingsRequest,
)
from docbuilder.paths import data_folder


@cache
def knowledge():
    return read_knowledge(None)


@cache
def unit(name):
    return read_unit(data_folder("demo") / "units" / f"{name}.yaml")


def cases():
    for protocol in knowledge().protocols:
        sides = ("left", "right", "both") if protocol.site == "tibial" else ("midline",)
        variants = ("above_first", "foot_arch") if protocol.site == "tibial" else ("above_first",)
        for side in sides:
            for variant in variants:
                yield protocol.indication, protocol.site, side, variant


CASES = sorted(set(cases()))


def prescription(indication, site, side, variant):
    child = indication == "child_overactive_bladder"
    questions = {rule.code: "no" for rule in knowledge().screening}
    return Prescription(
        patient=Patient(
            "Ada Example", "DEMO-7", "en", date(2016, 1, 2) if child else date(1950, 1, 2),
            "female", 130 if child else 165, guardian_name="Pat Sample" if child else None,
        ),
        indication=indication,
        placement=site,
        side=side,
        device="demo-duo",
        settings=SettingsRequest(),
        schedule=ScheduleRequest(date(2026, 11, 30)),
        clinician=Clinician("Jordan Placeholder", "physio"),
        prescribed_on=date(2026, 11, 25),
        screening=questions,
        tibial_variant=variant,
    )  # fmt: skip


@cache
def plan(*case):
    rx = prescription(*case)
    try:
        return make_plan(rx, CLINIC, unit("demo-duo"), knowledge())
    except Refused as refused:
        # Some guidance asks for a written reason: give it; nothing else may be wrong.
        about = re.findall(r"written reason about (\S+)", str(refused))
        reasons = tuple(Reason(code, "Weighed together", "Jordan Placeholder") for code in about)
        rx = replace(rx, reasons=reasons)
        return make_plan(rx, CLINIC, unit("demo-duo"), knowledge())
