"""Task `powerup.presses`: a switch that bounces, counted once for each touch."""

from __future__ import annotations

import itertools
from typing import NamedTuple

from robotsim import LAMPS, PINS, Recording

from ...mistakes import unsent
from ...readings.light import Step, history
from ...readings.motion import SIDES, at_rest, driven, still_driven
from ...task import Criterion, Finding, Mistake, Run, Task, share
from .states import SLIPS, Recordings, quiet_first

__all__ = ["PRESSES", "TOUCHES"]

TOUCHES = 5
_APART_S = 0.12
"""Two contacts nearer to each other than this are one touch: the hull may rock."""
_SHOWN_S = 0.35
_LIT = 20
_PRESSING_S = 0.40


class Touch(NamedTuple):
    """One touch of the wall with the bumper: from when to when its switch was closed, in s."""

    begin: float
    end: float


def touches(recording: Recording) -> list[Touch]:
    """Give the touches of the wall that pressed the bumper; what only grazes the hull is none.

    A switch that is closed for some milliseconds may fall between two samples of the tracks: then
    the program's own reading of the pin, right after a contact, has seen it.
    """
    met = [e.seconds for e in recording.of("touch") if e.data[0] == "wall"]
    closed = [t for t, b in zip(*(recording.tracks[c] for c in ("t", "bumper")), strict=True) if b]
    seen = [e.seconds for e in recording.of("read") if e.data == (PINS["bumper"], 0)]
    closed += [t for t in seen if any(0.0 <= t - contact < _APART_S for contact in met)]
    # It begins with the contact, not with the first sample after it.
    closed += [contact for contact in met if any(0.0 <= t - contact < _APART_S for t in closed)]
    found: list[Touch] = []
    for time in sorted(closed):
        if found and time - found[-1].end < _APART_S:
            found[-1] = Touch(found[-1].begin, time)
        else:
            found.append(Touch(time, time))
    return found


def lamps_lit(recording: Recording) -> list[tuple[float, int]]:
    """Give how many lamps are lit, from which time on."""
    changes: dict[float, list[int]] = {}
    for lamp in range(len(LAMPS)):
        steps: list[Step] = history(recording, lamp)
        for step in steps:
            changes.setdefault(step.time, [0] * len(LAMPS))
    for time, row in changes.items():
        row[:] = [int(max(c) >= _LIT) for c in recording.lamps_at(time + 1e-9)]
    return [(time, sum(row)) for time, row in sorted(changes.items())]


def shown_at(recording: Recording, time: float) -> tuple[int, ...]:
    """Give which lamps were lit at a time in s."""
    colours = recording.lamps_at(time)
    return tuple(lamp for lamp, colour in enumerate(colours) if max(colour) >= _LIT)


def _feels(recordings: Recordings) -> Finding:
    counts = [len(touches(recording)) for recording in recordings]
    told = " and ".join(map(str, counts))
    part = sum(min(count, 1) for count in counts) / len(counts)
    return Finding(part, f"touched the wall {told} times", "comes to the wall by its bow")


def _five(recordings: Recordings) -> Finding:
    counts = [len(touches(recording)) for recording in recordings]
    parts = [share(abs(count - TOUCHES), full=0.0, none=TOUCHES - 0.5) for count in counts]
    trial = parts.index(min(parts))
    told = " and ".join(map(str, counts))
    asked = f"{TOUCHES} touches from each start, not one more or less"
    return Finding(sum(parts) / len(parts), f"touched the wall {told} times", asked, trial=trial)


def _one_lamp_each(recordings: Recordings) -> Finding:
    asked = f"one lamp more, lamps[0] first, within {_SHOWN_S:g} s of each touch, none for a bounce"
    good, most, worst = 0.0, 0, None
    for trial, recording in enumerate(recordings):
        found = touches(recording)
        most += max(TOUCHES, len(found))
        for k, (touch, later) in enumerate(itertools.zip_longest(found, found[1:]), start=1):
            look = touch.begin + _SHOWN_S
            until = later.begin - 0.01 if later else recording.seconds - 0.01
            seen = {shown_at(recording, min(look, until)), shown_at(recording, until)}
            counts = {len(lit) for lit in seen}
            right = seen == {tuple(range(k))}
            # The right number, though not from lamps[0] on, is half of it.
            good += 1.0 if right else 0.5 if counts == {k} else 0.0
            if not right and worst is None:
                lit = ", ".join(map(str, max((len(some), some) for some in seen)[1])) or "none"
                worst = (trial, look, f"{max(counts)} lamps after touch {k}: {lit}")
    told = f"right after {good:g} of {most} touches"
    if worst:
        return Finding(good / most, f"{told}; {worst[2]}", asked, worst[1], worst[0])
    return Finding(good / most, told, asked)


