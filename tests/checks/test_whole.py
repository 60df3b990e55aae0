"""A file is whole or not there, and a full disk or a closed folder is told in one line."""

from __future__ import annotations

import contextlib
import errno
import os
import sqlite3
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from checks.commands import main
from checks.course.lessons import ROOT
from checks.faults import HaltError, halting
from checks.whole import whole_file, write_whole
from tests.checks.marking.small_disk import mounted

SMALL = 1024 * 1024


@pytest.fixture
def small_disk() -> Iterator[Path]:
    with mounted(SMALL) as place:
        yield place


def fill(place: Path, leave: int = 0) -> None:
    """Fill a small disk, but for so many bytes."""
    with open(place / "filling", "wb") as file, contextlib.suppress(OSError):
        while file.write(bytes(SMALL)):
            pass
    free = os.statvfs(place).f_bavail * os.statvfs(place).f_frsize
    os.truncate(place / "filling", (place / "filling").stat().st_size - max(leave - free, 0))


def test_a_full_disk_leaves_the_old_file_and_no_half_one(small_disk: Path) -> None:
    write_whole(small_disk / "kept", b"old")
    with pytest.raises(OSError) as caught:
        write_whole(small_disk / "kept", bytes(2 * SMALL))
    assert caught.value.errno == errno.ENOSPC
    assert [p.name for p in small_disk.iterdir()] == ["kept"]
    assert (small_disk / "kept").read_bytes() == b"old"


def test_what_ends_in_the_middle_leaves_nothing(tmp_path: Path) -> None:
    with pytest.raises(KeyboardInterrupt), whole_file(tmp_path / "x") as part:
        part.write_bytes(b"half")
        raise KeyboardInterrupt
    assert not list(tmp_path.iterdir())


FAULTS = {
    "a full disk": (OSError(errno.ENOSPC, "No space left on device", "x"), "disk is full"),
    "a quota": (OSError(errno.EDQUOT, "Disk quota exceeded", "x"), "disk is full"),
    "a limit of size": (OSError(errno.EFBIG, "File too large", "x"), "disk is full"),
    "a disk to read from": (OSError(errno.EROFS, "Read-only file system", "x"), "may not be"),
    "a closed folder": (PermissionError(errno.EACCES, "Permission denied", "x"), "may not be"),
    "something else": (FileNotFoundError(errno.ENOENT, "No such file", "x"), ""),
    "a slip": (ValueError("[Errno 28] No space left on device"), ""),
}


@pytest.mark.parametrize("kind", FAULTS)
def test_the_disks_faults_are_known_from_all_others(kind: str) -> None:
    fault, words = FAULTS[kind]
    found = halting(fault)
    assert (words in str(found) and "Try: " in str(found)) if words else found is None


def test_a_fault_is_known_behind_others() -> None:
    try:
        try:
            raise OSError(errno.ENOSPC, "No space left on device")
        except OSError:
            raise RuntimeError("something went wrong")  # noqa: B904
    except RuntimeError as fault:
        assert "disk is full" in str(halting(fault))


def test_what_a_learner_has_closed_is_the_learners_trouble(tmp_path: Path) -> None:
    fault = PermissionError(errno.EACCES, "Permission denied", str(tmp_path / "anna" / "x"))
    assert halting(fault, tmp_path / "anna") is None
    assert isinstance(halting(fault, tmp_path / "bo"), HaltError)


def test_a_database_on_a_full_disk_says_so(small_disk: Path) -> None:
    book = sqlite3.connect(small_disk / "book.db")
    with pytest.raises(sqlite3.Error) as caught, book:
        book.execute("CREATE TABLE t (x)")
        for _ in range(200):
            book.execute("INSERT INTO t VALUES (?)", (bytes(10_000),))
    book.close()
    assert "disk is full" in str(halting(caught.value))


def one_line(said: str) -> None:
    assert said.startswith(("The disk is full", "This may not be used", "The journal cannot be"))
    assert "Traceback" not in said and "Try: " in said and len(said.splitlines()) <= 3


def test_course_and_collect_on_a_full_disk_end_with_one_line(
    small_disk: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    rows = tmp_path / "class.csv"
    rows.write_text("id\nanna\n", encoding="utf-8")
    fill(small_disk, leave=8192)
    assert main(["course", str(small_disk / "course"), "--roster", str(rows)]) == 1
    one_line(capsys.readouterr().err)
    course = small_disk / "other"
    course.mkdir(exist_ok=True)
    (small_disk / "filling").unlink()
    write_whole(course / "roster.csv", rows.read_bytes())
    fill(small_disk, leave=8192)
    (tmp_path / "in").mkdir()
    (tmp_path / "in" / "anna_lamps.ipynb").write_bytes(bytes(SMALL))
    assert main(["collect", str(course), str(tmp_path / "in")]) == 1
    one_line(capsys.readouterr().err)
    assert not [p for p in small_disk.rglob("*") if p.name.endswith((".part", ".ipynb"))]


def test_a_limit_of_file_size_ends_collect_with_one_line(tmp_path: Path) -> None:
    """The same where nobody can mount anything: the shell's own limit, `ulimit -f`."""
    if os.name != "posix":
        pytest.skip("this system has no such limit")
    (tmp_path / "course").mkdir()
    (tmp_path / "course" / "roster.csv").write_text("id\nanna\n", encoding="utf-8")
    (tmp_path / "in").mkdir()
    (tmp_path / "in" / "anna_lamps.ipynb").write_bytes(bytes(SMALL))
    done = subprocess.run(
        ["sh", "-c", 'ulimit -f 8; exec "$0" -P -m checks collect course in', sys.executable],
        cwd=tmp_path, env={**os.environ, "PYTHONPATH": str(ROOT), "PYTHONDONTWRITEBYTECODE": "1"},
        capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert done.returncode == 1
    one_line(done.stderr)
    assert not list((tmp_path / "course").rglob("*.ipynb")) + list(tmp_path.rglob("*.part"))


@pytest.mark.parametrize("sign", ["[x]", "a*b", "50%20off", "what?", "{x}", "a#b", "a\nb"])
def test_a_course_in_a_folder_that_nbgrader_cannot_read_is_told(
    sign: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    rows = tmp_path / "class.csv"
    rows.write_text("id\nanna\n", encoding="utf-8")
    assert main(["course", str(tmp_path / sign / "course"), "--roster", str(rows)]) == 1
    said = capsys.readouterr().err
    assert said.startswith("nbgrader cannot work in a course folder with") and "Try: " in said
    assert not (tmp_path / sign).exists()
