"""Marking a class: what is marked again, what a kill costs, what a mentor is told."""

from __future__ import annotations

import json
import os
import random
import shutil
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from checks.course.classroom import open_class
from checks.course.lessons import ROOT
from checks.course.open_course import OpenCourse
from checks.marking.marker import Marked, mark
from checks.marking.noted import state_of
from checks.marking.pool import LocalPool
from checks.marking.store import Store
from robotsim import KitError
from tests.checks.marking.cases import FULL, LESSON, SIGNAL, good_work, program
from tests.checks.marking.conftest import hand_in, points

pytestmark = pytest.mark.slow

NAMES = [f"learner-{k}" for k in range(6)]
WEAK = "import time\nwhile True:\n    time.sleep({wait})\n"
SHOWN = [
    {"output_type": "execute_result", "data": {"text/plain": "12"}, "metadata": {},
     "execution_count": 1}
]  # fmt: skip


def fill(course: Path) -> None:
    good = good_work((course / "release" / LESSON / f"{LESSON}.ipynb").read_bytes())
    for k, name in enumerate(NAMES):
        nb = json.loads(good)
        if k:
            program(nb, WEAK.format(wait=k))
        for cell in nb["cells"]:
            if cell["metadata"].get("nbgrader", {}).get("grade_id") == SIGNAL:
                cell["outputs"] = SHOWN
        hand_in(course, name, json.dumps(nb).encode())


