"""Which of a learner's files counts, and what a person may say of one that could not be told."""

from __future__ import annotations

import json
import os
import shutil
import zipfile
from pathlib import Path

import pytest

from checks.course.assign import assign
from checks.course.collect import collect
from checks.course.exchange import sent, somebody_elses
from checks.course.open_course import OpenCourse
from checks.course.shelf import came_of
from robotsim import KitError

CLASS = "id,first_name,last_name\nanna,Anna,Beek\nbo,Bo,Lee\n"


@pytest.fixture
def course(school: Path, tmp_path: Path) -> Path:
    return Path(shutil.copytree(school / "course", tmp_path / "course"))


def handed_out(course: Path) -> bytes:
    return (course / "release" / "pier" / "pier.ipynb").read_bytes()


def work(course: Path, line: str) -> bytes:
    """Give a copy in whose program a line was written."""
    nb = json.loads(handed_out(course))
    for cell in nb["cells"]:
        if cell["metadata"].get("nbgrader", {}).get("grade_id") == "pier-hello-program":
            cell["source"] = f"%%program hello.py\nprint({line!r})"
    return json.dumps(nb).encode()


def put(folder: Path, name: str, data: bytes) -> None:
    path = folder / name
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(data)


def taken(school: Path, course: Path, place: Path) -> list[str]:
    return list(collect(course, place, school / "lessons"))


def counts(course: Path, learner: str = "anna") -> bytes:
    return (course / "submitted" / learner / "pier" / "pier.ipynb").read_bytes()


def of_another_lesson(course: Path) -> bytes:
    return handed_out(course).replace(b"pier-", b"mole-")


@pytest.mark.parametrize(
    ("kind", "told"),
    [("untouched", "nothing in it was changed"), ("empty", "it is empty"),
     ("cut off", "it is cut off"), ("of another lesson", "its cells are of mole")],
)  # fmt: skip
def test_what_is_no_work_is_kept_and_told_and_replaces_none(
    kind: str, told: str, school: Path, course: Path, downloads: Path
) -> None:
    later = {"untouched": handed_out(course), "empty": b" \n", "cut off": handed_out(course)[:99],
             "of another lesson": of_another_lesson(course)}[kind]  # fmt: skip
    put(downloads, "anna_2026-03-01-10-00-00_pier.ipynb", work(course, "mine"))
    put(downloads, "anna_2026-03-02-10-00-00_pier.ipynb", later)
    said = taken(school, course, downloads)
    assert counts(course) == work(course, "mine")
    assert [line for line in said if line.startswith("look: anna, pier: ") and told in line]
    assert len(list((course / "collected" / "pier" / "anna").glob("*.ipynb"))) == 2
    note = course / "submitted" / "anna" / "pier" / "timestamp.txt"
    assert "2026-03-0" in note.read_text(encoding="ascii")
    put(downloads, "anna_2026-03-03-10-00-00_pier.ipynb", work(course, "better"))
    taken(school, course, downloads)
    assert counts(course) == work(course, "better")


def test_what_is_no_work_counts_while_there_is_nothing_better(
    school: Path, course: Path, downloads: Path
) -> None:
    put(downloads, "anna_pier.ipynb", handed_out(course))
    taken(school, course, downloads)
    assert counts(course) == handed_out(course)


def test_a_lesson_with_its_solutions_is_nobodys_work(
    school: Path, course: Path, downloads: Path
) -> None:
    put(downloads, "anna/kit/lessons/pier/pier.ipynb",
        (school / "lessons" / "pier" / "pier.ipynb").read_bytes())  # fmt: skip
    said = taken(school, course, downloads)
    assert "the lesson itself" in said[0] and not (course / "submitted" / "anna").exists()


def test_a_lesson_that_stands_in_no_name_is_told_by_the_cells(
    school: Path, course: Path, downloads: Path
) -> None:
    put(downloads, "anna_homework.ipynb", work(course, "mine"))
    assert taken(school, course, downloads)[0] == "taken: anna, pier, from anna_homework.ipynb"


