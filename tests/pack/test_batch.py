"""Many packs: any executor, bounded, resumable, one bad job never in the way of another."""

from __future__ import annotations

import json
import os
import shutil
import signal
import time
from collections.abc import Callable, Iterator
from concurrent.futures import BrokenExecutor, Executor, Future, ThreadPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from contextlib import suppress
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest
from batch_examples import DIARY, example_rows, files_below, jobs_of, order_for, write_csv

from docbuilder.errors import ExitCode
from docbuilder.inputs.batch_list import read_batch_list
from docbuilder.inputs.clinic import demo_clinic_folder
from docbuilder.pack.batch import BatchOrder, Job, Result, build_many, build_one
from docbuilder.pack.desk import Desk
from docbuilder.pack.workers import worker_pool

COUNT = 6
SCREENING = [rule.code for rule in Desk().knowledge.screening]


def jobs(tmp_path: Path, count: int = COUNT, bad: tuple[int, ...] = ()) -> list[Job]:
    path = write_csv(tmp_path / "list.csv", example_rows(count, bad))
    return [
        Job(number, row.label, row.source, row.appointment, row.issues)
        for number, row in enumerate(read_batch_list(path, screening=SCREENING), start=1)
    ]


class Watched(Executor):
    """Runs a job only when its result is asked for, and counts what waits."""

    def __init__(self) -> None:
        self.waiting = self.most = 0

    def submit(self, fn: Callable[..., Any], /, *args: Any, **kw: Any) -> Future[Any]:
        self.waiting += 1
        self.most = max(self.most, self.waiting)
        future: Future[Any] = Future()
        future.set_result(fn(*args, **kw))
        future.add_done_callback(lambda _: None)
        return future


def test_one_and_two_workers_write_the_same_bytes(tmp_path: Path) -> None:
    here, there, threads = tmp_path / "here", tmp_path / "there", tmp_path / "threads"
    work = jobs(tmp_path, bad=(3,))
    one = list(build_many(work, order_for(here)))
    with worker_pool(2) as pool:
        two = list(build_many(work, order_for(there), pool))
    with ThreadPoolExecutor(3) as pool:
        three = list(build_many(work, order_for(threads), pool))
    assert files_below(here) == files_below(there) == files_below(threads)
    assert len(list(here.iterdir())) == COUNT - 1
    by_number = [sorted(results, key=lambda result: result.number) for results in (one, two, three)]
    assert by_number[0] == by_number[1] == by_number[2]
    assert [result.status for result in by_number[0]] == [
        "built", "built", "refused", "built", "built", "built",
    ]  # fmt: skip


def test_bad_rows_are_told_and_the_worst_code_counts(tmp_path: Path) -> None:
    work = [
        *jobs(tmp_path, bad=(2,))[:3],
        Job(4, "refused", demo_clinic_folder() / "prescriptions" / "pelvic-pain-refused.yaml"),
        Job(5, "missing", tmp_path / "missing.yaml"),
        Job(6, "row", None, issues=jobs(tmp_path)[0].issues),
    ]
    results = list(build_many(work, order_for(tmp_path / "out")))
    assert [result.exit_code for result in results] == [
        ExitCode.BUILT, ExitCode.BAD_INPUT, ExitCode.BUILT, ExitCode.REFUSED,
        ExitCode.BAD_INPUT, ExitCode.BAD_INPUT,
    ]  # fmt: skip
    assert all(
        result.issues for result in results if result.status == "refused" and result.number < 6
    )


