"""At the hub: how a seat on a class's server tells the room, which knows by the hub who it is.

So there is no alias to choose, no address and no password; the room lies at the teacher's desk.
"""

from __future__ import annotations

from collections.abc import Mapping

from robotsim import KitError

from ..desk import desk_here

__all__ = ["AT_HUB", "post_at_hub"]

AT_HUB = "hub:"
"""A card's broker where there is none; no host can be called so."""


def post_at_hub(messages: Mapping[str, bytes], patience_s: float) -> None:
    """Tell the room what is told a broker elsewhere.

    Args:
        messages: Topic to payload; of the topic only its last part counts here.
        patience_s: How long each may take, in s.

    Raises:
        KitError: This is no seat of a hub, or the desk does not take it.
    """
    desk = desk_here()
    if desk is None:
        raise KitError(
            "This is no seat on a class's server.",
            hint='elsewhere the room has an address: join_room("Gull", "192.168.1.5").',
        )
    for topic, payload in messages.items():
        desk.ask(f"room/{topic.rpartition('/')[2]}", payload, patience_s)
