"""Known mistakes of the task `powerup.network`, in the order in which they are looked for."""

from __future__ import annotations

from ...mistakes import unsent
from ...task import Mistake
from . import join as join
from .join import (
    ALONE,
    FIRST_CHANGED,
    LONGEST,
    LOOKS_FROM,
    NAMES,
    SHORTEST,
    elsewhere,
    joined,
    tries,
)
from .states import SLIPS, Recordings, amber, blinks, deck_share, white

__all__ = ["MISTAKES"]


def _none_asked(recordings: Recordings) -> str | None:
    return None if any(map(tries, recordings)) else "no network was ever asked for"


def _strongest(recordings: Recordings) -> str | None:
    names = [name for recording in recordings for _, name in tries(recording)]
    strangers = sorted({*names} - {*NAMES})
    return f"it asked for {strangers[0]!r}, which is nobody you know" if strangers else None


def _other_order(recordings: Recordings) -> str | None:
    for recording in recordings:
        names = [name for _, name in tries(recording)]
        if names and names[0] != NAMES[0]:
            return f"it began with {names[0]!r}; the list begins with {NAMES[0]!r}"
        if len(names) > 1 and names[1] not in (NAMES[0], NAMES[1]):
            return f"after {names[0]!r} it asked for {names[1]!r}"
    return None


def _wrong_key(recordings: Recordings) -> str | None:
    """Not let in where nobody has changed the password."""
    for trial, recording in enumerate(recordings):
        for event in recording.of("radio"):
            what, told = event.data[:2]
            changed = trial == FIRST_CHANGED and told.startswith(NAMES[0])
            if what == "not joined" and told.endswith("wrong password") and not changed:
                return f"{told}, and nobody has changed it"
    return None


def _own_list(recordings: Recordings) -> str | None:
    names = [name for _, name in tries(elsewhere(recordings[0]))]
    if names and {*names} <= {*NAMES}:
        return f"on a board with another secrets.py it asked for {names[0]!r}, which is not in it"
    return None


def _white_too_soon(recordings: Recordings) -> str | None:
    for recording in recordings[:2]:
        got = joined(recording)
        until = got[0] if got else recording.seconds
        if tries(recording) and deck_share(recording, white, LOOKS_FROM, until - 0.2) > 0.5:
            return f"white from the beginning; let in: {f'at {until:.1f} s' if got else 'never'}"
    return None


def _calls_too_soon(recordings: Recordings) -> str | None:
    """Blinks after a part of the list."""
    recording = recordings[ALONE]
    names = [name for _, name in tries(recording)]
    if names and len(names) < len(NAMES) and blinks(recording, 30.0, 33.0)[0] == 1.0:
        return f"it called for help, and had asked for {', '.join(names)} only"
    return None


def _waits_for_ever(recordings: Recordings) -> str | None:
    found = join.patient(recordings)
    return found.measured if found.measured.startswith("waited") else None


def _too_long(recordings: Recordings) -> str | None:
    found = join.patient(recordings)
    longest = found.measured.removesuffix(" s for each").split(" ")[-1]
    if found.share < 1.0 and longest.replace(".", "").isdigit() and float(longest) > LONGEST:
        return found.measured
    return None


def _elsewhere_stopped(recordings: Recordings) -> str | None:
    problem = elsewhere(recordings[0]).problem
    if problem:
        return f"with two networks in secrets.py: {problem.kind}: {problem.message}"
    return None


def _too_short(recordings: Recordings) -> str | None:
    found = join.patient(recordings)
    shortest = found.measured.split(" ")[0]
    if found.share < 1.0 and shortest.replace(".", "").isdigit() and float(shortest) < SHORTEST:
        return f"{found.measured}; such a board needs 1 to 4 s to join"
    return None


def _same_again(recordings: Recordings) -> str | None:
    for recording in recordings:
        names = [name for _, name in tries(recording)]
        if len(names) > 1 and names[0] == names[1]:
            return f"it asked for {names[0]!r} {names.count(names[0])} times in a row"
    return None


