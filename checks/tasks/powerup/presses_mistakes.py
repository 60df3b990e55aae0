"""Known mistakes of the task `powerup.presses`, with what to try."""

from __future__ import annotations

from robotsim import PINS

from ...readings.motion import SIDES, driven, still_driven
from ...task import Clues, mistake
from ...words import amount, counted, listed
from ..lamps.slips import wrong_lamp_pin
from ..motors import left_braked
from .presses import (
    ASTERN,
    EITHER_WAY,
    PRESSING,
    SHOWN,
    TOUCHES,
    Presses,
    counts_once,
    feels,
    five,
    gives_way,
    motors_first,
    shown_at,
    stops,
)
from .start_mistakes import not_written, pulls
from .states import motors_jump, too_much_before

__all__ = ["MISTAKES"]

_AT_THE_WALL = (feels, five, counts_once, gives_way, stops)


@mistake(
    "bumper without its pull-up",
    f"the switch only pulls the pin down: Pin({PINS['bumper']}, Pin.IN, Pin.PULL_UP).",
    explains=_AT_THE_WALL,
)
def no_pull_up(seen: Presses) -> Clues:
    pulled = [pull for made in seen.recordings for pull in pulls(made)]
    if pulled and "up" not in pulled:
        yield "the bumper's pin was set up without Pin.PULL_UP, and reads 0 all the time"


@mistake(
    "bumper never read",
    f"bumper = Pin({PINS['bumper']}, Pin.IN, Pin.PULL_UP); pressed is 0.",
    explains=_AT_THE_WALL,
)
def never_read(seen: Presses) -> Clues:
    if any(e.data[0] == PINS["bumper"] for made in seen.recordings for e in made.of("read")):
        return
    if not any(pulls(made) for made in seen.recordings):
        yield f"pin {PINS['bumper']}, the bumper's, was never set up or read"
    elif any(seen.counts) and not any(seen.felt):
        yield f"pin {PINS['bumper']}, the bumper's, was set up, and never read or waited for"


@mistake(
    "goes by the clock",
    "drive ahead until the bumper is pressed, however long that takes: while bumper.value() == 1.",
    costs=[feels],
    explains=[five, counts_once, gives_way, stops],
)
def by_clock(seen: Presses) -> Clues:
    if seen.by_clock and any(seen.counts):
        yield "it went astern at the same times from both starts, one of them nearer by 8 cm"


@mistake(
    "counted without a touch",
    "bumper.value() gives 1 while it is open and 0 while it is pressed: wait while it is 1.",
    costs=[counts_once],
    explains=[feels, five, gives_way, stops],
)
def no_touch(seen: Presses) -> Clues:
    """Tell a lamp before the first touch: the level was misread, or not read at all."""
    for made, lit, some in zip(seen.recordings, seen.lit, seen.touches, strict=True):
        first = next((time for time, lamps in lit if lamps), made.seconds)
        if first < min((touch.begin for touch in some), default=made.seconds):
            levels = [e.data[1] for e in made.of("read")
                      if e.data[0] == PINS["bumper"] and e.seconds <= first]  # fmt: skip
            words = {0: "the pin read 0, which is pressed", 1: "the pin read 1, which is open"}
            pin = words[levels[-1]] if levels else "the pin was not read"
            yield f"a lamp was lit at {first:.2f} s, before anything was touched; {pin}"


@mistake(
    "never comes to the wall",
    "drive ahead until the bumper is pressed.",
    costs=[feels],
    explains=[five, counts_once, gives_way, stops],
)
def never_there(seen: Presses) -> Clues:
    if not all(seen.counts):
        moved = any(driven(seen.recording, side) for side in SIDES)
        yield "the tug never came to the wall" if moved else "no motor was ever driven"


@mistake(
    "each bounce is counted",
    "after each change look away for 20 ms, or count only what stays pressed for 5 ms.",
    costs=[counts_once],
    explains=[five, stops, gives_way],
)
def bounces_counted(seen: Presses) -> Clues:
    for some, lit in zip(seen.touches, seen.lit, strict=True):
        for k, touch in enumerate(some, start=1):
            for time, lamps in lit:
                if touch.begin - 0.002 <= time <= touch.end + 0.15 and lamps > k:
                    yield f"after touch {k}, at {touch.begin:.2f} s, {lamps} lamps were lit"


