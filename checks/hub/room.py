"""Room: what the seats of a class's server have told, for its teachers; who tells, the hub says."""

from __future__ import annotations

from dataclasses import replace
from hashlib import sha256
from pathlib import Path

from ..room.large import large_page
from ..room.message import BadMessage, read, today, topic, write
from ..room.page import page
from ..room.screen import Heard, Screen
from ..room.view import view

__all__ = ["PAGES", "HubRoom"]

_STUCK_S = 600.0
_ALIAS = 20
PAGES = ("", "/large")
"""The pages by the end of their address: for the teacher's screen, and for the last row."""


class HubRoom:
    """The room of today.

    Args:
        folder: Where the journals lie, one a day.
    """

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        self._screen: tuple[str, Screen] | None = None

    def tell(self, user: str, what: str, payload: bytes, now: float) -> None:
        """Take in what a learner's seat tells, under the name that the hub gives them.

        Args:
            user: Their name at the hub.
            what: "ready" or a task.
            payload: As a laptop tells it elsewhere; empty takes back what was told.
            now: The time, in s since 1970.

        Raises:
            BadMessage: It is none.
        """
        if payload:
            payload = write(replace(read(what, payload), alias=user[:_ALIAS]))
        key = sha256(user.encode()).hexdigest()[:16]
        self._today(now).hear(Heard(topic(key, what), payload, False), now)

    def page(self, which: str, now: float) -> str:
        """Give one of the pages."""
        if which not in PAGES:
            raise BadMessage("no such page")
        shown = view(self._today(now).room, now, _STUCK_S)
        return large_page(shown, now) if which else page(shown, now, stuck_s=_STUCK_S)

    def _today(self, now: float) -> Screen:
        if self._screen is None or self._screen[0] != today(now):
            self._screen = today(now), Screen(self._folder, _STUCK_S, now)
        return self._screen[1]
