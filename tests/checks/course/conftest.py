"""Two small lessons that only the tests use, built once."""

from __future__ import annotations

import os
import shutil
import sys
from collections.abc import Iterator, Mapping
from pathlib import Path

import pytest

from checks import Task
from checks.course.build import build
from checks.course.classroom import open_class
from checks.course.lessons import find_lessons

FIXTURES = Path(__file__).parent / "fixtures"


@pytest.fixture(scope="session")
def fixture_tasks() -> Iterator[Mapping[str, Task]]:
    """The task of the fixture lessons; their kernels find it, and nobody else afterwards."""
    before = os.environ.get("PYTHONPATH")
    os.environ["PYTHONPATH"] = os.pathsep.join(filter(None, [str(FIXTURES), before]))
    sys.path.insert(0, str(FIXTURES))
    from pier_tasks import PIER  # type: ignore[import-not-found,unused-ignore]

    from checks import TASKS

    del TASKS[PIER.id]
    yield {PIER.id: PIER}
    sys.path.remove(str(FIXTURES))
    os.environ.pop("PYTHONPATH")
    if before is not None:
        os.environ["PYTHONPATH"] = before


@pytest.fixture(scope="session")
def built(tmp_path_factory: pytest.TempPathFactory, fixture_tasks: Mapping[str, Task]) -> Path:
    """A folder of built lessons, not to be changed."""
    folder = tmp_path_factory.mktemp("kit") / "lessons"
    folder.mkdir()
    for source in FIXTURES.glob("*.md"):
        shutil.copy(source, folder)
    for lesson in find_lessons(folder):
        assert build(lesson, fixture_tasks) == []
    return folder


@pytest.fixture
def lessons(built: Path, tmp_path: Path) -> Path:
    """A copy of the built lessons, to be changed at will."""
    return Path(shutil.copytree(built, tmp_path / "lessons"))


@pytest.fixture(scope="module")
def school(
    built: Path, request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory
) -> Path:
    """A course with the class that a module calls CLASS, made once for its tests."""
    home = tmp_path_factory.mktemp("school")
    (home / "class.csv").write_text(request.module.CLASS, encoding="utf-8")
    lessons = Path(shutil.copytree(built, home / "lessons"))
    list(open_class(home / "course", home / "class.csv", lessons))
    return home


@pytest.fixture
def downloads(tmp_path: Path) -> Path:
    """An empty folder for what came in."""
    (tmp_path / "downloads").mkdir()
    return tmp_path / "downloads"
