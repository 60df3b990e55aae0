"""Known mistakes of the task `powerup.network`, with what to try."""

from __future__ import annotations

from ...readings.motion import MOTOR_PINS
from ...readings.waking import first_drive
from ...task import Clues, Mistake, mistake
from ...words import amount, listed
from ..lamps.slips import wrong_lamp_pin
from .network import (
    ALONE,
    FIRST_CHANGED,
    LONGEST_FULL,
    LOOKS_FROM,
    NAMES,
    SHORTEST,
    Search,
    calls,
    from_secrets,
    gives_time,
    goes_on,
    in_order,
    joins_first,
    lamp_tells,
    motors_off,
    tries,
)
from .start_mistakes import not_written
from .states import (
    MOST_FLASHES,
    blinks,
    deck_share,
    flashes,
    motors_jump,
    too_much_before,
    wrong_lamp,
)

__all__ = ["MISTAKES"]

_JOINS = (joins_first, goes_on)


@mistake(
    "no network asked for",
    "wlan = network.WLAN(network.STA_IF), wlan.active(True), then wlan.connect(name, key).",
    costs=[joins_first, in_order],
    explains=[goes_on, from_secrets, gives_time, lamp_tells, calls],
)
def none_asked(seen: Search) -> Clues:
    if not any(seen.names):
        yield "no network was ever asked for"


@mistake(
    "takes a network that is not on the list",
    "go through your list, not through what scan() hears: anyone can set up a network.",
    costs=[in_order],
    explains=[*_JOINS, from_secrets, gives_time, lamp_tells, calls],
)
def stranger(seen: Search) -> Clues:
    for name in sorted({name for names in seen.names for name in names} - {*NAMES}):
        yield f"it asked for {name!r}, which is nobody you know"


@mistake(
    "wrong password",
    "compare secrets.py with the lesson's, letter by letter, and which password goes with which "
    "name.",
    explains=[*_JOINS, lamp_tells, in_order, gives_time],
)
def wrong_password(seen: Search) -> Clues:
    """Tell a network that did not let it in where nobody has changed the password."""
    for trial, made in enumerate(seen.recordings):
        for event in made.of("radio"):
            what, words = event.data[:2]
            changed = trial == FIRST_CHANGED and words.startswith(NAMES[0])
            if what == "not joined" and words.endswith("wrong password") and not changed:
                yield f"{words}, and nobody has changed it"


@mistake(
    "white before it has joined",
    "wlan.isconnected() needs its brackets; white only behind it, once it gives True.",
    costs=[lamp_tells],
    explains=[*_JOINS, in_order, from_secrets, gives_time, calls],
)
def white_too_soon(seen: Search) -> Clues:
    for made, names, got in zip(seen.recordings[:2], seen.names, seen.joined, strict=False):
        until = got.time if got else made.seconds
        if names and deck_share(made, "white", LOOKS_FROM, until - 0.2) > 0.5:
            yield f"white from the beginning; let in: {f'at {until:.1f} s' if got else 'never'}"


@mistake(
    "another order than the list's",
    "keep the list of pairs as it is, and begin with its first: a dict has no order on a board, "
    "and room for one row of a name only.",
    costs=[in_order],
    explains=[*_JOINS, from_secrets, gives_time, lamp_tells, calls],
)
def other_order(seen: Search) -> Clues:
    for names in seen.names:
        if names and names[0] != NAMES[0]:
            yield f"it began with {names[0]!r}; the list begins with {NAMES[0]!r}"
        elif len(names) > 1 and names[1] not in NAMES[:2]:
            yield f"after {names[0]!r} it asked for {names[1]!r}"


@mistake(
    "calls for help too soon",
    "go through the whole list first: for name, key in NETWORKS.",
    costs=[in_order],
    explains=[goes_on, gives_time, lamp_tells, calls],
)
def calls_too_soon(seen: Search) -> Clues:
    names = seen.names[ALONE]
    if names and len(names) < len(NAMES) and blinks(seen.recordings[ALONE], 30.0, 33.0)[0] > 0.5:
        yield f"it called for help, and had asked for {listed(names)} only"


@mistake(
    "waits for ever for one network",
    "count while you wait, and go on to the next one after 6 s.",
    costs=[gives_time],
    explains=[goes_on, in_order, lamp_tells, calls],
)
def waits_for_ever(seen: Search) -> Clues:
    if seen.stuck:
        yield f"waited {seen.stuck.seconds:.0f} s for one network"


@mistake(
    "asks for the same network again and again",
    "let a for loop go through the list: for name, key in NETWORKS.",
    costs=[in_order],
    explains=[goes_on, gives_time, lamp_tells, calls],
)
def same_again(seen: Search) -> Clues:
    for names in seen.names:
        if len(names) > 1 and names[0] == names[1]:
            yield f"it asked for {names[0]!r} {names.count(names[0])} times in a row"