def test_two_of_one_second_are_told_and_a_persons_word_decides(
    school: Path, course: Path, downloads: Path
) -> None:
    names = [f"anna_2026-03-01-10-00-00_pier{n}.ipynb" for n in ("", " (1)", " (2)")]
    for k, name in enumerate(names):
        put(downloads, name, work(course, f"work {k}"))
    said = taken(school, course, downloads)
    (look,) = [line for line in said if "two came at the same second" in line]
    (counting,) = [k for k in range(3) if counts(course) == work(course, f"work {k}")]
    assert f"{names.pop(counting)} counts, and " in look
    assert all(name in look.partition(" counts, and ")[2] for name in names)
    names.insert(counting, next(p.name for p in downloads.iterdir() if p.name not in names))
    for k, name in enumerate(names):
        list(assign(course, downloads, [(name, "anna", "pier")], school / "lessons"))
        assert counts(course) == work(course, f"work {k}")
        taken(school, course, downloads)
        assert counts(course) == work(course, f"work {k}"), "collecting again forgets nothing"
    put(downloads, "anna_2026-03-02-10-00-00_pier.ipynb", work(course, "later"))
    taken(school, course, downloads)
    assert counts(course) == work(course, "later")


def test_what_could_not_be_told_is_assigned_by_one_command_in_an_archive_too(
    school: Path, course: Path, downloads: Path
) -> None:
    with zipfile.ZipFile(downloads / "all.zip", "w") as pack:
        pack.writestr("my things/last try.ipynb", work(course, "mine"))
    said = taken(school, course, downloads)
    assert said[0].startswith("left: all.zip: ") and "--assign FILE LEARNER LESSON" in said[-1]
    file = "all.zip/my things/last try.ipynb"
    told = list(assign(course, downloads, [(file, "bo", "pier")], school / "lessons"))
    assert told == [f"taken: bo, pier, from {file}, as you say"]
    assert counts(course, "bo") == work(course, "mine")


def test_what_is_assigned_elsewhere_stays_nowhere_else(
    school: Path, course: Path, downloads: Path
) -> None:
    """Not in the lesson of its name, nor with its first learner, nor after another `collect`."""
    put(downloads, "anna_pier.ipynb", work(course, "mine"))
    put(downloads, "bo_pier.ipynb", work(course, "mine"))
    taken(school, course, downloads)
    lessons = school / "lessons"
    with OpenCourse(course).gradebook() as book:
        book.update_or_create_submission("pier", "anna")
    marked = course / ".quayside" / "marked" / "anna" / "pier.json"
    put(marked.parent, marked.name, b"{}")
    said = list(assign(course, downloads, [("anna_pier.ipynb", "anna", "mole")], lessons))
    assert said[0] == "taken: anna, mole, from anna_pier.ipynb, as you say"
    assert said[1:] == ["taken away: anna, pier: the same file",
                        "anna, pier: nothing is handed in now",
                        "look: anna, mole: the cells of anna_pier.ipynb are of pier"]  # fmt: skip
    for _ in "ab":
        assert (course / "submitted" / "anna" / "mole" / "mole.ipynb").is_file()
        assert not (course / "submitted" / "anna" / "pier").exists() and not marked.exists()
        assert not list((course / "collected" / "pier" / "anna").glob("*.ipynb"))
        assert counts(course, "bo") == work(course, "mine"), "the same text of somebody else"
        assert taken(school, course, downloads)[-1].startswith("0 taken, 2 were here already")
    with OpenCourse(course).gradebook() as book:
        assert [one.student.id for one in book.assignment_submissions("pier")] == []
    told = list(assign(course, downloads, [("anna_pier.ipynb", "anna", "mole")], lessons))
    assert told[0] == "here already: anna, mole, from anna_pier.ipynb, as you say"
    list(assign(course, downloads, [("anna_pier.ipynb", "anna", "pier")], lessons))
    assert counts(course) == work(course, "mine")
    assert not (course / "submitted" / "anna" / "mole").exists()


def test_an_earlier_file_counts_again_when_the_later_one_goes(
    school: Path, course: Path, downloads: Path
) -> None:
    put(downloads, "anna_2026-03-01-10-00-00_pier.ipynb", work(course, "first"))
    put(downloads, "anna_2026-03-02-10-00-00_pier.ipynb", work(course, "second"))
    taken(school, course, downloads)
    name = "anna_2026-03-02-10-00-00_pier.ipynb"
    assert len(list(assign(course, downloads, [(name, "bo", "pier")], school / "lessons"))) == 2
    assert (counts(course), counts(course, "bo")) == (work(course, "first"), work(course, "second"))


