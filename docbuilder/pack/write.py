"""A pack on disk: whole or not at all.

Everything is written into a hidden folder beside the place where the pack will
stand, flushed to disk, and renamed. A killed or failed build leaves at most a
hidden folder, which the next build into the same place clears away.
"""

from __future__ import annotations

import errno
import os
import shutil
from collections.abc import Mapping
from pathlib import Path

from docbuilder.errors import InputFault, Issue, Place

__all__ = ["clear_leftovers", "write_folder"]

_ASIDE = ".unfinished-"
_OLD = ".replaced-"


def write_folder(target: Path, files: Mapping[str, bytes], *, replace: bool = False) -> None:
    """Write *files* as the folder *target*, all of them or none.

    Args:
        target: The pack's folder; its parent is made when missing.
        files: File names (no folders) and their bytes.
        replace: Take the place of an existing folder; without it that is a fault.

    Raises:
        InputFault: The folder exists and may not be replaced, or the disk refuses
            (not writable, full, a file in the way). Nothing half-written is left.
    """
    if target.exists() and not replace:
        raise _fault(target, "a pack that is already there", "a new folder", _HINT_EXISTS)
    aside = target.with_name(f"{_ASIDE}{target.name}-{os.getpid()}")
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        shutil.rmtree(aside, ignore_errors=True)
        aside.mkdir()
        for name, data in files.items():
            _write_file(aside / name, data)
        _sync(aside)
        _put_in_place(aside, target)
    except OSError as error:
        raise _fault(target, _told(error), "a folder that can be written", _hint(error)) from error
    finally:
        shutil.rmtree(aside, ignore_errors=True)


def clear_leftovers(parent: Path) -> None:
    """Mend what a killed build left in *parent*.

    A pack that was being replaced and whose place is empty is put back; hidden
    half-written folders of builds that no longer run are removed.
    """
    if not parent.is_dir():
        return
    for old in sorted(parent.glob(f"{_OLD}*")):
        home = parent / old.name.removeprefix(_OLD)
        if home.exists():
            shutil.rmtree(old, ignore_errors=True)
        else:
            old.rename(home)
    for aside in parent.glob(f"{_ASIDE}*"):
        if not _runs(aside.name.rpartition("-")[2]):
            shutil.rmtree(aside, ignore_errors=True)


def _put_in_place(aside: Path, target: Path) -> None:
    old = target.with_name(f"{_OLD}{target.name}")
    if target.exists():
        shutil.rmtree(old, ignore_errors=True)
        target.rename(old)
    aside.rename(target)
    _sync(target.parent)
    shutil.rmtree(old, ignore_errors=True)


def _write_file(path: Path, data: bytes) -> None:
    with path.open("wb") as stream:
        stream.write(data)
        stream.flush()
        os.fsync(stream.fileno())


def _sync(folder: Path) -> None:
    if os.name == "nt":  # folders cannot be opened there; the rename is still whole
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def _runs(pid: str) -> bool:
    if not pid.isdigit():
        return False
    try:
        os.kill(int(pid), 0)
    except ProcessLookupError:
        return False
    except PermissionError:
        return True
    return True


_HINT_EXISTS = "give another --out, or --replace to build it anew in its place"


def _told(error: OSError) -> str:
    return os.strerror(error.errno).lower() if error.errno else "a fault of the disk"


def _hint(error: OSError) -> str:
    if error.errno == errno.ENOSPC:
        return "the disk is full: free some room and build again"
    if error.errno in (errno.EACCES, errno.EPERM, errno.EROFS):
        return "give an --out where you may write"
    return "give another --out"


def _fault(target: Path, found: str, allowed: str, hint: str) -> InputFault:
    return InputFault([Issue(Place(str(target)), "--out", found, allowed, hint)])
