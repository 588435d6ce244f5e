"""How long one pack takes, warm and cold, and how much memory: python tests/bench/pack.py

Warm, each pack is of another patient with other dates, so that nothing is timed that was
made before. Targets, on two cores: 1.0 s warm, 3 s for the whole command, 300 MB, and
250 kB a pack in one language. With `--profile` it also lists the functions that take the
most time of their own.
"""

from __future__ import annotations

import cProfile
import io
import os
import pstats
import sys
import tempfile
import time
from pathlib import Path
from statistics import median

from installed import AS_INSTALLED
from typesetters.variants import write_variants

from docbuilder.inputs.clinic import demo_clinic_folder
from docbuilder.pack.build import BuildOptions, Pack
from docbuilder.pack.desk import Desk

WARM_S, COLD_S, PEAK_MB, SIZE_KB = 1.0, 3.0, 300.0, 250.0
ROUNDS, FIRST, COLD_ROUNDS = 20, 5, 5
CASES = {"en": "urgency-tibial-en", "ar + en": "urgency-lower-abdomen-ar"}


def source(name: str) -> Path:
    return demo_clinic_folder() / "prescriptions" / f"{name}.yaml"


def make(desk: Desk, path: Path) -> Pack:
    options = BuildOptions()
    return desk.make(desk.prepare(path, options), options)


def warm(name: str) -> tuple[float, float, Pack]:
    """Return seconds by the wall and of the processor for one more pack; medians."""
    desk = Desk(demo_clinic_folder())
    times, used = [], []
    with tempfile.TemporaryDirectory() as folder:
        for number, path in enumerate(write_variants(name, FIRST + ROUNDS, Path(folder))):
            began, before = time.perf_counter(), time.process_time()
            pack = make(desk, path)
            if number >= FIRST:
                times.append(time.perf_counter() - began)
                used.append(time.process_time() - before)
    return median(times), median(used), pack


def cold(path: Path) -> tuple[float, float, float]:
    """Return seconds (wall, processor) and peak megabytes of the whole command."""
    rows = []
    for number in range(COLD_ROUNDS + 1):
        with tempfile.TemporaryDirectory() as out:
            began = time.perf_counter()
            row = _run("build", str(path), "--out", out, began=began)
        if number:  # the first one warms the disk
            rows.append(row)
    times, used, peaks = zip(*rows, strict=True)
    return median(times), median(used), max(peaks)


def _run(*arguments: str, began: float) -> tuple[float, float, float]:
    quiet = [(os.POSIX_SPAWN_OPEN, 1, os.devnull, os.O_WRONLY, 0)]
    command = [sys.executable, "-m", "docbuilder", *arguments]
    child = os.posix_spawn(sys.executable, command, AS_INSTALLED, file_actions=quiet)
    _, status, used = os.wait4(child, 0)
    if status:
        raise SystemExit(f"docbuilder {' '.join(arguments)} ended with {status}")
    processor = used.ru_utime + used.ru_stime
    return time.perf_counter() - began, processor, used.ru_maxrss / 1024  # kB on Linux


def profile(name: str) -> str:
    desk = Desk(demo_clinic_folder())
    watch = cProfile.Profile()
    with tempfile.TemporaryDirectory() as folder:
        for number, path in enumerate(write_variants(name, FIRST + 5, Path(folder))):
            if number >= FIRST:
                watch.enable()
            make(desk, path)
            watch.disable()
    told = io.StringIO()
    pstats.Stats(watch, stream=told).strip_dirs().sort_stats("tottime").print_stats(25)
    return told.getvalue()


def main() -> int:
    columns = ("pages", "kB", "warm s", "(CPU)", "cold s", "(CPU)", "peak MB")
    sys.stdout.write("pack      " + "".join(f"{name:>9}" for name in columns) + "\n")
    aims = (WARM_S, COLD_S, PEAK_MB)
    missed = False
    # First, while this process is small: what a command's peak is counted from.
    commands = {label: cold(source(name)) for label, name in CASES.items()}
    for label, name in CASES.items():
        seconds, used, pack = warm(name)
        whole, whole_used, peak = commands[label]
        pages = sum(file.pages for file in pack.files)
        size = sum(len(file.data) for file in pack.files) / 1000
        sys.stdout.write(
            f"{label:10}{pages:>9}{size:>9.0f}{seconds:>9.2f}{used:>9.2f}"
            f"{whole:>9.2f}{whole_used:>9.2f}{peak:>9.0f}\n"
        )
        missed |= label == "en" and size > SIZE_KB
        missed |= any(found > aim for found, aim in zip((seconds, whole, peak), aims, strict=True))
    sys.stdout.write(
        f"{'target':10}{'':9}{SIZE_KB:>9.0f}{WARM_S:>9.2f}{'':9}{COLD_S:>9.2f}{'':9}{PEAK_MB:>9.0f}\n"
    )
    if "--profile" in sys.argv:
        for label, name in CASES.items():
            sys.stdout.write(f"\n{label}\n{profile(name)}")
    return int(missed)


if __name__ == "__main__":
    sys.exit(main())
