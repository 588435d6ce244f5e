"""`docbuilder batch` as a real command: kills, interrupts, resuming, lists of every kind."""

from __future__ import annotations

import csv
import json
import os
import random
import signal
import subprocess
import sys
import sysconfig
import time
from collections.abc import Iterator
from pathlib import Path

import pymupdf
import pytest
import yaml
from click.testing import CliRunner

from docbuilder.cli.main import main
from docbuilder.errors import ExitCode
from docbuilder.inputs.clinic import demo_clinic_folder

SCRIPT = Path(sysconfig.get_path("scripts")) / "docbuilder"
DEMO = demo_clinic_folder() / "prescriptions"
GOOD = DEMO / "urgency-tibial-en.yaml"
SUMMARY = {"batch.json", "cover_list.pdf", "print_run.pdf"}


def rows(count: int, bad: tuple[int, ...] = ()) -> list[dict[str, str]]:
    rx = yaml.load(GOOD.read_text(encoding="utf-8"), Loader=yaml.BaseLoader)
    flat = {}
    for key, value in rx.items():
        for inner, one in value.items() if isinstance(value, dict) else [("", value)]:
            flat[f"{key}.{inner}".rstrip(".")] = " ".join(one) if isinstance(one, list) else one
    return [
        flat
        | {"patient.record_number": f"{n:05}", "appointment": f"{8 + n % 9:02}:15"}
        | ({"side": "centre"} if n in bad else {})
        for n in range(1, count + 1)
    ]


def write_list(path: Path, content: list[dict[str, str]]) -> Path:
    with path.open("w", newline="", encoding="utf-8-sig") as stream:
        writer = csv.DictWriter(stream, list(content[0]), delimiter=";")
        writer.writeheader()
        writer.writerows(content)
    return path


def command(*arguments: object) -> list[str]:
    return [str(SCRIPT), *map(str, arguments)]


def tree(folder: Path) -> dict[str, bytes]:
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in folder.rglob("*")
        if path.is_file()
    }


def packs(folder: Path) -> list[Path]:
    return [path for path in folder.iterdir() if path.name.startswith("pack_")]


def processes() -> Iterator[tuple[int, list[str]]]:
    """Yield every process with what its `stat` says behind the name: state, parent, ... (Linux)."""
    for entry in Path("/proc").glob("[0-9]*"):
        try:
            yield int(entry.name), (entry / "stat").read_text().rpartition(")")[2].split()
        except OSError:
            continue


def alive(session: int) -> list[int]:
    """Return the processes that still run in a session."""
    return [
        pid for pid, (state, _, _, its, *_) in processes() if int(its) == session and state != "Z"
    ]


def test_csv_batch_in_two_processes_tells_builds_and_summarises(tmp_path: Path) -> None:
    listing = write_list(tmp_path / "list.csv", rows(5, bad=(2,)))
    out = tmp_path / "out"
    order = command("batch", listing, "--out", out, "--workers", 2, "--documents", "diary,handout")
    done = subprocess.run(order, capture_output=True, text=True, check=False, timeout=120)
    assert done.returncode == ExitCode.BAD_INPUT, done.stderr
    assert "5 in the list: 4 built, 0 kept, 1 refused; " in done.stdout
    assert f"{listing}:3: refused, nothing written" in done.stderr
    assert f"{listing}:3: side: found 'centre'" in done.stderr
    assert {path.name for path in out.iterdir()} - SUMMARY == {path.name for path in packs(out)}
    assert len(packs(out)) == 4
    report = json.loads((out / "batch.json").read_text(encoding="utf-8"))
    assert [one["number"] for one in report["packs"]] == [1, 2, 3, 4, 5]
    pages = 0
    expected = []
    for one in report["packs"]:
        for paper in one["papers"]:
            with pymupdf.open(out / one["folder"] / paper["name"]) as document:
                assert document.page_count == paper["pages"]
                pages += document.page_count
                expected += [page.get_text() for page in document]
                expected += [""] * (document.page_count % 2)
    assert report["counts"] == {"built": 4, "kept": 0, "refused": 1, "pages": pages}
    with pymupdf.open(out / "print_run.pdf") as document:
        assert [page.get_text() for page in document] == expected  # the list's order
    with pymupdf.open(out / "cover_list.pdf") as document:
        text = document[0].get_text()
    assert text.index("00004") < text.index("00005")  # 12:15 before 13:15
    for name in ("batch.json",):
        assert "Ada" not in (out / name).read_text(encoding="utf-8")
    assert "Ada" not in done.stdout + done.stderr


