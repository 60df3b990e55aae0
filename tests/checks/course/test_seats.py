"""Seats at the class's broker come from the roster, and stay when they are written again."""

from __future__ import annotations

import os
from datetime import UTC, datetime
from pathlib import Path

import pytest

from checks.course.classroom import _shared_tugs
from checks.course.roster import Roster, Student
from checks.course.seats import SEATS, class_access, kept_access, write_seats
from robotsim import KitError

CLASS = Roster((Student("ada", serial=12), Student("ben", serial=13)))


def test_each_learner_reaches_their_own_tug_only() -> None:
    access = class_access(CLASS)
    assert access.allows("ada", "harbour/tug-12/order", publish=True)
    assert not access.allows("ada", "harbour/tug-13/order", publish=True)
    assert access.admits("ben", access.seats[1].password)
    assert not access.admits("ben", access.seats[0].password)


def test_passwords_stay_when_the_seats_are_written_again_for_a_larger_class(tmp_path: Path) -> None:
    first = write_seats(CLASS, tmp_path)
    again = write_seats(Roster((*CLASS.students, Student("cem", serial=14))), tmp_path)
    assert again.seats[:2] == first.seats and again.password == first.password
    assert len({password for _, password in again.pairs()}) == 5 and again.guest == first.guest
    names = {path.name for path in tmp_path.iterdir()}
    assert names == {SEATS, "mosquitto.conf", "access.txt", "passwords.txt"}
    rules = tmp_path.joinpath("access.txt").read_text(encoding="utf-8")
    assert "user guest\ntopic write harbour/room/+/+\n" in rules
    assert "user cem\ntopic readwrite harbour/tug-14/#\n" in rules


@pytest.mark.parametrize(
    "students", [(Student("ada"),), (Student("ada", serial=7), Student("ben", serial=7))]
)
def test_who_shares_a_tug_or_has_none_gets_no_seat(students: tuple[Student, ...]) -> None:
    with pytest.raises(KitError, match="tug"):
        class_access(Roster(students))


def test_the_tug_of_who_has_left_may_be_anothers() -> None:
    gone = Student("ada", serial=12, left=datetime(2026, 1, 31, tzinfo=UTC))
    roster = Roster((gone, Student("ben", serial=12)))
    assert [seat.user for seat in class_access(roster).seats] == ["ben"]
    assert [*_shared_tugs(roster)] == []


def test_a_damaged_file_of_seats_is_told_and_not_written_over(tmp_path: Path) -> None:
    broken = tmp_path / SEATS
    broken.write_text("name;word\nada;x\n", encoding="utf-8")
    with pytest.raises(KitError, match="seats cannot be read"):
        write_seats(CLASS, tmp_path)
    assert broken.read_text(encoding="utf-8") == "name;word\nada;x\n"


def test_places_are_taken_from_the_file_as_they_are(tmp_path: Path) -> None:
    made = write_seats(CLASS, tmp_path)
    before = {path: path.read_bytes() for path in tmp_path.iterdir()}
    assert kept_access(tmp_path) == made
    assert {path: path.read_bytes() for path in tmp_path.iterdir()} == before


def test_a_folder_from_before_there_was_a_guest_gets_one_and_keeps_the_rest(tmp_path: Path) -> None:
    (tmp_path / SEATS).write_text("user,serial,password\noffice,,o\nada,12,a\n", encoding="utf-8")
    access = kept_access(tmp_path)
    assert (access.password, access.seats[0].password) == ("o", "a") and len(access.guest) == 8
    assert kept_access(tmp_path) == access
    assert "ada" in (tmp_path / "access.txt").read_text(encoding="utf-8")


def test_a_folder_without_a_class_has_an_office_and_a_guest(tmp_path: Path) -> None:
    access = kept_access(tmp_path / "new")
    assert not access.seats and access.admits("guest", access.guest)
    assert kept_access(tmp_path / "new") == access


@pytest.mark.skipif(os.name != "posix", reason="this system has no such modes")
def test_nobody_else_reads_the_passwords_also_of_a_file_that_was_open(tmp_path: Path) -> None:
    write_seats(CLASS, tmp_path)
    (tmp_path / SEATS).chmod(0o644)
    write_seats(CLASS, tmp_path)
    assert (tmp_path / SEATS).stat().st_mode & 0o777 == 0o600