def test_at_most_a_window_of_jobs_waits(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    taken = 0

    def endless() -> Iterator[Job]:
        nonlocal taken
        for number in range(1000):
            taken += 1
            yield Job(number, "x", None)

    with ThreadPoolExecutor(2) as pool:
        results = build_many(endless(), order_for(tmp_path), pool, window=8)
        for seen, _ in enumerate(results, start=1):
            assert taken <= seen + 8
            if seen == 100:
                break
        results.close()
    assert taken <= 108


def test_second_run_builds_only_what_is_missing_or_changed(tmp_path: Path) -> None:
    out = tmp_path / "out"
    work = jobs(tmp_path)
    first = list(build_many(work, order_for(out)))
    assert {result.status for result in first} == {"built"}
    stamps = {path: path.stat().st_mtime_ns for path in out.rglob("*.pdf")}
    shutil.rmtree(out / f"pack_{first[1].pack}")
    changed = example_rows(COUNT)
    changed[4]["side"] = "right"
    write_csv(tmp_path / "list.csv", changed)
    rows = read_batch_list(tmp_path / "list.csv", screening=SCREENING)
    again = [Job(n, row.label, row.source, row.appointment) for n, row in enumerate(rows, start=1)]
    second = list(build_many(again, order_for(out)))
    assert [result.status for result in second] == [
        "kept", "built", "kept", "kept", "built", "kept",
    ]  # fmt: skip
    assert second[4].pack != first[4].pack
    for one, two in zip(first, second, strict=True):
        if two.status == "kept":
            assert (one.pack, one.papers) == (two.pack, two.papers)
            (path,) = (out / f"pack_{two.pack}").glob("*.pdf")
            assert path.stat().st_mtime_ns == stamps[path]


def test_change_of_the_clinic_gives_other_packs_in_the_same_process(tmp_path: Path) -> None:
    """The desk kept by a worker must not outlive the clinic's files as they were."""
    clinic = tmp_path / "clinic"
    shutil.copytree(demo_clinic_folder(), clinic)
    (job, *_) = jobs(tmp_path)
    one = build_one(order_for(tmp_path / "out", clinic), job)
    text = (clinic / "clinic.yaml").read_text(encoding="utf-8")
    (clinic / "clinic.yaml").write_text(text.replace("555-0142", "555-0143"), encoding="utf-8")
    two = build_one(order_for(tmp_path / "out", clinic), job)
    assert one.status == two.status == "built"
    assert one.pack != two.pack


def test_pack_that_was_changed_by_hand_is_told_not_overwritten(tmp_path: Path) -> None:
    out = tmp_path / "out"
    (job, *_) = jobs(tmp_path)
    built = build_one(order_for(out), job)
    folder = out / f"pack_{built.pack}"
    (paper,) = folder.glob("*.pdf")
    whole = paper.read_bytes()
    for spoil in (lambda: paper.write_bytes(whole + b" "), paper.unlink):
        spoil()
        told = build_one(order_for(out), job)
        assert told.status == "refused"
        assert "as it was built" in str(told.issues[0])
        assert "--replace" in told.issues[0].hint
    (folder / "pack.json").write_text("[")
    assert build_one(order_for(out), job).status == "refused"
    again = build_one(order_for(out, replace=True), job)
    assert again.status == "built"
    assert paper.read_bytes() == whole


def test_same_prescription_twice_in_the_list_is_one_pack(tmp_path: Path) -> None:
    (job, *_) = jobs(tmp_path)
    twice = [Job(number, job.label, job.source) for number in (1, 2, 3, 4)]
    with ThreadPoolExecutor(4) as pool:
        results = list(build_many(twice, order_for(tmp_path / "out"), pool))
    assert len({result.pack for result in results}) == 1
    assert sorted({result.status for result in results}) in (["built"], ["built", "kept"])
    assert sum(result.status == "built" for result in results) == 1


def test_bug_in_one_job_is_one_line_and_the_others_go_on(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    real = Desk.make

    def make(self: Desk, prepared: Any, options: Any) -> Any:
        if prepared.plan.prescription.patient.record_number == "BATCH-00002":
            raise RuntimeError("Sample Person2")
        return real(self, prepared, options)

    monkeypatch.setattr(Desk, "make", make)
    results = list(build_many(jobs(tmp_path)[:3], order_for(tmp_path / "out")))
    assert [result.status for result in results] == ["built", "refused", "built"]
    assert results[1].exit_code == ExitCode.BROKEN
    assert "RuntimeError" in str(results[1].issues[0])
    assert "Sample" not in str(results[1].issues[0])


class Breaking(Executor):
    """A pool whose workers die after *good* jobs."""

    def __init__(self, good: int) -> None:
        self.good = good

    def submit(self, fn: Callable[..., Any], /, *args: Any, **kw: Any) -> Future[Any]:
        self.good -= 1
        if self.good < -1:
            raise BrokenProcessPool("gone")
        future: Future[Any] = Future()
        if self.good < 0:
            future.set_exception(BrokenProcessPool("gone"))
        else:
            future.set_result(fn(*args, **kw))
        return future


@pytest.mark.parametrize("window", [1, 2, 64])
def test_broken_pool_loses_no_row_and_the_next_run_completes(window: int, tmp_path: Path) -> None:
    work = jobs(tmp_path)
    results = list(build_many(work, order_for(tmp_path / "out"), Breaking(2), window))
    assert sorted(result.number for result in results) == list(range(1, COUNT + 1))
    assert sum(result.status == "built" for result in results) == 2
    lost = [result for result in results if result.status == "refused"]
    assert all("run the same command again" in result.issues[0].hint for result in lost)
    again = list(build_many(work, order_for(tmp_path / "out")))
    assert sorted(result.status for result in again) == ["built"] * 4 + ["kept"] * 2


def test_killed_worker_process_loses_no_row(tmp_path: Path) -> None:
    """A real SIGKILL of real workers while they build."""
    work = jobs(tmp_path)
    out = tmp_path / "out"
    results: list[Result] = []
    with worker_pool(2) as pool:
        for result in build_many(work, order_for(out), pool, window=3):
            results.append(result)
            for pid in list(pool._pool._processes or {}):  # type: ignore[attr-defined]
                with suppress(ProcessLookupError):
                    os.kill(pid, signal.SIGKILL)
    assert sorted(result.number for result in results) == list(range(1, COUNT + 1))
    assert any(result.status == "refused" for result in results)
    again = list(build_many(work, order_for(out)))
    assert {result.status for result in again} <= {"built", "kept"}
    assert [path.name for path in out.iterdir() if path.name.startswith(".")] == []
    clean = tmp_path / "clean"
    list(build_many(work, order_for(clean)))
    assert files_below(out) == files_below(clean)


def test_executor_that_fails_otherwise_is_told_for_its_job(tmp_path: Path) -> None:
    class Odd(Executor):
        def submit(self, fn: Callable[..., Any], /, *args: Any, **kw: Any) -> Future[Any]:
            future: Future[Any] = Future()
            future.set_exception(OSError("a cluster's own fault"))
            return future

    results = list(build_many(jobs(tmp_path)[:2], order_for(tmp_path / "out"), Odd()))
    assert [result.exit_code for result in results] == [ExitCode.BROKEN] * 2
    assert issubclass(BrokenProcessPool, BrokenExecutor)


def test_reports_hold_no_patient(tmp_path: Path) -> None:
    results = list(build_many(jobs(tmp_path, bad=(2,)), order_for(tmp_path / "out")))
    assert any(result.patient[0] for result in results)
    told = json.dumps([result.as_json() for result in results])
    assert "Sample" not in told
    assert "BATCH-" not in told
    names = " ".join(path.name for path in (tmp_path / "out").rglob("*"))
    assert "Sample" not in names
    assert "BATCH-" not in names


def test_order_and_jobs_can_be_sent_to_another_process(tmp_path: Path) -> None:
    import pickle

    order = BatchOrder(None, tmp_path, DIARY, "state")
    for value in (order, *jobs(tmp_path), *jobs_of([tmp_path / "a.yaml"])):
        assert pickle.loads(pickle.dumps(value)) == value


def _own_number(_: int) -> int:
    time.sleep(0.01)
    return os.getpid()


def test_processes_are_replaced_and_no_task_is_lost() -> None:
    with worker_pool(2, tasks_of_a_life=5) as pool:
        numbers = [future.result() for future in [pool.submit(_own_number, n) for n in range(25)]]
    generations = [set(numbers[start : start + 10]) for start in (0, 10, 20)]
    assert all(generations)
    for one, other in pairwise(generations):
        assert not one & other
    assert os.getpid() not in numbers
