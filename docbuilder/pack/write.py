"""A pack on disk: whole or not at all.

Everything is written into a hidden folder beside the place where the pack will
stand, flushed to disk, and renamed. A killed or failed build leaves at most a
hidden folder, which the next build into the same place clears away. The hidden
names end with machine and process, so that builds which still run, here or on
another machine that shares the disk, are left alone.
"""

from __future__ import annotations

import errno
import hashlib
import itertools
import os
import platform
import shutil
import stat
import time
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from typing import BinaryIO

from docbuilder.errors import InputFault, Issue, Place
from docbuilder.inputs.yaml_file import shown_path

__all__ = [
    "clear_leftovers", "refuse_taken", "remove_file", "whole_file", "write_file", "write_folder",
]  # fmt: skip

_ASIDE = ".unfinished-"
_OLD = ".replaced-"
_DAY_S = 24 * 3600
_HOST = hashlib.sha256(platform.node().encode()).hexdigest()[:8]
_turn = itertools.count()


def write_folder(target: Path, files: Mapping[str, bytes], *, replace: bool = False) -> None:
    """Write *files* as the folder *target*, all of them or none.

    Args:
        target: The pack's folder; its parent is made when missing.
        files: File names (no folders) and their bytes.
        replace: Take the place of an existing folder; without it that is a fault.

    Raises:
        InputFault: The folder exists and may not be replaced, or the disk refuses
            (not writable, full, a file in the way). Nothing half-written is left,
            and a pack that was to be replaced stands as before.
    """
    refuse_taken(target, replace)
    aside = _hidden(_ASIDE, target)
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        aside.mkdir()
        for name, data in files.items():
            _write(aside / name, data)
        _sync(aside)
        _put_in_place(aside, target, replace)
    except OSError as error:
        raise _fault(target, error) from error
    finally:
        shutil.rmtree(aside, ignore_errors=True)


def write_file(target: Path, data: bytes) -> None:
    """Write one file, whole or not at all; a file of that name is replaced.

    Raises:
        InputFault: The disk refuses.
    """
    with whole_file(target) as stream:
        stream.write(data)


def remove_file(target: Path) -> None:
    """Remove one file, if it is there.

    Raises:
        InputFault: The disk refuses, or it is no file.
    """
    try:
        target.unlink(missing_ok=True)
    except OSError as error:
        raise _fault(target, error) from error


@contextmanager
def whole_file(target: Path) -> Iterator[BinaryIO]:
    """Open a file that stands at *target* only when the block has ended well.

    Raises:
        InputFault: The disk refuses.
    """
    aside = _hidden(_ASIDE, target)
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        with aside.open("xb") as stream:
            yield stream
            stream.flush()
            os.fsync(stream.fileno())
        aside.replace(target)
        _sync(target.parent)
    except OSError as error:
        raise _fault(target, error) from error
    finally:
        aside.unlink(missing_ok=True)


def refuse_taken(target: Path, replace: bool, *, file: bool = False) -> None:
    """Refuse a place where nothing can be put, before any page is made for it.

    Raises:
        InputFault: A pack stands there, unless *replace*; a file, unless *file* is
            what shall be written; the folder above it is no folder, or not ours.
    """
    found = ""
    try:
        above = next(folder for folder in target.parents if folder.exists())
        if not above.is_dir():
            raise NotADirectoryError(errno.ENOTDIR, "")
        if not os.access(above, os.W_OK | os.X_OK):
            raise PermissionError(errno.EACCES, "")
        kind = _kind(target)
        if kind == "folder":
            found = "" if replace else "a pack that is already there"
        elif kind and not file:
            found = "a file in the way"
    except OSError as error:
        raise _fault(target, error) from error
    if found:
        hint = "give another --out, or --replace to build it anew in its place"
        raise _issue(target, found, "a new folder", hint)


