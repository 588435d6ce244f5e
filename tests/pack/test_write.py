"""A pack is on disk whole or not at all, whatever the disk does and whenever it is killed.

The faults are real: a child process writes a pack while an audit hook, Python's own
notice of each call to the system, refuses the nth one or kills the process there.
"""

from __future__ import annotations

import errno
import json
import os
import resource
import signal
import subprocess
import sys
import threading
import time
from pathlib import Path

import pytest

from docbuilder.errors import ExitCode, InputFault
from docbuilder.pack.write import clear_leftovers, write_file, write_folder

NEW = {"a.pdf": b"new a" * 1000, "b.pdf": b"new b" * 1000, "pack.json": b"{}"}
OLD = {"a.pdf": b"old a", "pack.json": b"{}", "only_old.pdf": b"x"}

CHILD = r"""
import errno, json, os, signal, sys
from pathlib import Path
from docbuilder.pack.write import write_folder

base, act, replace = Path(sys.argv[1]), sys.argv[2], sys.argv[3] == "1"
NEW = {"a.pdf": b"new a" * 1000, "b.pdf": b"new b" * 1000, "pack.json": b"{}"}
OLD = {"a.pdf": b"old a", "pack.json": b"{}", "only_old.pdf": b"x"}
WATCHED = {"open", "os.mkdir", "os.rename"}
if act == "kill":
    WATCHED |= {"os.rmdir", "os.remove"}
real_sync = os.fsync

def build(target, nth):
    steps = 0

    def step():
        nonlocal steps
        steps += 1
        if steps == nth:
            if act == "kill":
                os.kill(os.getpid(), signal.SIGKILL)
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    def watch(event, arguments):
        # A removal goes by bare names inside an open folder, so each of those counts.
        if event in WATCHED and (
            event in ("os.rmdir", "os.remove") or str(target.parent) in str(arguments[0])
        ):
            step()

    def sync(handle):
        step()
        return real_sync(handle)

    os.fsync = sync  # tells no audit hook; a file killed here stands half-written
    sys.addaudithook(watch)
    try:
        write_folder(target, NEW, replace=replace)
    except Exception as fault:
        return f"{type(fault).__name__} {fault}"
    return "end" if steps < nth else "built"

for nth in range(1, 60):
    target = base / str(nth) / "pack_X"
    target.parent.mkdir(parents=True)
    if replace:
        write_folder(target, OLD)
    told, tell = os.pipe()
    if (pid := os.fork()) == 0:
        os.write(tell, build(target, nth).encode())
        os._exit(0)
    os.close(tell)
    status = os.waitstatus_to_exitcode(os.waitpid(pid, 0)[1])
    message = os.read(told, 9999).decode()
    print(json.dumps([nth, status, message]), flush=True)
    if message == "end":
        break
"""


def content(folder: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in sorted(folder.iterdir())}


def names(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir())


def visible(folder: Path) -> list[str]:
    return [name for name in names(folder) if not name.startswith(".")]


def faults(base: Path, act: str, replace: bool) -> list[tuple[Path, int]]:
    """Write with a fault at each step in turn, each in a folder and process of its own."""
    done = subprocess.run(
        [sys.executable, "-c", CHILD, str(base), act, str(int(replace))],
        capture_output=True, text=True, check=True, timeout=60,
    )  # fmt: skip
    runs: list[tuple[Path, int]] = []
    for line in done.stdout.splitlines():
        nth, status, message = json.loads(line)
        place = base / str(nth) / "pack_X"
        if message == "end":  # the child came to its end before this step
            assert len(runs) >= 9
            return runs
        if act == "kill":
            assert status == -signal.SIGKILL, message
        elif message == "built":  # the fault met a step that can be done without
            assert content(place) == NEW
        else:
            assert message.startswith("InputFault"), message
            assert "no space left on device" in message
            assert "the disk is full" in message
        runs.append((place, nth))
    raise AssertionError("the child never came to its end")


def test_pack_is_written_whole_and_its_parents_made(tmp_path: Path) -> None:
    target = tmp_path / "new" / "out" / "pack_X"
    write_folder(target, NEW)
    assert content(target) == NEW
    assert names(target.parent) == ["pack_X"]


def test_existing_pack_is_kept_unless_told(tmp_path: Path) -> None:
    target = tmp_path / "pack_X"
    write_folder(target, OLD)
    with pytest.raises(InputFault) as told:
        write_folder(target, NEW)
    assert told.value.exit_code is ExitCode.BAD_INPUT
    assert "a pack that is already there" in str(told.value)
    assert "--replace" in str(told.value)
    assert content(target) == OLD
    write_folder(target, NEW, replace=True)
    assert content(target) == NEW
    assert names(tmp_path) == ["pack_X"]


@pytest.mark.parametrize("replace", [False, True])
def test_file_in_the_way_is_never_removed(tmp_path: Path, replace: bool) -> None:
    target = tmp_path / "pack_X"
    target.write_text("a letter")
    with pytest.raises(InputFault, match="a file in the way"):
        write_folder(target, NEW, replace=replace)
    assert target.read_text() == "a letter"
    assert names(tmp_path) == ["pack_X"]


