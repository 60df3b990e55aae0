"""Known mistakes of the task `board.fit`, in the order in which they are looked for."""

from __future__ import annotations

from robotsim import Recording

from ...readings.light import history
from ...readings.motion import SIDES
from ...task import Mistake
from ..powerup.states import DECK, Recordings, first_drive
from . import judged as judged
from .fleet import FLEET, REWIRED, Member, alone, fleet, strange_pins

__all__ = ["MISTAKES"]


def _no_compile(recordings: Recordings) -> str | None:
    found = judged.compiles(recordings)
    return found.measured if found.share < 1.0 else None


def _raised(recordings: Recordings) -> str | None:
    for member, recording in zip(FLEET, fleet(recordings[0]), strict=True):
        problem = recording.problem
        if problem:
            return f"{member.name}: {problem.kind}: {problem.message} ({problem.place})"
    return None


def _own_pins(recordings: Recordings) -> str | None:
    recording = fleet(recordings[0])[FLEET.index(REWIRED)]
    strange = strange_pins(recording, REWIRED.pins)
    if strange:
        return f"on a tug wired otherwise it used pins {', '.join(map(str, strange))}"
    return None


_ALL_OF_IT = 0.98
"""An effort so near 1 is no number that somebody wrote: a scale was forgotten."""


def _own_efforts(recordings: Recordings) -> str | None:
    """The same efforts on tugs whose settings differ."""
    given = [
        _efforts(member, recording)
        for member, recording in zip(judged.SAILED, fleet(recordings[0]), strict=False)
    ]
    one, other = given
    same = one and other and max(abs(a - b) for a, b in zip(one, other, strict=True)) < 0.0001
    if same and one and 0 < max(map(abs, one)) < _ALL_OF_IT:
        return "tug 12 and tug 55 got the same efforts, and their settings differ"
    return None


def _efforts(
    member: Member, recording: Recording, begun: float | None = None
) -> tuple[float, float] | None:
    """Give the efforts of left and right a second after it began to drive; None: it never did."""
    begun = first_drive(recording) if begun is None else begun
    if begun is None:
        return None
    ahead, back = (
        [recording.pwm_at(member.pins[f"{side}_{way}"], begun + 1.0)[0] for side in SIDES]
        for way in ("ahead", "back")
    )
    return ahead[0] - back[0], ahead[1] - back[1]


def _never(recordings: Recordings) -> str | None:
    runs = fleet(recordings[0])[: len(judged.SAILED)]
    if any(first_drive(recording) is not None for recording in runs):
        return None
    return f"on {judged.SAILED[0].name} no motor was ever driven, though it has settings"


def _astern(recordings: Recordings) -> str | None:
    got = _efforts(FLEET[0], fleet(recordings[0])[0])
    if got and max(got) < -0.05:
        return f"{FLEET[0].name}: both motors ran astern"
    return None


def _other_time(recordings: Recordings) -> str | None:
    long = judged.longest(recordings)
    if abs(long - judged.UNDER_WAY) > judged.ABOUT:
        return f"{FLEET[0].name} drove ahead for {long:.2f} s"
    return None


def _upside_down(recordings: Recordings) -> str | None:
    """The back inputs got the efforts themselves, seen where these do not add up to 1."""
    runs = fleet(recordings[0])
    # When it begins is seen on a tug that is wired as drawn.
    got = _efforts(REWIRED, runs[FLEET.index(REWIRED)], first_drive(runs[0]) or judged.HANDS_OFF)
    if got and max(abs(got[0] - 1 + REWIRED.left), abs(got[1] - 1 + REWIRED.right)) < 0.01:
        return f"{REWIRED.name}: an effort of {REWIRED.left:g} became one of {got[0]:.2f}"
    return None


def _sides_swapped(recordings: Recordings) -> str | None:
    """Each side got the other side's effort, on every tug."""
    told = ""
    for member, recording in zip(judged.SAILED, fleet(recordings[0]), strict=False):
        got = _efforts(member, recording)
        if got is None or max(abs(got[0] - member.right), abs(got[1] - member.left)) > 0.01:
            return None
        told = f"{member.name}: the left motor got {got[0]:.3f}, which is the right one's"
    return told


def _decay(recordings: Recordings) -> str | None:
    """Pulses on the ahead input, the back input low all the time."""
    recording = fleet(recordings[0])[0]
    begun = first_drive(recording)
    if begun is None:
        return None
    ahead, back = (
        recording.pwm_at(FLEET[0].pins[f"left_{way}"], begun + 1.0)[0] for way in ("ahead", "back")
    )
    if 0.05 < ahead < 0.95 and not back:
        return f"{FLEET[0].name}: pulses on the ahead input, and the back input stays low"
    return None


def _other_efforts(recordings: Recordings) -> str | None:
    """What the motors got is not what the settings say."""
    for member, recording in zip(judged.SAILED, fleet(recordings[0]), strict=False):
        got = _efforts(member, recording)
        if got and max(abs(got[0] - member.left), abs(got[1] - member.right)) > 0.01:
            return (
                f"{member.name}: left and right got efforts of {got[0]:.3f} and {got[1]:.3f}, "
                f"the settings say {member.left:.3f} and {member.right:.3f}"
            )
    return None


