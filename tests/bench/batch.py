"""Packs a second and memory over a long batch: python tests/bench/batch.py [PACKS [PROCESSES]]

Builds a list of mixed prescriptions (each demo patient in turn, another record number)
with one and with two processes, or with as many as asked, samples the memory of every
process, and prints what came of the first and the last tenth. Targets: 600 MB in all, last
tenth within 10 % of the first.
"""

from __future__ import annotations

import sys
import tempfile
import time
from collections.abc import Iterator
from concurrent.futures import Executor
from contextlib import nullcontext
from pathlib import Path
from statistics import mean

from memory import watched_memory

from docbuilder.inputs.clinic import demo_clinic_folder
from docbuilder.pack.batch import BatchOrder, Job, build_many
from docbuilder.pack.build import BuildOptions
from docbuilder.pack.desk import Desk
from docbuilder.pack.workers import worker_pool

PACKS, ALL_MB, GROWTH = 200, 600.0, 0.10


def sources(folder: Path, count: int) -> Iterator[Job]:
    """Yield jobs, each file made when its turn comes."""
    demos = [
        path.read_text(encoding="utf-8")
        for path in sorted((demo_clinic_folder() / "prescriptions").glob("*.yaml"))
        if not path.stem.endswith("-refused")
    ]
    for number in range(1, count + 1):
        path = folder / f"{number:05}.yaml"
        text = demos[number % len(demos)].replace("DEMO-1", f"BENCH-{number:05}-")
        path.write_text(text, encoding="utf-8")
        yield Job(number, path.name, path)


def run(workers: int, count: int) -> tuple[float, int, list[float]]:
    """Return seconds, packs built and the memory over time."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        order = BatchOrder(None, folder / "out", BuildOptions(), Desk().state)
        pool = worker_pool(workers) if workers > 1 else nullcontext(None)
        with pool as executor, watched_memory(own=True) as seen:  # type: ignore[attr-defined]
            assert executor is None or isinstance(executor, Executor)
            began = time.perf_counter()
            built = 0
            for result in build_many(sources(folder, count), order, executor):
                built += result.status == "built"
                if built % max(count // 10, 1) == 0:
                    sys.stderr.write(f"{built} packs, {seen[-1]:.0f} MB\n")
                if result.issues:
                    sys.stderr.write(f"{result.label}: {result.issues[0]}\n")
            seconds = time.perf_counter() - began
    return seconds, built, seen


def main() -> int:
    count = int(sys.argv[1]) if len(sys.argv) > 1 else PACKS
    sys.stdout.write(
        f"{'processes':>10}{'packs':>8}{'packs/s':>9}{'first MB':>10}{'last MB':>9}{'most MB':>9}\n"
    )
    missed = False
    for workers in (int(sys.argv[2]),) if len(sys.argv) > 2 else (1, 2):
        seconds, built, seen = run(workers, count)
        # The start loads code and fonts; it is not part of what grows.
        steady = seen[len(seen) // 10 :]
        tenth = max(len(steady) // 10, 1)
        first, last = mean(steady[:tenth]), mean(steady[-tenth:])
        sys.stdout.write(
            f"{workers:>10}{built:>8}{built / seconds:>9.2f}{first:>10.0f}{last:>9.0f}"
            f"{max(seen):>9.0f}\n"
        )
        missed |= built != count or last > first * (1 + GROWTH) or max(seen) > ALL_MB
    return int(missed)


if __name__ == "__main__":
    sys.exit(main())
