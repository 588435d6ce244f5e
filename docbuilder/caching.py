"""What a process remembers between documents: the one policy for all caches.

A batch builds many packs that share most of their words, drawings and fonts. Functions
whose result hangs on their arguments alone are marked with how many results to keep:

    @kept(512)
    def shape(font: Font, text: str) -> Word: ...

* A cache changes time, never bytes: results are immutable, and a test builds packs with
  and without caches.
* Every cache is bounded, by results, the least recently used one goes first. So memory
  stops growing once they are full.
* Caches belong to the process: nothing is shared or stored, and nothing outlives it.

Where one object must stand for one thing (a font is opened once), `functools.cache` says
so instead: that is identity, and it is never turned off.
"""

from __future__ import annotations

import os
from collections.abc import Callable
from functools import lru_cache
from pathlib import Path
from typing import Any, ParamSpec, TypeVar, cast

__all__ = ["SWITCH", "fill", "forget", "kept", "memo", "version_of"]

SWITCH = "DOCBUILDER_CACHES"
"""Environment variable; "off" when a process starts keeps nothing, to look for a fault."""

_OFF = os.environ.get(SWITCH) == "off"
_Given = ParamSpec("_Given")
_Made = TypeVar("_Made")
_caches: dict[str, Any] = {}


def kept(most: int) -> Callable[[Callable[_Given, _Made]], Callable[_Given, _Made]]:
    """Keep the results of a pure function, at most *most* of them."""

    def keep(function: Callable[_Given, _Made]) -> Callable[_Given, _Made]:
        caching = lru_cache(maxsize=0 if _OFF else most)(function)
        _caches[f"{function.__module__}.{function.__qualname__}"] = caching
        return cast(Callable[_Given, _Made], caching)

    return keep


def version_of(path: Path) -> tuple[int, int]:
    """Return what tells one state of a file from another: when it was changed, and its size.

    An argument of functions that keep what they read, so that a changed file is read anew.

    Raises:
        OSError: There is no such file, or it must not be looked at.
    """
    status = path.stat()
    return status.st_mtime_ns, status.st_size


def memo() -> dict[Any, Any]:
    """Return an empty mapping for results kept with the object that they belong to.

    They go when it goes; where caches are off it stays empty.
    """
    return _Sieve() if _OFF else {}


class _Sieve(dict[Any, Any]):
    def __setitem__(self, key: object, value: object) -> None:
        """Keep nothing."""


def forget() -> None:
    """Empty every cache, as at the start of a process."""
    for caching in _caches.values():
        caching.cache_clear()


def fill() -> dict[str, tuple[int, int]]:
    """Return how many results each cache holds, and how many it may hold."""
    infos = {name: caching.cache_info() for name, caching in sorted(_caches.items())}
    return {name: (info.currsize, info.maxsize) for name, info in infos.items()}
