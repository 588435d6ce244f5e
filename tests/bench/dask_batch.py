"""Our batch on Dask's client over several local processes: python tests/bench/dask_batch.py [PACKS]

    pip install -e ".[bench]"

`build_many` takes any executor; Dask's client gives one that can span machines, if they
share the clinic's folder and the place to write. The same list is built with the batch's
own processes too, and the two have to be the same bytes. Scheduler and workers talk over
this machine's loopback only.
"""

from __future__ import annotations

import logging
import sys
import tempfile
import time
from concurrent.futures import Executor
from pathlib import Path

from distributed import Client, LocalCluster

from docbuilder.inputs.clinic import demo_clinic_folder
from docbuilder.pack.batch import BatchOrder, Job, build_many
from docbuilder.pack.build import BuildOptions
from docbuilder.pack.desk import Desk
from docbuilder.pack.workers import worker_pool

PACKS, WORKERS, WARM_UPS = 60, 2, 4


def write_list(folder: Path, count: int) -> list[Job]:
    """Write *count* prescriptions, each demo patient in turn with another record number."""
    demos = [
        path.read_text(encoding="utf-8")
        for path in sorted((demo_clinic_folder() / "prescriptions").glob("*.yaml"))
        if not path.stem.endswith("-refused")
    ]
    jobs = []
    for number in range(1, count + 1):
        path = folder / f"{number:05}.yaml"
        text = demos[number % len(demos)].replace("DEMO-1", f"DASK-{number:05}-")
        path.write_text(text, encoding="utf-8")
        jobs.append(Job(number, path.name, path))
    return jobs


def run(jobs: list[Job], out: Path, executor: Executor) -> tuple[dict[str, bytes], float]:
    """Build *jobs* below *out*; return every file and packs a second once all is loaded."""
    order = BatchOrder(None, out, BuildOptions(), Desk().state)
    results = list(build_many(jobs[:WARM_UPS], order, executor))
    began = time.perf_counter()
    results += build_many(jobs[WARM_UPS:], order, executor)
    seconds = time.perf_counter() - began
    if any(result.status != "built" for result in results):
        raise SystemExit([str(issue) for result in results for issue in result.issues])
    files = {
        path.relative_to(out).as_posix(): path.read_bytes()
        for path in out.rglob("*")
        if path.is_file()
    }
    return files, (len(jobs) - WARM_UPS) / seconds


def main() -> int:
    count = int(sys.argv[1]) if len(sys.argv) > 1 else PACKS
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        jobs = write_list(folder, count)
        with (
            LocalCluster(
                n_workers=WORKERS, threads_per_worker=1, processes=True, host="127.0.0.1",
                dashboard_address=None, local_directory=str(folder / "dask"),
                silence_logs=logging.ERROR,
            ) as cluster,
            Client(cluster) as client,
        ):  # fmt: skip
            there, rate = run(jobs, folder / "dask-out", client.get_executor())
        with worker_pool(WORKERS) as pool:
            here, own_rate = run(jobs, folder / "own-out", pool)
    same = there == here
    sys.stdout.write(
        f"{count} packs, {WORKERS} processes: Dask {rate:.2f} packs/s, own pool {own_rate:.2f} "
        f"packs/s, files {'equal' if same else 'DIFFERENT'} ({len(here)})\n"
    )
    return int(not same)


if __name__ == "__main__":
    sys.exit(main())
