"""A long batch, killed twice, ends complete and correct: python tests/bench/thousand.py [ROWS]

Writes ROWS (1,000) mixed prescriptions, one in twenty of them bad, runs the real command
with two processes, kills it twice with SIGKILL, lets the third run end, and checks every
pack against its manifest and some against packs made anew.
"""

from __future__ import annotations

import hashlib
import json
import os
import random
import signal
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from docbuilder.inputs.clinic import demo_clinic_folder
from docbuilder.pack.build import BuildOptions
from docbuilder.pack.desk import Desk

ROWS, ONE_BAD_IN, ANEW = 1000, 20, 20


def write_sources(folder: Path, count: int) -> set[str]:
    """Write the prescriptions and return the names of the bad ones."""
    demos = [
        path.read_text(encoding="utf-8")
        for path in sorted((demo_clinic_folder() / "prescriptions").glob("*.yaml"))
    ]
    good = [text for text in demos if "pregnancy: yes" not in text]
    refused = next(text for text in demos if "pregnancy: yes" in text)
    bad = set()
    for number in range(count):
        text = good[number % len(good)].replace("DEMO-1", f"BENCH-{number:05}-")
        if number % ONE_BAD_IN == 7:
            kinds = (refused, text.replace("device:", "devise:"), text[:200] + "\0", "- a list\n")
            text = kinds[number // ONE_BAD_IN % len(kinds)]
            bad.add(f"{number:05}.yaml")
        (folder / f"{number:05}.yaml").write_text(text, encoding="utf-8")
    return bad


def run(order: list[str], out: Path, stand: int | None) -> tuple[int, float, float]:
    """Run the command, and kill it once *stand* packs are there.

    Returns its code, its seconds and its peak memory (MB).
    """
    began = time.perf_counter()
    child = subprocess.Popen(order, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
                             start_new_session=True)  # fmt: skip
    if stand is not None:
        while len(list(out.glob("pack_*"))) < stand:
            assert child.poll() is None, "it ended before it was killed"
            time.sleep(0.1)
        os.killpg(child.pid, signal.SIGKILL)
    _, status, used = os.wait4(child.pid, 0)
    child.returncode = os.waitstatus_to_exitcode(status)
    return child.returncode, time.perf_counter() - began, used.ru_maxrss / 1024


def check(sources: Path, out: Path, bad: set[str]) -> int:
    """Check every pack; return how many stand."""
    report = json.loads((out / "batch.json").read_text(encoding="utf-8"))
    told = {Path(one["source"]).name: one for one in report["packs"]}
    assert {name for name, one in told.items() if one["status"] == "refused"} == bad
    folders = {one["folder"] for one in told.values() if one["folder"]}
    assert {path.name for path in out.iterdir() if path.is_dir()} == folders
    assert not [path for path in out.iterdir() if path.name.startswith(".")]
    for folder in folders:
        manifest = json.loads((out / folder / "pack.json").read_bytes())
        listed = {one["name"]: one["sha256"] for one in manifest["files"]}
        files = {path.name: path for path in (out / folder).iterdir()}
        assert set(files) == {*listed, "pack.json"}
        for name, digest in listed.items():
            assert hashlib.sha256(files[name].read_bytes()).hexdigest() == digest
    desk = Desk()
    good = sorted(set(told) - bad)
    for name in random.Random(1).sample(good, min(ANEW, len(good))):
        pack = desk.make(desk.prepare(sources / name, BuildOptions()), BuildOptions())
        for file in pack.files:
            assert (out / told[name]["folder"] / file.name).read_bytes() == file.data
    return len(folders)


def main() -> int:
    count = int(sys.argv[1]) if len(sys.argv) > 1 else ROWS
    with tempfile.TemporaryDirectory() as name:
        sources, out = Path(name) / "list", Path(name) / "out"
        sources.mkdir()
        bad = write_sources(sources, count)
        order = [sys.executable, "-m", "docbuilder", "batch", str(sources), "--out", str(out),
                 "--workers", "2"]  # fmt: skip
        stood = 0
        for share in (0.3, 0.6):
            code, seconds, _ = run(order, out, round(count * share))
            stood = len(list(out.glob("pack_*"))) if out.is_dir() else 0
            sys.stdout.write(f"killed after {seconds:.0f} s: code {code}, {stood} packs stand\n")
        code, seconds, peak = run(order, out, None)
        packs = check(sources, out, bad)
        runs = [path.stat().st_size / 1e6 for path in out.glob("print_run*.pdf")]
        sys.stdout.write(
            f"ended after {seconds:.0f} s: code {code}, {packs} packs, {len(bad)} refused, "
            f"{(packs - stood) / seconds:.2f} packs/s, parent's peak {peak:.0f} MB, "
            f"{len(runs)} print runs of {sum(runs):.0f} MB\n"
        )
    return int(packs != count - len(bad))


if __name__ == "__main__":
    sys.exit(main())
