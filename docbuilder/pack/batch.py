"""Many packs: each whole on disk or not at all, with any executor, in bounded memory.

    for result in build_many(jobs, order, executor):
        ...

A job is built where the executor runs it and only a short result comes back. At most
*window* jobs wait or run at a time, so memory does not grow with the list. A pack that
stands already, whole and with the same id, is kept: a second run builds just what is
missing or changed. One bad job never stops the others.

Any `concurrent.futures.Executor` will do. With Dask's client over machines that share
the clinic's folder and *out*:

    with Client("scheduler:8786") as client:
        for result in build_many(jobs, order, client.get_executor()):
            ...
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Iterator
from concurrent.futures import FIRST_COMPLETED, BrokenExecutor, Executor, Future, wait
from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import islice
from pathlib import Path

from docbuilder.errors import DocbuilderError, ExitCode, InputFault, Issue, Place
from docbuilder.inputs.yaml_file import YamlFile
from docbuilder.model.plan import Plan
from docbuilder.pack.bugs import bug_issue
from docbuilder.pack.build import BuildOptions
from docbuilder.pack.desk import Desk, changed_files
from docbuilder.pack.identity import folder_name
from docbuilder.pack.write import clear_leftovers, write_folder

__all__ = ["BatchOrder", "Job", "PaperCount", "Result", "build_many", "build_one"]


@dataclass(frozen=True, slots=True)
class BatchOrder:
    """What all jobs of a batch share; small, and can be sent to another process."""

    clinic_folder: Path | None
    out: Path
    options: BuildOptions
    state: str
    """`Desk.state`: a worker that holds another desk reads the clinic's files anew, and
    builds nothing where it finds others."""
    replace: bool = False


@dataclass(frozen=True, slots=True)
class Job:
    """One prescription of the list."""

    number: int
    """Its place in the list, from 1."""
    label: str
    source: Path | YamlFile | None
    """None: the row is at fault, see *issues*."""
    appointment: str = ""
    issues: tuple[Issue, ...] = ()


@dataclass(frozen=True, slots=True)
class PaperCount:
    """One paper of a pack: which, in which languages, how many pages."""

    name: str
    kind: str
    languages: tuple[str, ...]
    pages: int


@dataclass(frozen=True, slots=True)
class Result:
    """How one job fared."""

    number: int
    label: str
    appointment: str
    status: str
    """Either built, kept (stood already) or refused."""
    exit_code: ExitCode = ExitCode.BUILT
    pack: str = ""
    papers: tuple[PaperCount, ...] = ()
    issues: tuple[Issue, ...] = ()
    patient: tuple[str, str] = ("", "")
    """Name and record number, for paper alone: never in a report or a log."""

    @property
    def stands(self) -> bool:
        """The pack is there."""
        return self.status != "refused"

    def as_json(self) -> dict[str, object]:
        """Return the result as plain data without the patient."""
        return {
            "number": self.number,
            "source": self.label,
            "appointment": self.appointment,
            "status": self.status,
            "exit_code": int(self.exit_code),
            "pack": self.pack,
            "folder": folder_name(self.pack) if self.stands else None,
            "papers": [
                {"name": paper.name, "kind": paper.kind, "languages": list(paper.languages),
                 "pages": paper.pages}
                for paper in self.papers
            ],
            "issues": [issue.as_json() for issue in self.issues],
        }  # fmt: skip


def build_many(
    jobs: Iterable[Job], order: BatchOrder, executor: Executor | None = None, window: int = 64
) -> Iterator[Result]:
    """Build the packs of *jobs* and yield each result as it is done, in any order.

    Args:
        jobs: Taken one by one as there is room.
        order: What they share.
        executor: Where to build; None: here, one after the other.
        window: So many jobs at most wait or run at a time.

    Raises:
        InputFault: The clinic's files are at fault.
    """
    clear_leftovers(order.out)
    waiting: dict[Future[Result], Job] = {}
    jobs = iter(jobs)
    if executor is None:
        yield from (build_one(order, job) for job in jobs)
        return
    sending: list[Job] = []
    try:
        while True:
            for job in islice(jobs, window - len(waiting)):
                sending = [job]
                waiting[executor.submit(build_one, order, job)] = job
                sending = []
            if not waiting:
                return
            done, _ = wait(waiting, return_when=FIRST_COMPLETED)
            for future in done:
                job = waiting.pop(future)
                yield _outcome(future, job)
    except BrokenExecutor:
        # The pool is gone: no job can be sent any more. What was not done can be resumed.
        for future, job in waiting.items():
            yield _outcome(future, job) if future.done() else _lost(job)
        for job in (*sending, *jobs):
            yield _lost(job)
    finally:
        for future in waiting:
            future.cancel()


def build_one(order: BatchOrder, job: Job) -> Result:
    """Build one pack, or say why not; never raises but for an interrupt."""
    result = Result(job.number, job.label, job.appointment, "refused")
    if job.source is None:
        return replace(result, exit_code=ExitCode.BAD_INPUT, issues=job.issues)
    try:
        return _built(order, job.source, result)
    except DocbuilderError as error:
        return replace(result, exit_code=error.exit_code, issues=error.issues)
    except Exception as error:
        issue = bug_issue(error, job.label)
        return replace(result, exit_code=ExitCode.BROKEN, issues=(issue,))


def _built(order: BatchOrder, source: Path | YamlFile, result: Result) -> Result:
    desk = _desk(order.clinic_folder, order.state)
    prepared = desk.prepare(source, order.options)
    folder = order.out / folder_name(prepared.id)
    known = replace(result, pack=prepared.id, patient=_patient(prepared.plan))
    if not order.replace and folder.is_dir():
        return replace(known, status="kept", papers=_standing(folder))
    pack = desk.make(prepared, order.options)
    try:
        write_folder(folder, {file.name: file.data for file in pack.files}, replace=order.replace)
    except InputFault:
        if order.replace or not folder.is_dir():
            raise
        # Another process had the same prescription and was faster.
        return replace(known, status="kept", papers=_standing(folder))
    papers = tuple(
        PaperCount(file.name, file.kind, file.languages, file.pages)
        for file in pack.files
        if file.pages
    )
    return replace(known, status="built", papers=papers)


@lru_cache(maxsize=2)
def _desk(clinic_folder: Path | None, state: str) -> Desk:
    """Return the process's desk; *state* alone tells whether it is still the right one.

    Raises:
        InputFault: The files here are not those that the batch began with.
    """
    desk = Desk(clinic_folder)
    if desk.state != state:
        raise changed_files(clinic_folder, "some")
    return desk


def _patient(plan: Plan) -> tuple[str, str]:
    patient = plan.prescription.patient
    return patient.name, patient.record_number


def _standing(folder: Path) -> tuple[PaperCount, ...]:
    """Return the papers of a pack that stands, each checked against its manifest.

    Raises:
        InputFault: A file is missing or is not what was built.
    """
    try:
        files = json.loads((folder / "pack.json").read_bytes())["files"]
        for file in files:
            data = (folder / file["name"]).read_bytes()
            if hashlib.sha256(data).hexdigest() != file["sha256"]:
                raise _changed(folder, file["name"])
        return tuple(
            PaperCount(file["name"], file["kind"], tuple(file["languages"]), file["pages"])
            for file in files
            if "pages" in file
        )
    except (OSError, ValueError, KeyError, TypeError) as error:
        raise _changed(folder, "pack.json or a file that it lists") from error


def _changed(folder: Path, name: str) -> InputFault:
    return InputFault([
        Issue(Place(str(folder)), "pack", f"{name} is not as it was built",
              "the pack as it was built", "look at the folder; --replace builds it anew")
    ])  # fmt: skip


def _outcome(future: Future[Result], job: Job) -> Result:
    try:
        return future.result()
    except BrokenExecutor:
        return _lost(job)
    except Exception as error:
        return _refused(job, bug_issue(error, job.label))


def _lost(job: Job) -> Result:
    return _refused(
        job,
        Issue(Place(job.label), "worker", "a worker process that was ended",
              "workers that run to the end", "run the same command again: it goes on from here"),
    )  # fmt: skip


def _refused(job: Job, issue: Issue) -> Result:
    return Result(
        job.number, job.label, job.appointment, "refused", ExitCode.BROKEN, issues=(issue,)
    )
