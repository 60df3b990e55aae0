"""Access: who may join a broker, and under which topics each may publish.

A class shares one broker.  Each learner has a user name, a password and a tug, and may publish
under that tug's topics only; the office may do everything.  A guest, whom all learners share, may
tell the room (`checks.room`) and hears nothing.
"""

from __future__ import annotations

import base64
import hashlib
import hmac
import re
import secrets
from collections.abc import Iterable
from dataclasses import dataclass, replace

from ..errors import KitError
from ..radio import tug_name
from ..radio.door import Limits

__all__ = ["GUEST", "OFFICE", "ROOM", "Access", "Seat", "make_password", "mosquitto_files"]

GUEST = "guest"
"""The user name under which all learners of a class may tell the room, each under an alias."""

OFFICE = "office"
"""The user name of whoever leads the class."""
ROOM = "harbour/room"
"""What a guest publishes lies two levels below this topic."""
_KIB, _MIB = 1024, 1024 * 1024
_OFFICE = Limits(
    message=16 * _KIB, packet=20_000, text=256, filters=100, retained=10_000,
    retained_bytes=8 * _MIB, waiting=20_000, waiting_bytes=8 * _MIB, connections=250, absent=20,
)  # fmt: skip
_SEAT = replace(
    _OFFICE, filters=20, retained=50, retained_bytes=64 * _KIB, waiting=1000,
    waiting_bytes=256 * _KIB, connections=10, absent=4,
)  # fmt: skip
_GUEST = replace(
    _OFFICE, message=_KIB, packet=2 * _KIB, filters=0, retained_bytes=4 * _MIB, absent=0
)
"""What a full room tells fits (a test holds it): each laptop may have a message a task retained."""
_MEMORY = 128 * _MIB
_ROUNDS, _SALT = 101, 12
"""Rounds and length of the salt in bytes that Mosquitto's own tool takes (its source, from memory;
a test has the real Mosquitto read them)."""
_LETTERS = "abcdefghjkmnpqrstuvwxyz23456789"
"""Nothing in it is easily taken for something else: no i, l, o, 0, 1."""


def make_password(length: int = 12) -> str:
    """Make a password that can be read out: 31 letters and digits, about 5 bits each."""
    return "".join(secrets.choice(_LETTERS) for _ in range(length))


@dataclass(frozen=True)
class Seat:
    """One learner's place at a broker.

    Attributes:
        user: The user name.
        serial: The serial number of the learner's tug.
        password: The password.
    """

    user: str
    serial: int
    password: str

    def __repr__(self) -> str:
        """Give everything but the password."""
        return f"Seat({self.user!r}, {tug_name(self.serial)})"


@dataclass(frozen=True)
class Access:
    """Who may do what at a broker.

    Attributes:
        password: The office's password; "" lets everyone in, and then there are no seats.
        seats: The learners.
        guest: The guest's password, which the whole class shares; "" for no guest.
    """

    password: str = ""
    seats: tuple[Seat, ...] = ()
    guest: str = ""

    def __post_init__(self) -> None:
        """Refuse what would leave a door open.

        Raises:
            KitError: Two have one name, a name cannot stand in a list, or a password is missing.
        """
        taken = [OFFICE, GUEST] if self.guest else [OFFICE]
        names = [*taken, *(seat.user for seat in self.seats)]
        for name in names:
            if not name or not name.isprintable() or set(name) & set(" :#+/"):
                raise KitError(
                    f"{name!r} cannot be a user name at a broker.",
                    hint="letters, digits, . _ - only.",
                )
            if names.count(name) > 1:
                raise KitError(f"Two users have the name {name!r}.",
                               hint=f"taken are: {', '.join(taken)}.")  # fmt: skip
        others = (*(seat.password for seat in self.seats), *([self.guest] if self.guest else []))
        if others and not all((self.password, *others)):
            raise KitError("With seats or a guest everyone needs a password, the office too.",
                           hint="make_password() makes one.")  # fmt: skip

    def admits(self, user: str | None, password: str | None) -> bool:
        """Tell whether someone may join."""
        if not self.password:
            return True
        asked = dict(self.pairs()).get(user or "")
        return asked is not None and hmac.compare_digest(asked.encode(), (password or "").encode())

    def allows(self, user: str | None, topic: str, *, publish: bool) -> bool:
        """Tell whether someone may publish under a topic, or subscribe to a filter."""
        if not self.password or user == OFFICE:
            return True
        if self.guest and user == GUEST:
            return publish and re.fullmatch(rf"{ROOM}/[^/]+/[^/]+", topic) is not None
        seat = next((seat for seat in self.seats if seat.user == user), None)
        if seat is None:
            return False
        open_to = [f"harbour/{tug_name(seat.serial)}"] + ([] if publish else ["harbour/all"])
        return any(topic.startswith(f"{place}/") for place in open_to)

    def limits(self, user: str | None) -> Limits:
        """Give what someone may take of the broker; a class shares the guest's."""
        if not self.password or user == OFFICE:
            return _OFFICE
        return _GUEST if self.guest and user == GUEST else _SEAT

    def pairs(self) -> list[tuple[str, str]]:
        """Give everyone's user name and password, the office's first."""
        guest = [(GUEST, self.guest)] if self.guest else []
        seats = ((seat.user, seat.password) for seat in self.seats)
        return [(OFFICE, self.password), *guest, *seats]


def mosquitto_files(access: Access, port: int, listen: str) -> dict[str, str]:
    """Give the files with which Mosquitto keeps the same rules.

    Args:
        access: The rules; they need a password.
        port: The port to listen on.
        listen: The address to listen on, such as "0.0.0.0" for every one that the computer has.

    Returns:
        File name to text: `mosquitto.conf`, `access.txt` and `passwords.txt`, to lie in one
        folder, in which Mosquitto is started.

    Raises:
        KitError: There is no password.
    """
    if not access.password:
        raise KitError("These files need a password for the office.",
                       hint="Access(password=make_password(), seats=...).")  # fmt: skip
    lists = [f"user {OFFICE}\ntopic readwrite harbour/#\n"]
    lists += [f"user {GUEST}\ntopic write {ROOM}/+/+\n"] if access.guest else []
    lists += [
        f"user {seat.user}\ntopic readwrite harbour/{tug_name(seat.serial)}/#\n"
        "topic read harbour/all/#\n"
        for seat in access.seats
    ]
    return {
        "mosquitto.conf": f"listener {port} {listen}\nallow_anonymous false\n"
        f"max_connections {_OFFICE.connections + _GUEST.connections}\n"
        "password_file passwords.txt\nacl_file access.txt\n"
        f"message_size_limit {_OFFICE.message}\nmax_packet_size {_OFFICE.packet}\n"
        f"max_queued_messages {_OFFICE.waiting}\nmax_queued_bytes {_OFFICE.waiting_bytes}\n"
        f"persistent_client_expiration 1d\nmemory_limit {_MEMORY}\n",
        "access.txt": "\n".join(lists),
        "passwords.txt": "".join(_hashed(access.pairs())),
    }


def _hashed(pairs: Iterable[tuple[str, str]]) -> Iterable[str]:
    """Give lines of a password file: PBKDF2 with SHA-512 (RFC 8018), as Mosquitto 2 reads it."""
    for user, password in pairs:
        salt = secrets.token_bytes(_SALT)
        key = hashlib.pbkdf2_hmac("sha512", password.encode(), salt, _ROUNDS)
        salt_text, key_text = (base64.b64encode(part).decode() for part in (salt, key))
        yield f"{user}:$7${_ROUNDS}${salt_text}${key_text}\n"