def _gives_way(recordings: Recordings) -> Finding:
    lean = [(t.end - t.begin, t.begin, k) for k, r in enumerate(recordings) for t in touches(r)]
    asked = f"off the wall within {_PRESSING_S:.2f} s, each time"
    if not lean:
        return Finding(0.0, "never came to the wall", asked)
    longest = max(lean)
    part = share(longest[0], full=_PRESSING_S, none=1.5)
    return Finding(
        part, f"leaned on it for up to {longest[0]:.2f} s", asked, longest[1], longest[2]
    )


def _stops(recordings: Recordings) -> Finding:
    asked = "at rest and off the wall at the end, motors off"
    for trial, recording in enumerate(recordings):
        if still_driven(recording):
            return Finding(0.0, "still driven at the end", asked, recording.seconds, trial)
        found = touches(recording)
        if not at_rest(recording) or (found and found[-1].end > recording.seconds - 0.2):
            return Finding(0.0, "still at the wall at the end", asked, recording.seconds, trial)
    return Finding(1.0, "at rest, motors off", asked)


# -- known mistakes ----------------------------------------------------------


def _pull(recording: Recording) -> list[str]:
    return [e.data[2] for e in recording.of("mode") if e.data[0] == PINS["bumper"]]


def _no_pull_up(recordings: Recordings) -> str | None:
    pulls = [pull for recording in recordings for pull in _pull(recording)]
    if pulls and "up" not in pulls:
        return "the bumper's pin was set up without Pin.PULL_UP, and reads 0 all the time"
    return None


def _not_read(recordings: Recordings) -> str | None:
    if not any(_pull(r) or any(e.data[0] == PINS["bumper"] for e in r.of("read"))
               for r in recordings):  # fmt: skip
        return f"pin {PINS['bumper']}, the bumper's, was never set up or read"
    return None


def _bounced(recordings: Recordings) -> str | None:
    """More lamps than touches: each bounce was counted."""
    for recording in recordings:
        found = touches(recording)
        for k, touch in enumerate(found, start=1):
            for time, lit in lamps_lit(recording):
                if touch.begin - 0.002 <= time <= touch.end + 0.15 and lit > k:
                    return f"after touch {k}, at {touch.begin:.2f} s, {lit} lamps were lit"
    return None


def _no_touch(recordings: Recordings) -> str | None:
    """A lamp before the first touch: the level was misread, or not read at all."""
    for recording in recordings:
        first = next((time for time, lit in lamps_lit(recording) if lit), recording.seconds)
        if first < min((touch.begin for touch in touches(recording)), default=recording.seconds):
            reads = [e.data[1] for e in recording.of("read") if e.data[0] == PINS["bumper"]]
            pin = f"the pin read {reads[0]}, which is open" if reads else "the pin was not read"
            return f"a lamp was lit at {first:.2f} s, before anything was touched; {pin}"
    return None


def _missed(recordings: Recordings) -> str | None:
    for recording in recordings:
        count = len(touches(recording))
        most = max(lit for _, lit in lamps_lit(recording))
        if count > most and count > TOUCHES:
            return f"{count} touches, and only {most} lamps: some were not counted"
    return None


def _leaned(recordings: Recordings) -> str | None:
    found = _gives_way(recordings)
    return found.measured if found.share < 1.0 and touches(recordings[0]) else None


def _wrong_number(recordings: Recordings) -> str | None:
    found = _five(recordings)
    return found.measured if found.share < 1.0 and touches(recordings[0]) else None


