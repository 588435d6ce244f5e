"""The real command in a process of its own: exit codes, terminals, completion, kills."""

from __future__ import annotations

import json
import os
import pty
import select
import signal
import subprocess
import sys
import sysconfig
import time
from pathlib import Path

import pytest

from docbuilder.inputs.clinic import demo_clinic_folder

SCRIPT = Path(sysconfig.get_path("scripts")) / "docbuilder"
DEMO = demo_clinic_folder() / "prescriptions"
GOOD = DEMO / "urgency-tibial-en.yaml"
CHILD = DEMO / "child-sacral-en.yaml"
REFUSED = DEMO / "pelvic-pain-refused.yaml"


def run(
    *arguments: object, command: tuple[str, ...] = (str(SCRIPT),), **environment: str
) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [*command, *map(str, arguments)],
        capture_output=True,
        text=True,
        check=False,
        timeout=120,
        env={**os.environ, **environment},
    )


def test_script_and_module_are_the_same_command() -> None:
    script = run("--version")
    module = run("--version", command=(sys.executable, "-m", "docbuilder"))
    assert script.returncode == module.returncode == 0
    assert script.stdout == module.stdout


def test_exit_codes_reach_the_shell(tmp_path: Path) -> None:
    out = tmp_path / "out"
    assert run("build", GOOD, "--out", out, "--documents", "diary").returncode == 0
    refused = run("build", REFUSED, "--out", tmp_path / "none")
    assert refused.returncode == 1
    assert run("build", GOOD, "--out", out, "--documents", "diary").returncode == 2
    assert run("biuld").returncode == 2
    assert not (tmp_path / "none").exists()
    assert refused.stdout == ""
    assert "Traceback" not in refused.stderr


@pytest.mark.parametrize("shell", ["bash", "zsh", "fish"])
def test_shell_completion_prints_its_source(shell: str) -> None:
    done = run(_DOCBUILDER_COMPLETE=f"{shell}_source")
    assert done.returncode == 0, done.stderr
    assert "_DOCBUILDER_COMPLETE" in done.stdout
    assert "docbuilder" in done.stdout


def test_shell_completion_offers_commands_and_options() -> None:
    done = run(
        _DOCBUILDER_COMPLETE="bash_complete", COMP_WORDS="docbuilder bui", COMP_CWORD="1"
    )  # fmt: skip
    assert "plain,build" in done.stdout
    done = run(
        _DOCBUILDER_COMPLETE="bash_complete",
        COMP_WORDS="docbuilder build rx.yaml --lang",
        COMP_CWORD="3",
    )
    assert "plain,--language" in done.stdout


def test_output_is_plain_text_without_a_terminal(tmp_path: Path) -> None:
    for environment in ({"NO_COLOR": "1"}, {"TERM": "dumb"}, {"FORCE_COLOR": "1"}):
        done = run("check", GOOD, REFUSED, "--documents", "diary", **environment)
        assert "\x1b" not in done.stdout + done.stderr, environment
        assert "packs  [" not in done.stderr  # no progress bar


def test_text_can_be_told_under_a_narrow_locale() -> None:
    done = run("languages", LC_ALL="C", LANG="C", PYTHONUTF8="0", PYTHONIOENCODING="ascii:replace")
    assert done.returncode == 0, done.stderr
    assert done.stdout.startswith("en ")


@pytest.mark.parametrize("no_color", [False, True])
def test_progress_bar_shows_in_a_terminal_and_not_in_json(no_color: bool, tmp_path: Path) -> None:
    environment = {"NO_COLOR": "1"} if no_color else {}
    seen = in_terminal("check", REFUSED, GOOD, "--documents", "diary", **environment)
    assert "packs" in seen
    assert "100%" in seen
    if no_color:
        assert "\x1b[3" not in seen  # no colour; moving the cursor is not colour
    assert "100%" not in in_terminal("check", REFUSED, **environment)
    assert "100%" not in in_terminal("check", REFUSED, REFUSED, "--json", **environment)