def _goes_on(recordings: Recordings) -> str | None:
    for recording in recordings:
        got = joined(recording)
        if got and any(t > got[0] for t, _ in tries(recording)):
            return f"it had joined {got[1]!r} and went on asking"
    return None


def _driven(recordings: Recordings) -> str | None:
    found = join.motors_off(recordings)
    return found.measured if found.share < 1.0 else None


def _lamp(recordings: Recordings) -> str | None:
    found = join.looks(recordings)
    return found.measured if found.share < 1.0 else None


def _fast(recordings: Recordings) -> str | None:
    found = join.calls(recordings)
    return found.measured if "flashes" in found.measured else None


def _silent(recordings: Recordings) -> str | None:
    found = join.calls(recordings)
    since = found.at or 0.0
    if found.share == 1.0:
        return None
    steady = deck_share(recordings[ALONE], amber, since, since + 3.0)
    return f"{found.measured}{'; it shines steadily' if steady > 0.95 else ''}"


MISTAKES: tuple[Mistake, ...] = (
    *SLIPS,
    Mistake(
        "no network asked for",
        "wlan = network.WLAN(network.STA_IF), wlan.active(True), then wlan.connect(name, key).",
        _none_asked,
    ),
    Mistake(
        "takes a network that is not on the list",
        "go through your list, not through what scan() hears: anyone can set up a network.",
        _strongest,
    ),
    Mistake(
        "wrong password",
        "compare secrets.py with the lesson's, letter by letter.",
        _wrong_key,
    ),
    Mistake(
        "white before it has joined",
        "wlan.isconnected() needs its brackets; white only behind it, once it gives True.",
        _white_too_soon,
    ),
    Mistake(
        "another order than the list's",
        "keep the networks in a list of pairs, and begin with its first; a dict has no order on a "
        "board.",
        _other_order,
    ),
    Mistake(
        "calls for help too soon",
        "go through the whole list first: for name, key in NETWORKS.",
        _calls_too_soon,
    ),
    Mistake(
        "waits for ever for one network",
        "count while you wait, and go on to the next one after 6 s.",
        _waits_for_ever,
    ),
    Mistake(
        "asks for the same network again and again",
        "let a for loop go through the list: for name, key in NETWORKS.",
        _same_again,
    ),
    Mistake(
        "goes on after it has joined",
        "leave the loop, with break or return, as soon as isconnected() is true.",
        _goes_on,
    ),
    Mistake(
        "waits too long for one network",
        "6 s are 60 looks, 100 ms apart; then go on to the next one.",
        _too_long,
    ),
    Mistake(
        "gives up too soon",
        "give each network 6 s before you go on.",
        _too_short,
    ),
    Mistake(
        "motors not held off",
        "set the four motor pins low in the first lines, also where nothing is to move.",
        _driven,
    ),
    Mistake(
        "write() forgotten",
        "lamps[4] = ... only notes a colour; lamps.write() sends all of them to the lamps.",
        unsent,
    ),
    Mistake(
        "the lamp tells another state",
        "violet before the first try, white right after joining.",
        _lamp,
    ),
    Mistake(
        "secrets written into the program",
        "from secrets import NETWORKS, and no name or password in the program itself.",
        _own_list,
    ),
    Mistake(
        "stops with another secrets.py",
        "take the list as it comes, however long: for name, key in NETWORKS.",
        _elsewhere_stopped,
    ),
    Mistake(
        "a password is printed",
        "print the network's name if you like, and never its password.",
        join.shown_key,
    ),
    Mistake("blinks too fast", "250 ms lit and 250 ms dark are twice a second.", _fast),
    Mistake(
        "does not call for help",
        "after the loop has come to the end of the list: amber, dark, amber, dark.",
        _silent,
    ),
)
