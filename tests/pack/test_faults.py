"""Faults from outside under the real batch: full disk, kills, two at once, the clock.

A parent process loads everything once; each case runs in a fork of it, in a folder of its
own, while an audit hook (Python's notice of each call to the system) refuses or kills at the
nth write step.
"""

from __future__ import annotations

import hashlib
import json
import os
import signal
import subprocess
import sys
import time
from pathlib import Path
from typing import Any

import pytest
from batch_examples import example_rows, order_for, write_csv

from docbuilder.errors import ExitCode
from docbuilder.inputs.batch_list import read_batch_list
from docbuilder.pack.batch import Job, build_many
from docbuilder.pack.desk import Desk

FILES = ("batch.json", "cover_list.pdf", "print_run.pdf")
PATIENTS = ("Sample", "Person1", "BATCH-0000")

CHILD = r"""
import errno, io, json, os, signal, sys, time
from contextlib import redirect_stderr, redirect_stdout
from pathlib import Path

from docbuilder.cli.main import main
from docbuilder.pack import batch as packs

base, listing, act = Path(sys.argv[1]), sys.argv[2], sys.argv[3]
WATCHED = {"open", "os.mkdir", "os.rename", "os.rmdir", "os.remove"}
real_sync = os.fsync

def run(out):
    told = io.StringIO()
    with redirect_stdout(told), redirect_stderr(told):
        try:
            main(["batch", listing, "--out", str(out), "--workers", "1", "--documents", "diary"],
                 prog_name="docbuilder")
        except SystemExit as end:
            return end.code, told.getvalue()

def fault(out, nth):
    steps = 0

    def step():
        nonlocal steps
        steps += 1
        # A full disk stays full: every write from the nth on is refused.
        if act == "kill" and steps == nth:
            os.kill(os.getpid(), signal.SIGKILL)
        if act == "full" and steps >= nth:
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    def watch(event, arguments):
        removal = event in ("os.rmdir", "os.remove")
        if event not in WATCHED or act == "full" and removal:
            return
        writes = event != "open" or arguments[2] & (os.O_WRONLY | os.O_RDWR)
        if removal or writes and str(out) in str(arguments[0]):
            step()

    def sync(handle):
        step()
        return real_sync(handle)

    os.fsync = sync
    sys.addaudithook(watch)
    code, told = run(out)
    return [steps >= nth, code, told]

code, told = run(base / "whole")  # loads code, fonts and words, and shows what is right
print(json.dumps([0, code, [True, code, told]]), flush=True)
nth = 1
while True:
    out = base / str(nth)
    told, tell = os.pipe()
    if (pid := os.fork()) == 0:
        with open(tell, "w") as stream:
            json.dump(fault(out, nth), stream)
        os._exit(0)
    os.close(tell)
    with open(told) as stream:
        text = stream.read()
    status = os.waitstatus_to_exitcode(os.waitpid(pid, 0)[1])
    message = json.loads(text) if text else None
    print(json.dumps([nth, status, message]), flush=True)
    if message is not None and not message[0]:
        break
    nth += STEP
"""


def tree(folder: Path) -> dict[str, bytes]:
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in sorted(folder.rglob("*"))
        if path.is_file()
    }


def hidden(folder: Path) -> list[str]:
    return [path.name for path in folder.iterdir() if path.name.startswith(".")]


def listing(folder: Path, count: int = 2) -> Path:
    return write_csv(folder / "list.csv", example_rows(count))


