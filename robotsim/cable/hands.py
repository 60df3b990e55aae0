"""Hands: what a person does to a plugged tug: paper under its eyes, a finger on its bumper."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import TYPE_CHECKING

from ..errors import KitError, nearest
from ..table.floor import PAPER

if TYPE_CHECKING:
    from .tug import World

__all__ = ["Hands", "deed", "hand_words"]

_BLACK = 0.05
"""Share of light that black print returns (invented)."""
_EDGES = (1.0, 0.012, 0.0, -0.012, -1.0)
"""Where the black begins, in m to port of the middle, by how many eyes it covers from port."""
_PAPERS = (
    "white paper under all four eyes", "black under the port eye, white under the others",
    "black under the two port eyes, white under the others",
    "black under three eyes from port on, white under the last", "black paper under all four eyes",
)  # fmt: skip


def hand_words(place: str = "here") -> str:
    """Say what hands do, and where that is typed."""
    return (
        f"Your hands, typed {place}: `paper 0` to `paper 4` (so many eyes over black, from port), "
        "`paper away`, `press`, `let go`, `home` (back to the start: it is on no block, it rolls)."
    )


def _unknown(x: float, y: float, radius: float) -> float | None:
    """Say nothing of a spot's shade before it is looked at."""
    return None


class Hands:
    """A person's hands.

    Args:
        world: The tug that they touch.
    """

    def __init__(self, world: World) -> None:
        self._world, self._floor, self._even = world, world.floor, world.even
        self._covered: int | None = None

    def paper(self, covered: int | None) -> None:
        """Put paper under the eyes, black under so many of them from port on; None: take it away.

        Raises:
            KitError: There are four eyes.
        """
        if covered is None:
            self._world.floor, self._world.even = self._floor, self._even
        elif 0 <= covered <= 4:
            self._world.floor, self._world.even = self._sheet(_EDGES[covered]), _unknown
        else:
            raise KitError(f"There are four eyes, not {covered}.", hint="paper 0 to paper 4")
        self._covered = covered

    def _sheet(self, edge: float) -> Callable[[float, float], float]:
        world = self._world

        def shade(x: float, y: float) -> float:
            c, s = math.cos(world.heading), math.sin(world.heading)
            to_port = c * (y - world.y) - s * (x - world.x)
            return _BLACK if to_port > edge else PAPER

        return shade

    def press(self, held: bool) -> None:
        """Press the bumper, or let go of it."""
        self._world.held = held

    def home(self) -> None:
        """Take the tug up, and put it down where it was at first."""
        self._world.put_back()

    def do(self, words: str) -> str:
        """Do what is typed, and say what they do then; "" where nothing is typed.

        Raises:
            KitError: It is none of the words.
        """
        if not (typed := words.strip()):
            return ""
        if not (found := deed(typed)):
            guess = nearest(typed.lower(), (*_DEEDS, *(f"paper {k}" for k in range(5))))
            meant = f"did you mean `{guess}`? " if guess else ""
            raise KitError(f"{typed!r} is nothing that hands do.", hint=f"{meant}{hand_words()}")
        found(self)
        return self.words if found is not Hands.home else f"It stands where it stood. {self.words}"

    @property
    def words(self) -> str:
        """What they do now."""
        paper = "no paper under its eyes" if self._covered is None else _PAPERS[self._covered]
        return f"Hands: {paper}; the bumper {'held down' if self._world.held else 'free'}."


_DEEDS: dict[str, Callable[[Hands], None]] = {
    "paper away": lambda hands: hands.paper(None), "press": lambda hands: hands.press(True),
    "let go": lambda hands: hands.press(False), "home": Hands.home,
}  # fmt: skip


def deed(words: str) -> Callable[[Hands], None] | None:
    """Give what hands do at these words, None if they are none of theirs."""
    typed = " ".join(words.lower().split())
    if typed.startswith("paper ") and typed[6:].isascii() and typed[6:].isdigit():
        return lambda hands: hands.paper(int(typed[6:]))
    return _DEEDS.get(typed)
