"""Tasks of the lesson `harbour`: ready for orders, one leg by order, the whole run."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence

from robotsim import Recording

from ...readings.arm import between
from ...readings.line import course
from ...readings.motion import at_rest, still_driven
from ...readings.radio import orders, said
from ...task import Criterion, Finding, Run, Task, share
from ..arm.ways import on_stop
from ..radio.scripts import GIVEAWAY
from . import mistakes as known
from .evidence import (
    QUICK_S,
    goes,
    port_side,
    result,
    rolled_by,
    set_off,
    stood,
    straight,
    struck,
    waits,
    went,
    wound_up_s,
)
from .scripts import leg_script, ready_script, run_script
from .told import (
    Early,
    asked_steps,
    in_order,
    leg_early,
    ready_early,
    run_early,
    true_steps,
)

__all__ = ["ACCURATE_M", "QUICK_S", "TASKS"]

Recordings = Sequence[Recording]
Judged = tuple[float, str, float | None]
"""What one recording earns as a share, what was measured in it, and when to look."""

SLOW_S = 30.0
"""From the order to the report that it is done, in s: what earns nothing."""
ACCURATE_M, LOOSE_M = 0.010, 0.030
"""Mean distance of the row of eyes from the line, in m: what earns all, and what nothing."""
_AT_BAR_M, _OFF_BAR_M = 0.020, 0.090
_REST_DEG = 6.0


def _mean(judge: Callable[[Recording], Judged], asked: str) -> Callable[[Recordings], Finding]:
    """Judge each recording; tell the worst, and give the mean."""

    def judged(recordings: Recordings) -> Finding:
        found = [judge(recording) for recording in recordings]
        worst = min(range(len(found)), key=lambda k: found[k][0])
        part, measured, at = found[worst]
        where = f"with seed={recordings[worst].seed}: " if recordings[worst].seed else ""
        mean = sum(got for got, _, _ in found) / len(found)
        return Finding(mean, where + measured, asked, at, worst)

    return judged


def _share_of(hits: Iterable[tuple[bool, float, str]], what: str) -> Judged:
    """Count what was done: (done, when, what it was)."""
    all_of = list(hits)
    done = sum(hit for hit, *_ in all_of)
    missed = next(((at, name) for hit, at, name in all_of if not hit), None)
    words = f"{done} of {len(all_of)} {what}"
    if missed is None:
        return 1.0, words, None
    return done / len(all_of), f"{words}; not: {missed[1]}", missed[0]


# -- what all three ask ---------------------------------------------------------


def _sets_off(recording: Recording) -> Judged:
    part, words, at = _share_of(
        ((set_off(recording, h), h.since, f"the order of {h.sent:.1f} s") for h in goes(recording)),
        "orders to go set it going",
    )
    for heard in goes(recording):
        if set_off(recording, heard) and not straight(recording, heard):
            left, right = (100 * way for way in rolled_by(recording, heard))
            words += f"; not straight ahead: left wheel {left:.0f} cm, right wheel {right:.0f} cm"
            return part / 2, words, heard.since
    return part, words, at


def _waits(recording: Recording) -> Judged:
    if not any(set_off(recording, heard) for heard in goes(recording)):
        return 0.0, "it never went at all", None
    hits = [
        (stood(recording, wait), wait.begin,
         f"{wait.why} a wheel rolled {100 * went(recording, wait):.0f} cm")
        for wait in waits(recording) if wait.end > wait.begin
    ]  # fmt: skip
    return _share_of(hits, "times it stood and waited")


def _reports(early: Early, over: str = "done") -> Callable[[Recording], Judged]:
    def judge(recording: Recording) -> Judged:
        asked, given = asked_steps(recording, over), true_steps(recording, early)
        first = goes(recording)[0].sent
        joined = any(
            s.report and s.report.did == "joined" and s.at < first for s in said(recording)
        )
        found = in_order(asked, given) + joined
        extra = max(0, len(given) - len(asked))
        part = max(0.0, (found - 0.5 * extra) / (len(asked) + 1))
        told = ", ".join(f"{s.did} {s.number}" for s in given[:6]) or "nothing on the orders"
        words = f"{found} of {len(asked) + 1} reports in their order" + (
            f", and {extra} too many" if extra else ""
        )
        return part, f"{words}; it told {'' if joined else 'not joined, '}{told}", None

    return judge


def _asked_words(recording_steps: str) -> str:
    return f"joined; then, with the order's number, {recording_steps}"


def _refuses(recording: Recording) -> Judged:
    run = [at for at, line in recording.printed if GIVEAWAY in line]
    if run:
        return 0.0, "a message was run as a program", run[0]
    told = [s.at for s in said(recording)
            if s.report and s.report.did == "refused" and s.report.why.strip()]  # fmt: skip
    hits = []
    for heard in orders(recording):
        if heard.order is not None:
            continue
        at = next((at for at in told if heard.since <= at < heard.since + 1.5), None)
        if at is not None:
            told.remove(at)
        text = repr(heard.payload.decode("utf-8", "replace")[:40])
        hits.append((at is not None, heard.since, text))
    return _share_of(hits, "bad orders were reported refused, with a reason")


def _ends_well(recording: Recording) -> Judged:
    sides = still_driven(recording)
    if sides:
        return 0.0, f"{' and '.join(sides)} motor still driven at the end", recording.seconds
    if not at_rest(recording):
        return 0.0, "still moving at the end", recording.seconds
    return 1.0, "at rest, motors off", None


# -- harbour.ready -----------------------------------------------------------------

_REFUSE = "each is reported refused, with why; nothing of it is run"

READY = Task(
    id="harbour.ready",
    title="Ready, and no sooner",
    program="ready.py",
    runs=(
        Run(12.4, "harbour", air=ready_script(1)),
        Run(8.4, "harbour", seed=3, air=ready_script(2)),
    ),
    criteria=(
        Criterion(
            "It sets off on an order", 2,
            _mean(_sets_off, "each within a second, straight ahead"), essential=True,
        ),
        Criterion(
            "It waits for its orders", 3,
            _mean(_waits, "it stands until it is told to go, and when the order is over"),
        ),
        Criterion(
            "It reports each step", 3,
            _mean(
                _reports(ready_early),
                _asked_words("started; done when its time is over, or stopped"),
            ),
        ),
        Criterion("It refuses bad orders", 2, _mean(_refuses, _REFUSE)),
    ),
    mistakes=known.READY,
)  # fmt: skip


# -- harbour.leg -------------------------------------------------------------------


def _follows(recording: Recording) -> Judged:
    way = course(recording)
    if not any(set_off(recording, heard) for heard in goes(recording)):
        return 0.0, "it never went at all", None
    far = way.share * way.goal
    there = way.goal - _AT_BAR_M
    words = f"came {far:.2f} of {way.goal:.2f} m to the bar"
    if way.lost is not None and way.end is None:
        words = f"lost the line after {far:.2f} of {way.goal:.2f} m"
    part = 1.0 if far >= there else share(1 - far / there, full=0.0, none=0.9)
    return part, words, way.t[way.lost] if way.lost is not None and way.end is None else None


def _at_bar(recording: Recording) -> Judged:
    found = result(recording)
    past = found.past
    if max(abs(past), found.beside) > _OFF_BAR_M:
        return 0.0, f"it ended {math.hypot(past, found.beside):.2f} m from the bar", None
    end = _ends_well(recording)
    words = f"the eyes ended {1000 * abs(past):.0f} mm {_way(past)} its middle"
    part = share(abs(past), full=_AT_BAR_M, none=_OFF_BAR_M) * (0.5 + 0.5 * end[0])
    return part, words if end[0] else f"{words}; {end[1]}", end[2]


def _way(past: float) -> str:
    return "past" if past > 0 else "short of"


LEG = Task(
    id="harbour.leg",
    title="One leg, by order",
    program="leg.py",
    runs=(
        Run(28.0, "harbour", air=leg_script(1)),
        Run(24.0, "harbour", seed=6, air=leg_script(2)),
    ),
    criteria=(
        Criterion(
            "It follows the line to the bar", 4, _mean(_follows, "all the way"), essential=True
        ),
        Criterion(
            "It waits, and it stops when told to", 3,
            _mean(_waits, "it stands before the order, when told to stop, when its time is over"),
        ),
        Criterion(
            "It stops at the bar", 3,
            _mean(_at_bar, f"the eyes within {1000 * _AT_BAR_M:.0f} mm of its middle, motors off"),
        ),
        Criterion(
            "It reports each step", 3,
            _mean(
                _reports(leg_early, over="stopped"),
                _asked_words("started; stopped where it was told to or its time was over; done "
                             "when it stands at the bar"),
            ),
        ),
        Criterion("It refuses bad orders", 1, _mean(_refuses, _REFUSE)),
    ),
    mistakes=known.LEG,
)  # fmt: skip


# -- harbour.run -------------------------------------------------------------------


def _completes(recording: Recording) -> Judged:
    """Judge what became of the float; the way to it counts for a little."""
    way, found = _follows(recording)[0], result(recording)
    hit = struck(recording)
    pushed = [e.seconds for e in recording.of("touch") if e.data[0] == "float"]
    if pushed and (hit is None or pushed[0] < hit.time + 2.0):
        return 0.2 * way, f"the hull ran into the float at {pushed[0]:.1f} s", pushed[0]
    if found.docked and hit:
        return 1.0, "the float is in the dock", None
    words = "the arm never struck the float" if hit is None else "struck, but it is not in the dock"
    at = hit.time if hit else None
    return 0.2 * way + (0.2 if hit else 0.0), f"{words}; {_follows(recording)[1]}", at


def _winds_up(recording: Recording) -> Judged:
    hit = struck(recording)
    time = wound_up_s(recording)
    side = "starboard" if port_side(recording) else "port"
    words = f"the arm waited {time:.1f} s to {side} before it struck"
    if hit is None:
        return 0.0, "it never struck", None
    return share(0.5 - time, full=0.05, none=0.5), words, hit.time


def _time(recording: Recording) -> Judged:
    found = result(recording)
    if not found.docked or found.seconds is None:
        return 0.0, "the run was not finished and reported", None
    words = f"{found.seconds:.1f} s from the order to the report"
    return share(found.seconds, full=QUICK_S, none=SLOW_S), words, None


def _accuracy(recording: Recording) -> Judged:
    found = result(recording)
    if found.aside is None:
        return 0.0, "it never got going", None
    part = share(found.aside, full=ACCURATE_M, none=LOOSE_M) * course(recording).share
    return part, f"on average {1000 * found.aside:.0f} mm off the line", None


def _safe(recording: Recording) -> Judged:
    first, end = _waits(recording), _ends_well(recording)
    if min(first[0], end[0]) < 1.0:
        return min((first, end), key=lambda judged: judged[0])
    hull = [e.seconds for e in recording.of("touch") if e.data[0] in ("float", "wall")]
    if hull:
        return 0.0, f"the hull touched something at {hull[0]:.1f} s", hull[0]
    pressing = on_stop(recording)
    angle = max(between(recording, recording.seconds - 0.5, recording.seconds), key=abs)
    if pressing or abs(angle) > _REST_DEG:
        return 0.0, f"the arm ended at {angle:.0f} degrees", recording.seconds
    return 1.0, "waited, touched nothing, ended at rest with the arm straight ahead", None


RUN = Task(
    id="harbour.run",
    title="The harbour run",
    program="run.py",
    runs=(
        Run(34.0, "harbour", air=run_script(1)),
        Run(34.0, "harbour", seed=8, air=run_script(2)),
    ),
    criteria=(
        Criterion(
            "The float ends in the dock", 6, _mean(_completes, "struck by the arm, and it stays"),
            essential=True,
        ),
        Criterion(
            "It stops at the bar", 2,
            _mean(_at_bar, f"the eyes within {1000 * _AT_BAR_M:.0f} mm of its middle, motors off"),
        ),
        Criterion(
            "It winds up on the far side", 2,
            _mean(_winds_up, "half a second on the side away from the float, which the mark tells"),
        ),
        Criterion(
            "It reports each step", 2,
            _mean(_reports(run_early), _asked_words("started; done when the arm is back")),
        ),
        Criterion("It is quick", 3, _mean(_time, f"{QUICK_S:g} s or less, from order to report")),
        Criterion(
            "It is accurate", 3,
            _mean(_accuracy, f"on average {1000 * ACCURATE_M:.0f} mm off the line or less"),
        ),
        Criterion(
            "It waits, and ends safely", 2,
            _mean(_safe, "still before the order; then no touch, motors off, arm straight ahead"),
        ),
    ),
    mistakes=known.RUN,
)  # fmt: skip

TASKS: tuple[Task, ...] = (READY, LEG, RUN)
