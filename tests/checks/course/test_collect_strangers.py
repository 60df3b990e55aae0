"""No upload counts as another's or as earlier than it came, and all that is not taken is told."""

from __future__ import annotations

import io
import os
import zipfile
from collections.abc import Sequence
from datetime import UTC, datetime
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from checks.course import arrived
from checks.course.collect import collect
from checks.course.owner import Owned, Owners
from checks.course.roster import Roster, Student
from checks.shown import on_line
from robotsim import KitError

ANN, ANN_LEE = Student("ann", "Ann", "Cole"), Student("ann-lee", "Ann", "Lee")
ANNA = Student("anna", "Anna", "Beek", "anna@example.org")
BO = Student("bo", "Bo", "Lee", "bo@example.org")
CLASS = Roster((ANN, ANN_LEE, ANNA, BO))
ROWS = "id,first_name,last_name,email\nanna,Anna,Beek,anna@example.org\nbo,Bo,Lee,bo@example.org\n"


def owner(
    path: str, *others: str, archives: tuple[int, ...] = (), titles: Sequence[str] = ()
) -> Owned | str:
    """Give the owner of a file that came in a folder with others."""
    beside: dict[tuple[str, ...], list[str]] = {}
    for one in (path, *others):
        parts = tuple(one.split("/"))
        for k, part in enumerate(parts):
            beside.setdefault(parts[:k], []).append(part)
    parts = tuple(path.split("/"))
    owners = Owners(CLASS, ["pier", "mole"], beside, titles=titles)
    return owners.whose(parts, (*archives, len(parts) - 1))


STOLEN = {
    # The file's own name, and what an archive holds, are the learner's to choose.
    "a longer id in the file's name": ("ann_1/ann-lee_pier.ipynb", "ann"),
    "another's address in the file's name": ("Bo Lee_77/anna@example.org pier.ipynb", "bo"),
    "another's folder in an archive": ("Bo Lee_77/work.zip/Anna Beek_1/pier.ipynb", "bo"),
    "another's id after the platform's time": ("bo_2026-03-01-10-00-00_anna-pier.ipynb", "bo"),
    "another's id after the platform's number": ("Bo Lee_77_anna_pier.ipynb", "bo"),
    "a nickname, and another's id as file": ("Bobby L_77/anna_pier.ipynb", None),
    "a nickname, all in one name": ("Bobby L_77_anna_pier.ipynb", None),
    "a nickname with another's name in it": ("Friend of Anna Beek_77/pier.ipynb", None),
    "a number, and another's id as file": ("4711_anna_pier.ipynb", None),
    "two at the beginning": ("anna_bo_pier.ipynb", None),
    "an id in an id, one name": ("ann-lee_pier.ipynb", None),
    "two in one folder": ("Anna Beek and Bo Lee/pier.ipynb", None),
}


@pytest.mark.parametrize("kind", STOLEN)
def test_no_upload_counts_as_anothers(kind: str) -> None:
    path, who = STOLEN[kind]
    archives = tuple(k for k, part in enumerate(path.split("/")) if part.endswith(".zip"))
    found = owner(path, archives=archives)
    assert (found.student.id if isinstance(found, Owned) else None) == who, found
    assert isinstance(found, Owned) or len(found) > 20


def test_a_folder_that_is_an_id_is_that_learners() -> None:
    found = owner("ann-lee/ann_pier.ipynb")
    assert isinstance(found, Owned) and found.student == ANN_LEE


def test_a_folder_of_a_lesson_is_passed_over_unless_learners_stand_beside_it() -> None:
    assert isinstance(owner("pier 2026-03-01/anna.ipynb"), Owned)
    assert isinstance(owner("pier/anna.ipynb", "Anna Beek_1/x.ipynb"), str)


def test_the_title_that_a_platform_puts_before_all_names_is_passed_over() -> None:
    names = [f"Week 3 the pier_{who}_attempt_2026-03-01-10-00-00_x.ipynb" for who in ("bo", "anna")]
    found = owner(*names)
    assert isinstance(found, Owned) and found.student == BO
    assert found.when == datetime(2026, 3, 1, 10).astimezone(UTC)
    alone = owner(names[0])
    assert isinstance(alone, str), "alone it may be anything"
    assert "a title before it is passed over where all names begin with it" in alone