def test_what_is_to_be_looked_at_is_told_until_it_is_so_no_more(
    school: Path, course: Path, downloads: Path
) -> None:
    put(downloads, "anna_pier.ipynb", handed_out(course))
    for _ in "ab":
        said = taken(school, course, downloads)
        assert [line for line in said if line.startswith("look: anna, pier: it counts, since")]
    list(assign(course, downloads, [("anna_pier.ipynb", "anna", "pier")], school / "lessons"))
    assert not any(line.startswith("look") for line in taken(school, course, downloads))


def test_a_damaged_archive_is_told_by_its_name(
    school: Path, course: Path, downloads: Path
) -> None:
    put(downloads, "week 3.zip", b"PK and no more")
    said = taken(school, course, downloads / "week 3.zip")
    assert said[0].startswith("left: week 3.zip: the archive cannot be read")


@pytest.mark.parametrize(
    ("asked", "told"),
    [(("y.ipynb", "bo", "pier"), "did you mean 'x.ipynb'"),
     (("none.ipynb", "bo", "pier"), "no notebook 'none.ipynb'"),
     (("x.ipynb", "boo", "pier"), "learner called 'boo'"),
     (("x.ipynb", "bo", "peer"), "lesson called 'peer'")],
)  # fmt: skip
def test_an_assignment_that_cannot_be_is_an_error(
    asked: tuple[str, str, str], told: str, school: Path, course: Path, downloads: Path
) -> None:
    put(downloads, "x.ipynb", work(course, "mine"))
    with pytest.raises(KitError, match=told):
        list(assign(course, downloads, [asked], school / "lessons"))


def test_a_notebook_that_a_browser_saved_as_text_is_one(
    school: Path, course: Path, downloads: Path
) -> None:
    put(downloads, "anna_1_pier.ipynb.txt", work(course, "mine"))
    put(downloads, "who_pier.ipynb.json", work(course, "bo's"))
    said = taken(school, course, downloads)
    assert said[0] == "taken: anna, pier, from anna_1_pier.ipynb.txt"
    orders = [("who_pier.ipynb.json", "bo", "pier")]
    assert next(assign(course, downloads, orders, school / "lessons")).startswith("taken: bo")


def test_of_several_assignments_all_are_done_or_none(
    school: Path, course: Path, downloads: Path
) -> None:
    """And nothing of somebody else is offered in the place of what cannot be assigned."""
    put(downloads, "x.ipynb", work(course, "mine"))
    put(downloads, "anna_pier.ipynb", work(course, "anna's"))
    put(downloads, "any_pier.ipynb.docx", b"x")
    for file, told in (("any_pier.ipynb.docx", "cannot be assigned: no notebook (.docx)"),
                       ("nna_pier.ipynb", "no notebook 'nna_pier.ipynb'")):  # fmt: skip
        orders = [("x.ipynb", "bo", "pier"), (file, "bo", "pier")]
        with pytest.raises(KitError) as caught:
            list(assign(course, downloads, orders, school / "lessons"))
        assert told in str(caught.value) and "None of the 2 files was assigned" in str(caught.value)
        assert "anna_pier.ipynb'?" not in str(caught.value)
        assert not (course / "submitted" / "bo").exists()


def test_the_last_line_counts_apart_what_cannot_be_assigned(
    school: Path, course: Path, downloads: Path
) -> None:
    put(downloads, "bo/photo.jpg", b"x")
    assert taken(school, course, downloads)[-1] == (
        "0 taken, 0 were here already, 1 left for you to look at, 1 of them no notebook")
    put(downloads, "who_pier.ipynb", work(course, "mine"))
    assert "2 left for you to look at, 1 of them no notebook; --assign" in taken(
        school, course, downloads)[-1]  # fmt: skip


def test_folders_in_the_wrong_order_are_told_and_the_course_that_is_near_is_named(
    school: Path, course: Path, downloads: Path
) -> None:
    for folder, other, told in (
        (downloads, course, f"the course comes first: `{course} {downloads}`"),
        (downloads, downloads, f"did you mean {course}?"),
        # First; what other tests have left may lie beside it.
        (course.parent, downloads, f"did you mean {course}"),
        (course / "packs", downloads, f"did you mean {course}?"),
    ):
        with pytest.raises(KitError) as caught:
            taken(school, folder, other)
        assert told in caught.value.hint


def test_the_platforms_folder_of_a_learner_is_noted(
    school: Path, course: Path, downloads: Path
) -> None:
    put(downloads, "Anna Beek_1234_file/pier.ipynb", work(course, "mine"))
    put(downloads, "bo_77_pier.ipynb", work(course, "mine too"))
    taken(school, course, downloads)
    assert came_of(course, "pier", "anna") == "Anna Beek_1234_file"
    assert came_of(course, "pier", "bo") == ""