def test_dangling_link_in_the_way_is_told(tmp_path: Path) -> None:
    target = tmp_path / "pack_X"
    target.symlink_to(tmp_path / "nowhere")
    with pytest.raises(InputFault, match="a file in the way"):
        write_folder(target, NEW)


def test_a_link_is_replaced_and_what_it_points_to_stays(tmp_path: Path) -> None:
    (tmp_path / "else").mkdir()
    (tmp_path / "else" / "letter").write_text("keep")
    out = tmp_path / "out"
    out.mkdir()
    (out / "pack_X").symlink_to(tmp_path / "else")
    write_folder(out / "pack_X", NEW, replace=True)
    assert (content(out / "pack_X"), names(out)) == (NEW, ["pack_X"])
    assert (tmp_path / "else" / "letter").read_text() == "keep"


def test_file_where_the_folder_should_be(tmp_path: Path) -> None:
    (tmp_path / "out").write_text("a letter")
    with pytest.raises(InputFault, match=r"out.pack_X: --out: found"):
        write_folder(tmp_path / "out" / "pack_X", NEW)
    clear_leftovers(tmp_path / "out")
    assert (tmp_path / "out").read_text() == "a letter"


@pytest.mark.skipif(not Path("/proc/self").is_dir(), reason="needs Linux's /proc")
def test_place_that_nobody_can_write_to_is_told() -> None:
    # Not even root can make a folder there, so this holds for every user.
    with pytest.raises(InputFault, match="--out: found"):
        write_folder(Path("/proc/docbuilder/pack_X"), NEW)
    with pytest.raises(InputFault, match="--out: found"):
        write_folder(Path("/proc/pack_X"), NEW)
    clear_leftovers(Path("/proc/docbuilder"))


def test_folder_without_write_permission_is_told(tmp_path: Path) -> None:
    out = tmp_path / "out"
    out.mkdir()
    out.chmod(0o555)
    try:
        if os.geteuid() == 0:  # root may write anywhere: go there as nobody
            tmp = tmp_path
            while tmp != tmp.parent:
                if tmp.stat().st_uid == 0 and not tmp.stat().st_mode & 0o001:
                    tmp.chmod(tmp.stat().st_mode | 0o011)
                tmp = tmp.parent
        child = (
            "import os, sys; from pathlib import Path\n"
            "from docbuilder.pack.write import write_folder\n"
            "from docbuilder.errors import InputFault\n"
            "if os.geteuid() == 0: os.setgid(65534); os.setuid(65534)\n"
            "try: write_folder(Path(sys.argv[1]), {'a': b'1'})\n"
            "except InputFault as fault: print(fault)\n"
        )
        done = subprocess.run(
            [sys.executable, "-c", child, str(out / "pack_X")],
            capture_output=True, text=True, check=False, timeout=60,
        )  # fmt: skip
    finally:
        out.chmod(0o755)
    assert "found permission denied" in done.stdout, done.stderr
    assert "give an --out where you may write" in done.stdout
    assert names(out) == []


@pytest.mark.parametrize("replace", [False, True])
def test_full_disk_at_any_step_leaves_all_as_it_was(tmp_path: Path, replace: bool) -> None:
    for place, nth in faults(tmp_path / "out", "full", replace):
        if replace:
            # After the pack was moved in, a late fault leaves the whole new one, and
            # the old one hidden when the fault was in its removal.
            assert content(place) in (OLD, NEW), nth
            assert visible(place.parent) == ["pack_X"], nth
            clear_leftovers(place.parent)
            assert names(place.parent) == ["pack_X"], nth
        else:
            assert names(place.parent) in ([], ["pack_X"]), nth
            if place.exists():
                assert content(place) == NEW


@pytest.mark.parametrize("replace", [False, True])
def test_kill_at_any_step_leaves_no_partial_pack(tmp_path: Path, replace: bool) -> None:
    killed = faults(tmp_path / "out", "kill", replace)
    assert any(names(place.parent) != ["pack_X"] for place, _ in killed)
    for place, nth in killed:
        if place.exists():
            assert content(place) in ((OLD, NEW) if replace else (NEW,)), nth
        assert visible(place.parent) in ([], ["pack_X"]), nth
        clear_leftovers(place.parent)
        if replace:
            assert content(place) in (OLD, NEW), f"the old pack was lost at step {nth}"
        assert names(place.parent) in ([], ["pack_X"]), nth
        write_folder(place, NEW, replace=True)
        assert content(place) == NEW
        assert names(place.parent) == ["pack_X"], nth


