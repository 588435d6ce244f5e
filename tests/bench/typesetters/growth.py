"""Our batch from ten packs to many: packs a second and memory, first tenth against last."""

from __future__ import annotations

import shutil
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path
from statistics import mean

from memory import watched_memory
from variants import CASES, write_variants

from docbuilder.pack.batch import BatchOrder, Job, build_many
from docbuilder.pack.build import BuildOptions
from docbuilder.pack.desk import Desk
from docbuilder.pack.identity import folder_name
from docbuilder.pack.workers import worker_pool

_HEADS = ("packs", "packs a second", "first tenth, MB", "last tenth, MB", "change", "most, MB")


def table(counts: tuple[int, ...]) -> str:
    """Return Markdown: a row for each count."""
    lines = ["| " + " | ".join(_HEADS) + " |", "|" + "---|" * len(_HEADS)]
    for count in counts:
        rate, first, last, most = grow(count)
        change = f"{100 * (last / first - 1):+.1f} %"
        cells = (f"{count:,}", f"{rate:.2f}", f"{first:.0f}", f"{last:.0f}", change, f"{most:.0f}")
        lines.append("| " + " | ".join(cells) + " |")
    return "\n".join(lines) + "\n"


def grow(count: int) -> tuple[float, float, float, float]:
    """Build *count* packs; return packs a second, memory of first and last tenth, and the most.

    Memory is that of this process and both workers. Each pack is removed once it stands, so
    that the disk does not fill; the first tenth begins when every worker has built a pack.
    """
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        order = BatchOrder(None, folder / "out", BuildOptions(), Desk().state)
        done: list[int] = []
        built = 0
        with worker_pool(2) as pool, watched_memory(own=True) as seen:
            began = time.perf_counter()
            for result in build_many(_jobs(folder, count), order, pool):
                built += result.status == "built"
                shutil.rmtree(order.out / folder_name(result.pack), ignore_errors=True)
                done.append(len(seen))
            seconds = time.perf_counter() - began
        if built != count:
            raise SystemExit(f"{built} packs of {count} were built")
        tenth = max(count // 10, 1)
        start = min(3, count - tenth - 1)
        first = seen[done[start] : done[start + tenth - 1] + 1]
        last = seen[done[-tenth] :]
        return count / seconds, mean(first or seen), mean(last or seen[-1:]), max(seen)


def _jobs(folder: Path, count: int) -> Iterator[Job]:
    """Yield jobs in turns of the cases, each file written when its turn comes."""
    cases = list(CASES.values())
    for number in range(count):
        case = cases[number % len(cases)]
        path = write_variants(case, 1, folder, first=number)[0]
        yield Job(number + 1, path.name, path)