def test_a_folder_of_which_a_person_has_said_whose_it_is_is_remembered(
    school: Path, course: Path, downloads: Path
) -> None:
    put(downloads, "Anna Beek_1_file/pier.ipynb", work(course, "anna's"))
    put(downloads, "Bobby L_2_file/mine.ipynb", work(course, "first"))
    put(downloads, "Somebody_3_file/a.ipynb", work(course, "a"))
    put(downloads, "Somebody_3_file/b.ipynb", work(course, "b"))
    taken(school, course, downloads)
    orders = [("Bobby L_2_file/mine.ipynb", "bo", "mole"),
              ("Somebody_3_file/a.ipynb", "bo", "pier")]  # fmt: skip
    list(assign(course, downloads, orders, school / "lessons"))
    assert came_of(course, "mole", "bo") == "Bobby L_2_file"
    put(downloads, "Bobby L_2_file/new.ipynb", work(course, "second"))
    said = taken(school, course, downloads)
    assert "taken: bo, pier, from Bobby L_2_file/new.ipynb" in "\n".join(said)
    assert came_of(course, "pier", "bo") == "Bobby L_2_file"
    assert not [line for line in said if "mine.ipynb" in line], "what was said of it holds on"
    pier = course / "collected" / "pier" / "bo"
    assert work(course, "first") not in [path.read_bytes() for path in pier.glob("*.ipynb")]
    assert [line for line in said if line.startswith("left: Somebody_3_file/b.ipynb")], "of two"
    anew = [("Bobby L_2_file/new.ipynb", "anna", "pier")]
    list(assign(course, downloads, anew, school / "lessons"))
    assert counts(course) == work(course, "second")
    put(downloads, "Bobby L_2_file/third.ipynb", work(course, "third"))
    said = taken(school, course, downloads)
    assert counts(course) == work(course, "second")
    (left,) = (line for line in said if "Bobby L_2_file" in line)
    assert left.startswith("left: Bobby L_2_file/third.ipynb: "), "it is nobody's any more"


def test_namesakes_who_handed_in_the_same_text_both_have_it(
    school: Path, course: Path, downloads: Path
) -> None:
    for k in (1, 2):
        put(downloads, f"Nadja B_{k}/pier.ipynb", handed_out(course))
    put(downloads, "Bo Lee_3/pier.ipynb", work(course, "mine"))
    orders = [(f"Nadja B_{k}/pier.ipynb", id, "pier") for k, id in ((1, "anna"), (2, "bo"))]
    said = list(assign(course, downloads, orders, school / "lessons"))
    assert not [line for line in said if "taken away" in line]
    assert counts(course) == counts(course, "bo") == handed_out(course)
    assert "3 were here already" not in taken(school, course, downloads)[-1], "bo's own is new"
    assert taken(school, course, downloads)[-1].startswith("0 taken, 3 were here already, 0 left")
    assert counts(course) == handed_out(course)


def test_what_is_assigned_says_what_it_takes_the_place_of(
    school: Path, course: Path, downloads: Path
) -> None:
    put(downloads, "anna_1_my answer (1).ipynb", work(course, "one"))
    put(downloads, "who.ipynb", work(course, "two"))
    taken(school, course, downloads)
    orders, lessons = [("who.ipynb", "anna", "pier")], school / "lessons"
    told = next(assign(course, downloads, orders, lessons))
    assert told.endswith("; it counts now in the place of anna_1_my answer (1).ipynb")
    assert next(assign(course, downloads, orders, lessons)).endswith("as you say")


def test_home_folders_are_a_source_without_bins_and_hidden_folders(
    school: Path, course: Path, downloads: Path
) -> None:
    put(downloads, "anna/lessons/1-pier.ipynb", work(course, "mine"))
    os.utime(downloads / "anna/lessons/1-pier.ipynb", (1_000_000_000, 1_000_000_000))
    for folder in (".local/share/Trash/files", "lessons/.ipynb_checkpoints", "Trash", ".cache"):
        put(downloads, f"anna/{folder}/1-pier-copy.ipynb", work(course, f"old, in {folder}"))
    for k in range(50):
        put(downloads, f"bo/pictures/{k}.png", b"x")
    said = taken(school, course, downloads)
    assert counts(course) == work(course, "mine")
    assert len([line for line in said if ".png" in line]) == 20
    assert "left: 30 more files that are no notebooks" in said and len(said) < 30


