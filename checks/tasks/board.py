"""Task of the lesson `board`: a program that is fit to be copied to real boards."""

from __future__ import annotations

from robotsim import Recording
from robotsim.onto import Advice, review

from ..driving import SIDES, still_driven
from ..light import Colour, history
from ..task import Criterion, Finding, Mistake, Run, Task, share
from .board_fleet import (
    FLEET,
    REWIRED,
    Member,
    alone,
    drift,
    driven_ahead,
    fleet,
    run_with,
    strange_pins,
    worst,
)
from .powerup_states import DECK, Recordings, blinks, first_drive, never_set_low

__all__ = ["TASKS"]

HANDS_OFF = 2.0
_UNDER_WAY, _ABOUT = 2.0, 0.6
"""For how long it drives, and by how much it may differ, in s."""
_SAILED = FLEET[:2]
"""The tugs of the fleet that are wired as drawn: on these the program can be seen to drive."""


def _looked(recordings: Recordings) -> tuple[Advice, ...]:
    """Look at the program as it ran with a fleet's settings: its own may be lacking."""
    return review(run_with(recordings[0], FLEET[0].settings, FLEET[0].serial))


def _drives(recordings: Recordings) -> Finding:
    ways = [drift(r)[0] for r in fleet(recordings[0])[: len(_SAILED)]]
    parts = [share(0.25 - ahead, full=0.0, none=0.2) for ahead in ways]
    told = ", ".join(f"{m.name} {ahead:.2f} m" for m, ahead in zip(_SAILED, ways, strict=True))
    return Finding(sum(parts) / len(parts), f"came ahead: {told}", "at least 0.25 m, each tug")


def _compiles(recordings: Recordings) -> Finding:
    asked = "every file compiled by the board's own compiler"
    broken = [a for a in _looked(recordings) if "compile" in a.cause]
    if broken:
        return Finding(0.0, f"{broken[0].place}: {broken[0].cause}", asked)
    return Finding(1.0, "compiled", asked)


def _ready(recordings: Recordings) -> Finding:
    asked = "nothing that would fail on a board"
    failing = [a for a in _looked(recordings) if a.fails]
    if failing:
        first = failing[0]
        return Finding(0.0, f"{len(failing)} found, first {first.place}: {first.cause}", asked)
    return Finding(1.0, "nothing found", asked)


def _quiet(recordings: Recordings) -> Finding:
    asked = f"all motor inputs low at first, none driven in the first {HANDS_OFF:g} s"
    runs = fleet(recordings[0])[: len(_SAILED)]
    pins = max((never_set_low(r) for r in runs), key=len)
    times = [t for r in runs if (t := first_drive(r)) is not None]
    first = min(times, default=None)
    if pins:
        told = f"not set low at first: pins {', '.join(map(str, pins))}"
        return Finding(0.5 * (1 - len(pins) / 4), told, asked, 0.0)
    if first is None:
        return Finding(0.0, "no motor was ever driven", asked)
    part = share(HANDS_OFF - first, full=0.001, none=1.5)
    return Finding(part, f"first driven {first:.2f} s after power-up", asked, first)


def _straight(recordings: Recordings) -> Finding:
    ways = [drift(r) for r in fleet(recordings[0])[: len(_SAILED)]]
    parts = [
        share(abs(aside), full=0.03, none=0.10) * share(0.25 - ahead, full=0.0, none=0.2)
        for ahead, aside in ways
    ]
    told = ", ".join(
        f"{m.name} {abs(aside):.2f} m to {'port' if aside > 0 else 'starboard'}"
        for m, (_, aside) in zip(_SAILED, ways, strict=True)
    )
    return Finding(sum(parts) / len(parts), told, "within 0.03 m of straight ahead, each tug")


def _red(colour: tuple[int, int, int]) -> bool:
    return colour[0] >= 20 and 3 * max(colour[1:]) <= colour[0]


def _green(colour: tuple[int, int, int]) -> bool:
    return colour[1] >= 20 and 3 * max(colour[0], colour[2]) <= colour[1]


