from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest

from checks.course.copies import HOME, learner_copy
from checks.course.files import from_bytes
from checks.course.lessons import ROOT, find_lessons
from checks.course.release import BOARDS_NOTE, NOTES, release
from robotsim import KitError
from robotsim.locker import BOARDS


def change_lesson(lessons: Path, words: str) -> None:
    """Change a built lesson as another build of it would."""
    file = lessons / "pier" / "pier.ipynb"
    notebook = json.loads(file.read_text(encoding="utf-8"))
    notebook["cells"][0]["source"] = f"# At the pier\n\n{words}"
    file.write_text(json.dumps(notebook), encoding="utf-8")


def hand_out(folder: Path, lessons: Path) -> list[str]:
    return list(release(folder, lessons))


def files(folder: Path) -> dict[str, bytes]:
    own = [path for path in folder.iterdir() if path.is_file() and path.name != NOTES]
    return {path.name: path.read_bytes() for path in own}


@pytest.fixture
def mine(tmp_path: Path) -> Path:
    return tmp_path / "my lessons"


def test_copies_hold_no_solution_no_mark_scheme_no_output(mine: Path, lessons: Path) -> None:
    told = hand_out(mine, lessons)
    assert told == ["mole.ipynb: new (On the mole)", "pier.ipynb: new (At the pier)"]
    assert sorted(files(mine)) == ["mole.ipynb", "pier.ipynb"]
    text = (mine / "pier.ipynb").read_text(encoding="utf-8")
    for secret in ('ahoy\\")', "SOLUTION", "MARK SCHEME", "so that others hear it", "of 3 points"):
        assert secret not in text
    assert "# your lines here" in text and "*Write your answer here.*" in text
    assert "Why does a tug say" in text
    assert "widget" not in (mine / "mole.ipynb").read_text(encoding="utf-8").replace(
        "ipywidgets", ""
    )


def test_links_between_lessons_lead_from_copy_to_copy(mine: Path, lessons: Path) -> None:
    hand_out(mine, lessons)
    assert "[the mole](mole.ipynb)" in (mine / "pier.ipynb").read_text(encoding="utf-8")


def test_a_second_release_changes_nothing_and_says_so(mine: Path, lessons: Path) -> None:
    hand_out(mine, lessons)
    before = files(mine)
    assert hand_out(mine, lessons) == [f"Your lessons in {mine} are up to date."]
    assert files(mine) == before


def test_an_untouched_copy_follows_its_lesson(mine: Path, lessons: Path) -> None:
    hand_out(mine, lessons)
    for words in ("once", "twice"):
        change_lesson(lessons, words)
        (told,) = hand_out(mine, lessons)
        assert "brought up to date" in told
        assert words in (mine / "pier.ipynb").read_text(encoding="utf-8")
    assert sorted(files(mine)) == ["mole.ipynb", "pier.ipynb"]


def test_a_learners_work_is_left_alone_and_the_new_version_put_beside_it_once(
    mine: Path, lessons: Path
) -> None:
    hand_out(mine, lessons)
    work = mine / "pier.ipynb"
    work.write_bytes(work.read_bytes().replace(b"# your lines here", b"print(1)"))
    before = work.read_bytes()
    change_lesson(lessons, "new words")
    (told,) = hand_out(mine, lessons)
    assert "Yours is left as it is" in told and "pier (new version).ipynb" in told
    beside = mine / "pier (new version).ipynb"
    assert work.read_bytes() == before and "new words" in beside.read_text(encoding="utf-8")
    beside.unlink()
    assert "up to date" in hand_out(mine, lessons)[0]
    assert not beside.exists()


def test_the_copy_beside_is_never_overwritten_once_it_is_worked_on(
    mine: Path, lessons: Path
) -> None:
    hand_out(mine, lessons)
    (mine / "pier.ipynb").write_bytes(b"mine")
    change_lesson(lessons, "second")
    hand_out(mine, lessons)
    change_lesson(lessons, "third")
    hand_out(mine, lessons)
    beside = mine / "pier (new version).ipynb"
    assert "third" in beside.read_text(encoding="utf-8")
    beside.write_bytes(b"mine too")
    change_lesson(lessons, "fourth")
    hand_out(mine, lessons)
    assert (mine / "pier.ipynb").read_bytes() == b"mine" and beside.read_bytes() == b"mine too"
    assert "fourth" in (mine / "pier (new version 2).ipynb").read_text(encoding="utf-8")


def test_a_new_version_taken_over_by_the_learner_follows_its_lesson_again(
    mine: Path, lessons: Path
) -> None:
    hand_out(mine, lessons)
    (mine / "pier.ipynb").write_bytes(b"mine")
    change_lesson(lessons, "second")
    hand_out(mine, lessons)
    (mine / "pier (new version).ipynb").replace(mine / "pier.ipynb")
    change_lesson(lessons, "third")
    assert "brought up to date" in hand_out(mine, lessons)[0]


