"""Seats: each learner's place at the class's broker, made from the roster.

With a seat a learner may publish under the topics of their own tug and under no others.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable
from pathlib import Path

from robotsim import KitError
from robotsim.live.access import OFFICE, Access, Seat, make_password, mosquitto_files

from .classroom import write_whole
from .roster import Roster

__all__ = ["SEATS", "class_access", "write_seats"]

SEATS = "seats.csv"
"""The file with everybody's password: for the teacher's eyes."""


def class_access(roster: Roster, passwords: dict[str, str] | None = None) -> Access:
    """Give the access list of a class.

    Args:
        roster: The class; everybody needs a tug of their own.
        passwords: User name to a password that is to stay; others are made.

    Raises:
        KitError: Somebody has no serial number, or two have the same.
    """
    known = passwords or {}
    owners: dict[int, str] = {}
    seats = []
    for student in roster.students:
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
    return Access(known.get(OFFICE) or make_password(), tuple(seats))


def write_seats(roster: Roster, folder: Path, port: int = 1883, listen: str = "0.0.0.0") -> Access:  # noqa: S104
    """Write the seats of a class into a folder, with the files that Mosquitto needs.

    Passwords that are in the folder's `seats.csv` already stay as they are.

    Args:
        roster: The class.
        folder: Where to write.
        port: The broker's port.
        listen: The address that the broker listens on.

    Returns:
        The access list: `open_office(listen=..., password=..., seats=...)` takes it as well.

    Raises:
        KitError: Somebody has no tug of their own, or the file of seats is damaged.
    """
    folder.mkdir(parents=True, exist_ok=True)
    access = class_access(roster, _kept(folder / SEATS))
    out = io.StringIO()
    rows = csv.writer(out, lineterminator="\n")
    rows.writerow(("user", "serial", "password"))
    rows.writerow((OFFICE, "", access.password))
    rows.writerows((seat.user, seat.serial, seat.password) for seat in access.seats)
    files = {SEATS: out.getvalue(), **mosquitto_files(access, port, listen)}
    for name, text in files.items():
        write_whole(folder / name, text.encode("utf-8"))
    return access


def _kept(path: Path) -> dict[str, str]:
    """Give the passwords that a file of seats holds, none if it is not there."""
    if not path.is_file():
        return {}
    try:
        rows: Iterable[dict[str, str]] = csv.DictReader(
            io.StringIO(path.read_text(encoding="utf-8-sig"))
        )
        return {row["user"]: row["password"] for row in rows if row["password"]}
    except (KeyError, ValueError, csv.Error) as fault:
        raise KitError(
            f"The file of seats cannot be read ({fault}).", where=str(path),
            hint="it has the columns user, serial and password; without it all are made anew.",
        ) from fault  # fmt: skip
