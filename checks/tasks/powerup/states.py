"""States: what the deck lamp tells of a tug that wakes up, and which pins were quiet first.

Colour says how far the tug has come, rhythm says whether all is well:
amber (awake, motors held off), violet (looking for a network), white (ready); steady is well,
and amber that blinks about twice a second calls for a person.  A colour counts as well with red and
green exchanged, as chips that take red first show it where nobody has told the driver.
"""

from __future__ import annotations

from robotsim import LAMPS, Recording

from ...readings.colour import Colour, colour_name, described, exchanged
from ...readings.light import flashing, held, history, lit
from ...readings.motion import MOTOR_PINS
from ...readings.waking import never_set_low
from ...task import Clues, Criterion, Facts, Finding, criterion, mistake, share
from ...words import listed

__all__ = [
    "BLINKS",
    "DECK",
    "LEAST",
    "MOST_FLASHES",
    "blinks",
    "deck_share",
    "flashes",
    "motors_jump",
    "off_first",
    "quiet_first",
    "state_name",
    "too_much_before",
    "wrong_lamp",
]

DECK = LAMPS.index("deck")
LEAST = 20
"""Least strongest number of a lamp that counts as lit."""
BLINKS = "blinks amber, 1 to 3 times a second, lit for a fifth to four fifths of the time"
MOST_FLASHES = 3
"""Flashes in any second: WCAG 2.2, 2.3.1 (read)."""


def state_name(colour: Colour) -> str:
    """Give a deck lamp's state in words; of what is no state, the colour."""
    if max(colour) < LEAST:
        return "dark"
    names = (colour_name(colour), colour_name(exchanged(colour)))
    # A light violet with red and green exchanged is nearly white: so violet is asked first.
    states = (state for state in ("amber", "violet", "white") if state in names)
    return next(states, described(colour))


def deck_share(recording: Recording, state: str, since: float, until: float) -> float:
    """Give for which share of a time the deck lamp showed a state, 0 to 1."""
    if until <= since:
        return 0.0
    return held(history(recording, DECK), lambda c: state_name(c) == state, since, until)


def flashes(recording: Recording) -> int:
    """Give the most flashes of the deck lamp in any one second."""
    return flashing(history(recording, DECK)).most


def blinks(recording: Recording, since: float, until: float) -> tuple[float, str]:
    """Say how well the deck lamp blinks amber in a time: a share, and what was measured."""
    steps = history(recording, DECK)
    spells = [s for s in lit(steps, until, least=LEAST) if s.end > since and s.begin < until]
    fast = flashes(recording)
    seen = deck_share(recording, "amber", since, until)
    dark = deck_share(recording, "dark", since, until)
    rate = len(spells) / (until - since)
    measured = f"lit {rate:.1f} times a second, amber for {100 * seen:.0f} % of the time"
    if fast > MOST_FLASHES:
        return 0.0, measured + f"; {fast} flashes in one second"
    part = share(0.8 - rate, full=0.0, none=0.5) * share(rate, full=3.1, none=3.5)
    part *= share(0.95 - seen - dark, full=0.0, none=0.5)
    return part * share(0.2 - min(seen, dark), full=0.0, none=0.2), measured


# -- motors ------------------------------------------------------------------


def off_first(points: float) -> Criterion:
    """Make the criterion that all four motor inputs are set low before anything else."""
    return criterion(
        "Motors off before anything else",
        points,
        asks="all four motor inputs set low before any other pin is set up, and before any sleep, "
        "print or radio",
    )(quiet_first)


def quiet_first(seen: Facts) -> Finding:
    """Judge whether all four motor inputs were set low before anything else."""
    worst: list[int] = max((never_set_low(made) for made in seen.recordings), key=len)
    if not worst:
        return Finding(1.0, "all four", at=0.0)
    return Finding(1 - len(worst) / 4, f"not set low at first: pins {listed([*map(str, worst)])}",
                   at=0.0)  # fmt: skip


# -- mistakes that any program of this lesson may make -------------------------


@mistake(
    "motors jump when their PWM is made",
    "give each PWM its duty at once: PWM(Pin(25), freq=1000, duty_u16=0).",
)
def motors_jump(seen: Facts) -> Clues:
    """Tell a PWM made without a duty: half power for a moment."""
    pins = {pin for pair in MOTOR_PINS.values() for pin in pair}
    for made in seen.recordings:
        for told in made.outputs(*pins):
            if told.pulsed and told.seconds < 0.1 and told.duty_u16 == 32768:
                yield f"pin {told.pin} began at 50 % duty, {1000 * told.seconds:.1f} ms in"


@mistake("wrong lamp", f"the deck lamp is the last of the five, lamps[{DECK}].")
def wrong_lamp(seen: Facts) -> Clues:
    """Tell another lamp that was lit in place of the deck's."""
    for made in seen.recordings:
        lit_ever = [
            name
            for lamp, name in enumerate(LAMPS)
            if any(max(step.colour) >= LEAST for step in history(made, lamp))
        ]
        if lit_ever and "deck" not in lit_ever:
            yield f"the {lit_ever[0]} lamp was lit, and never the deck lamp, number {DECK}"


@mistake(
    "something else comes before the motors",
    "make the four motor pins low in the first lines, before lamps, bumper, sleeps and prints.",
)
def too_much_before(seen: Facts) -> Clues:
    """Tell motor pins that were not the first."""
    found = quiet_first(seen)
    if found.share < 1.0:
        yield found.measured
