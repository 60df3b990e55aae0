"""Task `harbour.ready`: it waits for orders, sets off by one, ends it, and reports each step."""

from __future__ import annotations

from ...task import Clues, Run, Task
from ..hearing import obeyed_late
from ..trials import known
from .scripts import ready_script
from .steps import (
    done_in_time,
    refuses,
    report_mistakes,
    reports,
    stopped_is_done,
    stopped_too_soon,
    too_soon,
)
from .voyage import Voyage, Voyages
from .waiting import by_order, goes_not_on, runs_on, sets_off, straight, waits

__all__ = ["READY"]

_goes = sets_off(2)
_waits = waits(
    "It waits for its orders", 3, "before the first order, when told to stop, and when an order's "
    "time is over",
)  # fmt: skip
_reports = reports(3, done_in_time, "started; done when its time is over, or stopped")
_refuses = refuses(2)


@known("orders to go are not carried out", "a speed above 0 means: drive.", costs=[_goes])
def _no_go(one: Voyage) -> Clues:
    first = one.goes[0]
    if one.took and not one.set_off(first):
        yield f"the order of {first.sent:.1f} s was taken, and the wheels stood"


@known(
    "not straight ahead",
    "give both wheels the same effort, above 0: drive(0.5, 0.5).",
    costs=[_goes],
)
def _crooked(one: Voyage) -> Clues:
    for heard in one.goes:
        if one.set_off(heard) and not straight(one, heard):
            left, right = (100 * way for way in one.rolled_by(heard))
            yield (
                f"on the order of {heard.sent:.1f} s the left wheel rolled {left:.0f} cm, the "
                f"right one {right:.0f} cm"
            )


READY = Task(
    id="harbour.ready",
    title="Ready, and no sooner",
    program="ready.py",
    runs=(
        Run(12.4, "harbour", air=ready_script(1)),
        Run(8.4, "harbour", seed=3, air=ready_script(2)),
    ),
    criteria=(_goes, _waits, _reports, _refuses),
    mistakes=(
        *by_order(_waits),
        obeyed_late(),
        runs_on(_waits, _reports),
        stopped_is_done([_reports]),
        too_soon(
            done_in_time, stopped_too_soon.name, "seconds are seconds: until is "
            "ticks_add(ticks_ms(), int(1000 * seconds)), and done is reported when that time has "
            "come.", [_reports],
        ),
        _no_go,
        _crooked,
        goes_not_on([_goes], [_reports]),
        *report_mistakes(_reports, _refuses),
    ),
    facts=Voyages,
)  # fmt: skip
"""Ten points."""
