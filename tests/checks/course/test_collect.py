from __future__ import annotations

import io
import json
import os
import shutil
import zipfile
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest

from checks.course import arrived, grader
from checks.course.assign import assign
from checks.course.classroom import PACKS, open_class
from checks.course.collect import collect
from checks.course.lessons import ROOT
from checks.course.owner import file_time
from robotsim import KitError

CLASS = """\
id,first_name,last_name,email,serial,pier
*,,,,,2026-03-31
anna,Anna,Beek,anna@example.org,3,
ann,Ann,Cole,,4,
bo-lee,Bo,Lee,,,2026-04-30
li,小龙,李,,,
ali,,علی‌رضا,,,
priya,प्रिया,शर्मा,,,
luk,Łukasz,Wójcik,,,
zoe,Zoë,Müller,zoe@example.org,,
"""


@pytest.fixture
def course(school: Path) -> Iterator[Path]:
    """The same without anything handed in."""
    yield school / "course"
    for name in ("submitted", "collected"):
        shutil.rmtree(school / "course" / name, ignore_errors=True)


def take(course: Path, place: Path) -> list[str]:
    """Collect; that a file of these tests is no work is told once, below, and left out here."""
    return [line for line in collect(course, place, course.parent / "lessons")
            if "it counts, since no" not in line]  # fmt: skip


def put(folder: Path, name: str, text: str = "one") -> Path:
    path = folder / name
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(text, encoding="utf-8")
    return path


def handed_in(course: Path, learner: str) -> str:
    file = course / "submitted" / learner / "pier" / "pier.ipynb"
    return file.read_text(encoding="utf-8")


def test_the_class_is_in_the_gradebook_with_its_dates(course: Path) -> None:
    from checks.course.open_course import OpenCourse

    with OpenCourse(course).gradebook() as book:
        assert {s.id: s.last_name for s in book.students}["zoe"] == "Müller"
        assert book.find_assignment("pier").duedate is not None


def test_what_is_handed_out_is_one_file(course: Path) -> None:
    with zipfile.ZipFile(course / PACKS / "course.zip") as pack:
        assert {"READ ME.txt", "pier.ipynb"} <= {*pack.namelist()}
        assert b"tug.json" in pack.read("READ ME.txt")
        assert b"### BEGIN SOLUTION" not in pack.read("pier.ipynb")


def test_whoever_has_a_tug_gets_a_pack_with_its_card(course: Path) -> None:
    found = {path.stem for path in (course / PACKS / "each").iterdir()}
    assert found == {"anna", "ann"}, "those whom the roster gives a serial number"
    with zipfile.ZipFile(course / PACKS / "each" / "anna.zip") as pack:
        assert json.loads(pack.read("tug.json")) == {"serial": 3}
        assert "pier.ipynb" in pack.namelist()
        words = pack.read("READ ME.txt").decode()
        assert "quayside.zip" in words and "python3 lessons" in words
        assert "number 3" in words and "Write it into" not in words, "its card is here already"
        assert len(pack.namelist()) == len({*pack.namelist()})
    with zipfile.ZipFile(course / PACKS / "course.zip") as pack:
        assert "tug.json" not in pack.namelist()


def test_opening_a_class_again_makes_the_same_and_loses_nothing(school: Path, course: Path) -> None:
    before = (course / PACKS / "course.zip").read_bytes()
    put(course / "submitted", "anna/pier/pier.ipynb", "mine")
    rows = CLASS.replace("zoe,Zoë,Müller,zoe@example.org,,\n", "")
    rows = rows.replace("ann,Ann,Cole,,4,\n", "").replace("li,小龙,李,,,", "li,小龙,李,,,excused")
    (school / "fewer.csv").write_text(rows, encoding="utf-8")
    said = list(open_class(course, school / "fewer.csv", school / "lessons"))
    assert "No longer in the roster, kept with their scores: ann, zoe" in said
    assert any("in a column `left`" in line for line in said)
    assert [line for line in said if "Taken away" in line and line.endswith("ann.zip")]
    assert {path.stem for path in (course / PACKS / "each").iterdir()} == {"anna"}
    assert [line for line in said if line.startswith("bo-lee: pier until 2026-04-30 23:59")]
    assert "li: pier excused" in said
    assert len(list((course / ".quayside" / "rosters").iterdir())) == 1
    list(open_class(course, school / "class.csv", school / "lessons"))
    assert (course / PACKS / "course.zip").read_bytes() == before
    assert handed_in(course, "anna") == "mine"