def _side_lights(recording: Recording) -> tuple[float, Colour, Colour]:
    """Give a share for the side lamps while the tug drives, and what they show then."""
    begun = first_drive(recording)
    when = (HANDS_OFF if begun is None else begun) + 0.5
    port, starboard = recording.lamps_at(when)[:2]
    return (_red(port) + _green(starboard)) / 2, port, starboard


def _lights(recordings: Recordings) -> Finding:
    runs = fleet(recordings[0])[: len(_SAILED)]
    shown = [_side_lights(recording) for recording in runs]
    k = worst([part for part, _, _ in shown])
    told = f"{_SAILED[k].name}: port bow {shown[k][1]}, starboard bow {shown[k][2]}"
    part = sum(part for part, _, _ in shown) / len(shown)
    return Finding(part, told, "port red and starboard green under way, each tug")


def _wiring(recordings: Recordings) -> Finding:
    asked = "the pins of its settings and no others, on a tug wired otherwise"
    recording = fleet(recordings[0])[FLEET.index(REWIRED)]
    strange = strange_pins(recording, REWIRED.pins)
    drove = driven_ahead(recording, REWIRED.pins)
    lit = any(e.data[0] == REWIRED.pins["lamps"] for e in recording.of("frame"))
    right = [*(drove[side] > 1.0 for side in SIDES), lit]
    part = sum(right) / len(right)
    if strange:
        return Finding(part / 2, f"used pins {', '.join(map(str, strange))}", asked)
    told = ", ".join(f"{side} motor {drove[side]:.1f} s" for side in SIDES)
    return Finding(part, f"its pins drove: {told}; lamps {'lit' if lit else 'dark'}", asked)


def _without(recordings: Recordings) -> Finding:
    asked = "without settings.py: no motor driven, deck lamp blinks amber"
    recording = alone(recordings[0])
    if first_drive(recording) is not None:
        return Finding(0.0, "a motor was driven", asked, first_drive(recording))
    part, measured = blinks(recording, 2.0, 6.0)
    if recording.problem:
        measured = f"stopped: {recording.problem.kind}: {recording.problem.message}"
    return Finding(part, measured, asked, 2.0)


def _stops(recordings: Recordings) -> Finding:
    asked = f"motors off at the end, each tug, after {_UNDER_WAY:g} s of driving"
    for member, recording in zip(_SAILED, fleet(recordings[0]), strict=False):
        if still_driven(recording):
            return Finding(0.0, f"{member.name}: still driven", asked, recording.seconds)
    long = _longest(recordings)
    part = share(abs(long - _UNDER_WAY), full=_ABOUT, none=1.5)
    return Finding(part, f"motors off; driven for {long:.1f} s", asked)


def _longest(recordings: Recordings) -> float:
    """Give for how long the motors of the first tug drove ahead, in s."""
    return max(driven_ahead(fleet(recordings[0])[0], FLEET[0].pins).values())


# -- known mistakes ----------------------------------------------------------


def _no_compile(recordings: Recordings) -> str | None:
    found = _compiles(recordings)
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


def _own_efforts(recordings: Recordings) -> str | None:
    """The same efforts on tugs whose settings differ."""
    given = [
        _efforts(member, recording)
        for member, recording in zip(_SAILED, fleet(recordings[0]), strict=False)
    ]
    one, other = given
    same = one and other and max(abs(a - b) for a, b in zip(one, other, strict=True)) < 0.0001
    if same and one and any(one):
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
    runs = fleet(recordings[0])[: len(_SAILED)]
    if any(first_drive(recording) is not None for recording in runs):
        return None
    return f"on {_SAILED[0].name} no motor was ever driven, though it has settings"


def _astern(recordings: Recordings) -> str | None:
    got = _efforts(FLEET[0], fleet(recordings[0])[0])
    if got and max(got) < -0.05:
        return f"{FLEET[0].name}: both motors ran astern"
    return None