@pytest.mark.parametrize("notes", [None, b"not json", b'{"pier": 3}', b"[]", b'{"pier": {"x": 1}}'])
def test_without_its_notes_the_release_takes_every_file_for_the_learners(
    notes: bytes | None, mine: Path, lessons: Path
) -> None:
    hand_out(mine, lessons)
    (mine / "pier.ipynb").write_bytes(b"mine")
    change_lesson(lessons, "second")
    (mine / NOTES).unlink() if notes is None else (mine / NOTES).write_bytes(notes)
    told = hand_out(mine, lessons)
    assert ("damaged" in told[0]) == (notes is not None)
    assert (mine / "pier.ipynb").read_bytes() == b"mine"
    assert (mine / "pier (new version).ipynb").exists()
    assert "mole.ipynb: is the newest already" in told
    assert "up to date" in hand_out(mine, lessons)[0]


def test_a_copy_that_was_deleted_comes_back(mine: Path, lessons: Path) -> None:
    hand_out(mine, lessons)
    (mine / "mole.ipynb").unlink()
    assert hand_out(mine, lessons) == ["mole.ipynb: new (On the mole)"]
    assert (mine / "mole.ipynb").exists()


def test_a_folder_inside_the_lessons_is_refused(lessons: Path) -> None:
    with pytest.raises(KitError, match="inside the lessons"):
        hand_out(lessons / "pier", lessons)


def test_a_folder_that_is_a_file_is_told(tmp_path: Path, lessons: Path) -> None:
    (tmp_path / "file").write_text("", encoding="utf-8")
    with pytest.raises(KitError, match="cannot be used"):
        hand_out(tmp_path / "file", lessons)


def test_with_nothing_to_do_it_loads_neither_nbgrader_nor_a_plot(mine: Path, lessons: Path) -> None:
    hand_out(mine, lessons)
    code = (
        "import sys; from pathlib import Path; from checks.course.release import release\n"
        f"print(*release(Path({str(mine)!r}), Path({str(lessons)!r})))\n"
        "heavy = {'nbgrader', 'nbformat', 'jupytext', 'matplotlib'} & {*sys.modules}\n"
        "assert not heavy, heavy"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=True
    )
    assert "up to date" in done.stdout


def test_a_folder_in_a_lessons_place_costs_that_lesson_a_line(
    lessons: Path, tmp_path: Path
) -> None:
    names = [lesson.file for lesson in find_lessons(lessons)]
    (tmp_path / "mine" / names[0]).mkdir(parents=True)
    said = list(release(tmp_path / "mine", lessons))
    assert f"{names[0]}: a folder has this name; rename it to get the lesson" in said
    assert all((tmp_path / "mine" / name).is_file() for name in names[1:])


def test_a_copy_that_was_only_opened_counts_as_untouched(mine: Path, lessons: Path) -> None:
    """JupyterLab writes its kernel into whatever it saves, and now saves by itself."""
    hand_out(mine, lessons)
    copy = mine / "pier.ipynb"
    notebook = json.loads(copy.read_text(encoding="utf-8"))
    notebook["metadata"]["kernelspec"]["display_name"] = "Quayside"
    notebook["metadata"]["language_info"]["version"] = "3.11.7"
    copy.write_text(json.dumps(notebook, indent=1), encoding="utf-8")
    change_lesson(lessons, "new words")
    assert any("brought up to date" in line for line in hand_out(mine, lessons))
    assert "new version" not in " ".join(files(mine))


def test_programs_have_their_folder_and_keep_it(mine: Path, lessons: Path) -> None:
    hand_out(mine, lessons)
    kept = mine / BOARDS / "pier" / "side.py"
    kept.parent.mkdir()
    kept.write_text("mine = 1\n", encoding="utf-8")
    hand_out(mine, lessons)
    assert kept.read_text(encoding="utf-8") == "mine = 1\n"
    assert "not handed in" in (mine / BOARDS / BOARDS_NOTE).read_text(encoding="utf-8")


def test_a_copy_ends_with_the_way_to_the_next_lesson() -> None:
    first, after, *_, last = find_lessons()
    copies = [from_bytes(learner_copy(one.notebook.read_bytes(), one)) for one in (first, last)]
    ends = [copy.cells[-1].source for copy in copies]
    assert f"[{after.title}]({after.file})" in ends[0] and ".ipynb" not in ends[1]
    for copy in copies:  # and the way home, at both ends
        assert all(f"[Home]({HOME})" in copy.cells[place].source for place in (1, -1))
