"""What a process remembers between documents: the one policy for all caches.

A batch builds many packs that share most of their words, drawings and fonts. Functions
whose result hangs on their arguments alone are marked with how many results to keep:

    @kept(512)
    def shape(font: Font, text: str) -> Word: ...

* A cache changes time, never bytes: results are immutable, and a test builds packs with
  and without caches.
* Every cache is bounded, by results, the least recently used one goes first. So memory
  stops growing once they are full.
* Caches belong to the process: nothing is shared or stored, and nothing outlives it. While
  it runs, they hold words of the patients whose papers it has made.

Where one object must stand for one thing (a font is opened once), `functools.cache` says
so instead: that is identity, and it is never turned off.
"""

from __future__ import annotations

import os
from collections import OrderedDict
from collections.abc import Callable
from functools import lru_cache
from hashlib import sha256
from pathlib import Path
from threading import Lock
from typing import Any, Generic, NamedTuple, ParamSpec, TypeVar, cast

__all__ = ["SWITCH", "Ledger", "Shelf", "fill", "forget", "kept", "memo", "version_of"]

SWITCH = "DOCBUILDER_CACHES"
"""Environment variable; "off" when a process starts keeps nothing, to look for a fault."""

_OFF = os.environ.get(SWITCH) == "off"
_NOTED = 4
"""A shelf notes so many times more keys than it holds things."""
_Given = ParamSpec("_Given")
_Made = TypeVar("_Made")
_Key = TypeVar("_Key")
_Thing = TypeVar("_Thing")
_caches: dict[str, Any] = {}


def kept(most: int) -> Callable[[Callable[_Given, _Made]], Callable[_Given, _Made]]:
    """Keep the results of a pure function, at most *most* of them."""

    def keep(function: Callable[_Given, _Made]) -> Callable[_Given, _Made]:
        caching = lru_cache(maxsize=0 if _OFF else most)(function)
        _caches[f"{function.__module__}.{function.__qualname__}"] = caching
        return cast(Callable[_Given, _Made], caching)

    return keep


def version_of(path: Path) -> str:
    """Return what tells one state of a file from another: the digest of what it holds.

    An argument of functions that keep what they read, so that a changed file is read anew.
    Its date and size would not do: another figure in a profile leaves the size, and copying,
    restoring and unpacking can leave the date.

    Raises:
        OSError: There is no such file, or it must not be looked at.
    """
    return sha256(path.read_bytes()).hexdigest()


def memo() -> dict[Any, Any]:
    """Return an empty mapping for results kept with the object that they belong to.

    They go when it goes; where caches are off it stays empty.
    """
    return _Sieve() if _OFF else {}


class _Store(Generic[_Key, _Thing]):
    """At most *most* things by their keys; threads may share it."""

    def __init__(self, name: str, most: int) -> None:
        self._things: OrderedDict[_Key, _Thing] = OrderedDict()
        self._most = 0 if _OFF else most
        self._lock = Lock()
        _caches[name] = self

    def cache_clear(self) -> None:
        """Empty it."""
        with self._lock:
            self._things.clear()

    def cache_info(self) -> _Info:
        """Return how much it holds and how much it may."""
        return _Info(len(self._things), self._most)

    def _add(self, key: _Key, thing: _Thing) -> None:
        """Add a thing as the newest; the oldest go. The lock is held."""
        self._things[key] = thing
        self._things.move_to_end(key)
        while len(self._things) > self._most:
            self._things.popitem(last=False)


class Shelf(_Store[_Key, _Thing]):
    """Things that only one user may have at a time: taken off the shelf, and put back.

    At most *most* of them; what was put back longest ago goes first. A copy that is put
    beside another takes its place. What is asked for a first time is only noted: most of
    what one patient's papers hold alone is never asked for again. Threads may share a shelf.
    """

    def __init__(self, name: str, most: int) -> None:
        super().__init__(name, most)
        self._asked: OrderedDict[int, None] = OrderedDict()

    def take(self, key: _Key) -> _Thing | None:
        """Return the thing and take it off the shelf; None if it is not there."""
        with self._lock:
            return self._things.pop(key, None)

    def worth_it(self, key: _Key) -> bool:
        """Tell whether a thing that is not there has been asked for before, and note it."""
        with self._lock:
            number = hash(key)
            known = number in self._asked
            self._asked[number] = None
            self._asked.move_to_end(number)
            while len(self._asked) > _NOTED * self._most:
                self._asked.popitem(last=False)
            return known

    def put(self, key: _Key, thing: _Thing) -> None:
        """Put a thing back, or a new one on the shelf."""
        with self._lock:
            self._add(key, thing)

    def cache_clear(self) -> None:
        """Clear the shelf."""
        super().cache_clear()
        with self._lock:
            self._asked.clear()


class Ledger(_Store[_Key, _Thing]):
    """What has been found out, by key: for results whose arguments must not be kept.

    At most *most* of them, the least recently used one goes first. Threads may share it.
    """

    def look_up(self, key: _Key) -> _Thing | None:
        """Return what is known under *key*."""
        with self._lock:
            found = self._things.get(key)
            if found is not None:
                self._things.move_to_end(key)
            return found

    def note(self, key: _Key, thing: _Thing) -> None:
        """Write down what was found."""
        with self._lock:
            self._add(key, thing)


class _Info(NamedTuple):
    currsize: int
    maxsize: int


class _Sieve(dict[Any, Any]):
    def __setitem__(self, key: object, value: object) -> None:
        """Keep nothing."""

    def update(self, *given: Any, **named: Any) -> None:
        """Keep nothing of many either: a dict's own `update` would not ask `__setitem__`."""


def forget() -> None:
    """Empty every cache, as at the start of a process."""
    for caching in _caches.values():
        caching.cache_clear()


def fill() -> dict[str, tuple[int, int]]:
    """Return how many results each cache holds, and how many it may hold."""
    infos = {name: caching.cache_info() for name, caching in sorted(_caches.items())}
    return {name: (info.currsize, info.maxsize) for name, info in infos.items()}
