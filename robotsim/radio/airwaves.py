"""Airwaves: what a trial scripts of its radio: networks, orders, cuts and restarts.

A plain value: the same airwaves, tug and seed give the same trial.
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from ..errors import KitError
from ..units import ns

__all__ = [
    "BROKER",
    "KEY",
    "NETWORK",
    "PORT",
    "AccessPoint",
    "Airwaves",
    "Order",
    "Outage",
    "tug_name",
]

NETWORK, KEY = "harbour", "lighthouse"
"""Name and password of the harbour's own network."""
BROKER, PORT = "office", 1883
"""Name of the machine on which the harbour office's broker runs, and its port (the usual one)."""


def tug_name(serial: int) -> str:
    """Give the name under which a tug is spoken to: `tug-7`."""
    return f"tug-{serial}"


@dataclass(frozen=True)
class AccessPoint:
    """A wireless network that may be heard where the tug is.

    Attributes:
        name: Its name.
        key: Its password, "" for an open network.
        signal: How strong it is at the tug, in dBm: -40 is near, -90 can hardly be used.
        spells: Times at which it is otherwise: (from s, to s, signal in dBm, or None: off).
        channel: The channel it sends on.
    """

    name: str
    key: str = ""
    signal: float = -50.0
    spells: tuple[tuple[float, float, float | None], ...] = ()
    channel: int = 6

    def signal_at(self, time_ns: int) -> float | None:
        """Give the signal in dBm at a time, None while it is off."""
        for start, end, signal in self.spells:
            if ns(start) <= time_ns < ns(end):
                return signal
        return self.signal


@dataclass(frozen=True)
class Order:
    """A message that the harbour office publishes at a time.

    Attributes:
        at: When, in s.
        what: The payload: bytes or a text as they are, anything else as JSON.
        to: The topic; "" for `harbour/<tug>/order` of the trial's own tug.
        qos: 0 or 1.
        retain: Whether the broker keeps it for later subscribers.
    """

    at: float
    what: Any
    to: str = ""
    qos: int = 1
    retain: bool = False

    @property
    def payload(self) -> bytes:
        """The payload as bytes."""
        if isinstance(self.what, bytes):
            return self.what
        return (self.what if isinstance(self.what, str) else json.dumps(self.what)).encode()


@dataclass(frozen=True)
class Outage:
    """A time in which the broker is down.

    Attributes:
        at: When it goes down, in s.
        seconds: How long until it is up again.
        keeps: Whether it then still has its sessions and retained messages.
    """

    at: float
    seconds: float
    keeps: bool = True


@dataclass(frozen=True)
class Airwaves:
    """Everything about the radio that a trial scripts.

    Attributes:
        orders: What the office publishes.
        networks: The wireless networks that can be heard.
        cuts: Times (from s, to s) in which nothing passes between network and broker.
        outages: Times in which the broker is down.
        latency_ms: One way between tug and broker, in ms (invented; a home network takes 2 to 20).
        jitter_ms: At most so much more, evenly spread.
        loss: Share of the sendings, 0 to below 1, that are lost and go out again after a while.
        logins: User name to password; None: the broker lets everyone in.
        message_limit: Most bytes of a payload that the broker passes on.
    """

    orders: Sequence[Order] = ()
    networks: Sequence[AccessPoint] = field(default=(AccessPoint(NETWORK, KEY),))
    cuts: Sequence[tuple[float, float]] = ()
    outages: Sequence[Outage] = ()
    latency_ms: float = 8.0
    jitter_ms: float = 6.0
    loss: float = 0.0
    logins: Mapping[str, str] | None = None
    message_limit: int = 16_384

    def __post_init__(self) -> None:
        """Refuse what no radio can do.

        Raises:
            KitError: A number is out of its range.
        """
        if not 0.0 <= self.loss < 1.0:
            raise _fault(f"A loss is a share from 0 to below 1, not {self.loss!r}", "loss=0.05")
        if self.latency_ms < 0 or self.jitter_ms < 0:
            raise _fault("Latency and jitter are not negative", "latency_ms=8, jitter_ms=6")
        for order in self.orders:
            if order.qos not in (0, 1) or order.at < 0:
                raise _fault(f"{order!r} cannot be sent", "an order has at >= 0 and qos 0 or 1")
        for start, end in self.cuts:
            if not 0 <= start <= end:
                raise _fault(f"A cut runs from one time to a later one, not {start!r}, {end!r}",
                             "cuts=[(3.0, 5.0)]")  # fmt: skip


def _fault(what: str, hint: str) -> KitError:
    return KitError(what + ".", where="Airwaves", hint=hint)
