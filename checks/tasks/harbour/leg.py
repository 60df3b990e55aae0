"""Task `harbour.leg`: along the line to the bar by order, with a stop on the way."""

from __future__ import annotations

from ...task import Criterion, Run, Task
from ..trials import judged
from . import way
from .scripts import leg_script
from .steps import done_at_the_bar, refuses, report_mistakes, reports, stopped_too_soon, too_soon
from .voyage import Voyages
from .waiting import by_order, goes_not_on, runs_on, waits

__all__ = ["LEG"]

_follows = Criterion(
    "It follows the line to the bar", 4, judged(way.follows), essential=True,
    asks="all the way, never more than 40 mm off the line; the first tenth earns nothing",
)  # fmt: skip
_waits = waits(
    "It waits, and it stops when told to", 3, "before the first order, when told to stop, and when "
    "an order's time is over",
)  # fmt: skip
_at_bar = way.at_bar(3)
_reports = reports(
    3, done_at_the_bar, "started; stopped where it was told to or its time was over; done when it "
    "stands at the bar", over="stopped",
)  # fmt: skip
_refuses = refuses(1)


LEG = Task(
    id="harbour.leg",
    title="One leg, by order",
    program="leg.py",
    runs=(
        Run(28.0, "harbour", air=leg_script(1)),
        Run(24.0, "harbour", seed=6, air=leg_script(2)),
    ),
    criteria=(_follows, _waits, _at_bar, _reports, _refuses),
    mistakes=(
        *by_order(_waits),
        *way.by_the_eyes(_at_bar),
        stopped_too_soon,
        way.stops_late,
        too_soon(
            done_at_the_bar, "told done before it was there",
            "done is the last thing: behind the bar, when the tug stands.", [_reports],
        ),
        goes_not_on(),
        runs_on(_waits, _reports),
        *report_mistakes(_reports, _refuses, over="stopped"),
    ),
    facts=Voyages,
)  # fmt: skip
"""Fourteen points."""
