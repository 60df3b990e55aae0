"""Tasks of the lesson `radio`: reading orders safely, obeying, reporting, losing the link."""

from __future__ import annotations

from ...task import Criterion, Run, Task
from . import mistakes, mistakes_lamps, mistakes_lost, mistakes_ways
from . import orders as by
from . import ways as ways
from .scripts import helm_script, lamp_script, lost_script, report_script

__all__ = ["TASKS"]

LAMPS = Task(
    id="radio.lamps",
    title="Read orders safely",
    program="orders.py",
    runs=(
        Run(seconds=15.5, air=lamp_script(1)),
        Run(seconds=10.0, seed=5, air=lamp_script(2, few=5)),
    ),
    criteria=(
        Criterion("It shows what good orders ask", 4.0, by.shows, essential=True),
        Criterion("It refuses bad orders", 4.0, by.lamps_unmoved),
        Criterion("It goes on listening", 2.0, by.stays),
    ),
    mistakes=mistakes_lamps.LAMPS,
)

HELM = Task(
    id="radio.helm",
    title="Speed and radius by order",
    program="helm.py",
    runs=(
        Run(seconds=26.0, start=(0.30, 0.20, 0.0), air=helm_script(1)),
        Run(seconds=26.0, start=(0.90, 0.60, 0.0), seed=5, air=helm_script(2)),
    ),
    criteria=(
        Criterion("It obeys orders to move", 2.0, ways.obeys, essential=True),
        Criterion("It keeps the speed", 3.0, ways.speeds),
        Criterion("It keeps the radius", 3.0, ways.radii),
        Criterion("It stops when an order's time is over", 2.0, ways.ends),
        Criterion("It refuses bad orders", 2.0, ways.helm_refuses),
    ),
    mistakes=mistakes_ways.HELM,
)

REPORT = Task(
    id="radio.report",
    title="Report what was done",
    program="report.py",
    runs=(
        Run(seconds=13.0, air=report_script(1, 6)),
        Run(seconds=10.5, seed=5, air=report_script(2, 2)),
    ),
    criteria=(
        Criterion("It reports what it has done", 4.0, by.reports_done, essential=True),
        Criterion("It reports what it has refused", 3.0, by.reports_refused),
        Criterion("It says that it is there", 1.0, by.reports_joined),
        Criterion("Its reports come at least once", 1.0, by.at_least_once),
        Criterion("It shows what good orders ask", 2.0, by.shows),
    ),
    mistakes=mistakes.REPORT,
)

LOST = Task(
    id="radio.lost",
    title="Stop when the link is lost, and rejoin",
    program="safe.py",
    runs=(Run(seconds=50.5, start=(0.30, 0.40, 0.0), air=lost_script(1)),
          Run(seconds=28.0, start=(0.40, 0.40, 0.0), seed=5, air=lost_script(2))),
    criteria=(
        Criterion("It obeys its first order", 1.0, ways.goes, essential=True),
        ways.stops_when("lost", "harbour", "the network is lost"),
        ways.stops_when("broker", "down", "the broker is gone"),
        Criterion("It rejoins and obeys again", 3.0, ways.comes_back),
        Criterion("It reports each time that it has joined", 1.0, ways.says_joined),
        Criterion("The office learns that it is gone", 2.0, ways.office_learns),
        Criterion("It refuses bad orders", 1.0, ways.lost_refuses),
    ),
    mistakes=mistakes_lost.LOST,
)  # fmt: skip

TASKS: tuple[Task, ...] = (LAMPS, HELM, REPORT, LOST)