def test_a_folder_that_holds_something_else_or_lies_in_the_kit_becomes_no_course(
    tmp_path: Path, built: Path
) -> None:
    rows = tmp_path / "class.csv"
    rows.write_text("id\nanna\n", encoding="utf-8")
    other = put(tmp_path, "marks of last year.xlsx")
    for place, words in ((tmp_path, "something else"), (ROOT / "kurs", "within the kit")):
        with pytest.raises(KitError, match=words):
            list(open_class(place, rows, built, []))
    assert {*tmp_path.iterdir()} == {rows, other} and not (ROOT / "kurs").exists()
    mine = put(tmp_path / "autumn", "roster.csv", "id\nanna\n")
    assert "new course" in next(open_class(mine.parent, None, built, [])), "its roster may be there"
    assert "course is there" in next(open_class(mine.parent, None, built, []))


def test_namesakes_and_a_changed_id_are_told(tmp_path: Path, built: Path) -> None:
    rows = tmp_path / "class.csv"

    def said(text: str) -> list[str]:
        rows.write_text(f"id,first_name,last_name,email\n{text}", encoding="utf-8")
        return list(open_class(tmp_path / "autumn", rows, built, []))

    told = said("am,Anna,Müller,\nam2,Anna,Müller,a@example.org\nbo,Bo,Lee,\n")
    assert [line for line in told if "look: am and am2 are both called Anna Müller" in line]
    told = said("am,Anna,Müller,\nanna2,Anna,Müller,a@example.org\nbo,Bo,Lee,\n")
    assert "No longer in the roster, kept with their scores: am2" in told
    (line,) = (line for line in told if "was the id changed" in line)
    assert line.startswith("look: anna2 has the name and e-mail of am2") and "Put am2 back" in line


def test_an_id_of_which_only_the_capitals_are_others_is_told(tmp_path: Path, built: Path) -> None:
    """Its points are another's then for `back` and the report, and nobody's else."""
    rows = tmp_path / "class.csv"
    for ids, told in (("anna\nbo", 0), ("Anna\nbo", 1)):
        rows.write_text(f"id\n{ids}\n", encoding="utf-8")
        said = [line for line in open_class(tmp_path / "autumn", rows, built, [])
                if "was the id changed" in line]  # fmt: skip
        assert [line.startswith("look: Anna has the letters of anna:") for line in said
                ] == [True] * told  # fmt: skip


def test_two_rows_with_one_address_are_told_in_one_line(tmp_path: Path, built: Path) -> None:
    """A file that bears it is left, and nobody knew why."""
    rows = tmp_path / "class.csv"
    rows.write_text("id,email,left\nanna,a@example.org,\nbo,A@example.org,2026-01-31\ncy,,\ndan,,\n",
                    encoding="utf-8")  # fmt: skip
    told = [line for line in open_class(tmp_path / "autumn", rows, built, [])
            if "e-mail" in line]  # fmt: skip
    assert len(told) == 1 and "the rows of anna and bo have one e-mail address, a@" in told[0]


