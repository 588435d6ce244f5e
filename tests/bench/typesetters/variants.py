"""Many patients from one demo prescription: another name, record, goal and dates each."""

from __future__ import annotations

import re
from datetime import date, timedelta
from pathlib import Path

from docbuilder.inputs.clinic import demo_clinic_folder

CASES = {"Latin (en)": "urgency-tibial-en", "Arabic (ar + en)": "urgency-lower-abdomen-ar"}

_NAMES = {
    "en": ("Ada", "Ben", "Cleo", "Dana", "Eli", "Fay", "Gus", "Hal", "Ida", "Jo"),
    "ar": ("سالم", "أمينة", "نور", "ليلى", "كريم", "هدى", "ياسر", "منى", "رامي", "سعاد"),
}
_FAMILY = {"en": "Example", "ar": "المثالي"}
_DAY = re.compile(r"(?<!born: )\b(20[0-9]{2})-([0-9]{2})-([0-9]{2})\b")


def write_variants(case: str, count: int, folder: Path, first: int = 0) -> list[Path]:
    """Write *count* prescriptions like the demo's *case*, from number *first*; return the files.

    No two have the same name, record number or dates, so that no typesetter can give
    back a page that it has made before.
    """
    source = demo_clinic_folder() / "prescriptions" / f"{case}.yaml"
    text = source.read_text(encoding="utf-8")
    tag = case[-2:]
    files = []
    for number in range(first, first + count):
        name = f"{_NAMES[tag][number % 10]} {_FAMILY[tag]} {chr(65 + number // 10 % 26)}"
        made = re.sub(r"(?m)^  name: .*$", f"  name: {name}", text, count=1)
        made = made.replace("record_number: DEMO", f"record_number: T{number:05}")
        # Another 80 weeks in all, then the same days with another record.
        weeks = timedelta(days=7 * (number % 80))
        made = _DAY.sub(lambda found, weeks=weeks: _later(found, weeks), made)
        path = folder / f"{case}-{number:05}.yaml"
        path.write_text(made, encoding="utf-8")
        files.append(path)
    return files


def _later(found: re.Match[str], weeks: timedelta) -> str:
    return (date.fromisoformat(found[0]) + weeks).isoformat()
