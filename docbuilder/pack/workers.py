"""Worker processes for a batch: alike on every system, and never left behind."""

from __future__ import annotations

import multiprocessing
import os
import signal
import threading
from collections.abc import Iterator
from concurrent.futures import Executor, ProcessPoolExecutor
from contextlib import contextmanager
from multiprocessing import resource_tracker
from multiprocessing.connection import wait

__all__ = ["free_processors", "worker_pool"]


def worker_pool(count: int) -> Executor:
    """Return a pool of *count* processes that leave Ctrl-C to the one that started them."""
    pool = ProcessPoolExecutor(
        count, mp_context=multiprocessing.get_context("spawn"), initializer=_begin
    )
    with _interrupts_held():
        # A task starts a process while none is idle. One interrupted as it loads would print a
        # traceback, so all start here.
        for _ in range(count):
            pool.submit(int)
    return pool


def free_processors() -> int:
    """Return how many processors this process may use."""
    if hasattr(os, "sched_getaffinity"):
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1


@contextmanager
def _interrupts_held() -> Iterator[None]:
    """Keep Ctrl-C waiting; a process started meanwhile keeps it waiting for ever (POSIX)."""
    if not hasattr(signal, "pthread_sigmask"):
        yield
        return
    # Its own start would let Ctrl-C through again, so it comes first.
    resource_tracker.ensure_running()
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)


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
