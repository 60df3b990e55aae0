"""Tasks of the lesson `radio`: orders for the lamps, the helm, reports, a lost link."""

from __future__ import annotations

from ...task import Run, Task
from . import helm as helm
from . import lost as lost
from . import report as report
from .helm_mistakes import MISTAKES as HELM_MISTAKES
from .lamps import LAMPS
from .lost_mistakes import MISTAKES as LOST_MISTAKES
from .passages import HelmOrders
from .report_mistakes import MISTAKES as REPORT_MISTAKES
from .scripts import helm_script, lost_script, report_script

__all__ = ["TASKS"]

HELM = Task(
    id="radio.helm",
    title="Speed and radius by order",
    program="helm.py",
    runs=(
        Run(30.0, start=(0.30, 0.20, 0.0), air=helm_script(1)),
        Run(30.0, start=(0.90, 0.60, 0.0), seed=5, air=helm_script(2)),
    ),
    criteria=(helm.obeys, helm.speeds, helm.radii, helm.ends, helm.refuses),
    mistakes=HELM_MISTAKES,
    facts=HelmOrders,
)
"""Twelve points."""
REPORT = Task(
    id="radio.report",
    title="Report what was done",
    program="report.py",
    runs=(Run(13.0, air=report_script(1)), Run(13.0, seed=5, air=report_script(2))),
    criteria=(report.done, report.refused, report.joined, report.at_least_once, report.shows),
    mistakes=REPORT_MISTAKES,
    facts=report.ReportOrders,
)
"""Eleven points."""
LOST = Task(
    id="radio.lost",
    title="Stop when the link is lost, and rejoin",
    program="safe.py",
    runs=(
        Run(50.5, start=(0.30, 0.40, 0.0), air=lost_script(1)),
        Run(28.0, start=(0.40, 0.40, 0.0), seed=5, air=lost_script(2)),
    ),
    criteria=(
        lost.goes,
        lost.stops_without_network,
        lost.stops_without_broker,
        lost.comes_back,
        lost.says_joined,
        lost.learns,
        lost.refuses,
    ),
    mistakes=LOST_MISTAKES,
    facts=lost.LostOrders,
)
"""Fourteen points."""
TASKS: tuple[Task, ...] = (LAMPS, HELM, REPORT, LOST)
