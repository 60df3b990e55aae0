"""Radio: networks and a broker in simulated time, and the orders that they carry."""

from __future__ import annotations

from .airwaves import BROKER, KEY, NETWORK, PORT, AccessPoint, Airwaves, Order, Outage, tug_name
from .harbour import HarbourRadio

__all__ = [
    "BROKER",
    "KEY",
    "NETWORK",
    "PORT",
    "AccessPoint",
    "Airwaves",
    "HarbourRadio",
    "Order",
    "Outage",
    "tug_name",
]