def test_nbgraders_exchange_is_a_source(school: Path, course: Path, downloads: Path) -> None:
    """Names of folders as nbgrader 0.9.6 makes them (exchange/default/submit.py)."""
    inbound = downloads / "course" / "inbound"
    for when, line in (("2026-03-02 09:00:00.123456", "later"), ("2026-03-01 09:00:00.5", "first")):
        put(inbound / f"anna+pier+{when} UTC+r4nd0m", "pier.ipynb", work(course, line))
        put(inbound / f"anna+pier+{when} UTC+r4nd0m", "timestamp.txt", f"{when} UTC".encode())
    put(inbound / "carl+pier+2026-03-02 09:00:00.1 UTC", "pier.ipynb", work(course, "anna's"))
    put(downloads / "course" / "outbound" / "pier", "pier.ipynb", handed_out(course))
    said = taken(school, course, downloads)
    assert counts(course) == work(course, "later")
    note = course / "submitted" / "anna" / "pier" / "timestamp.txt"
    assert note.read_text(encoding="ascii") == "2026-03-02 09:00:00 UTC\n"
    assert said[-1].startswith("2 taken, 0 were here already, 1 left")
    assert sent("anna+pier+2026-13-01 09:00:00 UTC") is None


def test_the_desk_names_who_is_in_the_roster_no_more_and_is_quiet_of_what_was_taken(
    school: Path, course: Path, downloads: Path
) -> None:
    """The folder above the desk will do, too: it is what a teacher types first."""
    inbound = downloads / "desk" / "inbound"
    put(inbound / "bo+pier+2026-03-01 09:00:00.1 UTC", "pier.ipynb", work(course, "taken"))
    assert taken(school, course, downloads)[-1].startswith("1 taken, 0 were here already, 0 left")
    roster = course / "roster.csv"
    rows = roster.read_text(encoding="utf-8").splitlines(keepends=True)
    roster.write_text("".join(row for row in rows if not row.startswith("bo")), encoding="utf-8")
    assert taken(school, course, downloads) == [
        "0 taken, 1 were here already, 0 left for you to look at"]  # fmt: skip
    put(inbound / "bo+pier+2026-03-02 09:00:00.1 UTC", "pier.ipynb", work(course, "later"))
    line, last = taken(school, course, downloads)
    assert line.endswith("/pier.ipynb: of 'bo', who is not in the roster")
    assert last.startswith("0 taken, 1 were here already, 1 left")
    assert counts(course, "bo") == work(course, "taken")


def test_a_folder_that_another_user_put_there_is_found_out(tmp_path: Path) -> None:
    pwd = pytest.importorskip("pwd")
    me = pwd.getpwuid(os.getuid()).pw_name
    other = next(user.pw_name for user in pwd.getpwall() if user.pw_uid != os.getuid())
    assert somebody_elses(tmp_path, other) == me
    assert somebody_elses(tmp_path, me) == somebody_elses(tmp_path, "no-user-here") == ""


def test_what_was_said_of_a_folder_holds_when_its_own_learner_comes_into_the_class(
    school: Path, course: Path, tmp_path: Path
) -> None:
    """One file counted for two, and the page of the one lay in the folder of the other."""
    downloads = tmp_path / "downloads"
    put(downloads, "Anna Beek_1/pier.ipynb", work(course, "anna"))
    put(downloads, "Zora Quill_7/pier.ipynb", work(course, "a pair"))
    orders = [("Zora Quill_7/pier.ipynb", "bo", "pier")]
    list(assign(course, downloads, orders, school / "lessons"))
    assert came_of(course, "pier", "bo") == "Zora Quill_7"
    with (course / "roster.csv").open("a", encoding="utf-8") as roster:
        roster.write("zora,Zora,Quill\n")
    put(downloads, "Zora Quill_7/my pier.ipynb", work(course, "zora"))
    orders = [("Zora Quill_7/my pier.ipynb", "zora", "pier")]
    list(assign(course, downloads, orders, school / "lessons"))
    taken(school, course, downloads)
    kept = [path.read_bytes() for path in (course / "collected/pier/zora").glob("*.ipynb")]
    assert kept == [work(course, "zora")], "what was said to be bo's is bo's alone"
    assert counts(course, "bo") == work(course, "a pair")
    assert came_of(course, "pier", "bo") == "", "nothing of bo's goes back to that folder"
