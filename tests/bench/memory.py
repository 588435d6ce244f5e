"""Resident memory of a batch's processes while it runs (Linux)."""

from __future__ import annotations

import os
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path


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