def test_another_classes_roster_is_told_and_the_one_from_before_comes_back(
    tmp_path: Path, built: Path
) -> None:
    course, mine, other = tmp_path / "autumn", tmp_path / "class.csv", tmp_path / "other.csv"
    mine.write_text("id\nanna\nbo\n", encoding="utf-8")
    other.write_text("id\numa\n", encoding="utf-8")

    def looks(roster: Path) -> list[str]:
        return [line for line in open_class(course, roster, built, []) if "another class" in line]

    assert looks(mine) == []
    (line,) = looks(other)
    kept = Path(line.partition("kept: ")[2].partition(";")[0])
    assert kept.read_bytes() == mine.read_bytes()
    assert looks(kept) == [], "who was in the course before is no stranger to it"
    mine.write_text("id\nanna\numa\nzoe\n", encoding="utf-8")
    assert looks(mine) == [], "somebody stays"


def test_a_course_of_nearly_the_same_name_is_told(tmp_path: Path, built: Path) -> None:
    (tmp_path / "class.csv").write_text("id\nanna\n", encoding="utf-8")
    for name, told in (("autumn", False), ("autum", True), ("autum", False)):
        said = list(open_class(tmp_path / name, tmp_path / "class.csv", built, []))
        assert any("nearly the same name" in line and str(tmp_path / "autumn") in line
                   for line in said) is told  # fmt: skip


NAMES = {
    "by id": ("anna_2026-03-01-10-00-00_pier.ipynb", "anna"),
    "by id, numbered": ("pier_anna_attempt_2026-03-01-10-00-00_1-pier.ipynb", "anna"),
    "a folder a learner": ("Anna Beek_123456_assignment/1-pier.ipynb", "anna"),
    "the name turned round": ("Beek, Anna - pier.ipynb", "anna"),
    "small letters, no blanks": ("beekanna_3_pier.ipynb", "anna"),
    "no blanks, late": ("beekanna_LATE_3_44_1-pier.ipynb", "anna"),
    "a copy's number": ("annabeek_3_pier (1).ipynb", "anna"),
    "Chinese, as one word": ("李小龙_77_pier.ipynb", "li"),
    "Chinese, apart": ("小龙 李_77/pier.ipynb", "li"),
    "Arabic, one name": ("علیرضا_77_pier.ipynb", "ali"),
    "Devanagari": ("प्रिया शर्मा_12/pier.ipynb", "priya"),
    "a letter that is not taken apart": ("Lukasz Wojcik_5_pier.ipynb", "luk"),
    "an address": ("anna@example.org/pier.ipynb", "anna"),
    "an id in an id": ("ann_pier.ipynb", "ann"),
    "a dash": ("bo-lee_1-pier (2).ipynb", "bo-lee"),
    "another alphabet's dots": ("Müller_Zoë_pier.ipynb", "zoe"),
    "without the dots": ("Zoe Muller/pier.ipynb", "zoe"),
    "nobody": ("carl_pier.ipynb", None),
    "dots written out": ("Zoe Mueller_5_pier.ipynb", "zoe"),
    "a first name only": ("Bo_pier.ipynb", None),
    "no lesson": ("anna_homework.ipynb", None),
    "two learners": ("Anna Beek and Zoe Muller/pier.ipynb", None),
}


@pytest.mark.parametrize("kind", NAMES)
def test_a_file_finds_its_owner_or_is_left_with_a_reason(
    kind: str, course: Path, tmp_path: Path
) -> None:
    name, owner = NAMES[kind]
    put(tmp_path, name)
    said = take(course, tmp_path)
    assert said[-1].startswith("1 taken" if owner else "0 taken")
    if owner is None:
        assert said[0].startswith(f"left: {name}: ") and not (course / "collected").exists()
    else:
        assert said[0] == f"taken: {owner}, pier, from {name}"
        assert handed_in(course, owner) == "one"


def test_a_single_notebook_of_nobody_is_no_class_and_may_be_of_whom_a_part_names(
    course: Path, tmp_path: Path
) -> None:
    put(tmp_path, "Lee pier.ipynb")
    put(tmp_path, "kim_pier.ipynb")
    bo, kim = take(course, tmp_path)[:2]
    assert bo.endswith("by id or whole name; a name in it is that of bo-lee")
    assert kim.endswith("stands in 'kim_pier'")


