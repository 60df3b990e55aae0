"""Helm: the led power-up in a terminal: keys, answers, and the card's files."""

from __future__ import annotations

import datetime
import shlex
from collections.abc import Sequence
from contextlib import suppress
from pathlib import Path

from ..errors import KitError, nearest
from ..kept import put
from ..twin.figures import load, within
from ..twin.tug_file import read_tug
from .bench import CableBench
from .card import Card
from .client import Client
from .hands import deed, hand_words
from .person import AGAIN, Stopped
from .powerup import lead
from .register import plugged_in

__all__ = ["USUAL_FOLDER", "TerminalPerson", "power_up"]

_STOP = ("q", "quit", "stop")
_AGAIN = (f"`{AGAIN}` shows a motion once more, as an answer to the question that comes after it; "
          "there is none here.")  # fmt: skip
_TUG = "tug.json"
USUAL_FOLDER = Path("powerup-card")
"""Where the card goes if nothing else is said."""
_FILES = ("card.html", "settings.py", _TUG)


class TerminalPerson:
    """Whoever sits at the keyboard; `q`, Ctrl-C or the end of the input stops.

    Args:
        plugged: Whether it is a plugged tug, whose hands hear words of their own elsewhere.
    """

    def __init__(self, plugged: bool = False) -> None:
        self._plugged = plugged

    def tell(self, text: str) -> None:
        """Show something."""
        print(text, flush=True)

    def key(self, text: str) -> None:
        """Wait for Enter alone: whoever types a word may have meant no."""
        while self._typed(f"{text} [Enter; q stops] "):
            print("Nothing was done. Only Enter, without a word, goes on; q stops.")

    def choose(self, text: str, choices: Sequence[str]) -> str:
        """Ask until one of the answers is given, or its number."""
        rows = ", ".join(f"{k} {choice}" for k, choice in enumerate(choices, 1))
        while True:
            typed = self._typed(f"{text} [{rows}] ", choices).lower()
            if typed in choices:
                return typed
            if typed.isascii() and typed.isdigit() and 1 <= int(typed) <= len(choices):
                return choices[int(typed) - 1]
            guess = nearest(typed, (*choices, *_STOP))
            print("That is none of the answers. " + (f"Did you mean {guess}? " if guess else "")
                  + "Type one, or its number.")  # fmt: skip

    def number(self, text: str) -> float | None:
        """Ask until a number is given; nothing means none."""
        while True:
            typed = self._typed(f"{text} [a number, or only Enter] ").replace(",", ".")
            if not typed:
                return None
            try:
                found = float(typed)
            except ValueError:
                found = float("nan")
            if abs(found) <= 180:
                return found
            print("Give degrees, -180 to 180.")

    def _typed(self, text: str, choices: Sequence[str] = ()) -> str:
        """Give what is typed, if it is for this place: not for the hands, and no empty `AGAIN`."""
        while True:
            try:
                typed = input(text).strip()
            except (EOFError, KeyboardInterrupt):
                raise Stopped from None
            if typed.lower() in _STOP:
                raise Stopped
            if self._plugged and deed(typed):
                print(f"Nothing was done: {typed!r} is for its hands. Type it in the terminal in "
                      "which the tug was plugged in; then go on here.")  # fmt: skip
            elif typed.lower() == AGAIN and AGAIN not in choices:
                print(_AGAIN)
            else:
                return typed


def power_up(port: str, folder: Path, parts: Sequence[str], tug: Path | None = None) -> Card:
    """Lead through it, and write the card, `settings.py` and `tug.json`.

    Args:
        port: The board's port.
        folder: Where to write; what is there already is kept under another name.
        parts: Which parts; all of them if there are none.
        tug: The `tug.json` of a tug that is wired otherwise, or of which some is known already;
            where only some parts are looked at, the one in `folder` is, unless another is given.

    Raises:
        KitError: The board or the folder cannot be used.
    """
    card = Card()
    to = () if folder == USUAL_FOLDER else ("--to", str(folder))
    if tug is None and parts and (folder / _TUG).is_file():
        tug = folder / _TUG
        print(f"What {tug} says of the other parts stays as it is.")
    if tug:
        data = load(tug)
        with within(tug):
            card = Card.of(data)
    plugged = any(one.port == port for one in plugged_in())
    if plugged:
        print(f"This is a plugged tug. {hand_words('where it was plugged in')}")
    card.command = shlex.join(["python3", "robotsim", "powerup", "--port", port, *to])
    card.when = f"looked at on {datetime.date.today()}"
    cut: KitError | None = None
    try:
        folder.mkdir(parents=True, exist_ok=True)
        try:
            with Client(port) as client:
                lead(CableBench(client), TerminalPerson(plugged), parts, card)
        except KitError as fault:
            cut = fault
        if not card:
            with suppress(OSError):  # it may hold what was there before
                folder.rmdir()
            if cut:
                raise cut
            print(f"\n{card} No file was written.")
            return card
        for name, text in zip(_FILES, (card.page, card.settings, card.json), strict=True):
            if old := put(folder / name, text):
                print(f"{name} was there already: it is kept as {old.name}.")
    except OSError as fault:
        raise KitError(
            f"The card cannot be written: {fault.strerror}.", where=str(folder.absolute()),
            hint="choose another folder: --to FOLDER",
        ) from fault  # fmt: skip
    print(f"\n{card}\n\nIn {folder.absolute()}: {_FILES[0]} to print, {_FILES[1]} for the board "
          f"(look through it first), {_FILES[2]} for the simulator's twin of it. "
          f"{read_tug(card.data).known}")  # fmt: skip
    if cut:
        raise KitError(f"{cut.what} What was found until then is written.", where=cut.where,
                       hint="motor power off. Then put the cable in again, and go on with the "
                       f"parts that are left: {card.again(*card.left)}")  # fmt: skip
    return card