def _never_there(recordings: Recordings) -> str | None:
    if touches(recordings[0]) and touches(recordings[1]):
        return None
    if not any(driven(recordings[0], side) for side in SIDES):
        return "no motor was ever driven"
    return "the tug never came to the wall"


def _dark(recordings: Recordings) -> str | None:
    if touches(recordings[0]) and max(lit for _, lit in lamps_lit(recordings[0])) == 0:
        return "no lamp was ever lit"
    return None


def _not_sent(recordings: Recordings) -> str | None:
    return unsent(recordings) if touches(recordings[0]) else None


def _wrong_end(recordings: Recordings) -> str | None:
    """The right number of lamps after each touch, and not the first ones."""
    for recording in recordings:
        for k, touch in enumerate(touches(recording), start=1):
            lit = shown_at(recording, min(touch.begin + _SHOWN_S, recording.seconds))
            if len(lit) == k and lit != tuple(range(k)):
                return f"after touch {k} the lamps {', '.join(map(str, lit))} were lit"
    return None


def _lamps_wrong(recordings: Recordings) -> str | None:
    found = _one_lamp_each(recordings)
    return found.measured if found.share < 1.0 else None


def _not_first(recordings: Recordings) -> str | None:
    found = quiet_first(recordings)
    return found.measured if found.share < 1.0 else None


def _left_on(recordings: Recordings) -> str | None:
    for recording in recordings:
        sides = still_driven(recording)
        if sides and recording.ended == "finished":
            return f"the program had ended, and the {sides[0]} motor was still driven"
    return None


_MISTAKES = (
    *SLIPS[:1],
    Mistake(
        "bumper without its pull-up",
        "the switch only pulls the pin down: Pin(19, Pin.IN, Pin.PULL_UP).",
        _no_pull_up,
    ),
    Mistake("bumper never read", "bumper = Pin(19, Pin.IN, Pin.PULL_UP); pressed is 0.", _not_read),
    Mistake(
        "counted without a touch",
        "bumper.value() gives 1 while it is open and 0 while it is pressed: wait while it is 1.",
        _no_touch,
    ),
    Mistake("never comes to the wall", "drive ahead until the bumper is pressed.", _never_there),
    Mistake(
        "each bounce is counted",
        "after each change look away for 20 ms, or count only what stays pressed for 5 ms.",
        _bounced,
    ),
    Mistake("motors left on", "after the fifth touch give all four inputs 0.", _left_on),
    Mistake(
        "pushes on against the wall",
        "back off at once when the bumper is pressed: about 0.4 s astern.",
        _leaned,
    ),
    Mistake(
        "touches that are not counted",
        "look at the bumper more often, and look away for a few hundredths of a second only.",
        _missed,
    ),
    Mistake(
        "write() forgotten",
        "lamps[count] = ... only notes a colour; lamps.write() sends all of them to the lamps.",
        _not_sent,
    ),
    Mistake("lamps forgotten", "light one lamp more for each press, and write().", _dark),
    Mistake(
        "another number of touches",
        "count from 0, and stop when the count is 5.",
        _wrong_number,
    ),
    Mistake(
        "lamps from another end",
        "begin with lamps[0]: lamps[count] = ..., and only then count = count + 1.",
        _wrong_end,
    ),
    Mistake(
        "lamps show another number",
        "right after counting: light as many lamps as the count says.",
        _lamps_wrong,
    ),
    Mistake(
        "something else comes before the motors",
        "make the four motor pins low in the first lines, before lamps, sleeps and prints.",
        _not_first,
    ),
)

PRESSES = Task(
    id="powerup.presses",
    title="Count presses",
    program="feel.py",
    runs=(
        Run(seconds=9.0, start=(1.04, 0.40, 0.0)),
        Run(seconds=10.0, start=(0.96, 0.40, 0.0), seed=3),
    ),
    criteria=(
        Criterion("It feels for the wall", 1.0, _feels, essential=True),
        Criterion("It touches the wall five times", 3.0, _five),
        Criterion("Each touch counts once", 3.0, _one_lamp_each),
        Criterion("It gives way", 1.0, _gives_way),
        Criterion("Motors off before anything else", 1.0, quiet_first),
        Criterion("It stops by itself", 1.0, _stops),
    ),
    mistakes=_MISTAKES,
)
