"""Known mistakes of the task `powerup.start`, with what to try."""

from __future__ import annotations

import math

from robotsim import PINS, Recording

from ...mistakes import unsent
from ...readings.light import history
from ...readings.motion import SIDES, still_driven, top_duty
from ...readings.waking import first_drive
from ...task import Clues, Facts, Mistake, mistake
from ...words import amount, listed
from ..lamps.slips import wrong_lamp_pin
from ..motors import left_braked
from .start import (
    DRIVE,
    EITHER_WAY,
    FAR,
    HANDS_OFF,
    LIMIT,
    STOP_WITHIN,
    SafeStart,
    bumper_stops,
    calls,
    gentle,
    gets_under_way,
    hands_off,
    lamp_tells,
    motors_first,
    stops,
)
from .states import (
    DECK,
    MOST_FLASHES,
    blinks,
    flashes,
    motors_jump,
    state_name,
    too_much_before,
    wrong_lamp,
)

__all__ = ["MISTAKES", "not_written", "pulls"]

_AT_THE_WALL = (bumper_stops, calls, stops)


def pulls(recording: Recording) -> list[str]:
    """Give how the bumper's pin was pulled, each time it was set up."""
    modes = recording.of("mode")
    return [e.data[2] for e in modes if e.data[0] == PINS["bumper"] and e.data[1] == "in"]


@mistake(
    "bumper without its pull-up",
    f"the switch only pulls the pin down: Pin({PINS['bumper']}, Pin.IN, Pin.PULL_UP).",
    costs=[gets_under_way],
    explains=[lamp_tells, hands_off, gentle, *_AT_THE_WALL],
)
def no_pull_up(seen: SafeStart) -> Clues:
    """Tell a tug that stopped at once in open water: the pin reads low without its pull-up."""
    pulled = pulls(seen.open_water)
    if pulled and "up" not in pulled and seen.ahead < FAR / 2:
        yield "the bumper's pin was set up without Pin.PULL_UP, and reads 0 all the time"


@mistake(
    "the bumper read upside down",
    "pressed is 0, open is 1: stop if bumper.value() == 0.",
    costs=[gets_under_way],
    explains=[lamp_tells, hands_off, gentle, *_AT_THE_WALL],
)
def upside_down(seen: SafeStart) -> Clues:
    made = seen.open_water
    reads = {e.data[1] for e in made.of("read") if e.data[0] == PINS["bumper"]}
    if reads == {1} and blinks(made, HANDS_OFF + 1.0, made.seconds)[0] > 0.5:
        yield "it called for help in open water, where the bumper read 1: open"


@mistake(
    "the motors are never driven",
    "after the three seconds, drive.",
    costs=[gets_under_way, hands_off],
    explains=[lamp_tells, gentle, *_AT_THE_WALL],
)
def never_driven(seen: SafeStart) -> Clues:
    if first_drive(seen.open_water) is None:
        yield "no motor was ever driven"


@mistake(
    "drives before the three seconds are over",
    "time.sleep(3) stands between the amber lamp and the first line that drives.",
    costs=[hands_off],
    explains=[lamp_tells],
)
def too_early(seen: SafeStart) -> Clues:
    first = seen.first_driven
    if first is not None and first < HANDS_OFF - 0.001:
        yield f"first driven {first:.2f} s after power-up"


@mistake(
    "drives astern",
    "ahead is pin 25 on the left and pin 27 on the right: those stay high in slow decay.",
    costs=[gets_under_way],
    explains=_AT_THE_WALL,
)
def astern(seen: SafeStart) -> Clues:
    if max(seen.wheels) < -0.02:
        yield f"both wheels ran astern, {listed([amount(-far) for far in seen.wheels])} m"


@mistake(
    "turns in place of driving ahead",
    "both wheels run ahead, and alike.",
    costs=[gets_under_way],
    explains=_AT_THE_WALL,
)
def turns(seen: SafeStart) -> Clues:
    slow, fast = sorted(seen.wheels, key=abs)
    if abs(fast) > 0.1 and slow * math.copysign(1, fast) < 0.2 * abs(fast):
        yield f"one wheel rolled {amount(fast)} m, the other {amount(slow)} m"


@mistake(
    "too little effort to start",
    "a tug starts at 0.15 to 0.25, and drives well at 0.45; slow decay is 1 - effort.",
    costs=[gets_under_way],
    explains=[bumper_stops, calls],
)
def too_weak(seen: SafeStart) -> Clues:
    most = max(top_duty(seen.open_water, side) for side in SIDES)
    if 0 < most < 0.35 and max(map(abs, seen.wheels)) < 0.02:
        yield f"the effort was never more than {most:.2f}, and no wheel turned"


@mistake("motors left on", "stop in finally:, so that nothing can leave it out.",
         costs=[stops], explains=[bumper_stops])  # fmt: skip
def left_on(seen: SafeStart) -> Clues:
    sides = still_driven(seen.open_water)
    if sides and seen.open_water.ended == "finished":
        yield f"the program had ended, and was still driving on the {listed(sides)}"


