"""Worker processes for a batch: alike on every system, and never left behind."""

from __future__ import annotations

import multiprocessing
import os
import signal
import threading
from collections.abc import Callable, Iterator
from concurrent.futures import Executor, Future, ProcessPoolExecutor
from contextlib import contextmanager
from multiprocessing import resource_tracker
from multiprocessing.connection import wait
from typing import ParamSpec, TypeVar

__all__ = ["TASKS_OF_A_LIFE", "free_processors", "worker_pool"]

_P = ParamSpec("_P")
_T = TypeVar("_T")

TASKS_OF_A_LIFE = 500
"""Packs that a process makes before another takes its place. Memory that was given back in
pieces is not all used again, so an old process is larger than its caches; to start anew takes
about as long as ten packs."""


def worker_pool(count: int, tasks_of_a_life: int = TASKS_OF_A_LIFE) -> Executor:
    """Return a pool of *count* processes that leave Ctrl-C to the one that started them.

    Processes are replaced together when there was work for *tasks_of_a_life* tasks each.
    """
    return _Generations(count, tasks_of_a_life * count)


class _Generations(Executor):
    """Pools one after another, each for so many tasks.

    The pool's own `max_tasks_per_child` would start processes from a thread of its own,
    where Ctrl-C is not held.
    """

    def __init__(self, count: int, tasks: int) -> None:
        self._count, self._tasks = count, tasks
        self._pool, self._sent = _processes(count), 0

    def submit(self, fn: Callable[_P, _T], /, *args: _P.args, **kwargs: _P.kwargs) -> Future[_T]:
        """Send a task, after the processes' last one was done if others take their place."""
        if self._sent == self._tasks:
            self._pool.shutdown()
            self._pool, self._sent = _processes(self._count), 0
        self._sent += 1
        return self._pool.submit(fn, *args, **kwargs)

    def shutdown(self, wait: bool = True, *, cancel_futures: bool = False) -> None:
        """End the processes that there are."""
        self._pool.shutdown(wait, cancel_futures=cancel_futures)


def _processes(count: int) -> ProcessPoolExecutor:
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