@mistake(
    "goes on after it has joined",
    "leave the loop, with break or return, as soon as isconnected() is true.",
    costs=[in_order],
    explains=[*_JOINS, gives_time, lamp_tells, calls],
)
def goes_on_asking(seen: Search) -> Clues:
    if seen.after_joining:
        _, got, late = seen.after_joining
        yield f"it had joined {got.name!r}, and asked for {late.name!r} at {late.time:.1f} s"


@mistake(
    "waits too long for one network",
    "6 s are 60 looks, 100 ms apart; then go on to the next one.",
    costs=[gives_time],
    explains=[goes_on, calls],
)
def waits_too_long(seen: Search) -> Clues:
    if seen.spells and max(seen.spells).seconds > LONGEST_FULL:
        yield f"one network got {amount(max(seen.spells).seconds, 1)} s"


@mistake(
    "gives up too soon",
    "give each network 6 s before you go on.",
    costs=[gives_time],
    explains=[*_JOINS, from_secrets, lamp_tells, in_order, calls],
)
def gives_up(seen: Search) -> Clues:
    if seen.spells and min(seen.spells).seconds < SHORTEST:
        short = amount(min(seen.spells).seconds, 1)
        yield f"one network got {short} s; such a board needs 1 to 4 s to join"


@mistake(
    "motors not held off",
    "set the four motor pins low in the first lines, also where nothing is to move.",
    costs=[motors_off],
)
def motors_left_alone(seen: Search) -> Clues:
    """Tell motors that were driven, and pins that were never set at all."""
    for made in seen.recordings:
        moved = first_drive(made)
        if moved is not None:
            yield f"a motor was driven at {moved:.2f} s"
        touched = {told.pin for told in made.outputs()}
        never = sorted({pin for pair in MOTOR_PINS.values() for pin in pair} - touched)
        if never:
            yield f"never set up: pins {listed([*map(str, never)])}"


@mistake(
    "the lamp tells another state",
    "violet before the first try, white right after joining.",
    costs=[lamp_tells],
)
def other_state(seen: Search) -> Clues:
    yield lamp_tells.judge(seen).measured


@mistake(
    "secrets written into the program",
    "from secrets import NETWORKS, and no name or password in the program itself.",
    costs=[from_secrets],
)
def own_list(seen: Search) -> Clues:
    names = [one.name for one in tries(seen.elsewhere)]
    if names and {*names} <= {*NAMES}:
        yield f"on a board with another secrets.py it asked for {names[0]!r}, which is not in it"


@mistake(
    "stops with another secrets.py",
    "take the list as it comes, however long: for name, key in NETWORKS.",
    costs=[from_secrets],
)
def stops_elsewhere(seen: Search) -> Clues:
    problem = seen.elsewhere.problem
    if problem:
        yield f"with the list of another board in secrets.py: {problem.kind}: {problem.message}"


@mistake(
    "a password is printed",
    "print the network's name if you like, and never its password.",
    costs=[from_secrets],
)
def password_printed(seen: Search) -> Clues:
    if seen.printed_password is not None:
        yield f"a password was printed at {seen.printed_password:.1f} s"


@mistake("blinks too fast", "250 ms lit and 250 ms dark are twice a second.", costs=[calls])
def too_fast(seen: Search) -> Clues:
    most = flashes(seen.recordings[ALONE])
    if most > MOST_FLASHES:
        yield f"{most} flashes of the deck lamp in one second"


@mistake(
    "does not call for help",
    "after the loop has come to the end of the list: amber, dark, amber, dark.",
    costs=[calls],
)
def silent(seen: Search) -> Clues:
    _, measured, since = seen.call
    steady = deck_share(seen.recordings[ALONE], "amber", since, since + 3.0) > 0.95
    yield f"{measured}{'; it shines steadily' if steady else ''}"


MISTAKES: tuple[Mistake, ...] = (
    motors_jump.bound(explains=[motors_off]), wrong_lamp_pin.bound(explains=[lamp_tells, calls]),
    wrong_lamp.bound(explains=[lamp_tells, calls]), none_asked, stranger, wrong_password,
    white_too_soon,
    other_order, calls_too_soon, waits_for_ever, same_again, goes_on_asking,
    waits_too_long, gives_up, motors_left_alone, too_much_before.bound(explains=[motors_off]),
    not_written.bound(explains=[lamp_tells, calls]), other_state, own_list,
    stops_elsewhere,
    password_printed, too_fast, silent,
)  # fmt: skip