def test_later_ones_stand_beside_earlier_ones_with_their_times(
    course: Path, tmp_path: Path
) -> None:
    put(tmp_path, "anna_2026-03-02-10-00-00_pier.ipynb", "second")
    take(course, tmp_path)
    put(tmp_path, "anna_2026-03-01-10-00-00_pier.ipynb", "first")
    said = take(course, tmp_path)
    assert said[0].endswith("10-00-00_pier.ipynb: kept; an older one than what counts")
    assert said[-1].startswith("1 taken, 1 were here already")
    assert handed_in(course, "anna") == "second"
    put(tmp_path, "anna_2026-03-03-10-00-00_pier.ipynb", "third")
    take(course, tmp_path)
    assert handed_in(course, "anna") == "third"
    kept = sorted((course / "collected" / "pier" / "anna").iterdir())
    assert [path.read_text(encoding="utf-8") for path in kept] == ["first", "second", "third"]
    note = (course / "submitted" / "anna" / "pier" / "timestamp.txt").read_text(encoding="ascii")
    when = datetime(2026, 3, 3, 10).astimezone(UTC)
    assert note.strip() == f"{when:%Y-%m-%d %H:%M:%S} UTC"


def test_an_earlier_text_handed_in_once_more_is_the_latest(course: Path, tmp_path: Path) -> None:
    for day, text in ((1, "a"), (2, "b"), (3, "a")):
        put(tmp_path, f"anna_2026-03-0{day}-10-00-00_pier.ipynb", text)
    take(course, tmp_path)
    assert handed_in(course, "anna") == "a"
    assert take(course, tmp_path)[-1].startswith("0 taken, 3 were here already")


def test_what_came_by_other_means_is_kept_too(course: Path, tmp_path: Path) -> None:
    put(course / "submitted", "anna/pier/pier.ipynb", "by the exchange")
    old = datetime(2026, 1, 1, tzinfo=UTC).timestamp()
    os.utime(course / "submitted" / "anna" / "pier" / "pier.ipynb", (old, old))
    put(tmp_path, "anna_2026-03-01-10-00-00_pier.ipynb", "by download")
    take(course, tmp_path)
    kept = {path.read_text() for path in (course / "collected" / "pier" / "anna").iterdir()}
    assert kept == {"by the exchange", "by download"}


def archive(**files: bytes | str) -> bytes:
    data = io.BytesIO()
    with zipfile.ZipFile(data, "w") as pack:
        for name, content in files.items():
            pack.writestr(name, content)
    return data.getvalue()


def test_archives_within_archives_are_looked_into(course: Path, tmp_path: Path) -> None:
    inner = archive(**{"1-pier.ipynb": "one", "__MACOSX/._pier.ipynb": "no"})
    outer = archive(**{"Bo Lee_42/work.zip": inner, "../../anna_pier.ipynb": "two"})
    (tmp_path / "all.zip").write_bytes(outer)
    said = take(course, tmp_path / "all.zip")
    assert said[-1] == "2 taken, 0 were here already, 0 left for you to look at"
    assert [line.split(":")[0] for line in said[:-1]] == ["taken", "passed over", "taken"]
    assert handed_in(course, "bo-lee") == "one" and handed_in(course, "anna") == "two"
    assert not list(tmp_path.parent.glob("anna*"))


