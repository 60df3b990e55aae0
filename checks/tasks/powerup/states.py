"""States: what the deck lamp tells of a tug that wakes up, and which pins were quiet first.

Colour says how far the tug has come, rhythm says whether all is well:
amber (awake, motors held off), violet (looking for a network), white (ready); steady is well,
and amber that blinks about twice a second calls for a person.  The colours are judged by which
of the three parts of a lamp are lit, so chips that take red first show as well.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

from robotsim import LAMPS, PINS, Recording

from ...readings.light import Colour, flashing, held, history, lit, white
from ...readings.motion import MOTOR_PINS, motor_phases
from ...task import Finding, Mistake

__all__ = [
    "DECK",
    "SLIPS",
    "amber",
    "blinks",
    "deck_share",
    "first_drive",
    "never_set_low",
    "quiet_first",
    "state_name",
    "violet",
    "white",
]

Recordings = Sequence[Recording]

DECK = LAMPS.index("deck")
_LEAST = 20
"""Least strongest number of a lamp that counts as lit."""
_MOST_FLASHES = 3
"""Flashes in any second: WCAG 2.2, 2.3.1 (read)."""


def amber(colour: Colour) -> bool:
    """Say whether red and green are lit, and blue is not."""
    red, green, blue = colour
    most = max(colour)
    return most >= _LEAST and min(red, green) >= 0.2 * most and blue <= 0.2 * most


def violet(colour: Colour) -> bool:
    """Say whether blue is lit and one of the two others, and the third is not."""
    red, green, blue = colour
    most = max(colour)
    other, third = max(red, green), min(red, green)
    return most >= _LEAST and blue >= 0.5 * most and other >= 0.2 * most and third <= 0.15 * most


def state_name(colour: Colour) -> str:
    """Give a deck lamp's state in words."""
    for name, test in (("amber", amber), ("violet", violet), ("white", white)):
        if max(colour) >= _LEAST and test(colour):
            return name
    return "dark" if max(colour) < _LEAST else f"another colour {colour}"


def deck_share(
    recording: Recording, test: Callable[[Colour], bool], since: float, until: float
) -> float:
    """Give for which share of a time the deck lamp passed a test, 0 to 1."""
    if until <= since:
        return 0.0
    return held(history(recording, DECK), test, since, until)


def blinks(recording: Recording, since: float, until: float) -> tuple[float, str]:
    """Say how well the deck lamp blinks amber in a time: a share, and what was measured."""
    steps = history(recording, DECK)
    spells = [s for s in lit(steps, until) if s.end > since and s.begin < until]
    fast = flashing(steps).most
    seen = deck_share(recording, amber, since, until)
    dark = deck_share(recording, lambda c: max(c) < _LEAST, since, until)
    rate = len(spells) / (until - since)
    measured = f"lit {rate:.1f} times a second, amber for {100 * seen:.0f} % of the time"
    if fast > _MOST_FLASHES:
        return 0.0, measured + f"; {fast} flashes in one second"
    if not 0.8 <= rate <= 3.1 or seen < 0.2 or dark < 0.2 or seen + dark < 0.95:
        return 0.0, measured
    return 1.0, measured


# -- motors ------------------------------------------------------------------

_OTHER_PARTS = ("frame", "adc", "read", "i2c", "nack", "print", "sleep", "radio")


def never_set_low(recording: Recording) -> list[int]:
    """Give the motor pins that were not set low before the program did anything else."""
    waiting = {pin for pair in MOTOR_PINS.values() for pin in pair}
    for event in recording.events:
        if event.kind in _OTHER_PARTS:
            break
        if event.kind == "pin" and event.data[0] in waiting and not event.data[1]:
            waiting.discard(event.data[0])
        elif event.kind == "pwm" and event.data[0] in waiting and not event.data[2]:
            waiting.discard(event.data[0])
        elif event.kind == "mode" and event.data[0] in waiting and event.data[1] == "out":
            waiting.discard(event.data[0])  # an output without a value begins low
    return sorted(waiting)


def quiet_first(recordings: Recordings) -> Finding:
    """Judge whether all four motor inputs were set low before anything else."""
    worst: list[int] = max((never_set_low(r) for r in recordings), key=len)
    asked = "all four motor inputs set low before anything else is touched"
    told = f"not set low at first: pins {', '.join(map(str, worst))}" if worst else "all four"
    return Finding(1 - len(worst) / 4, told, asked, 0.0)


def first_drive(recording: Recording) -> float | None:
    """Give when a motor was first driven, however shortly, in s; None for never."""
    begun = [p.begin for side in MOTOR_PINS for p in motor_phases(recording, side, 0.0) if p.duty]
    return min(begun, default=None)


# -- slips that any program of this lesson may make ---------------------------


def _jumped(recordings: Recordings) -> str | None:
    """A PWM made without a duty: half power for a moment."""
    for recording in recordings:
        for event in recording.of("pwm"):
            pins = [pin for pair in MOTOR_PINS.values() for pin in pair]
            if event.data[0] in pins and event.seconds < 0.1 and event.data[2] == 32768:
                return f"pin {event.data[0]} began at 50 % duty, {1000 * event.seconds:.1f} ms in"
    return None


def _wrong_lamp(recordings: Recordings) -> str | None:
    for recording in recordings:
        ever = [
            name
            for lamp, name in enumerate(LAMPS)
            if any(max(step.colour) >= _LEAST for step in history(recording, lamp))
        ]
        if ever and "deck" not in ever:
            return f"the {ever[0]} lamp was lit, and never the deck lamp, number {DECK}"
    return None


def _wrong_lamp_pin(recordings: Recordings) -> str | None:
    pins = {event.data[0] for recording in recordings for event in recording.of("frame")}
    if pins and PINS["lamps"] not in pins:
        return f"colours went out on pin {min(pins)}; the lamps hang on pin {PINS['lamps']}"
    return None


SLIPS: tuple[Mistake, ...] = (
    Mistake(
        "motors jump when their PWM is made",
        "give each PWM its duty at once: PWM(Pin(25), freq=1000, duty_u16=0).",
        _jumped,
    ),
    Mistake("wrong pin for the lamps", "NeoPixel(Pin(13), 5).", _wrong_lamp_pin),
    Mistake("wrong lamp", "the deck lamp is the last of the five, lamps[4].", _wrong_lamp),
)
"""Looked for in every task of the lesson, before the task's own mistakes."""