def test_a_lessons_title_before_all_names_is_passed_over_as_its_name_is() -> None:
    """A class's whole download was left, of an exercise called `Under way`, lesson `drive`."""
    names = [f"Under way_{who}_attempt_2026-03-01-10-00-00_x.ipynb"
             for who in ("bo", "anna", "zora")]  # fmt: skip
    for name, who in zip(names, (BO, ANNA, None), strict=True):
        found = owner(name, *names, titles=["The pier", "Under way"])
        assert (found.student if isinstance(found, Owned) else None) == who, found
    assert isinstance(owner(*names, titles=["Way under"]), str)
    alone = owner(names[0], titles=["Under way"])
    assert isinstance(alone, Owned) and alone.student == BO, "as `pier_bo_...` alone is bo's"
    inside = owner("Under way/anna_x.ipynb", titles=["Under way"])
    assert isinstance(inside, Owned) and inside.student == ANNA
    assert isinstance(owner(f"Zora {names[0]}", titles=["Under way"]), str)


@pytest.mark.parametrize(
    ("path", "others", "trusted"),
    [
        ("anna_2026-03-01-10-00-00_pier.ipynb", (), True),
        ("anna_2026-03-01_pier.ipynb", ("bo_2026-03-02_pier.ipynb",), True),
        ("Anna Beek_2026-03-01/pier.ipynb", (), True),
        ("2026-03-01 anna/pier.ipynb", (), True),
        # Here the platform wrote no time; the file's own name did.
        ("anna_2026-03-01_pier.ipynb", ("bo_pier.ipynb", "ann_my pier.ipynb"), False),
        ("anna_pier_2026-03-01.ipynb", (), False),
        ("Anna Beek_77/pier 2026-03-01.ipynb", (), False),
        ("Anna Beek_77/2026-03-01.zip/pier.ipynb", (), False),
    ],
)
def test_only_the_platforms_time_makes_a_file_early(
    path: str, others: tuple[str, ...], trusted: bool
) -> None:
    found = owner(path, *others)
    assert isinstance(found, Owned) and found.student == ANNA
    assert (found.when is not None) == trusted


# -- the whole command, in a folder that holds a roster and no more --------------


@pytest.fixture
def course(tmp_path: Path) -> Path:
    (tmp_path / "course").mkdir()
    (tmp_path / "course" / "roster.csv").write_text(ROWS, encoding="utf-8")
    return tmp_path / "course"


def packed(*entries: tuple[str | zipfile.ZipInfo, bytes], how: int = 8) -> bytes:
    data = io.BytesIO()
    with zipfile.ZipFile(data, "w", how) as pack:
        for name, content in entries:
            pack.writestr(name, content)
    return data.getvalue()


def told(course: Path, place: Path) -> list[str]:
    # These files are no work, which is told of each and tested elsewhere.
    return [on_line(line) for line in collect(course, place)
            if "it counts, since no" not in line]  # fmt: skip


def noted(course: Path, who: str) -> str:
    return (course / "submitted" / who / "lamps" / "timestamp.txt").read_text().strip()


def test_the_time_within_a_learners_archive_is_not_heeded(course: Path, downloads: Path) -> None:
    early = zipfile.ZipInfo("lamps.ipynb", (2001, 1, 1, 0, 0, 0))
    (downloads / "Anna Beek_1").mkdir()
    file = downloads / "Anna Beek_1" / "work.zip"
    file.write_bytes(packed((early, b"one")))
    when = datetime(2026, 3, 1, 10, tzinfo=UTC)
    os.utime(file, (when.timestamp(),) * 2)
    told(course, downloads)
    assert noted(course, "anna") == "2026-03-01 10:00:00 UTC"
    outer = zipfile.ZipInfo("Bo Lee_2/work.zip", (2026, 3, 2, 10, 0, 0))
    (downloads / "all.zip").write_bytes(packed((outer, packed((early, b"two")))))
    told(course, downloads / "all.zip")
    assert noted(course, "bo") == f"{datetime(2026, 3, 2, 10).astimezone(UTC):%F %T} UTC"


KINDS = ("notes.pdf", "lamps.ipynb.txt", "lamps.py", "lamps.docx", "lamps", ".DS_Store",
         "tug.json", "__MACOSX/._lamps.ipynb", ".~lock.lamps.ipynb#", "~$lamps.ipynb")  # fmt: skip


def test_every_file_that_is_not_taken_is_told(course: Path, downloads: Path) -> None:
    for name in KINDS:
        path = downloads / "anna" / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(b"x")
    os.mkfifo(downloads / "anna" / "pipe.ipynb")
    (downloads / "anna" / "link.ipynb").symlink_to(downloads / "anna" / "lamps.py")
    (downloads / "anna" / "away").symlink_to("/")
    said = told(course, downloads)
    for name in (*KINDS, "pipe.ipynb", "link.ipynb", "away"):
        (line,) = (line for line in said if f"anna/{name}: " in line)
        assert line.startswith(("left: ", "passed over: "))
    assert said[-1].startswith("0 taken, 0 were here already, 8 left")


