"""Person: whoever sits before the tug, as the led power-up speaks with them."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Protocol

__all__ = ["Person", "Stopped"]


class Stopped(Exception):
    """The person has stopped it."""


class Person(Protocol):
    """Whoever sits before the tug."""

    def tell(self, text: str) -> None:
        """Read something."""

    def key(self, text: str) -> None:
        """Press a key when they are ready.

        Raises:
            Stopped: They will not.
        """

    def choose(self, text: str, choices: Sequence[str]) -> str:
        """Say which of some answers is right.

        Raises:
            Stopped: They will not go on.
        """

    def number(self, text: str) -> float | None:
        """Say a number, None for none.

        Raises:
            Stopped: They will not go on.
        """
