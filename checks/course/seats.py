"""Seats: each learner's place at the class's broker, made from the roster.

With a seat a learner may publish under the topics of their own tug and under no others; the guest,
whose password the whole class shares, may tell the room.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable
from pathlib import Path

from robotsim import KitError
from robotsim.live.access import GUEST, OFFICE, Access, Seat, make_password, mosquitto_files

from ..whole import write_whole
from .roster import Roster

__all__ = ["SEATS", "class_access", "kept_access", "write_seats"]

SEATS = "seats.csv"
"""The file with everybody's password: for the teacher's eyes."""


def class_access(roster: Roster, passwords: dict[str, str] | None = None) -> Access:
    """Give the access list of a class.

    Args:
        roster: The class; everybody who has not left needs a tug of their own.
        passwords: User name to a password that is to stay; others are made.

    Raises:
        KitError: Somebody has no serial number, or two have the same.
    """
    known = passwords or {}
    owners: dict[int, str] = {}
    seats = []
    for student in roster.here:
        if student.serial is None:
            raise KitError(
                f"{student.id} has no tug: the roster gives no serial number.",
                hint="fill the column `serial`, with another number for each.",
            )
        if student.serial in owners:
            raise KitError(
                f"{owners[student.serial]} and {student.id} both have tug {student.serial}.",
                hint="give each another serial number: on one broker two tugs need two names.",
            )
        owners[student.serial] = student.id
        password = known.get(student.id) or make_password()
        seats.append(Seat(student.id, student.serial, password))
    return Access(_office(known), tuple(seats), _guest(known))


def write_seats(roster: Roster, folder: Path, port: int = 1883, listen: str = "0.0.0.0") -> Access:  # noqa: S104
    """Write the seats of a class into a folder, with the files that Mosquitto needs.

    Passwords that are in the folder's `seats.csv` already stay as they are.

    Args:
        roster: The class.
        folder: Where to write.
        port: The broker's port.
        listen: The address that the broker listens on.

    Returns:
        The access list: `open_office(listen=..., password=..., seats=..., guest=...)` takes it too.

    Raises:
        KitError: Somebody has no tug of their own, or the file of seats is damaged.
    """
    kept = {user: password for user, _, password in _kept(folder / SEATS)}
    return _write(class_access(roster, kept), folder, port, listen)


def kept_access(folder: Path, port: int = 1883, listen: str = "0.0.0.0") -> Access:  # noqa: S104
    """Give the places that a folder of seats holds; the office and the guest get theirs if need be.

    Args:
        folder: The folder; made if it is not there.
        port: The broker's port, for files that have to be written.
        listen: The address that the broker listens on, likewise.

    Raises:
        KitError: The file of seats is damaged.
    """
    rows = _kept(folder / SEATS)
    known = {user: password for user, _, password in rows}
    seats = tuple(Seat(user, serial, word) for user, serial, word in rows if serial is not None)
    access = Access(_office(known), seats, _guest(known))
    return access if {OFFICE, GUEST} <= known.keys() else _write(access, folder, port, listen)


def _office(known: dict[str, str]) -> str:
    return known.get(OFFICE) or make_password()


def _guest(known: dict[str, str]) -> str:
    """Give the guest's password: a whole class types it from the board, so it is short."""
    return known.get(GUEST) or make_password(8)


def _write(access: Access, folder: Path, port: int, listen: str) -> Access:
    serials = {seat.user: seat.serial for seat in access.seats}
    out = io.StringIO()
    rows = csv.writer(out, lineterminator="\n")
    rows.writerow(("user", "serial", "password"))
    rows.writerows((user, serials.get(user, ""), password) for user, password in access.pairs())
    files = {SEATS: out.getvalue(), **mosquitto_files(access, port, listen)}
    for name, text in files.items():
        write_whole(folder / name, text.encode("utf-8"), private=name == SEATS)
    return access


def _kept(path: Path) -> list[tuple[str, int | None, str]]:
    """Give user, serial and password of each that a file of seats holds, none without the file."""
    if not path.is_file():
        return []
    try:
        rows: Iterable[dict[str, str]] = csv.DictReader(
            io.StringIO(path.read_text(encoding="utf-8-sig"))
        )
        return [
            (row["user"], int(row["serial"]) if row["serial"] else None, row["password"])
            for row in rows
            if row["password"]
        ]
    except (KeyError, ValueError, TypeError, csv.Error) as fault:
        raise KitError(
            f"The file of seats cannot be read ({fault}).", where=str(path),
            hint="it has the columns user, serial and password; without it all are made anew.",
        ) from fault  # fmt: skip
