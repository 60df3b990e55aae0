"""Person: whoever sits before the tug, as the led power-up speaks with them."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Protocol

__all__ = ["AGAIN", "Person", "Stopped", "watched"]

AGAIN = "again"
"""What whoever has looked away says: then it moves once more, and nothing is noted."""


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


def watched(
    person: Person, invitation: str, motion: Callable[[], object], question: str,
    choices: Sequence[str],
) -> str:  # fmt: skip
    """Let something move for a moment, and ask what was seen: a motion is over when one is asked.

    Args:
        person: Who watches.
        invitation: What they read before each motion, at which they press a key.
        motion: Lets it move.
        question: What they are asked.
        choices: The answers; `AGAIN` is one more, and shows it once more.

    Raises:
        Stopped: They will not go on.
    """
    while True:
        person.key(invitation)
        motion()
        answer = person.choose(question, (*choices, AGAIN))
        if answer != AGAIN:
            return answer
