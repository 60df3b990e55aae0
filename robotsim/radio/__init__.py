"""Radio: networks and a broker in simulated time, and the orders that they carry."""

from __future__ import annotations

from .airwaves import BROKER, KEY, NETWORK, PORT, AccessPoint, Airwaves, Order, Outage, tug_name
from .harbour import HarbourRadio
from .logbook import logbook
from .orders import BadOrder, Manoeuvre, Report, log_topic, order_topic, read_order, read_report

__all__ = [
    "BROKER",
    "KEY",
    "NETWORK",
    "PORT",
    "AccessPoint",
    "Airwaves",
    "BadOrder",
    "HarbourRadio",
    "Manoeuvre",
    "Order",
    "Outage",
    "Report",
    "log_topic",
    "logbook",
    "order_topic",
    "read_order",
    "read_report",
    "tug_name",
]