def test_disk_that_is_really_full(tmp_path: Path) -> None:
    """The system itself stops the write part-way: no file may pass 3000 bytes."""
    target = tmp_path / "out" / "pack_X"
    child = (
        "import resource, signal, sys; from pathlib import Path\n"
        "from docbuilder.pack.write import write_folder\n"
        "from docbuilder.errors import InputFault\n"
        "signal.signal(signal.SIGXFSZ, signal.SIG_IGN)\n"
        "resource.setrlimit(resource.RLIMIT_FSIZE, (3000, 3000))\n"
        "try: write_folder(Path(sys.argv[1]), {'a': b'1' * 2000, 'b': b'2' * 9000})\n"
        "except InputFault as fault: print(fault)\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", child, str(target)],
        capture_output=True, text=True, check=False, timeout=60,
    )  # fmt: skip
    assert "the disk is full" in done.stdout, done.stderr
    assert names(target.parent) == []
    assert resource.getrlimit(resource.RLIMIT_FSIZE)[0] != 3000


@pytest.mark.parametrize("replace", [False, True])
def test_two_builds_at_once_leave_one_whole_pack(tmp_path: Path, replace: bool) -> None:
    for round_number in range(25):
        target = tmp_path / str(round_number) / "pack_X"
        gate = threading.Barrier(4)
        told: list[BaseException] = []

        def work(target: Path = target, gate: threading.Barrier = gate) -> None:
            gate.wait()
            clear_leftovers(target.parent)
            try:
                write_folder(target, NEW, replace=replace)
            except BaseException as fault:
                told.append(fault)  # noqa: B023

        threads = [threading.Thread(target=work) for _ in range(4)]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        assert content(target) == NEW
        assert names(target.parent) == ["pack_X"]
        assert all(isinstance(fault, InputFault) for fault in told), told
        if not replace:
            assert len(told) == 3
            assert all("already there" in str(fault) for fault in told)


def test_running_build_of_another_process_is_left_alone(tmp_path: Path) -> None:
    start = _hidden_like(tmp_path)
    running = tmp_path / f"{start}.{os.getppid()}.0"
    running.mkdir()
    clear_leftovers(tmp_path)
    assert running.is_dir()
    gone = subprocess.Popen([sys.executable, "-c", "pass"])
    gone.wait()
    dead = tmp_path / f"{start}.{gone.pid}.0"
    dead.mkdir()
    clear_leftovers(tmp_path)
    assert not dead.exists()


def test_leftover_of_another_machine_waits_for_a_day(tmp_path: Path) -> None:
    other = tmp_path / ".unfinished-pack_X~00000000.1.0"
    other.mkdir()
    clear_leftovers(tmp_path)
    assert other.is_dir()
    two_days_ago = time.time() - 2 * 24 * 3600
    os.utime(other, (two_days_ago, two_days_ago))
    clear_leftovers(tmp_path)
    assert not other.exists()


def test_clock_set_back_breaks_nothing(tmp_path: Path) -> None:
    ahead = time.time() + 10 * 24 * 3600
    mine = tmp_path / ".unfinished-pack_X~00000000.1.0"
    mine.mkdir()
    os.utime(mine, (ahead, ahead))
    clear_leftovers(tmp_path)
    write_folder(tmp_path / "pack_X", NEW)
    assert content(tmp_path / "pack_X") == NEW


def test_interrupt_from_the_keyboard_puts_the_old_pack_back(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    target = tmp_path / "pack_X"
    write_folder(target, OLD)
    real, calls = Path.rename, []

    def rename(self: Path, to: Path) -> Path:
        calls.append(to)
        if len(calls) == 2:
            raise KeyboardInterrupt
        return real(self, to)

    monkeypatch.setattr(Path, "rename", rename)
    with pytest.raises(KeyboardInterrupt):
        write_folder(target, NEW, replace=True)
    assert content(target) == OLD
    assert names(tmp_path) == ["pack_X"]


def test_report_file_is_replaced_whole(tmp_path: Path) -> None:
    target = tmp_path / "out" / "report.json"
    write_file(target, b"one")
    write_file(target, b"two")
    assert target.read_bytes() == b"two"
    (tmp_path / "folder").mkdir()
    with pytest.raises(InputFault, match="--out"):
        write_file(tmp_path / "folder", b"x")
    assert names(tmp_path) == ["folder", "out"]


def test_every_kind_of_disk_fault_has_words(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    for code in (errno.EIO, errno.EROFS, errno.EDQUOT, errno.EMFILE, errno.ENAMETOOLONG):

        def refuse(*_: object, code: int = code, **__: object) -> None:
            raise OSError(code, os.strerror(code))

        with monkeypatch.context() as patch:
            patch.setattr(Path, "mkdir", refuse)
            with pytest.raises(InputFault) as told:
                write_folder(tmp_path / "pack_X", NEW)
        assert os.strerror(code).lower() in str(told.value)
        assert "hint: " in str(told.value)


def _hidden_like(folder: Path) -> str:
    """Return the beginning of the hidden name that this machine gives, up to the process."""
    seen: list[str] = []
    real = Path.mkdir

    def mkdir(self: Path, *args: object, **kw: object) -> None:
        if self.name.startswith("."):
            seen.append(self.name)
        real(self, *args, **kw)  # type: ignore[arg-type]

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(Path, "mkdir", mkdir)
        write_folder(folder / "probe" / "pack_X", {"a": b""})
    return seen[0].rsplit(".", 2)[0]
