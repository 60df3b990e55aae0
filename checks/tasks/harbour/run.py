"""Task `harbour.run`: by order along the line to the bar, and the float into the dock."""

from __future__ import annotations

from ...readings.arm import on_stop
from ...task import Clues, Criterion, Finding, Run, Task, share
from ...words import told_apart
from ..motors import switched_off
from ..trials import judged, known
from . import way
from .scripts import run_script
from .steps import done_with_the_arm, report_mistakes, reports, stopped_too_soon, too_soon
from .swing import SWINGS, docks, winds_up
from .voyage import Voyage, Voyages
from .waiting import by_order, stands

__all__ = ["RUN"]

QUICK_S, SLOW_S = 14.0, 30.0
"""From the order to the report that it is done, in s: what earns all, and what nothing."""
ACCURATE_M, LOOSE_M = 0.010, 0.030
"""Mean distance of the row of eyes from the line, in m: what earns all, and what nothing."""
AHEAD_DEG, ASIDE_DEG = 6.0, 20.0
"""How far aside an arm ends that is straight ahead, and one that earns nothing, in degrees."""


def _quick(one: Voyage) -> Finding:
    if not one.docked or one.seconds is None:
        return Finding(0.0, "the run was not finished and reported")
    words = f"{told_apart(one.seconds, QUICK_S, 1)} s from the order to the report"
    return Finding(share(one.seconds, full=QUICK_S, none=SLOW_S), words)


def _accurate(one: Voyage) -> Finding:
    if one.aside is None:
        return Finding(0.0, "it never got going")
    words = f"on average {told_apart(1000 * one.aside, 1000 * ACCURATE_M, 0)} mm off the line"
    return Finding(share(one.aside, full=ACCURATE_M, none=LOOSE_M) * one.went.share, words)


def _safe(one: Voyage) -> Finding:
    """Judge the wait before and the end: the worst of what is asked counts."""
    part, words, at = switched_off(one.recording)
    found = [stands(one), Finding(part, words, at=at)]
    hull = [e.seconds for e in one.recording.of("touch") if e.data[0] in ("float", "wall")]
    if hull:
        found.append(Finding(0.0, f"the hull touched something at {hull[0]:.1f} s", at=hull[0]))
    if pressing := on_stop(one.recording):
        begin = pressing.begin
        found.append(Finding(0.0, f"the arm pressed on its stop at {begin:.1f} s", at=begin))
    angle = one.arm_at_rest
    words = f"the arm ended at {told_apart(angle, AHEAD_DEG, 0)} degrees"
    at_end = share(abs(angle), full=AHEAD_DEG, none=ASIDE_DEG)
    worst = min([*found, Finding(at_end, words, at=one.recording.seconds)], key=lambda f: f.share)
    if worst.share == 1.0:
        return Finding(1.0, "waited, touched nothing, ended at rest with the arm straight ahead")
    return worst


_at_bar = way.at_bar(2)
_reports = reports(2, done_with_the_arm, "started; done when the arm has struck and is back")
_quick_one = Criterion(
    "It is quick", 2, judged(_quick),
    asks=f"{QUICK_S:g} s or less from the order to the report done, the float in the dock; nothing "
    f"from {SLOW_S:g} s on",
)  # fmt: skip
_accurate_one = Criterion(
    "It is accurate", 2, judged(_accurate),
    asks=f"on average {1000 * ACCURATE_M:.0f} mm off the line or less, nothing from "
    f"{1000 * LOOSE_M:.0f} mm on; it counts by the share of the way to the bar",
)  # fmt: skip
_safe_one = Criterion(
    "It waits, and ends safely", 2, judged(_safe),
    asks="it stands until the order has come; the hull touches nothing; at the end the tug is at "
    "rest, both motors off (neither driven nor braked), the arm never on its stop and in the last "
    f"half second within {AHEAD_DEG:g} degrees of straight ahead, nothing from {ASIDE_DEG:g} on; "
    "the worst of these counts",
)  # fmt: skip


@known(
    "slow on the line",
    "raise the effort a little at a time, as long as the bar is seen in time.",
    costs=[_quick_one],
)
def _slow(one: Voyage) -> Clues:
    """It took too long in all, and most of it on the line."""
    went = one.went
    late = one.seconds is not None and one.seconds > QUICK_S
    if late and went.end is not None and went.seconds >= 0.6 * QUICK_S:
        yield (
            f"on the line it made {went.metres / went.seconds:.2f} m/s, and took "
            f"{went.seconds:.1f} s"
        )


RUN = Task(
    id="harbour.run",
    title="The harbour run",
    program="run.py",
    runs=(
        Run(34.0, "harbour", air=run_script(1)),
        Run(34.0, "harbour", seed=8, air=run_script(2)),
    ),
    criteria=(docks, _at_bar, winds_up, _reports, _quick_one, _accurate_one, _safe_one),
    mistakes=(
        *by_order(_safe_one),
        *way.by_the_eyes(_at_bar, [_safe_one]),
        stopped_too_soon,
        *SWINGS,
        too_soon(
            done_with_the_arm, "told done before it was there",
            "done is the last thing: report it when the arm has swung and is back.", [_reports],
        ),
        *report_mistakes(_reports),
        _slow,
    ),
    facts=Voyages,
)  # fmt: skip
"""Twenty points."""
