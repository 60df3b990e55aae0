"""One course folder in which every hostile and broken submission is marked, once."""

from __future__ import annotations

import functools
import hashlib
import json
import shutil
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest
from sqlalchemy.engine import Engine

from checks.course.classroom import OWN, TABLES, open_class
from checks.course.open_course import OpenCourse
from checks.course.scores import scores
from checks.marking import client
from checks.marking.marker import Marked, mark
from checks.marking.pool import LocalPool
from tests.checks.marking.cases import LESSON, Case, answer, cases, good_work, program, reaching
from tests.checks.marking.quick import QuickPool
from tests.checks.marking.reaches import REACHES


@pytest.fixture(autouse=True)
def _no_gradebook_is_left_open(monkeypatch: pytest.MonkeyPatch) -> None:
    """Whoever closes a gradebook has nothing of it in use any more: a newer Python warns of it."""
    dispose = Engine.dispose

    def seen(engine: Engine, *words: bool, **named: bool) -> None:
        assert "Checked out connections: 0" in engine.pool.status()
        dispose(engine, *words, **named)

    monkeypatch.setattr(Engine, "dispose", seen)


HONEST = ("aa-good", "mm-good", "zz-good")
"""Good pieces of work before, among and after the others."""
PATIENCE_S = 20.0
SAMPLE = REACHES[::13]
"""What an ordinary run marks of the programs that reach out; each is tried in test_confine."""


WORDS = "lamps-words"
TOLD = [f"l{k}" for k in range(6)]
"""Who is in the class of `decided`, with others who came late, left or are ill."""


@dataclass
class Class:
    """The class, marked: its folder, its cases, what marking said, and the files as they were."""

    course: Path
    cases: list[Case]
    said: Marked
    before: dict[Path, str]

    @functools.cached_property
    def points(self) -> dict[tuple[str, str], float]:
        found = scores(OpenCourse(self.course))
        return {(s.learner, s.cell): s.points for s in found if s.handed_in}


def fill(course: Path, found: list[Case]) -> None:
    """Hand everything in."""
    good = good_work((course / "release" / LESSON / f"{LESSON}.ipynb").read_bytes())
    for name in HONEST:
        hand_in(course, name, good)
    for case in found:
        folder = hand_in(course, learner(case), case.data(good))
        if case.beside:
            case.beside(folder)


def learner(case: Case) -> str:
    return case.name.replace("_", "-")


def hand_in(course: Path, name: str, data: bytes) -> Path:
    folder = course / "submitted" / name / LESSON
    folder.mkdir(parents=True)
    (folder / f"{LESSON}.ipynb").write_bytes(data)
    return folder


def files(course: Path) -> dict[Path, str]:
    """Give the marks of all files that no marking may change."""
    kept = ("submitted", "release", "roster.csv", "nbgrader_config.py")
    return {
        path: hashlib.sha256(path.read_bytes()).hexdigest()
        for name in kept for path in [course / name, *(course / name).rglob("*")] if path.is_file()
    }  # fmt: skip


def open_lamps(course: Path, names: list[str]) -> None:
    roster = course.parent / "class.csv"
    roster.write_text("id\n" + "\n".join(names) + "\n", encoding="utf-8")
    list(open_class(course, roster, ids=[LESSON]))
    (course / OWN / TABLES).write_text('{"variant": 1}', encoding="ascii")


@pytest.fixture(scope="session")
def hostile(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Class]:
    course = tmp_path_factory.mktemp("school") / "course"
    found = [*cases(), *reaching(SAMPLE)]
    open_lamps(course, [*HONEST, *map(learner, found)])
    fill(course, found)
    before = files(course)
    patience, client.CHECK_S = client.CHECK_S, PATIENCE_S
    try:
        said = mark(course, pool=LocalPool(2, pictures=False))
    finally:
        client.CHECK_S = patience
    yield Class(course, found, said, before)


@pytest.fixture(scope="session")
def decided(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A class that is marked, its answers by hand too."""
    home = tmp_path_factory.mktemp("school")
    rows = ["id,name,joined,left,lamps", "*,,,,2026-03-31",
            *(f"{name},Learner {name}" for name in TOLD),
            "ill,Ill One,,,excused", "new,New One,2026-04-01,,", "gone,Gone One,,2026-03-01,",
            "early,Early One,2026-03-31,,"]  # fmt: skip
    (home / "class.csv").write_text("\n".join(rows) + "\n", encoding="utf-8")
    course = home / "course"
    list(open_class(course, home / "class.csv", ids=[LESSON]))
    good = good_work((course / "release" / LESSON / f"{LESSON}.ipynb").read_bytes())
    for k, name in enumerate((*TOLD, "ill")):
        nb = json.loads(good)
        program(nb, "x = 1\n")
        answer(nb)["source"] = f"My answer is number {k}."
        hand_in(course, name, json.dumps(nb).encode())
    mark(course, pool=QuickPool())
    with OpenCourse(course).gradebook() as book:
        for k, name in enumerate(TOLD):
            grade = book.find_grade(WORDS, LESSON, LESSON, name)
            grade.manual_score, grade.needs_manual_grade = k % 4, False
        book.db.commit()
    return course


@pytest.fixture
def course(decided: Path, tmp_path: Path) -> Path:
    """A copy of that class, to be changed at will."""
    return Path(shutil.copytree(decided, tmp_path / "course"))


def points(course: Path) -> dict[tuple[str, str], tuple[float, bool]]:
    """Give what everyone has who handed in, and whether it waits for a person."""
    found = scores(OpenCourse(course))
    return {(s.learner, s.cell): (s.points, s.by_hand) for s in found if s.handed_in}