def _other_time(recordings: Recordings) -> str | None:
    long = _longest(recordings)
    if abs(long - _UNDER_WAY) > _ABOUT:
        return f"{FLEET[0].name} drove ahead for {long:.2f} s"
    return None


def _upside_down(recordings: Recordings) -> str | None:
    """The back inputs got the efforts themselves, seen where these do not add up to 1."""
    runs = fleet(recordings[0])
    # When it begins is seen on a tug that is wired as drawn.
    got = _efforts(REWIRED, runs[FLEET.index(REWIRED)], first_drive(runs[0]) or HANDS_OFF)
    if got and max(abs(got[0] - 1 + REWIRED.left), abs(got[1] - 1 + REWIRED.right)) < 0.01:
        return f"{REWIRED.name}: an effort of {REWIRED.left:g} became one of {got[0]:.2f}"
    return None


def _sides_swapped(recordings: Recordings) -> str | None:
    """Each side got the other side's effort, on every tug."""
    told = ""
    for member, recording in zip(_SAILED, fleet(recordings[0]), strict=False):
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
    for member, recording in zip(_SAILED, fleet(recordings[0]), strict=False):
        got = _efforts(member, recording)
        if got and max(abs(got[0] - member.left), abs(got[1] - member.right)) > 0.01:
            return (
                f"{member.name}: left and right got efforts of {got[0]:.3f} and {got[1]:.3f}, "
                f"the settings say {member.left:.3f} and {member.right:.3f}"
            )
    return None


def _bows_exchanged(recordings: Recordings) -> str | None:
    for recording in fleet(recordings[0])[: len(_SAILED)]:
        part, port, starboard = _side_lights(recording)
        if part or not (_green(port) and _red(starboard)):
            return None
    return "every tug shows green at the port bow and red at the starboard bow"


def _own_order(recordings: Recordings) -> str | None:
    parts = [_side_lights(r)[0] for r in fleet(recordings[0])[: len(_SAILED)]]
    if max(parts) == 1.0 and min(parts) == 0.0:
        name = _SAILED[parts.index(0.0)].name
        return f"{name}, whose lamps take another order, shows red and green exchanged"
    return None


def _half_lit(recordings: Recordings) -> str | None:
    for member, recording in zip(_SAILED, fleet(recordings[0]), strict=False):
        part, port, starboard = _side_lights(recording)
        if part < 1.0:
            return f"{member.name}: port bow {port}, starboard bow {starboard}"
    return None


def _calls_otherwise(recordings: Recordings) -> str | None:
    found = _without(recordings)
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
    found = _quiet(recordings)
    return found.measured if found.share < 1.0 else None


def _left_on(recordings: Recordings) -> str | None:
    found = _stops(recordings)
    return found.measured if "still driven" in found.measured else None


def _fails_there(recordings: Recordings) -> str | None:
    found = _ready(recordings)
    return found.measured if found.share < 1.0 else None


_MISTAKES = (
    Mistake(
        "does not compile for a board",
        'ready("main.py") names the line and what to write instead.',
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
        'ready("main.py") names each line with its cause and cure.',
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

FIT = Task(
    id="board.fit",
    title="Fit for every board",
    program="main.py",
    runs=(Run(seconds=6.0, start=(0.20, 0.40, 0.0)),),
    criteria=(
        Criterion("It drives on every tug", 1.0, _drives, essential=True),
        Criterion("The real compiler takes it", 2.0, _compiles),
        Criterion("Nothing in it would fail on a board", 2.0, _ready),
        Criterion("Motors off first, hands off", 1.0, _quiet),
        Criterion("It goes straight by its settings", 2.0, _straight),
        Criterion("Its side lamps are right by its settings", 2.0, _lights),
        Criterion("It uses the pins of its settings", 2.0, _wiring),
        Criterion("It is safe without settings", 2.0, _without),
        Criterion("It stops by itself", 1.0, _stops),
    ),
    mistakes=_MISTAKES,
)

TASKS: tuple[Task, ...] = (FIT,)