def test_killed_batches_end_complete_and_equal_to_an_untouched_one(tmp_path: Path) -> None:
    """SIGKILL to the whole group, then to the parent alone: no half pack, no orphan."""
    listing = write_list(tmp_path / "list.csv", rows(8, bad=(3,)))
    clean, out = tmp_path / "clean", tmp_path / "out"
    order = ("batch", listing, "--workers", 2, "--documents", "diary", "--out")
    start = time.monotonic()
    subprocess.run(command(*order, clean), capture_output=True, check=False, timeout=120)
    length = time.monotonic() - start
    chance = random.Random(6)
    for group in (True, False, True):
        child = subprocess.Popen(
            command(*order, out), stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
            start_new_session=True,
        )  # fmt: skip
        time.sleep(length * chance.uniform(0.5, 0.9))
        if group:
            os.killpg(child.pid, signal.SIGKILL)
        else:
            child.kill()
        child.wait()
        limit = time.monotonic() + 20
        while alive(child.pid) and time.monotonic() < limit:
            time.sleep(0.1)
        assert not alive(child.pid), "workers outlived the command"
        whole = tree(clean)
        for name, data in (tree(out) if out.exists() else {}).items():
            if name.startswith("pack_"):
                assert data == whole[name], name
    done = subprocess.run(
        command(*order, out), capture_output=True, text=True, check=False, timeout=120
    )
    assert done.returncode == ExitCode.BAD_INPUT
    ours, theirs = tree(out), tree(clean)
    for name in SUMMARY:
        ours.pop(name), theirs.pop(name)
    assert ours == theirs
    assert (out / "print_run.pdf").read_bytes() == (clean / "print_run.pdf").read_bytes()


@pytest.mark.parametrize("wait_s", [0.05, 0.15, 0.3])
def test_an_interrupt_while_the_workers_start_prints_no_traceback(
    wait_s: float, tmp_path: Path
) -> None:
    listing = write_list(tmp_path / "list.csv", rows(40))
    child = subprocess.Popen(
        command("batch", listing, "--out", tmp_path / "out", "--workers", 2),
        stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, start_new_session=True,
    )  # fmt: skip
    limit = time.monotonic() + 60
    while not workers_of(child.pid) and time.monotonic() < limit:
        time.sleep(0.005)
    assert workers_of(child.pid)
    time.sleep(wait_s)
    os.killpg(child.pid, signal.SIGINT)
    _, told = child.communicate(timeout=60)
    assert child.returncode == 1
    assert "Traceback" not in told


def workers_of(parent: int) -> list[int]:
    """Return the processes that *parent* started to make packs."""
    children = [pid for pid, (_, its, *_) in processes() if int(its) == parent]
    return [pid for pid in children if b"spawn_main" in command_line(pid)]


def command_line(pid: int) -> bytes:
    try:
        return Path(f"/proc/{pid}/cmdline").read_bytes()
    except OSError:
        return b""


def test_interrupt_leaves_whole_packs_and_says_how_to_go_on(tmp_path: Path) -> None:
    listing = write_list(tmp_path / "list.csv", rows(40))
    out = tmp_path / "out"
    child = subprocess.Popen(
        command("batch", listing, "--out", out, "--workers", 2, "--documents", "diary"),
        stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, start_new_session=True,
    )  # fmt: skip
    limit = time.monotonic() + 60
    while not (out.is_dir() and packs(out)) and time.monotonic() < limit:
        time.sleep(0.05)
    os.killpg(child.pid, signal.SIGINT)  # as a terminal does: to all of them
    _, told = child.communicate(timeout=60)
    assert child.returncode == 1
    assert "run the same command again to go on from here" in told
    assert "Traceback" not in told
    assert 0 < len(packs(out)) < 40
    assert [path.name for path in out.iterdir() if path not in packs(out)] == []
    assert all(json.loads((path / "pack.json").read_bytes())["files"] for path in packs(out))


def run(*arguments: object) -> tuple[int, str, str]:
    result = CliRunner().invoke(main, [str(one) for one in arguments], prog_name="docbuilder")
    assert "Traceback" not in result.output
    return result.exit_code, result.stdout, result.stderr


def test_yaml_list_as_json_and_a_second_run(tmp_path: Path) -> None:
    listing = tmp_path / "list.yaml"
    files = [{"file": str(GOOD), "appointment": "09:00"}, {"file": "missing.yaml"}]
    listing.write_text(yaml.safe_dump({"prescriptions": files}), encoding="utf-8")
    order = ("batch", listing, "--out", tmp_path / "out", "--workers", 1, "--documents", "diary")
    code, out, _ = run(*order, "--json")
    report = json.loads(out)
    assert code == report["exit_code"] == ExitCode.BAD_INPUT
    assert [one["status"] for one in report["packs"]] == ["built", "refused"]
    assert report["packs"][0]["appointment"] == "09:00"
    assert "no such file" in report["packs"][1]["issues"][0]["found"]
    code, out, _ = run(*order, "--json", "--no-print-run")
    report = json.loads(out)
    assert [one["status"] for one in report["packs"]] == ["kept", "refused"]
    assert report["files"] == ["cover_list.pdf"]


