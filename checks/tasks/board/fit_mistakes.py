"""Known mistakes of the task `board.fit`, in the order in which they are looked for."""

from __future__ import annotations

from ...readings.light import history
from ...readings.waking import first_drive
from ...task import Clues, Mistake, mistake
from .. import motors
from .fit import (
    ABOUT,
    DECK,
    HANDS_OFF,
    UNDER_WAY,
    BoardFacts,
    compiles,
    drives,
    lights,
    quiet,
    ready,
    stops,
    straight,
    wiring,
    without,
)
from .fleet import REWIRED, SAILED

__all__ = ["MISTAKES"]

_ALL_OF_IT = 0.98
"""An effort so near 1 is no number that somebody wrote: a scale was forgotten."""
_SAME = 0.01
"""Efforts that differ by less are the same."""


def _got(seen: BoardFacts) -> list[tuple[float, float] | None]:
    """Give the efforts of left and right on each tug, a second after it began to drive."""
    return [one.efforts(one.begun) for one in seen.sailed]


@mistake(
    "does not compile for a board",
    '`ready("main.py")` names the line and what to write instead.',
    costs=[compiles],
)
def _no_compile(seen: BoardFacts) -> Clues:
    if any("compile" in one.cause for one in seen.advice):
        yield compiles.judge(seen).measured


@mistake(
    "stops with an error on another tug",
    "write that tug's settings.py into a cell, and run main.py with it.",
)
def _raised(seen: BoardFacts) -> Clues:
    for one in seen.fleet:
        problem = one.recording.problem
        if problem:
            yield f"{one.member.name}: {problem.kind}: {problem.message} ({problem.place})"


@mistake(
    "pins written into the program",
    "take every pin from settings.PINS, by the name of what hangs on it.",
    costs=[wiring],
)
def _own_pins(seen: BoardFacts) -> Clues:
    if seen.rewired.strange_pins:
        pins = ", ".join(map(str, seen.rewired.strange_pins))
        yield f"on a tug wired otherwise it used pins {pins}"


@mistake(
    "motors left on",
    "stop in finally:, so that nothing can leave it out.",
    costs=[stops],
    explains=[ready],
)
def _left_on(seen: BoardFacts) -> Clues:
    if seen.left_on and seen.left_on.recording.ended != "time is up":
        ended = seen.left_on.recording.ended_ns / 1e9
        name = seen.left_on.member.name
        yield f"{name}: the program ended at {ended:.1f} s, and the motors were still driven"


@mistake(
    motors.left_braked.name,
    "braked is not off: at the end set all four inputs to 0.",
    costs=[stops],
)
def _left_braked(seen: BoardFacts) -> Clues:
    if seen.left_braked and not seen.left_on:
        yield f"{seen.left_braked.member.name}: at the end both inputs of a motor were still high"


@mistake(
    "a board would stumble",
    '`ready("main.py")` names each line with its cause and cure.',
    costs=[ready],
)
def _fails_there(seen: BoardFacts) -> Clues:
    if seen.failing:
        yield ready.judge(seen).measured


@mistake(
    "the motors are never driven",
    "with settings the program must pass by the blinking, while not settings:, and come to the "
    "lines that drive.",
    costs=[drives],
    explains=[straight, lights, wiring, quiet, stops],
)
def _never(seen: BoardFacts) -> Clues:
    if all(one.begun is None for one in seen.sailed):
        yield f"on {SAILED[0].name} no motor was ever driven, though it has settings"


@mistake(
    "drives astern",
    "the ahead inputs stay high, 65535; the back inputs get the pulses.",
    costs=[drives],
    explains=[straight, wiring, stops],
)
def _astern(seen: BoardFacts) -> Clues:
    for member, got in zip(SAILED, _got(seen), strict=True):
        if got and max(got) < -0.05:
            yield f"{member.name}: both motors ran astern"


@mistake(
    "drives for another time than asked",
    "time.sleep(2) between the lines that set the efforts and those that stop.",
    costs=[stops],
)
def _other_time(seen: BoardFacts) -> Clues:
    if seen.left_on and seen.left_on.recording.ended == "time is up":
        yield f"{seen.left_on.member.name}: still driven at the end of the trial, by its program"
    if abs(seen.seconds_ahead - UNDER_WAY) > ABOUT:
        yield f"it drove ahead for {seen.seconds_ahead:.2f} s"


@mistake(
    "the effort upside down",
    "in slow decay the back input gets what is left: int(65535 * (1 - settings.LEFT_EFFORT)).",
    costs=[straight],
)
def _upside_down(seen: BoardFacts) -> Clues:
    """The back inputs got the efforts themselves, seen where these do not add up to 1."""
    # When it begins is seen on a tug that is wired as drawn.
    got = seen.rewired.efforts(seen.fleet[0].begun or HANDS_OFF)
    wrong = (1 - REWIRED.left, 1 - REWIRED.right)
    if got and max(abs(a - b) for a, b in zip(got, wrong, strict=True)) < _SAME:
        yield f"{REWIRED.name}: an effort of {REWIRED.left:g} became one of {got[0]:.2f}"