def in_terminal(*arguments: object, **environment: str) -> str:
    """Run with standard error at a terminal and return what it showed."""
    reader, writer = pty.openpty()
    child = subprocess.Popen(
        [str(SCRIPT), *map(str, arguments)],
        stdout=subprocess.DEVNULL,
        stderr=writer,
        stdin=subprocess.DEVNULL,
        env={**os.environ, "TERM": "xterm", **environment},
    )
    os.close(writer)
    seen, limit = b"", time.monotonic() + 120
    while time.monotonic() < limit:
        if select.select([reader], [], [], 0.2)[0]:
            try:
                part = os.read(reader, 4096)
            except OSError:  # the other end is closed
                break
            if not part:
                break
            seen += part
    child.wait(timeout=10)
    os.close(reader)
    return seen.decode()


def test_reader_that_goes_away_brings_no_traceback() -> None:
    child = subprocess.Popen(
        f"{SCRIPT} protocols | head -c 10", shell=True,
        stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
    )  # fmt: skip
    _, told = child.communicate(timeout=60)
    assert "Traceback" not in told


def test_killed_build_leaves_whole_packs_and_the_next_one_mends(tmp_path: Path) -> None:
    """SIGKILL at moments spread over the whole run of the real command."""
    out = tmp_path / "out"
    order = ("build", GOOD, CHILD, "--out", out, "--replace", "--documents", "diary")
    start = time.monotonic()
    assert run(*order).returncode == 0
    whole = {path.name: contents(path) for path in out.iterdir()}
    length = time.monotonic() - start
    for share in (0.5, 0.75, 0.95):
        child = subprocess.Popen(
            [str(SCRIPT), *map(str, order)], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL
        )
        time.sleep(length * share)
        child.send_signal(signal.SIGKILL)
        child.wait()
        for path in out.iterdir():
            if not path.name.startswith("."):
                assert contents(path) == whole[path.name], share
    assert run(*order).returncode == 0
    assert {path.name: contents(path) for path in out.iterdir()} == whole


def contents(folder: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in folder.iterdir()}


def test_interrupt_leaves_whole_packs_and_no_traceback(tmp_path: Path) -> None:
    out = tmp_path / "out"
    child = subprocess.Popen(
        [str(SCRIPT), "build", GOOD, CHILD, "--out", str(out)],
        stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
    )  # fmt: skip
    assert child.stdout is not None
    child.stdout.readline()  # the first pack stands
    child.send_signal(signal.SIGINT)
    _, told = child.communicate(timeout=60)
    assert "Traceback" not in told
    packs = [path for path in out.iterdir() if not path.name.startswith(".")]
    assert packs
    assert all(json.loads((path / "pack.json").read_bytes())["files"] for path in packs)
    if child.returncode != 0:  # it may have been done already
        assert child.returncode == 1
        assert not [path for path in out.iterdir() if path.name.startswith(".")]


def test_full_disk_under_the_whole_command(tmp_path: Path) -> None:
    """No file may grow past 20 kB: the disk refuses in the middle of the first PDF."""
    out = tmp_path / "out"
    done = subprocess.run(
        ["bash", "-c", f"trap '' XFSZ; ulimit -f 20; exec {SCRIPT} build {GOOD} --out {out}"],
        capture_output=True, text=True, check=False, timeout=120,
    )  # fmt: skip
    assert done.returncode == 2, done.stderr
    assert "the disk is full: free some room and build again" in done.stderr
    assert list(out.iterdir()) == []
    assert "Traceback" not in done.stderr


def test_clinic_folder_can_come_from_the_environment(tmp_path: Path) -> None:
    done = run("check", GOOD, DOCBUILDER_CLINIC=str(tmp_path / "none"))
    assert done.returncode == 2
    assert "clinic.yaml" in done.stderr
