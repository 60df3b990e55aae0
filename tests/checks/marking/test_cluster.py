"""The same marking over Dask: a local cluster, one of its two workers killed in the middle."""

from __future__ import annotations

import contextlib
import os
import re
import shutil
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from checks.course.lessons import ROOT
from checks.marking import cluster as module
from checks.marking.cluster import ClusterPool
from checks.marking.marker import Marked, mark
from robotsim import KitError
from tests.checks.marking.test_marker import NAMES, fresh, marked, points

__all__ = ["fresh", "marked"]

pytestmark = [
    pytest.mark.long,
    # Dask's own clean-up tells of connections that a killed worker left.
    pytest.mark.filterwarnings("ignore"),
]


def test_a_cluster_gives_the_same_scores_also_when_a_worker_is_killed(
    fresh: Path, marked: tuple[Path, Marked], tmp_path: Path
) -> None:
    from distributed import LocalCluster

    course = Path(shutil.copytree(fresh, tmp_path / "course"))
    with LocalCluster(
        n_workers=2, threads_per_worker=1, dashboard_address=None, processes=True
    ) as cluster:
        pool = ClusterPool(cluster.scheduler_address)
        killer = threading.Thread(target=kill_one, args=(cluster, course))
        killer.start()
        said = mark(course, pool=pool)
        killer.join()
    assert (said.done, said.for_you) == (len(NAMES), [])
    assert points(course) == points(marked[0])
    assert {name for name, on, _ in said.protections if on} == {
        name for name, on, _ in marked[1].protections if on
    }


@contextlib.contextmanager
def scheduler_and_worker() -> Iterator[tuple[str, subprocess.Popen[str]]]:
    """Start both as programs of their own; give the address and the scheduler."""
    dask = [sys.executable, "-m", "dask"]
    own = {**os.environ, "PYTHONPATH": str(ROOT)}
    scheduler = subprocess.Popen(
        [*dask, "scheduler", "--host", "127.0.0.1", "--port", "0", "--no-dashboard"],
        stderr=subprocess.PIPE, stdout=subprocess.DEVNULL, text=True, env=own,
    )  # fmt: skip
    assert scheduler.stderr is not None
    found = next(filter(None, (re.search(r"Scheduler at:\s+(tcp://\S+)", row)
                               for row in scheduler.stderr)))  # fmt: skip
    worker = subprocess.Popen(
        [*dask, "worker", found[1], "--nthreads", "2", "--no-dashboard", "--no-nanny"],
        stderr=subprocess.DEVNULL, stdout=subprocess.DEVNULL, env=own,
    )  # fmt: skip
    try:
        yield found[1], scheduler
    finally:
        for process in (worker, scheduler):
            process.kill()
            process.wait()
        scheduler.stderr.close()


def marking(course: Path, address: str) -> subprocess.Popen[str]:
    return subprocess.Popen(
        [sys.executable, "-P", "-m", "checks", "mark", str(course), "--cluster", address],
        stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
    )  # fmt: skip


def test_a_scheduler_that_is_killed_costs_one_clear_line_and_no_score(
    fresh: Path, marked: tuple[Path, Marked], tmp_path: Path
) -> None:
    course = Path(shutil.copytree(fresh, tmp_path / "course"))
    with scheduler_and_worker() as (address, scheduler):
        process = marking(course, address)
        while process.poll() is None and not list((course / ".quayside").rglob("*.notebook")):
            time.sleep(0.05)
        scheduler.kill()
        said, _ = process.communicate(timeout=120)
    assert process.returncode == 1
    assert "The cluster's scheduler is gone" in said and "Traceback" not in said
    with scheduler_and_worker() as (address, _):
        process = marking(course, address)
        said, _ = process.communicate(timeout=600)
    assert process.returncode == 0 and "for you" not in said, said
    assert points(course) == points(marked[0])


def test_the_end_of_a_scheduler_is_noticed_within_ten_seconds() -> None:
    """Asked when it went, then looking, and telling those who wait: by its own clocks."""
    assert module._PATIENCE_S + module._CUT_OFF * module._LOOK_S + module._LOOK_S < 10.0


def kill_one(cluster: object, course: Path) -> None:
    """Kill a worker as soon as the first result is there."""
    while not list((course / ".quayside").rglob("*.result")):
        time.sleep(0.05)
    (worker, *_) = cluster.workers.values()  # type: ignore[attr-defined]
    worker.process.process._process.kill()


def test_an_address_where_nobody_answers_is_told() -> None:
    with pytest.raises(KitError, match="No scheduler answers"):
        ClusterPool("tcp://127.0.0.1:9")