@mistake("motors left on", "after the fifth touch give all four inputs 0.", costs=[stops],
         explains=[five, counts_once, gives_way])  # fmt: skip
def left_on(seen: Presses) -> Clues:
    for made in seen.recordings:
        if still_driven(made) and made.ended == "finished":
            yield f"the program had ended, and was still driving on the {still_driven(made)[0]}"


@mistake(
    "pushes on against the wall",
    f"back off at once when the bumper is pressed: about {ASTERN:g} s astern.",
    costs=[gives_way],
    explains=[five, counts_once],
)
def pushes_on(seen: Presses) -> Clues:
    lean, at, _ = seen.longest_press
    if lean > PRESSING:
        yield f"at {at:.2f} s it pressed the bumper for {lean:.2f} s"


@mistake(
    "backs off for another time than asked",
    f"about {ASTERN:g} s astern after each touch, the last one too: time.sleep_ms(400).",
    costs=[gives_way],
    explains=[five, counts_once, stops],
)
def other_way_back(seen: Presses) -> Clues:
    last = {trial: met for _, met, trial in seen.backed}
    for long, met, trial in seen.backed:
        # After the last touch it may have been left on, or the time was up meanwhile.
        unended = met == last[trial] and bool(still_driven(seen.recordings[trial]))
        if abs(long - ASTERN) > EITHER_WAY + 0.005 and not unended:
            yield f"after the touch at {met:.2f} s it was driven astern for {amount(long)} s"


@mistake(
    "touches that are not counted",
    "look at the bumper more often, and look away for a few hundredths of a second only.",
    costs=[five],
    explains=[counts_once],
)
def missed(seen: Presses) -> Clues:
    for count, lit in zip(seen.counts, seen.lit, strict=True):
        most = max(lamps for _, lamps in lit)
        if TOUCHES < count and 0 < most < count and most < TOUCHES:
            yield f"{count} touches, and only {counted(most, 'lamp')}: some were not counted"


@mistake("lamps forgotten", "light one lamp more for each press, and write().",
         costs=[counts_once])  # fmt: skip
def stays_dark(seen: Presses) -> Clues:
    if all(seen.counts) and not any(lamps for lit in seen.lit for _, lamps in lit):
        yield "no lamp was ever lit"


@mistake(
    "another number of touches",
    f"count from 0, add 1 for each touch, and stop when the count is {TOUCHES}.",
    costs=[five],
    explains=[counts_once],
    sure=False,
)
def wrong_number(seen: Presses) -> Clues:
    if all(seen.counts):
        yield f"touched the wall {listed([*map(str, seen.counts)])} times"


@mistake(
    "lamps from another end",
    "begin with lamps[0]: lamps[count] = ..., and only then count = count + 1.",
    costs=[counts_once],
)
def other_end(seen: Presses) -> Clues:
    """Tell the right number of lamps after a touch that are not the first ones."""
    for made, some in zip(seen.recordings, seen.touches, strict=True):
        for k, touch in enumerate(some, start=1):
            lit = shown_at(made, min(touch.begin + SHOWN, made.seconds))
            if len(lit) == k and lit != tuple(range(k)):
                yield f"after touch {k} the lamps {listed([*map(str, lit)])} were lit"


@mistake(
    "lamps show another number",
    "right after counting: light as many lamps as the count says.",
    costs=[counts_once],
)
def other_number_shown(seen: Presses) -> Clues:
    yield counts_once.judge(seen).measured


MISTAKES = (
    motors_jump.bound(explains=[motors_first]), wrong_lamp_pin.bound(explains=[counts_once]),
    no_pull_up, never_read,
    no_touch, by_clock, never_there, bounces_counted, left_on, pushes_on, other_way_back, missed,
    not_written.bound(explains=[counts_once]), stays_dark, wrong_number, other_end,
    other_number_shown,
    too_much_before.bound(explains=[motors_first]), left_braked.bound(costs=[stops]),
)  # fmt: skip