def test_what_is_empty_is_called_so(course: Path, downloads: Path) -> None:
    for name in ("anna_mine.ipynb", "bo_1.zip"):
        (downloads / name).touch()
    said = told(course, downloads)
    assert said[:2] == ["left: anna_mine.ipynb: it is empty, and no lesson stands in its name",
                        "left: bo_1.zip: it is empty"]  # fmt: skip


def damaged(how: int) -> bytes:
    """Give an archive whose first entry's stream is corrupt, and whose second is whole."""
    data = bytearray(
        packed(("lamps.ipynb", bytes(range(256)) * 40), ("lamps 2.ipynb", b"2"), how=how)
    )
    start = 30 + len("lamps.ipynb")
    data[start : start + 40] = b"\xff" * 40
    return bytes(data)


@pytest.mark.parametrize("how", [zipfile.ZIP_DEFLATED, zipfile.ZIP_BZIP2, zipfile.ZIP_LZMA])
def test_a_corrupt_stream_costs_its_entry_a_line(how: int, course: Path, downloads: Path) -> None:
    for who in ("anna", "bo"):
        (downloads / who).mkdir()
    (downloads / "anna" / "a.zip").write_bytes(damaged(how))
    (downloads / "bo" / "lamps.ipynb").write_bytes(b"bo's")
    said = told(course, downloads)
    assert said[0].startswith("left: anna/a.zip/lamps.ipynb: it cannot be unpacked (")
    assert said[1:-1] == ["taken: anna, lamps, from anna/a.zip/lamps 2.ipynb",
                          "taken: bo, lamps, from bo/lamps.ipynb"]  # fmt: skip


def encrypted() -> bytes:
    data = bytearray(packed(("lamps.ipynb", b"x")))
    data[6] |= 1
    data[data.index(b"PK\x01\x02") + 8] |= 1
    return bytes(data)


def linked() -> bytes:
    entry = zipfile.ZipInfo("lamps.ipynb")
    entry.external_attr = 0o120777 << 16
    return packed((entry, b"/etc/passwd"))


def test_links_encrypted_entries_other_kinds_and_deep_archives_are_told(
    course: Path, downloads: Path
) -> None:
    (downloads / "anna").mkdir()
    deep = packed(("lamps.ipynb", b"deep"))
    for _ in range(3):
        deep = packed(("in.zip", deep))
    for name, data in {"1.zip": encrypted(), "2.zip": linked(), "3.zip": deep,
                       "4.zip": packed(("lamps.ipynb.txt", b"x"))}.items():  # fmt: skip
        (downloads / "anna" / name).write_bytes(data)
    said = told(course, downloads)
    for words in ("it is encrypted", "it is a link", "too deep an archive", "no notebook (.txt)"):
        assert sum(words in line for line in said) == 1, words
    assert said[-1].startswith("0 taken, 0 were here already, 4 left")


