"""Join: a learner joins the room and leaves it, and the doctor tells it what is not ready."""

from __future__ import annotations

import subprocess
import sys
import threading
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from robotsim import KitError
from robotsim.notebook import find_card

from ..shown import say
from ..tasks import TASKS
from .at_hub import AT_HUB
from .card import CARD, RoomCard, make_card, read_card, write_card
from .message import READY, Ready, topic, write

__all__ = ["enter_at_hub", "join_room", "leave_room", "tell_findings"]

_TOLD = (
    "{alias} is in the room until tonight. Told to your teacher's screen: this alias; whether this "
    "laptop is ready, or which lines of the doctor are not; and after each check its task, your "
    "best points, the number of tries and the time since the first, and the likeliest cause that "
    "the card names.\nNot told: your name, your programs, your files, your answers. "
    "To stop: {stop} takes it all back."
)
_LEAVE = "leave_room()"
_LEAVE_FROM_SHELL = "in a notebook, `from checks.room import leave_room`, and leave_room()"


def join_room(alias: str, address: str, *, password: str = "") -> None:
    """Let the teacher's screen show, until tonight, whether you are ready and how your checks go.

    Args:
        alias: What you want to be called there: 1 to 20 characters, not your name.
        address: The broker, as it stands on the board, such as "192.168.1.5".
        password: And its password.

    Raises:
        KitError: The alias or the address is none, nobody answers, or the password is wrong.
    """
    card = make_card(alias, address, password)
    _post_ready(card, None)
    write_card(card)
    say(*_TOLD.format(alias=card.alias, stop=_LEAVE).split("\n"))
    # A process of its own: it takes seconds, and would take hold of this notebook's stderr.
    command = [sys.executable, "-P", "-m", "checks", "doctor", "--folder", str(Path.cwd())]
    _start_quietly(command)


def enter_at_hub(user: str, folder: Path) -> None:
    """Let a learner on a class's server into its room until tonight, by their name at the hub.

    Args:
        user: That name.
        folder: The learner's folder.

    Raises:
        KitError: The desk does not take it, or the folder cannot be written to.
    """
    card = make_card(user[:20], AT_HUB, "", folder)
    _post_ready(card, ())
    write_card(card, folder)


def leave_room(folder: Path | None = None) -> None:
    """Leave the room, and take back what was told.

    Args:
        folder: The learner's folder; None for the one in which this notebook lies.

    Raises:
        KitError: The broker does not answer; then nothing more is told, but what was stays.
    """
    from .teller import forget

    card, path = read_card(folder), find_card(CARD, folder)
    if card is None or path is None:
        say("You are not in the room.")
        return
    # From here on no notebook tells anything; the key is kept until all is taken back.
    write_card(replace(card, day=""), folder)
    forget()
    try:
        card.tell({topic(card.key, what): b"" for what in (READY, *TASKS)})
    except KitError as fault:
        raise KitError(
            f"You have left the room and nothing more is told, but what was could not be taken "
            f"back. {fault.what}",
            hint="call leave_room() again when the broker answers.",
        ) from fault
    path.unlink()
    say("You have left the room. What was told is taken back.")


def tell_findings(
    lacking: Sequence[str], folder: Path, room: str | None = None, alias: str | None = None,
    password: str = "",
) -> str:  # fmt: skip
    """Tell the room what the doctor found, and give the words to say about it.

    Args:
        lacking: The lines that are not ready; never what stands in them, since that may hold names.
        folder: The learner's folder, existing or not.
        room: The broker's address, to join the room; None if a card is to say it.
        alias: What the learner wants to be called, if they join.
        password: The room's password.

    Returns:
        The words, also where it could not be told; "" if the learner is not in the room.
    """
    try:
        if room is None and alias:
            raise KitError("An alias needs the room's address.", hint="--room 192.168.1.5")
        if room is not None:
            card = make_card(alias or "", room, password, folder)
        else:
            found = read_card(folder)
            if found is None or not found.holds:
                return ""
            card = found
        _post_ready(card, tuple(lacking))
        known = f"The room at {card.broker} knows it: {card.alias} is " + (
            f"not ready ({', '.join(lacking)})." if lacking else "ready."
        )
        if room is None:
            return known
        write_card(card, folder)
        return f"{known}\n{_TOLD.format(alias=card.alias, stop=_LEAVE_FROM_SHELL)}"
    except KitError as fault:
        return f"The room could not be told.\n{fault}"


def _post_ready(card: RoomCard, lacking: tuple[str, ...] | None) -> None:
    card.tell({topic(card.key, READY): write(Ready(card.alias, card.day, lacking))})


def _start_quietly(command: list[str]) -> None:
    silent = subprocess.DEVNULL
    started = subprocess.Popen(command, stdin=silent, stdout=silent, stderr=silent)
    threading.Thread(target=started.wait, name="doctor", daemon=True).start()
