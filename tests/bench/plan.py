"""How long planning one prescription takes, warm: python tests/bench/plan.py"""

from __future__ import annotations

import sys
import time
from pathlib import Path
from statistics import median

from docbuilder.clinical.plan import make_plan
from docbuilder.errors import Refused
from docbuilder.inputs.clinic import read_clinic
from docbuilder.inputs.knowledge import read_knowledge
from docbuilder.inputs.prescription import read_prescription
from docbuilder.inputs.unit import find_unit
from docbuilder.paths import data_folder

ROUNDS = 200


def main() -> int:
    demo: Path = data_folder("demo")
    clinic = read_clinic(demo)
    knowledge = read_knowledge(clinic)
    slowest = 0.0
    for path in sorted((demo / "prescriptions").glob("*.yaml")):
        rx = read_prescription(path)
        unit = find_unit(rx.device, clinic)
        times = []
        for _ in range(ROUNDS):
            began = time.perf_counter()
            try:
                make_plan(rx, clinic, unit, knowledge)
                outcome = "planned"
            except Refused:
                outcome = "refused"
            times.append((time.perf_counter() - began) * 1e3)
        slowest = max(slowest, median(times))
        sys.stdout.write(f"{path.stem:28} {outcome}  median {median(times):.2f} ms\n")
    sys.stdout.write(f"slowest median {slowest:.2f} ms, goal 5 ms\n")
    return int(slowest > 5)


if __name__ == "__main__":
    sys.exit(main())