def run_faults(tmp_path: Path, act: str, step: int) -> list[tuple[Path, int, list[object] | None]]:
    child = CHILD.replace("STEP", str(step))
    done = subprocess.run(
        [sys.executable, "-c", child, str(tmp_path / "out"), str(listing(tmp_path)), act],
        capture_output=True, text=True, check=False, timeout=240,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    rows = [json.loads(line) for line in done.stdout.splitlines()]
    assert rows[0][1] == ExitCode.BUILT, rows[0]
    cases = [(tmp_path / "out" / str(nth), status, told) for nth, status, told in rows[1:-1]]
    assert len(cases) * step >= 20  # two packs and three files: more steps than that
    return cases


def command(*arguments: object) -> list[str]:
    return [sys.executable, "-m", "docbuilder", *map(str, arguments)]


def whole_so_far(out: Path, whole: dict[str, bytes]) -> None:
    """Check that what stands there is as it should be, file by file and pack by pack."""
    seen = {name: data for name, data in tree(out).items() if not name.startswith(".")}
    for name, data in seen.items():
        if name != "batch.json":  # tells what was kept and what was built
            assert data == whole[name], (out, name)
    for pack in {name.partition("/")[0] for name in seen if "/" in name}:
        assert {n for n in seen if n.startswith(pack)} == {n for n in whole if n.startswith(pack)}


def test_full_disk_at_any_write_of_a_batch(tmp_path: Path) -> None:
    cases = run_faults(tmp_path, "full", step=6)
    whole = tree(tmp_path / "out" / "whole")
    told_of_disk = 0
    for out, status, message in cases:
        assert status == 0
        assert message is not None
        _, code, told = message
        assert isinstance(told, str)
        assert "Traceback" not in told
        assert not any(name in told for name in PATIENTS)
        if out.exists():
            whole_so_far(out, whole)
            assert not hidden(out)
        if code != ExitCode.BUILT:  # built: the fault met a step that can be done without
            assert code == ExitCode.BAD_INPUT, told
            told_of_disk += "the disk is full: free some room and build again" in told
    assert told_of_disk > len(cases) // 2


def test_kill_at_any_write_of_a_batch_and_the_next_run_completes(tmp_path: Path) -> None:
    cases = run_faults(tmp_path, "kill", step=7)
    whole = tree(tmp_path / "out" / "whole")
    for out, status, message in cases:
        assert (status, message) == (-signal.SIGKILL, None)
        if out.exists():
            whole_so_far(out, whole)
    broken = [out for out, _, _ in cases if out.exists() and hidden(out)]
    out = broken[len(broken) // 2]
    done = subprocess.run(
        command("batch", tmp_path / "list.csv", "--out", out, "--workers", 1, "--documents",
                "diary"),
        capture_output=True, text=True, check=False, timeout=120,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    after = tree(out)
    after.pop("batch.json"), whole.pop("batch.json")
    assert after == whole


def test_two_batches_at_once_into_one_folder(tmp_path: Path) -> None:
    rows, out = listing(tmp_path, 4), tmp_path / "out"
    order = command("batch", rows, "--out", out, "--workers", 1, "--documents", "diary", "--json")
    children = [
        subprocess.Popen(order, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)
        for _ in range(2)
    ]
    reports = []
    for child in children:
        told, faults = child.communicate(timeout=240)
        assert child.returncode == 0, faults
        assert faults == ""
        reports.append([one["status"] for one in json.loads(told)["packs"]])
    assert all(set(statuses) <= {"built", "kept"} for statuses in reports)
    found = tree(out)
    assert not [name for name in found if name.startswith(".")]
    packs = {name.partition("/")[0] for name in found if "/" in name}
    assert len(packs) == 4
    for pack in packs:
        listed = json.loads(found[f"{pack}/pack.json"])["files"]
        for file in listed:
            data = found[f"{pack}/{file['name']}"]
            assert hashlib.sha256(data).hexdigest() == file["sha256"]
    assert {name for name in found if "/" not in name} == set(FILES)


CLOCK = """
import sys, time
real = time.time
shift = float(sys.argv[1])
time.time = lambda: real() + shift
time.time_ns = lambda: int(time.time() * 1e9)
import datetime
class Moved(datetime.datetime):
    @classmethod
    def now(cls, tz=None): return datetime.datetime.fromtimestamp(time.time(), tz)
    @classmethod
    def today(cls): return cls.now()
class MovedDay(datetime.date):
    @classmethod
    def today(cls): return datetime.datetime.fromtimestamp(time.time()).date()
datetime.datetime, datetime.date = Moved, MovedDay
from docbuilder.cli.main import main
main(sys.argv[2:], prog_name="docbuilder")
"""
DECADE_S = 10 * 365 * 24 * 3600


def test_clock_set_back_or_forward_changes_nothing(tmp_path: Path) -> None:
    """The same bytes ten years ago and now; ten years on, packs with later dates are kept."""
    rows, out = listing(tmp_path), tmp_path / "out"
    order = ("batch", str(rows), "--out", str(out), "--workers", "1", "--documents", "diary",
             "--json")  # fmt: skip
    _at(-DECADE_S, *order)
    screening = [rule.code for rule in Desk().knowledge.screening]
    now = tmp_path / "now"
    jobs = [
        Job(number, row.label, row.source)
        for number, row in enumerate(read_batch_list(rows, screening=screening), start=1)
    ]
    list(build_many(jobs, order_for(now)))
    assert {name: data for name, data in tree(out).items() if name not in FILES} == tree(now)
    before = tree(out)
    later = time.time() + 2 * DECADE_S
    for path in (out, *out.rglob("*")):
        os.utime(path, (later, later))
    report = _at(DECADE_S, *order)
    assert {one["status"] for one in report["packs"]} == {"kept"}
    after = tree(out)
    after.pop("batch.json"), before.pop("batch.json")
    assert after == before


def _at(shift: float, *arguments: str) -> dict[str, Any]:
    done = subprocess.run(
        [sys.executable, "-c", CLOCK, str(shift), *arguments],
        capture_output=True, text=True, check=False, timeout=120,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    report: dict[str, Any] = json.loads(done.stdout)
    return report


@pytest.mark.skipif(os.name == "nt", reason="permissions of another kind")
def test_folder_that_may_only_be_read(tmp_path: Path) -> None:
    """As nobody, if we are root: root may write anywhere."""
    rows, out = listing(tmp_path), tmp_path / "out"
    out.mkdir()
    out.chmod(0o555)
    for folder in (tmp_path, *tmp_path.parents):
        if folder.stat().st_uid == os.geteuid() and not folder.stat().st_mode & 0o001:
            folder.chmod(folder.stat().st_mode | 0o011)
    child = (
        "import os, sys\n"
        "from docbuilder.cli.main import main\n"
        "from docbuilder.cli import batch\n"
        "from docbuilder.pack.desk import Desk\n"
        "Desk().state\n"  # the interpreter may be root's alone: load before leaving
        "if os.geteuid() == 0: os.setgid(65534); os.setuid(65534)\n"
        "main(sys.argv[1:], prog_name='docbuilder')\n"
    )
    try:
        done = subprocess.run(
            [sys.executable, "-B", "-c", child, "batch", str(rows), "--out", str(out)],
            capture_output=True, text=True, check=False, timeout=120, cwd=tmp_path,
        )  # fmt: skip
    finally:
        out.chmod(0o755)
    assert done.returncode == ExitCode.BAD_INPUT, done.stderr
    assert "found permission denied" in done.stderr
    assert "Traceback" not in done.stderr
    assert not list(out.iterdir())