def test_a_damaged_archive_and_a_huge_one_cost_a_line_each(
    course: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(arrived, "MOST_BYTES", 1000)
    (tmp_path / "anna_1.zip").write_bytes(b"PK\x03\x04 and no more")
    (tmp_path / "anna_2.zip").write_bytes(archive(**{"anna_pier.ipynb": "x" * 2000})[:900])
    with zipfile.ZipFile(tmp_path / "anna_3.zip", "w", zipfile.ZIP_DEFLATED) as pack:
        pack.writestr("anna_pier.ipynb", "x" * 100000)
    put(tmp_path, "zoe_pier.ipynb")
    said = take(course, tmp_path)
    assert [line.split(":")[0] for line in said] == ["left", "left", "left", "taken", said[-1]]


def test_an_entry_without_a_name_stops_nothing(course: Path, tmp_path: Path) -> None:
    """The name's bytes begin with a zero, at which `zipfile` cuts it."""
    data = archive(**{"Xnna_pier.ipynb": "one", "anna_pier.ipynb": "two"})
    (tmp_path / "all.zip").write_bytes(data.replace(b"Xnna_pier", b"\0nna_pier"))
    said = take(course, tmp_path / "all.zip")
    assert said[0].startswith("left: ") and said[1].endswith("from anna_pier.ipynb")


def test_the_only_file_of_somebody_counts_and_is_told_where_it_is_no_work(
    course: Path, tmp_path: Path
) -> None:
    put(tmp_path, "anna_pier.ipynb")
    said = list(collect(course, tmp_path, course.parent / "lessons"))
    assert said[1].startswith("look: anna, pier: it counts, since nothing else has come, but it is")
    assert handed_in(course, "anna") == "one"


def test_what_a_person_has_assigned_is_asked_for_no_more(course: Path, tmp_path: Path) -> None:
    put(tmp_path, "kim_pier.ipynb")
    put(tmp_path, "uma_pier.ipynb", "two")
    lessons = course.parent / "lessons"
    assert take(course, tmp_path)[-1].startswith("0 taken, 0 were here already, 2 left")
    list(assign(course, tmp_path, [("uma_pier.ipynb", "anna", "pier")], lessons))
    said = take(course, tmp_path)
    assert [line for line in said if "uma" in line] == []
    assert said[-1].startswith("0 taken, 1 were here already, 1 left")


def test_a_link_is_not_followed(course: Path, tmp_path: Path) -> None:
    secret = put(tmp_path / "elsewhere", "secret.txt", "secret")
    (tmp_path / "in").mkdir()
    try:
        (tmp_path / "in" / "anna_pier.ipynb").symlink_to(secret)
    except OSError:
        pytest.skip("this system lets nobody make links")
    assert take(course, tmp_path / "in")[-1].startswith("0 taken")


def test_nothing_to_collect_is_told(course: Path, tmp_path: Path) -> None:
    with pytest.raises(KitError, match="nothing there"):
        take(course, tmp_path / "none")


@pytest.mark.parametrize(
    ("name", "when"),
    [
        ("anna_2026-03-01-10-05-09_pier.ipynb", datetime(2026, 3, 1, 10, 5, 9)),
        ("20260301T100509_anna_pier.ipynb", datetime(2026, 3, 1, 10, 5, 9)),
        ("2026-03-01 anna/pier.ipynb", datetime(2026, 3, 1)),
        ("anna_2026-13-41_pier.ipynb", None),
        ("anna_123456_pier.ipynb", None),
    ],
)
def test_the_time_in_a_name_is_read(name: str, when: datetime | None) -> None:
    assert file_time(name) == (when.astimezone(UTC) if when else None)


@pytest.mark.slow
def test_nbgraders_own_collector_takes_the_pattern(course: Path) -> None:
    put(course / "downloaded" / "pier" / "archive", "anna_2026-03-01-10-00-00_1-pier.ipynb", "x")
    grader.nbgrader(course, "zip_collect", "pier")
    assert handed_in(course, "anna") == "x"
    shutil.rmtree(course / "downloaded")



@pytest.mark.parametrize("name", ["anna_quayside-work-2026-03-01.zip",
                                  "anna/quayside-work-2026-03-01.zip"])  # fmt: skip
def test_what_the_home_page_packs_is_collected_as_it_is(
    course: Path, tmp_path: Path, name: str
) -> None:
    """One archive of numbered copies; the platform puts the learner's id before its name."""
    place = tmp_path / "downloads" / name
    place.parent.mkdir(parents=True)
    with zipfile.ZipFile(place, "w") as pack:
        pack.writestr("3-pier.ipynb", "mine")
    told = take(course, tmp_path / "downloads")
    assert any(line.startswith("taken: anna, pier") for line in told), told
    assert handed_in(course, "anna") == "mine"


def test_a_time_in_a_name_that_does_not_count_is_told(course: Path, tmp_path: Path) -> None:
    """Beside names without one it may be its learner's own: the file's own time counts."""
    one = put(tmp_path, "anna_2026-03-01-10-00-00_pier.ipynb")
    os.utime(one, (datetime(2026, 4, 5, 9).timestamp(),) * 2)
    put(tmp_path, "bo-lee_pier.ipynb", "two")
    for _ in "ab":
        (look,) = (line for line in take(course, tmp_path) if line.startswith("look: anna"))
        assert "has a time in its name, 2026-03-01 10:00, as most" in look
        assert look.endswith("the file's own time counts, 2026-04-05 09:00")
    list(assign(course, tmp_path, [(one.name, "anna", "pier")], course.parent / "lessons"))
    assert not [line for line in take(course, tmp_path) if line.startswith("look: anna")]


def test_an_older_notebook_of_another_lesson_is_told(course: Path, tmp_path: Path) -> None:
    ours = json.loads((course / "release" / "pier" / "pier.ipynb").read_bytes())
    for cell in ours["cells"]:
        cell["source"] = "x = 1" if cell["cell_type"] == "code" else cell["source"]
    other = {"cells": [{"id": "mole-home", "cell_type": "markdown", "source": "Off we go."}]}
    put(tmp_path, "anna_2026-03-01-10-00-00_pier.ipynb", json.dumps(other))
    put(tmp_path, "anna_2026-03-02-10-00-00_pier.ipynb", json.dumps(ours))
    for _ in "ab":
        (look,) = (line for line in take(course, tmp_path) if line.startswith("look: "))
        assert look == ("look: anna, pier: anna_2026-03-01-10-00-00_pier.ipynb, an older one than "
                        "what counts, is kept, and its cells are of mole")  # fmt: skip


def test_where_several_came_and_none_is_work_it_is_said_so(course: Path, tmp_path: Path) -> None:
    put(tmp_path, "anna_2026-03-01-10-00-00_pier.ipynb", "one")
    put(tmp_path, "anna_2026-03-02-10-00-00_pier.ipynb", "two")
    said = list(collect(course, tmp_path, course.parent / "lessons"))
    (look,) = (line for line in said if line.startswith("look: "))
    assert "it counts, since none of the 2 that came is work, but it is no notebook" in look


def test_the_course_itself_is_no_folder_of_downloads(course: Path) -> None:
    with pytest.raises(KitError, match="the course itself"):
        take(course, course)


def test_what_holds_for_one_learner_alone_is_said(course: Path, tmp_path: Path) -> None:
    from checks.course.open_course import OpenCourse

    rows = ("id,first_name,variant,joined,pier", "*,,4,,2026-03-31", "anna,Anna,7,2026-04-01,",
            "zoe,Zoe,,,")  # fmt: skip
    file = put(tmp_path, "class.csv", "\n".join(rows))
    said = list(open_class(tmp_path / "other", file, course.parent / "lessons"))
    assert "Everybody is marked on the tables of variant 4" in said
    (anna,) = (line for line in said if line.startswith("anna: "))
    assert anna.endswith("; not asked: pier; marked on the tables of variant 7")
    with OpenCourse(tmp_path / "other").gradebook() as book:
        zoe = next(one for one in book.students if one.id == "zoe")
        assert (zoe.first_name, zoe.last_name) == ("Zoe", ""), "the form grader would say None"