def test_nothing_is_written_when_the_list_or_all_of_it_is_refused(tmp_path: Path) -> None:
    bad = write_list(tmp_path / "bad.csv", rows(2, bad=(1, 2)))
    out = tmp_path / "out"
    for listing in (bad, tmp_path / "none.csv", tmp_path):
        code, _, told = run("batch", listing, "--out", out, "--workers", 1)
        assert code == ExitCode.BAD_INPUT
        assert told
        assert not out.exists()


def test_dates_have_to_be_declared(tmp_path: Path) -> None:
    content = [row | {"schedule.start": "07/12/2026"} for row in rows(1)]
    listing = write_list(tmp_path / "list.csv", content)
    order = ("batch", listing, "--out", tmp_path / "out", "--workers", 1, "--documents", "diary")
    code, _, told = run(*order)
    assert code == ExitCode.BAD_INPUT
    assert "--dates day-first or month-first" in told
    code, _, told = run(*order, "--dates", "day-first")
    assert code == ExitCode.BUILT, told
    code, _, told = run(*order, "--dates", "year-first")
    assert code == ExitCode.BAD_INPUT


def test_place_that_cannot_be_written_is_told_before_anything_is_built(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    code, _, told = run("batch", DEMO, "--out", tmp_path / "file" / "out", "--workers", 1)
    assert code == ExitCode.BAD_INPUT
    assert told.count("--out: found") == 1


def test_template_of_columns_is_written_with_a_mark_for_spreadsheets(tmp_path: Path) -> None:
    target = tmp_path / "list.csv"
    code, out, _ = run("new", "--csv", target)
    assert code == 0
    data = target.read_bytes()
    assert data.startswith(b"\xef\xbb\xbfappointment,prescribed_on,patient.name,")
    header = data.decode("utf-8-sig").strip().split(",")
    assert "screening.cardiac_device" in header
    for column in header:
        assert f"{column} " in out
    assert run("new", "--csv", target)[0] == ExitCode.BAD_INPUT
    code, _, told = run("batch", target, "--out", tmp_path / "out")
    assert code == ExitCode.BAD_INPUT
    assert "column names alone" in told


def test_filled_template_builds(tmp_path: Path) -> None:
    target = tmp_path / "list.csv"
    run("new", "--csv", target)
    header = target.read_text(encoding="utf-8-sig").strip().split(",")
    (row,) = rows(1)
    with target.open("a", newline="", encoding="utf-8") as stream:
        csv.DictWriter(stream, header).writerow(row)
    order = ("batch", target, "--out", tmp_path / "out", "--workers", 1, "--documents", "diary")
    code, _, told = run(*order)
    assert code == ExitCode.BUILT, told


@pytest.mark.parametrize("workers", ["0", "-1", "many", "257"])
def test_workers_out_of_bounds_are_a_bad_call(workers: str, tmp_path: Path) -> None:
    code, _, told = run("batch", DEMO, "--out", tmp_path / "out", "--workers", workers)
    assert code == ExitCode.BAD_INPUT
    assert "--workers" in told


def test_module_can_be_the_command_with_workers(tmp_path: Path) -> None:
    listing = write_list(tmp_path / "list.csv", rows(2))
    done = subprocess.run(
        [sys.executable, "-m", "docbuilder", "batch", str(listing), "--out", str(tmp_path / "out"),
         "--workers", "2", "--documents", "diary"],
        capture_output=True, text=True, check=False, timeout=120, cwd=tmp_path,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    assert [line[:24] for line in done.stderr.splitlines()] == ["CAUTION: no --clinic was"]


def test_full_disk_for_the_print_run_still_tells_of_every_pack(tmp_path: Path) -> None:
    """No file over 60 kB: the packs and the cover list stand, the papers in one do not."""
    listing = write_list(tmp_path / "list.csv", rows(3, bad=(2,)))
    out = tmp_path / "out"
    order = command("batch", listing, "--out", out, "--workers", 1, "--documents", "diary")
    assert subprocess.run(order, capture_output=True, check=False, timeout=120).returncode == 2
    assert (out / "print_run.pdf").stat().st_size > 60_000
    done = subprocess.run(
        ["bash", "-c", 'trap "" XFSZ; ulimit -f 60; exec "$@"', "bash", *order, "--json"],
        capture_output=True, text=True, check=False, timeout=120,
    )  # fmt: skip
    assert done.returncode == ExitCode.BAD_INPUT
    assert "Traceback" not in done.stderr
    report = json.loads(done.stdout)
    assert report["counts"] | {"pages": 0} == {"built": 0, "kept": 2, "refused": 1, "pages": 0}
    assert report["files"] == ["cover_list.pdf"]
    (issue,) = report["issues"]
    assert issue["hint"] == "the disk is full: free some room and build again"
    assert json.loads((out / "batch.json").read_text(encoding="utf-8")) == report
    # The print run of the earlier list is gone: nobody prints it for this one's.
    assert not (out / "print_run.pdf").exists()


def test_print_run_of_an_earlier_run_does_not_stay_beside_a_new_list(tmp_path: Path) -> None:
    out = tmp_path / "out"
    order = ("--out", out, "--workers", 1, "--documents", "diary")
    assert run("batch", write_list(tmp_path / "a.csv", rows(1)), *order)[0] == ExitCode.BUILT
    assert (out / "print_run.pdf").exists()
    later = write_list(tmp_path / "b.csv", rows(2))
    assert run("batch", later, *order, "--no-print-run")[0] == ExitCode.BUILT
    assert {path.name for path in out.iterdir() if path.is_file()} == {
        "batch.json", "cover_list.pdf",
    }  # fmt: skip


def test_long_list_becomes_numbered_piles_each_with_its_cover(tmp_path: Path) -> None:
    out = tmp_path / "out"
    listing = write_list(tmp_path / "list.csv", rows(5, bad=(3,)))
    order = ("batch", listing, "--out", out, "--workers", 1, "--documents", "diary")
    assert run(*order)[0] == ExitCode.BAD_INPUT
    with pymupdf.open(out / "print_run.pdf") as document:
        whole = [page.get_text() for page in document]
    sheets = len(whole) // 2
    code, told, _ = run(*order, "--sheets", sheets // 2)
    assert code == ExitCode.BAD_INPUT
    files = {path.name for path in out.iterdir() if path.is_file()}
    piles = [f"{stem}_{n}.pdf" for n in (1, 2) for stem in ("cover_list", "print_run")]
    assert files == {"batch.json", *piles}  # those of the single pile are gone
    assert f"{out / 'print_run_2.pdf'}: written; 2 packs, {sheets // 2} sheets" in told
    report = json.loads((out / "batch.json").read_text(encoding="utf-8"))
    assert report["files"] == piles
    pages = []
    for name in piles[1::2]:
        with pymupdf.open(out / name) as document:
            pages += [page.get_text() for page in document]
            begins = {
                one["printed"]["page"]: one["pack"]
                for one in report["packs"]
                if one["printed"] and one["printed"]["file"] == name
            }
            titles = {page for level, _, page in document.get_toc() if level == 1}
            assert set(begins) == titles
            for page, pack in begins.items():
                assert pack[5:] in document[page - 1].get_text()
    assert pages == whole
    assert [bool(one["printed"]) for one in report["packs"]] == [True, True, False, True, True]
    assert run(*order)[0] == ExitCode.BAD_INPUT
    assert {path.name for path in out.iterdir() if path.is_file()} == SUMMARY


def test_papers_of_yesterday_do_not_stay_where_all_of_a_list_is_refused(tmp_path: Path) -> None:
    out = tmp_path / "out"
    order = ("--out", out, "--workers", 1, "--documents", "diary")
    assert run("batch", write_list(tmp_path / "a.csv", rows(1)), *order)[0] == ExitCode.BUILT
    bad = write_list(tmp_path / "b.csv", rows(2, bad=(1, 2)))
    assert run("batch", bad, *order)[0] == ExitCode.BAD_INPUT
    assert not [path for path in out.iterdir() if path.is_file()]


def test_what_cannot_be_removed_is_told_and_hides_no_pack(tmp_path: Path) -> None:
    out = tmp_path / "out"
    (out / "print_run.pdf" / "in the way").mkdir(parents=True)
    order = ("--out", out, "--workers", 1, "--documents", "diary", "--json")
    code, told, _ = run("batch", write_list(tmp_path / "list.csv", rows(1)), *order)
    report = json.loads(told)
    assert code == report["exit_code"] == ExitCode.BAD_INPUT
    assert report["counts"]["built"] == 1
    assert report["files"] == ["cover_list.pdf"]
    assert [issue["found"] for issue in report["issues"]] == ["is a directory"]
