"""A long batch, its speed and memory: python tests/bench/batch.py [PACKS [PROCESSES [PAPERS]]]

Builds a list of mixed prescriptions (each demo patient in turn, another record number)
with one and with two processes, or with as many as asked, all papers or those named
("diary,handout"), then writes cover lists and print runs. The memory of all processes is
sampled and told for each tenth of the list and for the writing at the end. Targets: 600 MB
in all, last tenth within 10 % of the first.
"""

from __future__ import annotations

import sys
import tempfile
import time
from collections.abc import Iterator
from concurrent.futures import Executor
from contextlib import nullcontext
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path
from statistics import mean

from memory import watched_memory

from docbuilder.inputs.clinic import demo_clinic_folder
from docbuilder.model.prescription import DOCUMENT_KINDS
from docbuilder.pack.batch import BatchOrder, Job, Result, build_many
from docbuilder.pack.build import BuildOptions
from docbuilder.pack.desk import Desk
from docbuilder.pack.piles import piles
from docbuilder.pack.summary import write_piles
from docbuilder.pack.workers import worker_pool

PACKS, WARM_UPS, ALL_MB, GROWTH = 200, 40, 600.0, 0.10


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


@dataclass(frozen=True, slots=True)
class Measured:
    """What one run took; memory in MB, of all processes."""

    built: int
    seconds: float
    tenths: tuple[float, ...]
    """Mean of each tenth; the first begins when code and fonts are loaded."""
    at_end: float
    """Most while cover lists and print runs were written."""
    most: float
    end_seconds: float
    end_mb: float
    """Size of the print runs."""


def run(workers: int, count: int, options: BuildOptions) -> Measured:
    """Build *count* packs and write what lies beside them."""
    with tempfile.TemporaryDirectory() as name:
        folder, desk = Path(name), Desk()
        order = BatchOrder(None, folder / "out", options, desk.state)
        pool = worker_pool(workers) if workers > 1 else nullcontext(None)
        results: list[Result] = []
        ends = [0]
        with pool as executor, watched_memory(own=True) as seen:  # type: ignore[attr-defined]
            assert executor is None or isinstance(executor, Executor)
            began = time.perf_counter()
            for result in build_many(sources(folder, count), order, executor):
                results.append(result)
                if result.issues:
                    sys.stderr.write(f"{result.label}: {result.issues[0]}\n")
                if len(results) == min(WARM_UPS, count // 20):
                    ends[0] = len(seen)
                if len(results) * 10 // count >= len(ends):
                    ends.append(len(seen))
                    sys.stderr.write(f"{len(results)} packs, {mean(seen[ends[-2] :]):.0f} MB\n")
            seconds = time.perf_counter() - began
            written = write_piles(piles(results), order.out, desk.clinic, [])
            end_seconds = time.perf_counter() - began - seconds
        return Measured(
            built=sum(one.status == "built" for one in results),
            seconds=seconds,
            tenths=tuple(mean(seen[a:b] or seen[-1:]) for a, b in pairwise(ends)),
            at_end=max(seen[ends[-1] :], default=0.0),
            most=max(seen),
            end_seconds=end_seconds,
            end_mb=sum((order.out / one).stat().st_size for one in written) / 1e6,
        )


def main() -> int:
    count = int(sys.argv[1]) if len(sys.argv) > 1 else PACKS
    papers = sys.argv[3].split(",") if len(sys.argv) > 3 else []
    options = BuildOptions(documents=tuple(one for one in DOCUMENT_KINDS if one in papers))
    missed = False
    for workers in (int(sys.argv[2]),) if len(sys.argv) > 2 else (1, 2):
        found = run(workers, count, options)
        change = found.tenths[-1] / found.tenths[0] - 1
        sys.stdout.write(
            f"{workers} processes, {found.built} packs: {found.built / found.seconds:.2f} packs/s\n"
            f"MB by tenths: {' '.join(f'{one:.0f}' for one in found.tenths)}; "
            f"last against first {change:+.1%}; most {found.most:.0f}\n"
            f"cover lists and print runs: {found.end_mb:.0f} MB in {found.end_seconds:.0f} s, "
            f"at most {found.at_end:.0f} MB of memory\n"
        )
        missed |= found.built != count or change > GROWTH or found.most > ALL_MB
    return int(missed)


if __name__ == "__main__":
    sys.exit(main())
