"""Worker processes for a batch: alike on every system, and never left behind."""

from __future__ import annotations

import multiprocessing
import os
import signal
import threading
from concurrent.futures import Executor, ProcessPoolExecutor
from multiprocessing.connection import wait

__all__ = ["free_processors", "worker_pool"]


def worker_pool(count: int) -> Executor:
    """Return a pool of *count* processes that leave Ctrl-C to the one that started them."""
    return ProcessPoolExecutor(
        count, mp_context=multiprocessing.get_context("spawn"), initializer=_begin
    )


def free_processors() -> int:
    """Return how many processors this process may use."""
    if hasattr(os, "sched_getaffinity"):
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1


def _begin() -> None:
    # The pack in hand is finished whole; the parent sends no more.
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    parent = multiprocessing.parent_process()
    if parent is not None:
        threading.Thread(target=_end_with, args=(parent.sentinel,), daemon=True).start()


def _end_with(sentinel: int) -> None:
    """End this process when its parent was killed; it would wait for work for ever."""
    wait([sentinel])
    os._exit(1)
