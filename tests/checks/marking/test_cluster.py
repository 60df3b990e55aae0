"""The same marking over Dask: a local cluster, one of its two workers killed in the middle."""

from __future__ import annotations

import shutil
import threading
import time
from pathlib import Path

import pytest

from checks.marking.cluster import ClusterCrew
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
        crew = ClusterCrew(cluster.scheduler_address)
        killer = threading.Thread(target=kill_one, args=(cluster, course))
        killer.start()
        said = mark(course, crew=crew)
        killer.join()
    assert (said.done, said.for_you) == (len(NAMES), [])
    assert points(course) == points(marked[0])
    assert {name for name, on, _ in said.protections if on} == {
        name for name, on, _ in marked[1].protections if on
    }


def kill_one(cluster: object, course: Path) -> None:
    """Kill a worker as soon as the first result is there."""
    while not list((course / ".quayside").rglob("*.result")):
        time.sleep(0.05)
    (worker, *_) = cluster.workers.values()  # type: ignore[attr-defined]
    worker.process.process._process.kill()


def test_an_address_where_nobody_answers_is_told() -> None:
    with pytest.raises(KitError, match="No scheduler answers"):
        ClusterCrew("tcp://127.0.0.1:9")
