"""Every number on the demo pages can be followed to a formula or a source."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pymupdf
import pytest
from built_packs import DEMOS, made, makeable

FURNITURE_MM = 22.0
"""Head and foot of a page: page x of y, version, ids; no figures of the plan."""
NUMBER = re.compile(r"\d+(?:[.,]\d+)?")


def numbers_of(data: bytes) -> dict[str, str]:
    """Return each number in the body of the pages with the line where it stands."""
    found: dict[str, str] = {}
    with pymupdf.open(stream=data) as document:
        for page in document:
            band = FURNITURE_MM * 72 / 25.4
            body = pymupdf.Rect(0, band, page.rect.width, page.rect.height - band)
            for line in page.get_text("text", clip=body).splitlines():
                for number in NUMBER.findall(line):
                    found.setdefault(number, line)
    return found


def sentences_and_values(source: Path) -> str:
    """Return everything that `docbuilder explain` lists, as one text."""
    plan = made(source, "en").plan
    figures = plan.figures.values()
    return "\n".join(f"{item.value}\n{item.how}\n{item.source.citation}" for item in figures)


def known_otherwise(source: Path) -> set[str]:
    """Return numbers that are counted on the page itself, or written in the prescription."""
    pack = made(source, "en")
    plan, clinic = pack.plan, pack.plan.clinic
    counted = {str(number) for number in range(1, 32)}  # steps, days, weeks, rows of a calendar
    counted |= {str(len(plan.screening)), str(plan.prescription.prescribed_on.year)}
    counted |= {str(session.day.year) for session in plan.schedule.sessions}
    counted |= {str(session.number) for session in plan.schedule.sessions}
    opening = [time for hours in clinic.hours for time in (hours.opens, hours.closes)]
    written = [
        plan.prescription.patient.name, plan.prescription.patient.record_number,
        clinic.phone, clinic.emergency_number, *clinic.address,
        *(f"{time.hour % 12}:{time.minute:02}" for time in opening),
        plan.prescription.goal or "", plan.prescription.clinician.registration or "",
        *(file.document_id for file in pack.files), plan.consent.digest,
        *(digest[:10] for digest in json.loads(pack.files[-1].data)["inputs"].values()),
        *(str(file.pages) for file in pack.files),
        *(reason.text for reason in plan.prescription.reasons),
    ]  # fmt: skip
    return counted | {number for text in written for number in NUMBER.findall(text)}


@pytest.mark.parametrize("source", DEMOS, ids=lambda path: path.stem)
@pytest.mark.parametrize("kind", ["handout", "consent", "diary", "checklist"])
def test_every_number_on_paper_is_explained(source: Path, kind: str) -> None:
    if source not in makeable():
        pytest.skip("refused by screening: there is no paper")
    told = set(NUMBER.findall(sentences_and_values(source))) | known_otherwise(source)
    paper = next(file for file in made(source, "en").files if file.kind == kind)
    lost = {number: line for number, line in numbers_of(paper.data).items() if number not in told}
    assert not lost


AMOUNT = re.compile(r"(\d+(?:\.\d+)?)\s(µC|mA/cm²|mW/cm²|mA|mW|mJ)")
AMOUNTS = {
    "µC": "charge_per_phase_uc", "mA": "rms_ma", "mA/cm²": "rms_density_ma_cm2",
    "mW/cm²": "power_density_mw_cm2", "mJ": "energy_per_pulse_mj",
}  # fmt: skip
CODES = {
    "rms_ma": "iec_rms", "rms_density_ma_cm2": "density_attention",
    "power_density_mw_cm2": "fda_power_density", "energy_per_pulse_mj": "iec_energy",
}  # fmt: skip


@pytest.mark.parametrize("source", makeable(), ids=lambda path: path.stem)
def test_each_cell_of_the_output_table_has_its_own_figure(source: Path) -> None:
    """Row by row: not only some figure with these digits, but the one of this very cell."""
    plan = made(source, "en").plan
    paper = next(file for file in made(source, "en").files if file.kind == "checklist")
    with pymupdf.open(stream=paper.data) as document:
        text = "".join(page.get_text("text") for page in document)
    table = text[text.index("Output into") : text.index("Call after")]
    found = AMOUNT.findall(table)
    heads = [output.peak_ma for output in plan.output]
    assert [number for number, _ in found[: len(heads)]] == [
        f"{peak.normalize():f}" for peak in heads
    ]
    rest = iter(found[len(heads) :])
    for number, unit in rest:
        name = AMOUNTS[unit]
        cells = [number, *(next(rest)[0] for _ in heads[1:])]
        for cell, output in zip(cells, plan.output, strict=True):
            figure = plan.figures[f"output.{output.label}.{name}"]
            prints = figure.how.partition("; prints as ")[2] or figure.value.split()[0]
            assert cell == prints, (name, output.label)
        if name in CODES:
            limit = plan.figures[f"limits.{CODES[name]}.limit"].value
            assert next(rest)[0] == limit.split()[0], name
