"""Batches of invented patients, small enough to build many of."""

from __future__ import annotations

import csv
from pathlib import Path

import yaml

from docbuilder.inputs.clinic import demo_clinic_folder
from docbuilder.pack.batch import BatchOrder, Job
from docbuilder.pack.build import BuildOptions
from docbuilder.pack.desk import Desk

__all__ = ["DIARY", "example_rows", "files_below", "jobs_of", "order_for", "write_csv"]

DIARY = BuildOptions(documents=("diary",))
_RX = demo_clinic_folder() / "prescriptions" / "urgency-tibial-en.yaml"


def example_rows(count: int, bad: tuple[int, ...] = ()) -> list[dict[str, str]]:
    """Return *count* rows, numbered from 1; those in *bad* are refused by the reader."""
    rx = yaml.load(_RX.read_text(encoding="utf-8"), Loader=yaml.BaseLoader)
    flat: dict[str, str] = {}
    for key, value in rx.items():
        parts = {key: value} if not isinstance(value, dict) else {
            f"{key}.{inner}": one for inner, one in value.items()
        }  # fmt: skip
        flat |= {
            name: " ".join(one) if isinstance(one, list) else one for name, one in parts.items()
        }
    return [
        flat
        | {
            "appointment": f"{9 + number % 8:02}:{number % 6}0",
            "patient.record_number": f"BATCH-{number:05}",
            "patient.name": f"Sample Person{number}",
            "schedule.weeks": "4",
            "schedule.reviews": "2026-12-29",
            "schedule.skip": "",
            **({"side": "centre"} if number in bad else {}),
        }
        for number in range(1, count + 1)
    ]


def write_csv(path: Path, rows: list[dict[str, str]]) -> Path:
    with path.open("w", newline="", encoding="utf-8") as stream:
        writer = csv.DictWriter(stream, list(rows[0]))
        writer.writeheader()
        writer.writerows(rows)
    return path


def order_for(out: Path, clinic: Path | None = None, *, replace: bool = False) -> BatchOrder:
    return BatchOrder(clinic, out, DIARY, Desk(clinic).state, replace)


def jobs_of(rows: list[Path]) -> list[Job]:
    return [Job(number, path.name, path) for number, path in enumerate(rows, start=1)]


def files_below(folder: Path) -> dict[str, bytes]:
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in sorted(folder.rglob("*"))
        if path.is_file()
    }