@mistake(
    "the bumper does not stop it",
    f"look at bumper.value() of Pin({PINS['bumper']}, ...) every 10 ms while it drives, from the "
    "first step on; pressed is 0.",
    costs=[bumper_stops],
    explains=[calls],
)
def deaf(seen: SafeStart) -> Clues:
    if not seen.stops:
        return
    last, _, trial = max(seen.stops)
    made = seen.recordings[trial]
    words = f"last driven {last:.2f} s after the touch"
    heard = [e for e in made.of("read") if e.data[0] == PINS["bumper"]]
    heard += [e for e in made.of("call") if e.data == ("pin", PINS["bumper"])]
    if last > STOP_WITHIN and not pulls(made):
        yield f"{words}; pin {PINS['bumper']}, the bumper's, was never set up"
    elif last > STOP_WITHIN:
        yield words if heard else f"{words}; the bumper's pin was never read"


@mistake(
    "starts too hard",
    "let the effort grow from 0 in steps, and stay at 0.5 or less.",
    costs=[gentle],
)
def too_hard(seen: SafeStart) -> Clues:
    amps = max(seen.open_water.tracks["amps"])
    if amps > LIMIT:
        yield f"it drew up to {amps:.2f} A"


@mistake(
    "write() forgotten",
    f"lamps[{DECK}] = ... only notes a colour; lamps.write() sends all of them to the lamps.",
)
def not_written(seen: Facts) -> Clues:
    """Tell lamps that were set up and got no colours."""
    clue = unsent(seen.recordings)
    if clue:
        yield clue


@mistake(
    "lamp forgotten",
    f"show a state before each stage: np[{DECK}] = ..., np.write().",
    costs=[lamp_tells],
    explains=[calls],
)
def stays_dark(seen: SafeStart) -> Clues:
    if all(max(step.colour) == 0 for made in seen.recordings for step in history(made, DECK)):
        yield "the deck lamp stayed dark"


@mistake(
    "the lamp tells another state",
    "amber while it waits, white while it drives: show the state first, then act.",
    costs=[lamp_tells],
)
def other_state(seen: SafeStart) -> Clues:
    found = lamp_tells.judge(seen)
    shown = {state_name(step.colour) for step in history(seen.open_water, DECK)} - {"dark"}
    yield f"{found.measured}; it showed {listed(sorted(shown)) if shown else 'nothing'}"


@mistake("blinks too fast", "250 ms lit and 250 ms dark are twice a second.", costs=[calls])
def too_fast(seen: SafeStart) -> Clues:
    most = max(flashes(made) for made in seen.recordings)
    if most > MOST_FLASHES:
        yield f"{most} flashes of the deck lamp in one second"


@mistake(
    "calls for help although all is well",
    "blink only after the bumper was pressed: while not well.",
    costs=[calls],
)
def cries_wolf(seen: SafeStart) -> Clues:
    if seen.called_for_nothing:
        yield "it called for help in open water, where it had met nothing"


@mistake(
    "does not call for help",
    "after the bumper stopped it: amber 250 ms, dark 250 ms, again and again.",
    costs=[calls],
)
def silent(seen: SafeStart) -> Clues:
    if seen.call[0] < 1.0 and seen.stops:
        yield seen.call[1]


@mistake(
    "stops too soon in open water",
    "let it drive for 2 s, and let the effort grow to about 0.45 in the first half second.",
    explains=[gets_under_way, stops, bumper_stops, calls],
)
def too_short(seen: SafeStart) -> Clues:
    slow = seen.ahead < FAR and min(seen.wheels) > 0.02
    if slow or 0 < seen.driven_for < DRIVE - EITHER_WAY:
        yield f"driven for {amount(seen.driven_for, 1)} s, it came {amount(seen.ahead)} m ahead"


@mistake(
    "drives too far",
    f"about {DRIVE:g} s at an effort of about 0.45 are enough: 200 steps of 10 ms.",
    costs=[stops],
)
def too_far(seen: SafeStart) -> Clues:
    met, made = seen.met_in_open_water, seen.open_water
    if met is not None:
        yield f"it came as far as the wall in open water, {met:.1f} s after power-up"
    elif still_driven(made) and made.ended != "finished":
        yield f"it was still driving when the time was up, at {made.seconds:g} s"
    elif seen.driven_for > DRIVE + EITHER_WAY:
        yield f"driven for {seen.driven_for:.1f} s"


MISTAKES: tuple[Mistake, ...] = (
    motors_jump.bound(explains=[hands_off, motors_first]),
    wrong_lamp_pin.bound(explains=[lamp_tells, calls]),
    wrong_lamp.bound(explains=[lamp_tells, calls]), no_pull_up, upside_down, never_driven,
    too_much_before.bound(explains=[motors_first]), too_early, astern, turns, too_weak, left_on,
    deaf,
    too_hard, not_written.bound(explains=[lamp_tells, calls]), stays_dark, other_state, too_fast,
    cries_wolf,
    silent, too_short, too_far,
    left_braked.bound(costs=[stops]),
)  # fmt: skip