def clear_leftovers(parent: Path) -> None:
    """Mend what killed builds left in *parent*.

    A pack that was being replaced and whose place is empty is put back; hidden
    half-written folders of builds that no longer run are removed. What the disk
    does not let us mend stays; the build that follows tells why.
    """
    for old in _dead(parent, _OLD):
        _put_back(old, parent / old.name.removeprefix(_OLD).rpartition("~")[0])
    for aside in _dead(parent, _ASIDE):
        if aside.is_dir():
            shutil.rmtree(aside, ignore_errors=True)
        else:
            aside.unlink(missing_ok=True)


def _kind(target: Path) -> str:
    """Say what stands there, looked at once: another build may put its pack there meanwhile."""
    try:
        return "folder" if stat.S_ISDIR(target.stat().st_mode) else "file"
    except FileNotFoundError:
        return "file" if target.is_symlink() else ""


def _put_in_place(aside: Path, target: Path, replace: bool) -> None:
    if not replace:
        _move_in(aside, target)
        _sync(target.parent)
        return
    old = _hidden(_OLD, target)
    if target.exists():
        target.rename(old)
    try:
        _move_in(aside, target)
    except BaseException:
        _put_back(old, target)
        raise
    _sync(target.parent)
    _discard(old)


def _discard(old: Path) -> None:
    """Remove what was replaced; of a link the link alone, never what it points to."""
    if old.is_symlink():
        old.unlink(missing_ok=True)
    else:
        shutil.rmtree(old, ignore_errors=True)


def _move_in(aside: Path, target: Path) -> None:
    try:
        aside.rename(target)
    except OSError as error:
        if error.errno in (errno.ENOTEMPTY, errno.EEXIST):  # another build was faster
            refuse_taken(target, replace=False)
        raise


def _write(path: Path, data: bytes) -> None:
    with path.open("xb") as stream:
        stream.write(data)
        stream.flush()
        os.fsync(stream.fileno())


def _sync(folder: Path) -> None:
    """Ask the disk to keep the folder's names; some shared disks and Windows cannot."""
    try:
        handle = os.open(folder, os.O_RDONLY)
    except OSError:
        return
    try:
        os.fsync(handle)
    except OSError:
        return
    finally:
        os.close(handle)


def _put_back(old: Path, home: Path) -> None:
    try:
        old.rename(home)
    except OSError:
        if home.is_dir():  # a whole new pack took the place
            _discard(old)


def _hidden(kind: str, target: Path) -> Path:
    return target.with_name(f"{kind}{target.name}~{_HOST}.{os.getpid()}.{next(_turn)}")


def _dead(parent: Path, kind: str) -> list[Path]:
    """Return the hidden entries whose build no longer runs."""
    try:
        found = sorted(path for path in parent.iterdir() if path.name.startswith(kind))
    except OSError:  # not there yet, or not ours to read
        return []
    return [path for path in found if not _runs(path)]


def _runs(path: Path) -> bool:
    """Say whether the build that made *path* may still run; after a day none does."""
    try:
        if time.time() - path.stat().st_mtime > _DAY_S:
            return False
    except OSError:
        return True
    host, _, rest = path.name.rpartition("~")[2].partition(".")
    pid = rest.partition(".")[0]
    if not pid.isdigit():
        return False
    # Signal 0 only asks whether the process is there; on Windows it would stop it.
    if host != _HOST or os.name == "nt":
        return True
    try:
        os.kill(int(pid), 0)
    except (ProcessLookupError, OverflowError):
        return False
    except PermissionError:
        return True
    return True


def _fault(target: Path, error: OSError) -> InputFault:
    found = os.strerror(error.errno).lower() if error.errno else "a fault of the disk"
    hint = "give another --out"
    if error.errno in (errno.ENOSPC, errno.EDQUOT, errno.EFBIG):
        hint = "the disk is full: free some room and build again"
    if error.errno in (errno.EACCES, errno.EPERM, errno.EROFS):
        hint = "give an --out where you may write"
    return _issue(target, found, "a folder that can be written", hint)


def _issue(target: Path, found: str, allowed: str, hint: str) -> InputFault:
    return InputFault([Issue(Place(shown_path(target)), "--out", found, allowed, hint)])
