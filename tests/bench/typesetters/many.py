"""Commands and batches from outside: seconds, packs a second, and memory."""

from __future__ import annotations

import multiprocessing
import subprocess
import sys
import time
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path

from engines import SUFFIX, make_folder
from installed import AS_INSTALLED
from memory import watched_memory

from docbuilder.pack.batch import BatchOrder, Job, build_many
from docbuilder.pack.build import BuildOptions
from docbuilder.pack.desk import Desk
from docbuilder.pack.workers import worker_pool

WARM_UPS = 6
"""Packs built before the clock starts, so that each process has loaded code and fonts."""
_WORKERS = 2


def write_sources(sources: list[str], engine: str, folder: Path) -> Path:
    """Write one pack's sources as files."""
    folder.mkdir(parents=True, exist_ok=True)
    for number, source in enumerate(sources):
        (folder / f"{number}{SUFFIX[engine]}").write_text(source, encoding="utf-8")
    return folder


# A process of its own starts the command: memory before the command counts for it too.
_LAUNCH = """
import os, sys, time
quiet = [(os.POSIX_SPAWN_OPEN, 1, os.devnull, os.O_WRONLY, 0)]
began = time.perf_counter()
child = os.posix_spawn(sys.argv[1], sys.argv[1:], os.environ, file_actions=quiet)
_, status, used = os.wait4(child, 0)
seconds = time.perf_counter() - began
print(status, seconds, used.ru_utime + used.ru_stime, used.ru_maxrss * 1024 / 1e6)
"""


def run_once(command: list[str]) -> tuple[float, float, float]:
    """Return seconds by the wall and of the processor, and peak memory (MB) of a command."""
    told = subprocess.run(
        [sys.executable, "-S", "-c", _LAUNCH, *command],
        capture_output=True,
        text=True,
        check=True,
        env=AS_INSTALLED,
    )
    status, seconds, used, peak = told.stdout.split()
    if int(status):
        raise SystemExit(f"{' '.join(command)} ended with {status}: {told.stderr}")
    return float(seconds), float(used), float(peak)


def ours(files: list[Path], out: Path) -> tuple[float, float]:
    """Return packs a second and the workers' peak memory (MB) of our batch."""
    order = BatchOrder(None, out, BuildOptions(), Desk().state)
    jobs = [Job(number, path.name, path) for number, path in enumerate(files, start=1)]
    with worker_pool(_WORKERS) as pool:
        list(build_many(jobs[:WARM_UPS], order, pool))
        with watched_memory(own=False) as seen:
            began = time.perf_counter()
            built = [one.status for one in build_many(jobs[WARM_UPS:], order, pool)]
            seconds = time.perf_counter() - began
    if set(built) != {"built"}:
        raise SystemExit(f"not all packs were built: {set(built)}")
    return len(built) / seconds, max(seen)


def theirs(engine: str, folders: list[Path], out: Path) -> tuple[float, float]:
    """Return packs a second and the workers' peak memory (MB) of a typesetter."""
    context = multiprocessing.get_context("spawn")
    with ProcessPoolExecutor(_WORKERS, mp_context=context) as pool:
        jobs = [(engine, folder, out / folder.name) for folder in folders]
        list(pool.map(_make, jobs[:WARM_UPS]))
        with watched_memory(own=False) as seen:
            began = time.perf_counter()
            made = list(pool.map(_make, jobs[WARM_UPS:]))
            seconds = time.perf_counter() - began
    return len(made) / seconds, max(seen)


def _make(job: tuple[str, Path, Path]) -> int:
    return make_folder(*job)


if __name__ == "__main__":
    sys.exit("a part of compare.py")
