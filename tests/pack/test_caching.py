"""Caches change time, never bytes; and each of them is bounded."""

from __future__ import annotations

import gc
import os
import subprocess
import sys
from hashlib import sha256
from pathlib import Path

import pytest
from built_packs import DEMOS, desk

from docbuilder import caching
from docbuilder.pack.build import BuildOptions

SHOWN = ("urgency-tibial-en", "urgency-lower-abdomen-ar")
PROGRAM = """
import sys
from hashlib import sha256
from pathlib import Path
from docbuilder import caching
from docbuilder.inputs.clinic import demo_clinic_folder
from docbuilder.pack.build import BuildOptions
from docbuilder.pack.desk import Desk
desk, options = Desk(demo_clinic_folder()), BuildOptions()
for name in sys.argv[1:]:
    for file in desk.make(desk.prepare(Path(name), options), options).files:
        print(file.name, sha256(file.data).hexdigest())
assert not any(held for held, _ in caching.fill().values())
"""


def sources() -> list[Path]:
    return [path for path in DEMOS if path.stem in SHOWN]


def digests(source: Path) -> list[str]:
    options = BuildOptions()
    pack = desk().make(desk().prepare(source, options), options)
    return [f"{file.name} {sha256(file.data).hexdigest()}" for file in pack.files]


def test_bytes_are_the_same_without_any_cache() -> None:
    told = subprocess.run(
        [sys.executable, "-c", PROGRAM, *map(str, sources())],
        env={**os.environ, caching.SWITCH: "off"},
        check=True,
        capture_output=True,
        text=True,
    ).stdout.splitlines()
    assert len(told) >= 2 * 6
    # First asked for, then kept and drawn on tape, then played.
    warm = [[line for source in sources() for line in digests(source)] for _ in range(4)]
    assert warm == [told] * 4


@pytest.mark.parametrize("source", sources(), ids=lambda path: path.stem)
def test_bytes_do_not_hang_on_what_was_made_before(source: Path) -> None:
    for other in sources():
        digests(other)
    after_others = digests(source)
    caching.forget()
    assert digests(source) == after_others


def test_every_cache_is_in_use_and_bounded() -> None:
    for source in sources():
        digests(source)
    filled = caching.fill()
    assert len(filled) > 20
    assert all(0 < most <= 65_536 for _, most in filled.values())
    assert sum(held > 0 for held, _ in filled.values()) > 20


def test_a_repeated_pack_is_made_from_what_is_kept() -> None:
    """The third time no text is shaped, no paragraph set and no drawing made anew.

    The second time measured blocks are kept: once may be one patient's alone.
    """
    (source,) = (path for path in DEMOS if path.stem == SHOWN[0])
    digests(source)
    digests(source)
    before = caching.fill()
    digests(source)
    assert caching.fill() == before


def test_a_shelf_keeps_what_is_asked_for_again() -> None:
    shelf: caching.Shelf[str, int] = caching.Shelf("tests.shelf", 2)
    try:
        assert not shelf.worth_it("once")
        assert shelf.worth_it("once")
        shelf.put("once", 1)
        assert (shelf.take("once"), shelf.take("once")) == (1, None)
    finally:
        del caching._caches["tests.shelf"]


def test_a_pack_leaves_next_to_nothing_for_the_cycle_collector() -> None:
    """A document goes by its reference counts; its elements and boxes are in no cycle."""
    source = sources()[0]
    digests(source)
    digests(source)
    was_on = gc.isenabled()
    gc.disable()
    try:
        gc.collect()
        digests(source)
        assert gc.collect() < 500
    finally:
        if was_on:
            gc.enable()
