"""Commands and batches from outside: seconds, packs a second, and memory."""

from __future__ import annotations

import multiprocessing
import os
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor
from contextlib import contextmanager
from pathlib import Path

from engines import SUFFIX, make_folder

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
        [sys.executable, "-S", "-c", _LAUNCH, *command], capture_output=True, text=True, check=True
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


@contextmanager
def watched_memory(*, own: bool) -> Iterator[list[float]]:
    """Sample the resident memory (MB) of the child processes, and of this one if *own*."""
    seen: list[float] = []
    stop = threading.Event()

    def sample() -> None:
        while True:
            seen.append(_resident_mb(own))
            if stop.wait(0.1):
                return

    watch = threading.Thread(target=sample, daemon=True)
    watch.start()
    try:
        yield seen
    finally:
        stop.set()
        watch.join()


def _resident_mb(own: bool) -> float:
    """Return resident memory (Linux); pages that processes share count for each."""
    total, me = 0, os.getpid()
    for entry in Path("/proc").iterdir():
        if not entry.name.isdigit():
            continue
        try:
            fields = (entry / "stat").read_text().rpartition(")")[2].split()
        except OSError:
            continue
        if (int(entry.name) == me and own) or int(fields[1]) == me:
            total += int(fields[21]) * os.sysconf("SC_PAGE_SIZE")
    return total / 1e6


if __name__ == "__main__":
    sys.exit("a part of compare.py")
