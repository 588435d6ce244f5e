"""Python's cycle collector, kept out of the way while a pack is made."""

from __future__ import annotations

import gc
from collections.abc import Iterator
from contextlib import contextmanager

__all__ = ["without_collector"]


@contextmanager
def without_collector() -> Iterator[None]:
    """Make a pack without looking for cycles on the way.

    Boxes and structure elements are many, live until their document is written and go by
    their reference counts then; looking through them all again and again took a third of the
    time. What cycles there are is found afterwards. A caller who has switched the collector
    off keeps it off.
    """
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            gc.enable()
