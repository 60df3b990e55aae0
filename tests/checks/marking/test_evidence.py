"""Evidence: where marking found another number than the learner saw, a mentor is told why."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from checks import TASKS, check
from checks.marking.client import Worker
from checks.marking.evidence import difference, evidence
from checks.marking.pool import check_all
from checks.marking.requests import Request
from checks.marking.store import Store
from tests.checks.test_programs import programs

TASK = "arm.knock"
FILES = {TASKS[TASK].program: programs(TASK)["wrong_creeping"]}


@pytest.mark.parametrize(
    ("request_", "seen_on", "words"),
    [
        (
            Request(TASK, json.dumps(FILES), 7, 1), (7, 0),
            "On the tables of the lesson this program earns {seen}; "
            "it was marked on held-out ones, variant 1.",
        ),
        (
            Request(TASK, json.dumps(FILES), 12, 1), (7, 0),
            "On the usual tug, 7, and on the tables of the lesson this program earns {seen}; "
            "it was marked on the learner's own, 12, and on held-out ones, variant 1.",
        ),
        (Request(TASK, json.dumps(FILES), 7, 1), (7, 1), ""),
    ],
    ids=["other tables", "other tables and tug", "the same"],
)  # fmt: skip
def test_a_mentor_is_told_on_which_tables_and_tug_the_learners_number_came_out(
    tmp_path: Path, request_: Request, seen_on: tuple[int, int], words: str
) -> None:
    seen = repr(check(TASK, files=FILES, serial=seen_on[0], variant=seen_on[1]))
    store = Store(tmp_path)
    with Worker() as worker:
        assert not check_all(worker, store, {request_: seen}, set(), pictures=False)
    result = store.result(request_)
    assert result is not None
    shown = evidence(store, request_, result, seen)
    assert f"tug {request_.serial} on dock, 5 s" in shown
    assert f"tug {request_.serial} on a held-out dock, 5 s" in shown
    told = difference(store, request_, result, seen)
    if not words:
        assert told is None
    else:
        assert told is not None and told.endswith(words.format(seen=f"{float(seen):g}"))


def test_recordings_are_kept_where_points_were_lost_and_drawn_alike_ever_after() -> None:
    whole = {TASKS[TASK].program: min(programs(TASK, "right").values())}
    with Worker() as worker:
        lost = worker.check(Request(TASK, json.dumps(FILES), 7, 0)).recordings
        at_once = worker.draw(TASK, lost[0])
        assert worker.check(Request(TASK, json.dumps(whole), 7, 0)).recordings == []
        assert worker.draw(TASK, lost[0]) == at_once
    assert len(lost) == len(TASKS[TASK].runs)
