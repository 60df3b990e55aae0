"""Air: the harbour's radio with a way out to a real broker.

The tug's side is as in simulated time: its network, its broker, its connections.  What the office
and others publish comes in through a `Post`; what the tug publishes goes out through it.
"""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import partial
from queue import Empty, SimpleQueue
from typing import Protocol

from ..radio import Airwaves, BadOrder, HarbourRadio, log_topic, order_topic, read_order, tug_name
from ..radio.broker import Broker
from ..radio.harbour import air_door
from ..radio.packets import Publish
from ..radio.sessions import Session
from ..units import MS, SECOND

__all__ = ["LiveRadio", "News", "Post"]

_SOON_NS = 10 * MS
_REFUSALS = 10
"""Most refused orders that are told in one second: a flood of rubbish is no reason for another."""


@dataclass(frozen=True)
class News:
    """What has come from outside: "message", or the link to the real broker is "up" or "down"."""

    what: str
    message: Publish | None = None
    why: str = ""


class Post(Protocol):
    """The way to the real broker and back; it is used from the run's thread."""

    inbox: SimpleQueue[News]

    def publish(self, message: Publish) -> None:
        """Publish for the tug."""

    def ask(self) -> None:
        """Ask for the retained messages once more: the tug has subscribed."""


class _OpenBroker(Broker):
    """The tug's broker: what the tug publishes goes out as well, what is retained is kept there."""

    outward: Callable[[Publish], None]
    asked: Callable[[], None]

    def publish(self, message: Publish, user: str = "") -> None:
        """Hand a message of the tug to all who want it, here and outside."""
        super().publish(message, user)
        self.outward(message)

    def bring(self, message: Publish) -> None:
        """Hand in a message from outside."""
        if not message.retain:
            super().publish(message)
            return
        for session in list(self.sessions.values()):  # it was kept for whoever subscribes
            granted = session.granted(message.topic)
            if granted is not None:
                session.offer(message, granted)

    def offer_retained(self, session: Session, wanted: str, granted: int) -> None:
        """Hand over what was kept, here and outside."""
        super().offer_retained(session, wanted, granted)
        self.asked()


class LiveRadio(HarbourRadio):
    """The harbour's radio at real time.

    Args:
        air: The networks; its script of orders may be empty.
        serial: The tug's serial number.
        hold: Waits until the clock on the wall shows a time in ns.
        post: The way out, or None: then only `bring` brings orders in.
    """

    def __init__(
        self, air: Airwaves, seed: int, serial: int, hold: Callable[[int], None], post: Post | None
    ) -> None:
        super().__init__(air, seed, serial)
        self.broker = _OpenBroker(self.agenda, self.note, air_door(air))
        self.broker.listeners.append(partial(self.tell, "told"))
        self.broker.outward, self.broker.asked = self._outward, self._asked
        self.inbox: SimpleQueue[News] = post.inbox if post else SimpleQueue()
        self.lost_ns: int | None = None
        self._post, self._hold = post, hold
        self._refused: list[int] = []

    # -- time --------------------------------------------------------------------

    def advance(self, now_ns: int) -> None:
        """Wait for a time, and let everything happen that is due up to it."""
        self._hold(now_ns)
        self.look(now_ns)

    def look(self, now_ns: int) -> None:
        """Let everything happen that is due up to a time that has been reached."""
        super().advance(now_ns)
        while True:
            try:
                news = self.inbox.get_nowait()
            except Empty:
                return
            self._take(news)

    def next_ns(self) -> int | None:
        """When to look again: soon, since anything may come from outside."""
        soon, due = self.agenda.now_ns + _SOON_NS, super().next_ns()
        return soon if due is None else min(soon, due)

    # -- what comes ----------------------------------------------------------------

    def _take(self, news: News) -> None:
        if news.message:
            self._bring(news.message)
        elif news.what == "down" and self.lost_ns is None:
            self.lost_ns = self.agenda.now_ns
            self.note("link", f"lost: {news.why}")
            self._down(keeps=True)
        elif news.what == "up" and self.lost_ns is not None:
            self.lost_ns = None
            self.note("link", "back")
            self._up()

    def _bring(self, message: Publish) -> None:
        """Let a message in; an order that is none stays outside."""
        if message.topic == order_topic(self.serial):
            try:
                read_order(message.payload)
            except BadOrder as fault:
                self._refuse(message, str(fault))
                return
            self.tell("order", message)
        assert isinstance(self.broker, _OpenBroker)
        self.broker.bring(message)

    def _refuse(self, message: Publish, why: str) -> None:
        now = self.agenda.now_ns
        self._refused = [at for at in self._refused if now - at < SECOND] + [now]
        if len(self._refused) > _REFUSALS:
            return
        self.tell("order", replace(message, payload=message.payload[:2048]))
        self.note("order refused", why)
        self.say("refused", why)

    def tell_guard(self) -> None:
        """Note that the motors were cut off."""
        self.note("guard", "motors off")

    def say(self, did: str, why: str = "") -> None:
        """Report to the office in the tug's name."""
        told = {"did": did, "why": why} if why else {"did": did}
        message = Publish(log_topic(self.serial), json.dumps(told).encode(), 1)
        self.tell("told", message)
        if self._post:
            self._post.publish(message)

    # -- what goes -------------------------------------------------------------------

    def _outward(self, message: Publish) -> None:
        """Pass on what the tug publishes under its own name; it gives orders to nobody."""
        own = message.topic.startswith(f"harbour/{tug_name(self.serial)}/")
        if self._post and own and message.topic != order_topic(self.serial):
            self._post.publish(message)
        else:
            self.note("not passed on", message.topic)

    def _asked(self) -> None:
        if self._post:
            self._post.ask()