@pytest.fixture(scope="module")
def fresh(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A course in which a small class has handed in and nothing is marked."""
    home = tmp_path_factory.mktemp("school")
    rows = [f"{name},{7 + k},{'2026-04-30' if k == 2 else ''}" for k, name in enumerate(NAMES)]
    text = "id,serial,lamps\n*,,2026-03-31T12:00+00:00\n" + "\n".join(rows) + "\n"
    (home / "class.csv").write_text(text, encoding="utf-8")
    course = home / "course"
    list(open_class(course, home / "class.csv", ids=[LESSON]))
    fill(course)
    for k in (1, 2):
        note = course / "submitted" / NAMES[k] / LESSON / "timestamp.txt"
        note.write_text("2026-04-02 12:00:00 UTC\n", encoding="ascii")
    return course


def test_where_programs_cannot_be_kept_in_nothing_is_marked_but_by_a_plain_word(
    fresh: Path, tmp_path: Path
) -> None:
    course = Path(shutil.copytree(fresh, tmp_path / "course"))
    told: list[object] = []
    with pytest.raises(KitError, match="cannot be kept in on this computer") as fault:
        mark(course, pool=LocalPool(1, pictures=False, without=["calls"]), tell=told.append)
    assert "--programs-may-reach-this-computer" in fault.value.hint and told == []
    assert not list((course / "autograded").glob("*")) and state_of(course, NAMES[0], LESSON) == {}
    pool = LocalPool(1, pictures=False, unprotected=True, without=["calls", "sight"])
    said = mark(course, learners=NAMES[:1], pool=pool, tell=told.append)
    assert said.done == 1 and told == [said.protections]
    assert {name for name, on, _ in said.protections if not on} >= {"calls", "sight"}


@pytest.fixture(scope="module")
def marked(fresh: Path, tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Marked]:
    """The same, marked."""
    course = Path(shutil.copytree(fresh, tmp_path_factory.mktemp("marked") / "course"))
    return course, mark(course, pool=LocalPool(2))


def test_all_are_marked_and_nothing_is_left_over(marked: tuple[Path, Marked]) -> None:
    course, said = marked
    assert (said.done, said.unchanged, said.for_you) == (len(NAMES), 0, [])
    assert {cell: points(course)[NAMES[0], cell][0] for cell in FULL} == FULL
    assert points(course)[NAMES[1], SIGNAL][0] < FULL[SIGNAL]


def test_only_what_has_changed_is_marked_again(marked: tuple[Path, Marked], tmp_path: Path) -> None:
    course = Path(shutil.copytree(marked[0], tmp_path / "course"))
    before = points(course)
    assert mark(course, pool=LocalPool(1)).done == 0
    file = course / "submitted" / NAMES[3] / LESSON / f"{LESSON}.ipynb"
    file.write_bytes((course / "submitted" / NAMES[0] / LESSON / file.name).read_bytes())
    said = mark(course, pool=LocalPool(1))
    assert (said.done, said.unchanged) == (1, len(NAMES) - 1)
    after = points(course)
    assert after[NAMES[3], SIGNAL][0] == FULL[SIGNAL]
    assert {k: v for k, v in after.items() if k[0] != NAMES[3]} == {
        k: v for k, v in before.items() if k[0] != NAMES[3]
    }


def test_a_score_given_by_hand_outlives_marking_again(
    marked: tuple[Path, Marked], tmp_path: Path
) -> None:
    course = Path(shutil.copytree(marked[0], tmp_path / "course"))
    with OpenCourse(course).gradebook() as book:
        grade = book.find_grade(SIGNAL, LESSON, LESSON, NAMES[1])
        grade.manual_score = 7.5
        book.db.commit()
    mark(course, learners=[NAMES[1]], again=True, pool=LocalPool(1))
    assert points(course)[NAMES[1], SIGNAL] == (7.5, False)
    file = course / "submitted" / NAMES[1] / LESSON / f"{LESSON}.ipynb"
    hand_over = json.loads(file.read_text(encoding="utf-8"))
    program(hand_over, WEAK.format(wait=30))
    file.write_text(json.dumps(hand_over), encoding="utf-8")
    said = mark(course, learners=[NAMES[1]], pool=LocalPool(1))
    earned, waits = points(course)[NAMES[1], SIGNAL]
    assert earned != 7.5 and not waits, "another program has what the check finds"
    assert "points given by hand (7.5) were for an earlier file" in said.for_you[0][2]


def test_dates_and_penalties_that_change_later_count_for_what_is_marked_already(
    marked: tuple[Path, Marked], tmp_path: Path
) -> None:
    course = Path(shutil.copytree(marked[0], tmp_path / "course"))
    config = course / "nbgrader_config.py"
    penalty = 'c.LateSubmissionPlugin.penalty_method = "zero"\n'
    config.write_text(config.read_text(encoding="utf-8") + penalty, encoding="utf-8")
    assert mark(course, pool=LocalPool(1)).done == len(NAMES)
    roster = (course / "roster.csv").read_text(encoding="utf-8")
    longer = roster.replace(f"{NAMES[1]},8,", f"{NAMES[1]},8,2026-04-30")
    (tmp_path / "class.csv").write_text(longer, encoding="utf-8")
    with OpenCourse(course).gradebook() as book:
        assert book.find_submission(LESSON, NAMES[1]).late_submission_penalty > 0
    list(open_class(course, tmp_path / "class.csv", ids=[LESSON]))
    assert mark(course, pool=LocalPool(1)).done == 1
    with OpenCourse(course).gradebook() as book:
        assert book.find_submission(LESSON, NAMES[1]).late_submission_penalty == 0


@pytest.mark.parametrize(
    ("asked", "told"), [({"lessons": ["lamp"]}, "lesson called 'lamp'"),
                        ({"learners": ["learner-9"]}, "learner called 'learner-9'")],
)  # fmt: skip
def test_what_is_not_there_by_name_is_no_quiet_nothing(
    fresh: Path, asked: dict[str, list[str]], told: str
) -> None:
    with pytest.raises(KitError, match=told):
        mark(fresh, pool=LocalPool(1), **asked)  # type: ignore[arg-type]


def test_late_penalties_are_nbgraders_and_an_own_day_is_heeded(
    marked: tuple[Path, Marked],
) -> None:
    with OpenCourse(marked[0]).gradebook() as book:
        late = {s.student.id: s.total_seconds_late for s in book.assignment_submissions(LESSON)}
    assert late[NAMES[1]] == 2 * 24 * 3600 and late[NAMES[2]] == 0 and late[NAMES[0]] == 0


def test_two_never_mark_a_course_at_once(marked: tuple[Path, Marked]) -> None:
    from checks.marking.marker import _alone

    with _alone(marked[0]), pytest.raises(KitError, match="being marked already"):
        mark(marked[0])


def test_a_mentor_sees_card_picture_tug_and_what_the_learner_saw(
    marked: tuple[Path, Marked],
) -> None:
    course = marked[0]
    path = course / "autograded" / NAMES[1] / LESSON / f"{LESSON}.ipynb"
    cells = json.loads(path.read_text(encoding="utf-8"))["cells"]
    (shown,) = (
        "".join(cell["outputs"][0]["data"]["text/html"]) for cell in cells
        if cell["metadata"].get("nbgrader", {}).get("grade_id") == SIGNAL
    )  # fmt: skip
    assert "Scorecard" in shown and "Marked with tug 8 on basin" in shown
    assert "<img alt=" in shown and "data:image/png;base64," in shown
    assert "The file that was handed in shows 12 here; marking found" in shown


def test_recordings_are_kept_to_be_replayed(marked: tuple[Path, Marked]) -> None:
    from robotsim import Recording

    state = state_of(marked[0], NAMES[1], LESSON)
    result = Store(marked[0]).by_mark(state["checks"][SIGNAL])
    assert result is not None
    recording = Recording.from_bytes(result.recordings[0])
    assert recording.serial == 8 and recording.program == "signal.py"


def test_a_damaged_result_is_worked_out_again(marked: tuple[Path, Marked], tmp_path: Path) -> None:
    course = Path(shutil.copytree(marked[0], tmp_path / "course"))
    before = points(course)
    for k, path in enumerate(sorted((course / ".quayside" / "worked out").rglob("*.result"))):
        data = path.read_bytes()
        path.write_bytes([b"", data[: len(data) // 2], data[:-1] + b"?"][k % 3])
    mark(course, again=True, pool=LocalPool(2))
    assert points(course) == before


def kills(course: Path, times: list[float]) -> int:
    """Mark a course by the command, ended by SIGKILL after each of these times; count the kills."""
    command = [sys.executable, "-P", "-m", "checks", "mark", str(course), "--cores", "2"]
    count = 0
    for wait in [*times, 600.0]:
        process = subprocess.Popen(
            command, cwd=course, env={**os.environ, "PYTHONPATH": str(ROOT)},
            stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True,
        )  # fmt: skip
        try:
            said, _ = process.communicate(timeout=wait)
        except subprocess.TimeoutExpired:
            process.send_signal(getattr(signal, "SIGKILL", signal.SIGTERM))
            process.wait()
            assert process.stdout is not None
            process.stdout.close()
            count += 1
        else:
            assert process.returncode == 0, said
    return count


def wait_for(course: Path) -> float:
    """Give how long the first scores take to come, from the start of the command."""
    began = time.monotonic()
    process = subprocess.Popen(
        [sys.executable, "-P", "-m", "checks", "mark", str(course), "--cores", "2"],
        cwd=course, env={**os.environ, "PYTHONPATH": str(ROOT)},
        stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
    )  # fmt: skip
    while process.poll() is None and not list((course / "autograded").glob("*/*/*.ipynb")):
        time.sleep(0.05)
    process.kill()
    process.wait()
    return time.monotonic() - began


def killed_at_random(fresh: Path, marked: Path, folder: Path, rounds: int) -> None:
    course = Path(shutil.copytree(fresh, folder / "course"))
    # The first kill falls where scores are just being entered; the others around that moment.
    first = wait_for(course)
    chance = random.Random(rounds)
    times = [first * chance.uniform(0.4, 1.4) for _ in range(rounds)]
    kills(course, times)
    assert points(course) == points(marked)
    for path in (course / "submitted").rglob("*.ipynb"):
        other = fresh / path.relative_to(course)
        assert path.read_bytes() == other.read_bytes()
    said = mark(course, pool=LocalPool(1))
    assert (said.done, said.unchanged) == (0, len(NAMES))


def test_a_kill_loses_nothing_and_the_next_run_goes_on(
    fresh: Path, marked: tuple[Path, Marked], tmp_path: Path
) -> None:
    killed_at_random(fresh, marked[0], tmp_path, 2)


@pytest.mark.long
def test_many_kills_lose_nothing(fresh: Path, marked: tuple[Path, Marked], tmp_path: Path) -> None:
    killed_at_random(fresh, marked[0], tmp_path, 25)
