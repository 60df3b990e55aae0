"""Nothing of a solution, a mark scheme or a right program is in the learners' edition; it works."""

from __future__ import annotations

import os
import re
import subprocess
import sys
import sysconfig
import zipfile
from collections.abc import Iterator
from pathlib import Path

import pytest

from checks.course.copies import learner_copy
from checks.course.edition import edition
from checks.course.lessons import LESSONS, ROOT, find_lessons

pytestmark = pytest.mark.slow

SOLUTION = re.compile(r"### BEGIN SOLUTION\n(.*?)### END SOLUTION", re.S)
SCHEME = re.compile(r"### BEGIN MARK SCHEME\n(.*?)### END MARK SCHEME", re.S)


@pytest.fixture(scope="module")
def unpacked(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The edition as a learner unpacks it."""
    home = tmp_path_factory.mktemp("learner")
    list(edition(home))
    with zipfile.ZipFile(home / "quayside.zip") as pack:
        pack.extractall(home)
    return home / "quayside"


@pytest.fixture(scope="module")
def texts(unpacked: Path) -> dict[str, str]:
    """All that can be read in it, blanks and what JSON does to a text left aside."""
    files = [p for p in unpacked.rglob("*") if p.is_file() and p.suffix not in (".png", ".pyc")]
    return {path.relative_to(unpacked).as_posix(): squeezed(path.read_text(encoding="utf-8"))
            for path in files}  # fmt: skip


def squeezed(text: str) -> str:
    return re.sub(r'(\\[nt]|\\?["\'],?|\s)+', "", text)


def secrets() -> Iterator[tuple[str, str]]:
    """Give what must not be in it, and where it stands: regions and programs, comments aside."""
    for path in sorted(LESSONS.glob("*.md")):
        text = path.read_text(encoding="utf-8")
        for pattern in (SOLUTION, SCHEME):
            yield from ((path.name, found) for found in pattern.findall(text))
    for path in sorted((ROOT / "tests" / "programs").rglob("right_*.py")):
        yield path.relative_to(ROOT).as_posix(), path.read_text(encoding="utf-8")


def test_no_solution_mark_scheme_or_right_program_is_in_it(texts: dict[str, str]) -> None:
    whole = "\0".join(texts.values())
    found, tried = [], 0
    for place, secret in secrets():
        text = squeezed(secret)
        if len(text) >= 60:  # a line or two, such as one number, may stand anywhere by itself
            tried += 1
            found += [(place, secret[:80])] if text in whole else []
    assert not found and tried > 100


def test_no_notebook_in_it_has_a_mark_of_a_solution(unpacked: Path) -> None:
    notebooks = sorted(unpacked.rglob("*.ipynb"))
    assert len(notebooks) == len(find_lessons())
    for path in notebooks:
        text = path.read_text(encoding="utf-8")
        assert "SOLUTION" not in text and "MARK SCHEME" not in text, path.name


def test_tests_teachers_pages_and_marking_are_not_in_it(texts: dict[str, str]) -> None:
    assert {"lessons/lamps.md", "checks/judge.py", "checks/doctor.py", "README.md"} <= {*texts}
    shims = {p.relative_to(ROOT).as_posix() for p in (ROOT / "robotsim/board/shims").rglob("*.py")}
    assert shims and shims <= {*texts}
    teachers = re.compile(r"(^|/)tests/|lessons/[A-Z]|checks/(marking|demo)/|course/paper")
    assert not [name for name in texts if teachers.search(name)]


def test_a_learner_gets_the_same_copies_of_it_as_of_the_kit(unpacked: Path) -> None:
    for lesson in find_lessons(unpacked / "lessons"):
        kit = next(one for one in find_lessons() if one.id == lesson.id)
        theirs = learner_copy(lesson.notebook.read_bytes(), lesson)
        assert theirs == learner_copy(kit.notebook.read_bytes(), kit)


def test_its_commands_work_and_those_it_has_not_say_so(unpacked: Path, tmp_path: Path) -> None:
    def run(*arguments: str) -> subprocess.CompletedProcess[str]:
        # Without `site`, which would find the parts of the whole kit that is installed here.
        libraries = os.pathsep.join([str(unpacked), sysconfig.get_path("purelib")])
        return subprocess.run(
            [sys.executable, "-S", *arguments], cwd=unpacked, text=True,
            capture_output=True, check=False, env={**os.environ, "PYTHONPATH": libraries},
        )  # fmt: skip

    done = run("-m", "checks", "release", str(tmp_path / "mine"))
    assert done.returncode == 0 and (tmp_path / "mine" / "1-lamps.ipynb").is_file(), done.stderr
    done = run("-m", "checks", "mark", str(tmp_path))
    assert done.returncode == 1 and "learners' edition" in done.stderr
    assert "Traceback" not in done.stderr
    judged = "from checks import check; print(repr(check('lamps.side', files={'side.py': ''})))"
    done = run("-c", judged)
    assert done.stdout == "0\n", done.stderr