def _bows_exchanged(recordings: Recordings) -> str | None:
    for recording in fleet(recordings[0])[: len(judged.SAILED)]:
        part, port, starboard = judged.side_lights(recording)
        if part or not (judged.green(port) and judged.red(starboard)):
            return None
    return "every tug shows green at the port bow and red at the starboard bow"


def _own_order(recordings: Recordings) -> str | None:
    parts = [judged.side_lights(r)[0] for r in fleet(recordings[0])[: len(judged.SAILED)]]
    if max(parts) == 1.0 and min(parts) == 0.0:
        name = judged.SAILED[parts.index(0.0)].name
        return f"{name}, whose lamps take another order, shows red and green exchanged"
    return None


def _half_lit(recordings: Recordings) -> str | None:
    for member, recording in zip(judged.SAILED, fleet(recordings[0]), strict=False):
        part, port, starboard = judged.side_lights(recording)
        if part < 1.0:
            return f"{member.name}: port bow {port}, starboard bow {starboard}"
    return None


def _calls_otherwise(recordings: Recordings) -> str | None:
    found = judged.without(recordings)
    return found.measured if found.share < 1.0 else None


def _unsafe(recordings: Recordings) -> str | None:
    recording = alone(recordings[0])
    begun = first_drive(recording)
    if begun is not None:
        return f"without settings.py it drove, {begun:.2f} s after power-up"
    if recording.problem:
        return f"without settings.py it stopped with {recording.problem.kind}, its lamp dark"
    if not any(max(step.colour) for step in history(recording, DECK)):
        return "without settings.py its deck lamp stays dark"
    return None


def _not_quiet(recordings: Recordings) -> str | None:
    found = judged.quiet(recordings)
    return found.measured if found.share < 1.0 else None


def _left_on(recordings: Recordings) -> str | None:
    found = judged.stops(recordings)
    return found.measured if "still driven" in found.measured else None


def _fails_there(recordings: Recordings) -> str | None:
    found = judged.ready(recordings)
    return found.measured if found.share < 1.0 else None


MISTAKES: tuple[Mistake, ...] = (
    Mistake(
        "does not compile for a board",
        'judged.ready("main.py") names the line and what to write instead.',
        _no_compile,
    ),
    Mistake(
        "stops with an error on another tug",
        "write that tug's settings.py into a cell, and run main.py with it.",
        _raised,
    ),
    Mistake(
        "pins written into the program",
        "take every pin from settings.PINS, by the name of what hangs on it.",
        _own_pins,
    ),
    Mistake(
        "motors left on",
        "stop in finally:, so that nothing can leave it out.",
        _left_on,
    ),
    Mistake(
        "a board would stumble",
        'judged.ready("main.py") names each line with its cause and cure.',
        _fails_there,
    ),
    Mistake(
        "the motors are never driven",
        "with settings, leave out the blinking: while not settings.",
        _never,
    ),
    Mistake(
        "drives astern",
        "the ahead inputs stay high, 65535; the back inputs get the pulses.",
        _astern,
    ),
    Mistake(
        "drives for another time than asked",
        "time.sleep(2) between the lines that set the efforts and those that stop.",
        _other_time,
    ),
    Mistake(
        "the effort upside down",
        "in slow decay the back input gets what is left: int(65535 * (1 - settings.LEFT_EFFORT)).",
        _upside_down,
    ),
    Mistake(
        "the two efforts exchanged",
        "LEFT_EFFORT belongs to left_ahead and left_back; the back input gets 1 - effort.",
        _sides_swapped,
    ),
    Mistake(
        "fast decay where slow decay was asked",
        "the ahead input stays high, 65535; the pulses go to the back input, 1 - effort.",
        _decay,
    ),
    Mistake(
        "efforts written into the program",
        "take them from settings.LEFT_EFFORT and settings.RIGHT_EFFORT.",
        _own_efforts,
    ),
    Mistake(
        "port and starboard exchanged",
        "lamps[0] is the port bow, red; lamps[1] is the starboard bow, green.",
        _bows_exchanged,
    ),
    Mistake(
        "lamp order written into the program",
        'ask settings.LAMP_ORDER: for "RGB" set lamps.ORDER = (0, 1, 2, 3).',
        _own_order,
    ),
    Mistake(
        "a side lamp is dark or shows another colour",
        "lamps[0] = (120, 0, 0), lamps[1] = (0, 120, 0), then lamps.write(), before it drives.",
        _half_lit,
    ),
    Mistake(
        "not safe without settings",
        "catch the ImportError: no motors then, and the deck lamp blinks amber.",
        _unsafe,
    ),
    Mistake(
        "calls otherwise than asked",
        "without settings: the deck lamp amber, 250 ms lit, 250 ms dark, for ever.",
        _calls_otherwise,
    ),
    Mistake(
        "motors not held off at first",
        "set the four motor pins low as soon as they are known, then wait two seconds.",
        _not_quiet,
    ),
    Mistake(
        "other efforts than the settings'",
        "back input: int(65535 * (1 - settings.LEFT_EFFORT)), with the ahead input at 65535.",
        _other_efforts,
    ),
)
