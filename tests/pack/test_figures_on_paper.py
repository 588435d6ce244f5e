"""Every number on the demo pages can be followed to a formula or a source."""

from __future__ import annotations

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
    return "\n".join(f"{figure.value}\n{figure.how}" for figure in plan.figures.values())


def known_otherwise(source: Path) -> set[str]:
    """Return numbers that are counted on the page itself, or written in the prescription."""
    pack = made(source, "en")
    plan, clinic = pack.plan, pack.plan.clinic
    counted = {str(number) for number in range(1, 32)}  # steps, days, weeks, rows of a calendar
    counted |= {str(len(plan.screening)), str(plan.prescription.prescribed_on.year)}
    counted |= {str(session.day.year) for session in plan.schedule.sessions}
    counted |= {str(session.number) for session in plan.schedule.sessions}
    opening = [time for hours in clinic.hours for time in (hours.opens, hours.closes)]
    counted |= {f"{time.hour % 12}:{time.minute:02}" for time in opening}
    written = [
        plan.prescription.patient.name, plan.prescription.patient.record_number,
        clinic.phone, clinic.emergency_number, *clinic.address,
        plan.prescription.goal or "", plan.prescription.clinician.registration or "",
        *(file.document_id for file in pack.files), plan.consent.digest,
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
