"""Task `powerup.start`: motors off first, hands off, a gentle start, a stop that cannot fail."""

from __future__ import annotations

import math

from robotsim import PINS, Recording
from robotsim.show.targets import PointTarget

from ...mistakes import unsent
from ...readings.light import history
from ...readings.motion import (
    SIDES,
    Way,
    at_rest,
    driven,
    motor_phases,
    rolled,
    still_driven,
    top_duty,
)
from ...task import Criterion, Finding, Mistake, Run, Task, share
from .states import (
    DECK,
    SLIPS,
    Recordings,
    amber,
    blinks,
    deck_share,
    first_drive,
    quiet_first,
    state_name,
    white,
)

__all__ = ["START"]

HANDS_OFF = 3.0
LIMIT = 0.80
"""Current in A at which the bench supply of the story gives up (invented)."""
_STOP_WITHIN = 0.20
_LONGEST = 3.2
"""For how long it may drive, in s, where about 2 s are asked."""
_OPEN, _NEAR = (0.20, 0.40, 0.0), (1.04, 0.40, 0.0)


def touched(recording: Recording) -> float | None:
    """Give when the tug first touched a wall, in s."""
    return next((e.seconds for e in recording.of("touch") if e.data[0] == "wall"), None)


def _gets_under_way(recordings: Recordings) -> Finding:
    far = max(Way.of(recordings[0]).ahead)
    asked = "at least 0.15 m ahead in open water"
    return Finding(share(0.15 - far, full=0.0, none=0.12), f"came {far:.2f} m ahead", asked)


def _hands_off(recordings: Recordings) -> Finding:
    times = [first_drive(recording) for recording in recordings]
    first = min((t for t in times if t is not None), default=None)
    asked = f"no motor driven, however shortly, in the first {HANDS_OFF:g} s"
    if first is None:
        return Finding(0.0, "no motor was ever driven", asked)
    part = share(HANDS_OFF - first, full=0.001, none=1.5)
    return Finding(part, f"first driven {first:.2f} s after power-up", asked, first)


def _gentle(recordings: Recordings) -> Finding:
    recording = recordings[0]
    amps = recording.tracks["amps"]
    when = recording.tracks["t"][amps.index(max(amps))]
    asked = f"at most {LIMIT:.2f} A, where the bench supply gives up"
    part = share(max(amps), full=LIMIT, none=1.1)
    return Finding(part, f"drew up to {max(amps):.2f} A", asked, when)


def _tells(recordings: Recordings) -> Finding:
    recording = recordings[0]
    begun = first_drive(recording) or HANDS_OFF
    early = deck_share(recording, amber, 0.3, min(begun, HANDS_OFF) - 0.05)
    phases = [p for side in SIDES for p in driven(recording, side)]
    until = max((p.end for p in phases), default=begun)
    moving = deck_share(recording, white, begun + 0.05, until - 0.05)
    measured = (
        f"amber for {100 * early:.0f} % of the waiting, "
        f"white for {100 * moving:.0f} % of the driving"
    )
    part = (share(1 - early, full=0.02, none=0.7) + share(1 - moving, full=0.02, none=0.7)) / 2
    return Finding(part, measured, "deck lamp amber while it waits, white while it drives", begun)


def _bumper_stops(recordings: Recordings) -> Finding:
    recording = recordings[1]
    asked = f"motors off within {_STOP_WITHIN:.2f} s of the touch, and off they stay"
    met = touched(recording)
    if met is None:
        return Finding(0.0, "never came to the wall", asked, trial=1)
    late = [
        p.end
        for side in SIDES
        for p in motor_phases(recording, side, 0.0)
        if p.duty and p.end > met
    ]
    last = max(late, default=met) - met
    part = share(last, full=_STOP_WITHIN, none=1.0)
    return Finding(part, f"last driven {last:.2f} s after the touch", asked, met, trial=1)


def _calls(recordings: Recordings) -> Finding:
    recording = recordings[1]
    asked = "after the touch the deck lamp blinks amber, about twice a second"
    met = touched(recording)
    if met is None:
        return Finding(0.0, "never came to the wall", asked, trial=1)
    part, measured = blinks(recording, met + 1.0, recording.seconds)
    if part and _cries_wolf(recordings):
        return Finding(0.5, "it called in open water too", asked + ", and only then", trial=0)
    return Finding(part, measured, asked, met + 1.0, trial=1)


def _cries_wolf(recordings: Recordings) -> str | None:
    """Blinks amber at the end, though nothing was met."""
    end = recordings[0].seconds
    if touched(recordings[0]) is None and blinks(recordings[0], end - 2.0, end)[0]:
        return "it called for help in open water, where it had met nothing"
    return None


