"""Card: notes in a learner's folder that they are in the room, for all lessons' notebooks.

A card holds for its day only.  At home the same address is some other device's, and nothing should
be sent there that its learner has long forgotten.
"""

from __future__ import annotations

import json
import secrets
import time
from collections.abc import Mapping
from dataclasses import asdict, dataclass
from pathlib import Path

from robotsim import KitError
from robotsim.live.access import GUEST
from robotsim.live.address import Address, read_address
from robotsim.notebook import find_card

from ..whole import write_whole
from .at_hub import AT_HUB, post_at_hub
from .message import check_alias, today
from .post import PATIENCE_S, post

__all__ = ["CARD", "RoomCard", "make_card", "read_card", "write_card"]

CARD = "room.json"


@dataclass(frozen=True)
class RoomCard:
    """A learner's place in the room.

    Attributes:
        alias: What they want to be called.
        broker: The broker's address, as it was given; `AT_HUB` on a class's server.
        password: The guest's password; "" where none is asked for.
        key: A random name of this laptop, which stays when the rest changes.
        day: The day on which it holds; "" after leaving.
    """

    alias: str
    broker: str
    password: str
    key: str
    day: str

    @property
    def address(self) -> Address:
        """The broker's address, as the guest."""
        return read_address(self.broker, GUEST if self.password else "", self.password)

    @property
    def holds(self) -> bool:
        """Whether its learner is in the room today."""
        return self.day == today(time.time())

    def tell(self, messages: Mapping[str, bytes], patience_s: float = PATIENCE_S) -> None:
        """Tell the room, wherever it is; see `post`.

        Raises:
            KitError: It does not take it.
        """
        if self.broker == AT_HUB:
            post_at_hub(messages, patience_s)
        else:
            post(self.address, messages, patience_s)


def make_card(alias: str, broker: str, password: str, folder: Path | None = None) -> RoomCard:
    """Make a card for today; a laptop that has had one keeps its key.

    Raises:
        KitError: The alias or the address is none.
    """
    _see_broker(broker)
    try:
        known = read_card(folder)
    except KitError:  # a damaged one is written anew
        known = None
    key = known.key if known else secrets.token_hex(8)
    return RoomCard(check_alias(alias), broker, password, key, today(time.time()))


def _see_broker(broker: str) -> None:
    if broker != AT_HUB:
        read_address(broker)


def read_card(folder: Path | None = None) -> RoomCard | None:
    """Give the card of this folder or of one up to three above, also of another day.

    Raises:
        KitError: It is damaged.
    """
    path = find_card(CARD, folder)
    if path is None:
        return None
    try:
        card = RoomCard(**json.loads(path.read_text(encoding="utf-8")))
        if not all(isinstance(value, str) for value in vars(card).values()):
            raise ValueError("not text")
        _see_broker(card.broker)
        return card
    except (ValueError, TypeError, OSError, KitError) as fault:
        raise KitError(f"The card {CARD} is damaged.", where=str(path),
                       hint="delete it, or join the room again.") from fault  # fmt: skip


def write_card(card: RoomCard, folder: Path | None = None) -> None:
    """Write a card where the one before lies, or else into this folder.

    Raises:
        KitError: It cannot be written.
    """
    path = find_card(CARD, folder) or (folder or Path.cwd()) / CARD
    try:
        write_whole(path, json.dumps(asdict(card), indent=1).encode())
    except OSError as fault:
        raise KitError(
            f"The card {CARD} could not be written ({fault.strerror}).", where=str(path.parent),
            hint="may you write to this folder? Without the card no check is told.",
        ) from fault  # fmt: skip
