"""Nothing leaves the machine, and no patient is in a log, a report, a file name or metadata."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pikepdf
from batch_examples import example_rows, write_csv

from docbuilder.errors import ExitCode

GUARD = """
import os, sys
NETWORK = ("socket.connect", "socket.bind", "socket.getaddrinfo", "socket.gethostbyname",
           "socket.gethostbyaddr", "socket.sendto", "socket.sendmsg", "urllib.Request",
           "http.client.connect")
def watch(event, arguments):
    if event in NETWORK:
        with open(os.environ["NETWORK_CALLS"], "a") as log:
            log.write(event + "\\n")
        raise PermissionError(event)
sys.addaudithook(watch)
with open(os.environ["NETWORK_CALLS"] + ".seen", "a") as log:
    log.write(f"{os.getpid()}\\n")
"""
"""Loaded by every Python process, workers too, before anything else."""

NAME, RECORD, BORN, GUARDIAN, INTERPRETER, GOAL = (
    "Xylophina", "ZQ77-4411", "1931-02-17", "Quintessa", "Wolframina", "Zanzibar",
)  # fmt: skip
TOKENS = (NAME, RECORD, "1931", "17/02", GUARDIAN, INTERPRETER, GOAL)


def guarded(tmp_path: Path, *command: str) -> tuple[subprocess.CompletedProcess[str], str, int]:
    """Run with the guard; return the outcome, what was asked of the network, and processes."""
    (tmp_path / "guard").mkdir(exist_ok=True)
    (tmp_path / "guard" / "sitecustomize.py").write_text(GUARD)
    log = tmp_path / "calls"
    paths = [str(tmp_path / "guard"), os.environ.get("PYTHONPATH", "")]
    done = subprocess.run(
        [sys.executable, *command], capture_output=True, text=True, check=False, timeout=240,
        env={**os.environ, "PYTHONPATH": os.pathsep.join(filter(None, paths)),
             "NETWORK_CALLS": str(log)},
    )  # fmt: skip
    asked = log.read_text() if log.exists() else ""
    processes = Path(f"{log}.seen").read_text().split()
    return done, asked, len(set(processes))


def rows() -> list[dict[str, str]]:
    """Return two good rows, and a bad one for each way of getting a patient's data wrong."""
    good, other = example_rows(2)
    patient = {
        "patient.name": f"{NAME} Example", "patient.record_number": RECORD, "patient.born": BORN,
        "patient.guardian_name": f"{GUARDIAN} Example", "goal": f"{GOAL}, once",
        "patient.interpreter_name": f"{INTERPRETER} Example",
    }  # fmt: skip
    good |= patient
    spoils = [
        {"patient.name": f"<b>{NAME}</b>"},
        {"patient.name": NAME * 20},
        {"patient.name": f"{NAME}\u202e"},
        {"patient.record_number": f"{RECORD}`"},
        {"patient.record_number": f"{RECORD}\u2069"},
        {"patient.born": "17/02/1931"},
        {"patient.born": "1931-02-30"},
        {"patient.born": f"{BORN}T10:30"},
        {"patient.born": "2931-02-17"},
        {"patient.born": "1831-02-17"},
        {"patient.guardian_name": f"{GUARDIAN}|{GUARDIAN}"},
        {"patient.interpreter_name": f"{{{{{INTERPRETER}}}}}"},
        {"goal": f"{GOAL}\ue000"},
        {"goal": GOAL * 60},
        {"patient.name": f"{NAME} \U00013000"},
        {"goal": f"{GOAL} \U00012000"},
        {"device": "none"},
    ]
    return [good, other | patient | {"patient.record_number": f"{RECORD}-2"},
            *(good | spoil for spoil in spoils)]  # fmt: skip


def test_batch_asks_nothing_of_the_network_and_tells_of_no_patient(tmp_path: Path) -> None:
    listing = write_csv(tmp_path / "list.csv", rows())
    out = tmp_path / "out"
    order = ("-m", "docbuilder", "batch", str(listing), "--out", str(out), "--workers", "2",
             "--documents", "diary")  # fmt: skip
    done, asked, processes = guarded(tmp_path, *order)
    assert done.returncode == ExitCode.BAD_INPUT, done.stderr
    assert asked == ""
    assert processes >= 3
    assert f"{len(rows())} in the list: 2 built, 0 kept, {len(rows()) - 2} refused" in done.stdout
    names = " ".join(path.relative_to(out).as_posix() for path in out.rglob("*"))
    report = (out / "batch.json").read_text(encoding="utf-8")
    assert not [one for one in json.loads(report)["packs"] if one["exit_code"] == ExitCode.BROKEN]
    for token in TOKENS:
        for told in (done.stdout, done.stderr, report, names):
            assert token not in told, (token, [x for x in told.splitlines() if token in x][:3])
    for path in out.rglob("*"):
        if path.suffix == ".json":
            assert not [token for token in TOKENS if token in path.read_text(encoding="utf-8")]
        if path.suffix == ".pdf":
            with pikepdf.open(path) as pdf:
                said = " ".join(map(str, pdf.docinfo.values())) + str(pdf.open_metadata())
            assert not [token for token in TOKENS if token in said]


def test_list_without_column_names_is_not_repeated(tmp_path: Path) -> None:
    """The first row is a patient then."""
    (row, *_) = rows()
    path = tmp_path / "list.csv"
    path.write_text(";".join(f'"{cell}"' for cell in row.values()) + "\n", encoding="utf-8")
    done, asked, _ = guarded(
        tmp_path, "-m", "docbuilder", "batch", str(path), "--out", str(tmp_path / "out"), "--json"
    )
    assert done.returncode == ExitCode.BAD_INPUT
    assert asked == ""
    assert "no column that is known" in done.stdout
    assert not [token for token in TOKENS if token in done.stdout + done.stderr]


def test_guard_sees_a_call(tmp_path: Path) -> None:
    ask = "import socket; socket.create_connection(('192.0.2.1', 80), 1)"
    done, asked, _ = guarded(tmp_path, "-c", ask)
    assert done.returncode != 0
    assert "socket." in asked