def _stops(recordings: Recordings) -> Finding:
    recording = recordings[0]
    asked = f"at rest in open water, motors off, after {_LONGEST:g} s of driving at most"
    sides = still_driven(recording)
    if sides:
        which = "both motors" if len(sides) == 2 else f"the {sides[0]} motor"
        return Finding(0.0, f"{which} still driven at the end", asked, recording.seconds)
    if touched(recording) is not None:
        return Finding(0.0, "ran into the wall", asked, touched(recording))
    long = max(sum(p.seconds for p in driven(recording, side)) for side in SIDES)
    part = share(long, full=_LONGEST, none=5.0) if at_rest(recording) else 0.0
    return Finding(part, f"at rest, motors off; driven for {long:.1f} s", asked)


# -- known mistakes ----------------------------------------------------------


def _not_first(recordings: Recordings) -> str | None:
    missing = quiet_first(recordings)
    return missing.measured if missing.share < 1.0 else None


def _too_early(recordings: Recordings) -> str | None:
    found = _hands_off(recordings)
    return found.measured if 0.0 < (found.at or 0.0) < HANDS_OFF - 0.001 else None


def _never(recordings: Recordings) -> str | None:
    return "no motor was ever driven" if first_drive(recordings[0]) is None else None


def _wheels(recordings: Recordings) -> list[float]:
    return [rolled(recordings[0], side) for side in SIDES]


def _astern(recordings: Recordings) -> str | None:
    return "both wheels ran astern" if max(_wheels(recordings)) < -0.02 else None


def _round(recordings: Recordings) -> str | None:
    slow, fast = sorted(_wheels(recordings), key=abs)
    if abs(fast) > 0.1 and slow * math.copysign(1, fast) < 0.2 * abs(fast):
        return f"one wheel rolled {fast:.2f} m, the other {slow:.2f} m"
    return None


def _too_weak(recordings: Recordings) -> str | None:
    most = max(top_duty(recordings[0], side) for side in SIDES)
    if 0 < most < 0.35 and max(map(abs, _wheels(recordings))) < 0.02:
        return f"the effort was never more than {most:.2f}, and no wheel turned"
    return None


def _ran_long(recordings: Recordings) -> str | None:
    met, recording = touched(recordings[0]), recordings[0]
    if met is not None and not still_driven(recording):
        return f"it came as far as the wall in open water, {met:.1f} s after power-up"
    found = _stops(recordings)
    return found.measured if "driven for" in found.measured and found.share < 1.0 else None


def _fast(recordings: Recordings) -> str | None:
    found = _calls(recordings)
    return found.measured if "flashes" in found.measured else None


def _too_hard(recordings: Recordings) -> str | None:
    found = _gentle(recordings)
    return found.measured if found.share < 1.0 else None


def _left_on(recordings: Recordings) -> str | None:
    sides = still_driven(recordings[0])
    if not sides:
        return None
    return f"after {recordings[0].seconds:g} s the {sides[0]} motor was still driven"


def _deaf(recordings: Recordings) -> str | None:
    found = _bumper_stops(recordings)
    if touched(recordings[1]) is None or found.share == 1.0:
        return None
    pins = {e.data[0] for e in recordings[1].of("mode")} | {
        e.data[0] for e in recordings[1].of("read")
    }
    if PINS["bumper"] not in pins:
        return f"{found.measured}; pin {PINS['bumper']}, the bumper's, was never set up"
    if not any(True for _ in recordings[1].of("read")):
        return f"{found.measured}; the bumper's pin was never read"
    return found.measured


def _upside_down(recordings: Recordings) -> str | None:
    """Calls for help in open water, though the switch is open."""
    recording = recordings[0]
    reads = {e.data[1] for e in recording.of("read") if e.data[0] == PINS["bumper"]}
    if reads != {1} or max(Way.of(recording).ahead) > 0.1:
        return None
    if blinks(recording, HANDS_OFF + 1.0, recording.seconds)[0] == 1.0:
        return "it called for help in open water, where the bumper read 1: open"
    return None


def _too_short(recordings: Recordings) -> str | None:
    found = _gets_under_way(recordings)
    return found.measured if found.share < 1.0 else None


def _always_pressed(recordings: Recordings) -> str | None:
    """Stopped at once in open water: the pin reads low without its pull-up."""
    recording = recordings[0]
    begun = first_drive(recording)
    pulls = [e.data[2] for e in recording.of("mode") if e.data[0] == 19]
    if pulls and "up" not in pulls and (begun is None or max(Way.of(recording).ahead) < 0.08):
        return "the bumper's pin was set up without Pin.PULL_UP, and reads 0 all the time"
    return None