@mistake(
    "the two efforts exchanged",
    "LEFT_EFFORT belongs to left_ahead and left_back; the back input gets 1 - effort.",
    costs=[straight],
)
def _sides_swapped(seen: BoardFacts) -> Clues:
    """Each side got the other side's effort, on every tug."""
    words = ""
    for member, got in zip(SAILED, _got(seen), strict=True):
        if got is None or max(abs(got[0] - member.right), abs(got[1] - member.left)) > _SAME:
            return
        words = f"{member.name}: the left motor got {got[0]:.3f}, which is the right one's"
    yield words


@mistake(
    "fast decay where slow decay was asked",
    "the ahead input stays high, 65535; the pulses go to the back input, 1 - effort.",
    costs=[straight],
    explains=[drives, stops],
)
def _decay(seen: BoardFacts) -> Clues:
    for one in seen.sailed:
        if one.begun is not None:
            ahead, back = (one.duty(f"left_{way}", one.begun + 1.0) for way in ("ahead", "back"))
            if 0.05 < ahead < 0.95 and not back:
                yield f"{one.member.name}: pulses on the ahead input, and the back input stays low"


@mistake(
    "efforts written into the program",
    "take them from settings.LEFT_EFFORT and settings.RIGHT_EFFORT.",
    costs=[straight],
)
def _own_efforts(seen: BoardFacts) -> Clues:
    one, other = _got(seen)
    if one and other and max(abs(a - b) for a, b in zip(one, other, strict=True)) < 0.0001:
        if 0 < max(map(abs, one)) < _ALL_OF_IT:
            names = " and ".join(member.name for member in SAILED)
            yield f"{names} got the same efforts, and their settings differ"


@mistake(
    "port and starboard exchanged",
    "lamps[0] is the port bow, red; lamps[1] is the starboard bow, green.",
    costs=[lights],
)
def _bows_exchanged(seen: BoardFacts) -> Clues:
    if all(bows.exchanged for bows in seen.side_lights):
        yield "every tug shows green at the port bow and red at the starboard bow"


@mistake(
    "lamp order written into the program",
    'ask settings.LAMP_ORDER: for "RGB" set lamps.ORDER = (0, 1, 2, 3).',
    costs=[lights],
)
def _own_order(seen: BoardFacts) -> Clues:
    for bows in seen.side_lights if any(bows.right == 2 for bows in seen.side_lights) else ():
        if bows.exchanged:
            name = bows.one.member.name
            yield f"{name}, whose lamps take another order, shows red and green exchanged"


@mistake(
    "a side lamp is dark or shows another colour",
    "lamps[0] = (120, 0, 0), lamps[1] = (0, 120, 0), then lamps.write(), before it drives.",
    costs=[lights],
)
def _half_lit(seen: BoardFacts) -> Clues:
    for bows in seen.side_lights:
        if bows.right < 2:
            yield bows.words


@mistake(
    "not safe without settings",
    "catch the ImportError: no motors then, and the deck lamp blinks amber.",
    costs=[without],
    raises=True,
)
def _unsafe(seen: BoardFacts) -> Clues:
    problem, begun = seen.alone.problem, first_drive(seen.alone)
    if begun is not None:
        yield f"without settings.py it drove, {begun:.2f} s after power-up"
    if any(one.recording.problem for one in seen.sailed):
        return
    if problem:
        place = f" ({problem.place})" if problem.place else ""
        yield f"without settings.py it stopped: {problem.kind}: {problem.message}{place}"
    if not any(max(step.colour) for step in history(seen.alone, DECK)):
        yield "without settings.py its deck lamp stays dark"


@mistake(
    "calls otherwise than asked",
    "without settings: the deck lamp amber, 250 ms lit, 250 ms dark, for ever.",
    costs=[without],
)
def _calls_otherwise(seen: BoardFacts) -> Clues:
    yield without.judge(seen).measured


@mistake(
    "motors not held off at first",
    "set the four motor pins low as soon as they are known, then wait two seconds.",
    costs=[quiet],
)
def _not_quiet(seen: BoardFacts) -> Clues:
    yield quiet.judge(seen).measured


@mistake(
    "other efforts than the settings'",
    "back input: int(65535 * (1 - settings.LEFT_EFFORT)), with the ahead input at 65535.",
    costs=[straight],
)
def _other_efforts(seen: BoardFacts) -> Clues:
    for member, got in zip(SAILED, _got(seen), strict=True):
        if got and max(abs(got[0] - member.left), abs(got[1] - member.right)) > _SAME:
            yield (
                f"{member.name}: left and right got efforts of {got[0]:.3f} and {got[1]:.3f}, "
                f"the settings say {member.left:.3f} and {member.right:.3f}"
            )


MISTAKES: tuple[Mistake, ...] = (
    _no_compile, _raised, _own_pins, _left_on, _left_braked, _fails_there, _never, _astern,
    _other_time, _upside_down, _sides_swapped, _decay, _own_efforts, _bows_exchanged,
    _own_order, _half_lit, _unsafe, _calls_otherwise, _not_quiet, _other_efforts,
)  # fmt: skip