def test_entries_beyond_the_limit_are_told(
    course: Path, downloads: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(arrived, "MOST_FILES", 3)
    (downloads / "anna").mkdir()
    names = [f"{k}-lamps.ipynb" for k in range(5)]
    (downloads / "anna" / "a.zip").write_bytes(packed(*((n, n.encode()) for n in names)))
    said = told(course, downloads)
    assert "left: anna/a.zip: 2 entries after the first 3, from 3-lamps.ipynb on" in str(said)


def test_a_bomb_unpacks_to_no_more_than_its_share(
    course: Path, downloads: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(arrived, "_ROOM", 3 * 2**20)
    inner = packed(("lamps.ipynb", bytes(2**20)))
    middle = packed(*((f"{k}.zip", inner) for k in range(100)))
    outer = packed(*((f"anna {k}.zip", middle) for k in range(20)))
    assert len(outer) < 2**15, "and 2,000 MB in it"
    (downloads / "bomb.zip").write_bytes(outer)
    said = told(course, downloads / "bomb.zip")
    assert sum("holds far more than it weighs" in line for line in said) > 10
    kept = sum(path.stat().st_size for path in course.rglob("*.ipynb"))
    assert kept <= 2 * 4 * 2**20


def test_file_names_that_are_no_utf8_or_forge_lines_cost_a_line_each(
    course: Path, downloads: Path
) -> None:
    names = [b"anna_lamps\xff\xfe.ipynb", b"bo_lamps\ntaken: anna, lamps.ipynb",
             b"\x1b[2Jbo_lamps.ipynb", "bo\u2028lamps\x0b.ipynb".encode()]  # fmt: skip
    for k, name in enumerate(names):
        Path(os.fsdecode(os.fsencode(downloads) + b"/" + name)).write_bytes(b"%d" % k)
    said = told(course, downloads)
    assert len(said) == len(names) + 1 and all("\n" not in line for line in said)
    assert any("lamps\\xff\\xfe.ipynb" in line for line in said)
    assert all(line.startswith(("taken: ", "left: ")) for line in said[:-1])
    assert all(line.isprintable() for line in said)


def test_an_archive_of_nobody_is_left_whole_with_what_to_do(course: Path, downloads: Path) -> None:
    (downloads / "week 3.zip").write_bytes(packed(("anna_lamps.ipynb", b"1")))
    said = told(course, downloads)
    assert "collect it by itself" in said[0] and said[-1].startswith("0 taken")
    assert told(course, downloads / "week 3.zip")[-1].startswith("1 taken")


def test_a_folder_in_a_notebooks_place_costs_a_line(course: Path, downloads: Path) -> None:
    (course / "submitted" / "anna" / "lamps" / "lamps.ipynb").mkdir(parents=True)
    for who in ("anna", "bo"):
        (downloads / f"{who}_lamps.ipynb").write_bytes(b"x")
    said = told(course, downloads)
    assert said[0].startswith("left: anna_lamps.ipynb: it cannot be kept (Is a directory)")
    assert said[1].startswith("taken: bo")


# -- whatever a learner chooses --------------------------------------------------

PIECES = ("anna", "bo", "Beek", "@example.org", "_", "-", " ", ".ipynb", ".zip", "lamps",
          "2026-03-01", "77", "\n", "\u2028", "\ud800")  # fmt: skip
ODD = st.lists(
    st.sampled_from(PIECES) | st.text(st.characters(exclude_characters="/\0"), max_size=3),
    min_size=1, max_size=8,
).map("".join)  # fmt: skip


@settings(deadline=None, max_examples=300, suppress_health_check=[HealthCheck.too_slow])
@given(own=st.lists(ODD.filter(bool), min_size=1, max_size=4), form=st.sampled_from([
    "Bo Lee_77/{}", "bo@example.org/{}", "bo_2026-03-01-10-00-00_{}", "bo/{}",
    "Bobby L_77/{}", "Bobby L_77_{}", "Bobby L/work.zip/{}"]))  # fmt: skip
def test_whatever_bo_calls_a_file_it_is_bos_or_left(own: list[str], form: str) -> None:
    path = form.format("/".join(own))
    archives = tuple(k for k, part in enumerate(path.split("/")) if part.endswith(".zip"))
    found = owner(path, "Anna Beek_1/x.ipynb", "ann_2026-03-01-10-00-00_y.ipynb",
                  archives=archives)  # fmt: skip
    if isinstance(found, Owned):
        assert found.student == BO and not form.startswith("Bobby")


@settings(deadline=None, max_examples=150,
          suppress_health_check=[HealthCheck.too_slow, HealthCheck.function_scoped_fixture])
@given(data=st.one_of(st.binary(max_size=300), st.builds(
    lambda entries, cut, spot: (lambda z: z[:cut] + bytes([spot]) + z[cut + 1:])(packed(*entries)),
    st.lists(st.tuples(ODD.map(lambda t: t.encode("utf-8", "replace").decode() or "x"),
                       st.binary(max_size=40)), max_size=4, unique_by=lambda e: e[0]),
    st.integers(0, 400), st.integers(0, 255))))  # fmt: skip
@pytest.mark.filterwarnings("ignore")
def test_any_bytes_as_an_archive_are_told_and_stop_nothing(
    data: bytes, tmp_path_factory: pytest.TempPathFactory
) -> None:
    home = tmp_path_factory.mktemp("any")
    (home / "roster.csv").write_text(ROWS, encoding="utf-8")
    (home / "in").mkdir()
    (home / "in" / "bo_1.zip").write_bytes(data)
    (home / "in" / "bo_lamps.ipynb").write_bytes(b"x")
    said = told(home, home / "in")
    assert "taken: bo, lamps, from bo_lamps.ipynb" in said
    assert not (home / "submitted" / "anna").exists()


def test_a_course_that_cannot_be_written_to_ends_with_one_line(
    course: Path, downloads: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(path: Path, data: bytes) -> None:
        raise OSError(28, "No space left on device", str(path))

    monkeypatch.setattr("checks.course.shelf.write_whole", full)
    (downloads / "bo_lamps.ipynb").write_bytes(b"x")
    with pytest.raises(KitError, match="disk is full"):
        told(course, downloads)


def test_a_learners_folder_of_nobody_in_the_roster_asks_for_a_row(
    course: Path, downloads: Path
) -> None:
    """It was taken for a whole class's, and only the way to collect one was told."""
    for name in ("Anna Beek_1/lamps.ipynb", "Zora Quill_7/lamps.ipynb"):
        (downloads / name).parent.mkdir()
        (downloads / name).write_bytes(b"x")
    (line,) = (line for line in told(course, downloads) if line.startswith("left: Zora"))
    assert "put the row into class.csv and give `course` again" in line