def _dark(recordings: Recordings) -> str | None:
    for recording in recordings:
        if not any(max(step.colour) for step in history(recording, DECK)):
            return "the deck lamp stayed dark"
    return None


def _wrong_state(recordings: Recordings) -> str | None:
    found = _tells(recordings)
    if found.share == 1.0:
        return None
    shown = sorted({state_name(step.colour) for step in history(recordings[0], DECK)} - {"dark"})
    return f"{found.measured}; it showed {', '.join(shown) or 'nothing'}"


def _no_call(recordings: Recordings) -> str | None:
    found = _calls(recordings)
    return found.measured if found.share < 1.0 and touched(recordings[1]) is not None else None


_MISTAKES = (
    *SLIPS,
    Mistake(
        "bumper without its pull-up",
        "the switch only pulls the pin down: Pin(19, Pin.IN, Pin.PULL_UP).",
        _always_pressed,
    ),
    Mistake(
        "the bumper read upside down",
        "pressed is 0, open is 1: stop if bumper.value() == 0.",
        _upside_down,
    ),
    Mistake("the motors are never driven", "after the three seconds, drive.", _never),
    Mistake(
        "something else comes before the motors",
        "make the four motor pins low in the first lines, before lamps, sleeps and prints.",
        _not_first,
    ),
    Mistake(
        "drives before the three seconds are over",
        "time.sleep(3) stands between the amber lamp and the first line that drives.",
        _too_early,
    ),
    Mistake(
        "drives astern",
        "ahead is pin 25 on the left and pin 27 on the right: those stay high in slow decay.",
        _astern,
    ),
    Mistake("turns in place of driving ahead", "both wheels run ahead, and alike.", _round),
    Mistake(
        "too little effort to start",
        "a tug starts at 0.15 to 0.25, and drives well at 0.45; slow decay is 1 - effort.",
        _too_weak,
    ),
    Mistake(
        "motors left on",
        "stop in finally:, so that nothing can leave it out.",
        _left_on,
    ),
    Mistake(
        "the bumper does not stop it",
        "look at bumper.value() of Pin(19, ...) every 10 ms while it drives; pressed is 0.",
        _deaf,
    ),
    Mistake(
        "starts too hard",
        "let the effort grow from 0 in steps, and stay at 0.5 or less.",
        _too_hard,
    ),
    Mistake(
        "write() forgotten",
        "lamps[4] = ... only notes a colour; lamps.write() sends all of them to the lamps.",
        unsent,
    ),
    Mistake("lamp forgotten", "show a state before each stage: np[4] = ..., np.write().", _dark),
    Mistake(
        "the lamp tells another state",
        "amber while it waits, white while it drives: show the state first, then act.",
        _wrong_state,
    ),
    Mistake("blinks too fast", "250 ms lit and 250 ms dark are twice a second.", _fast),
    Mistake(
        "calls for help although all is well",
        "blink only after the bumper was pressed: while not well.",
        _cries_wolf,
    ),
    Mistake(
        "does not call for help",
        "after the bumper stopped it: amber 250 ms, dark 250 ms, again and again.",
        _no_call,
    ),
    Mistake(
        "stops too soon in open water",
        "let it drive for 2 s, and let the effort grow to about 0.45 in the first half second.",
        _too_short,
    ),
    Mistake(
        "drives too far",
        "about 2 s at an effort of about 0.45 are enough: 200 steps of 10 ms.",
        _ran_long,
    ),
)

START = Task(
    id="powerup.start",
    title="A safe start",
    program="safe.py",
    runs=(Run(seconds=9.0, start=_OPEN), Run(seconds=10.0, start=_NEAR)),
    criteria=(
        Criterion("It gets under way", 1.0, _gets_under_way, essential=True),
        Criterion("Motors off before anything else", 2.0, quiet_first),
        Criterion("Hands off for three seconds", 2.0, _hands_off),
        Criterion("It starts gently", 1.0, _gentle),
        Criterion("Its lamp tells the state", 2.0, _tells),
        Criterion("The bumper stops it", 2.0, _bumper_stops),
        Criterion("Then it calls for help", 1.0, _calls),
        Criterion("It stops by itself", 1.0, _stops),
    ),
    mistakes=_MISTAKES,
    targets=(PointTarget(0.35, 0.40, "at least here", 0.02),),
)
