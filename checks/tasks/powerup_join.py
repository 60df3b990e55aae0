"""Task `powerup.network`: a list of networks, tried in order, each for some seconds."""

from __future__ import annotations

import functools
import itertools
from collections.abc import Callable

from robotsim import Recording, run_trial
from robotsim.onto.habits import SECRETS
from robotsim.radio import AccessPoint, Airwaves

from ..task import Criterion, Finding, Mistake, Run, Task, share
from .powerup_states import (
    SLIPS,
    Recordings,
    amber,
    blinks,
    deck_share,
    first_drive,
    quiet_first,
    violet,
    white,
)

__all__ = ["KNOWN", "NETWORK"]

KNOWN = (("pier", "gull-and-herring"), ("boathouse", "oakum-and-tar"), ("harbour", "lighthouse"))
"""The networks of the lesson's secrets file, in order (invented; real passwords are longer)."""
_NAMES = [name for name, _ in KNOWN]
_SHORTEST, _LONGEST = 2.5, 10.0
"""How long a network gets, in s: such boards take 1 to 4 s to join (invented figures)."""
_LOOKS_FROM = 0.4
_ALONE = 2
"""The trial in which no network lets it in."""


def _air(*points: AccessPoint) -> Airwaves:
    """Make airwaves with a stranger's network, which is always the strongest."""
    return Airwaves(networks=(AccessPoint("ferry-guests", signal=-40.0), *points))


def _point(name: str, signal: float = -55.0, key: str = "") -> AccessPoint:
    return AccessPoint(name, key or dict(KNOWN)[name], signal)


ALL_THERE = _air(_point("harbour", -45.0), _point("boathouse"), _point("pier", -70.0))
CHANGED = _air(_point("harbour", -45.0), _point("boathouse", -72.0),
               _point("pier", key="another-password"))  # fmt: skip
NONE_THERE = _air(_point("boathouse", -93.0))
"""Boathouse is heard, and too weak to be used."""
OTHERS = (("lookout", "foghorn-and-bell"), ("chandlery", "rope-and-canvas"))
"""What stands in another board's secrets file (invented)."""
ELSEWHERE = _air(_point("pier"), AccessPoint(OTHERS[0][0], OTHERS[0][1], -60.0))


def tries(recording: Recording) -> list[tuple[float, str]]:
    """Give when which network was asked for."""
    return [(e.seconds, e.data[1]) for e in recording.of("radio") if e.data[0] == "joining"]


def joined(recording: Recording) -> tuple[float, str] | None:
    """Give when which network was joined first."""
    found = ((e.seconds, e.data[1]) for e in recording.of("radio") if e.data[0] == "joined")
    return next(found, None)


def _joins(trial: int, name: str, within: float, asked: str) -> Callable[[Recordings], Finding]:
    def judge(recordings: Recordings) -> Finding:
        got = joined(recordings[trial])
        want = f"{asked}, within {within:g} s"
        if got is None:
            tried = ", ".join(name for _, name in tries(recordings[trial])) or "none"
            return Finding(0.0, f"joined none; tried: {tried}", want, trial=trial)
        when, which = got
        part = share(when, full=within, none=1.6 * within) if which == name else 0.0
        return Finding(part, f"joined {which} after {when:.1f} s", want, when, trial)

    return judge


@functools.lru_cache(maxsize=64)
def _run_elsewhere(files: tuple[tuple[str, str], ...], program: str, serial: int) -> Recording:
    own = {**dict(files), SECRETS: f"NETWORKS = {list(OTHERS)!r}\n"}
    return run_trial(own, program=program, serial=serial, seconds=7.0, air=ELSEWHERE)


def elsewhere(recording: Recording) -> Recording:
    """Run the program of a recording on a board whose secrets file is another."""
    files = tuple(sorted(recording.files.items()))
    return _run_elsewhere(files, recording.program, recording.serial)


def _from_secrets(recordings: Recordings) -> Finding:
    asked = "on a board with another secrets.py it joins the first network of that one"
    recording = elsewhere(recordings[0])
    got = joined(recording)
    names = ", ".join(name for _, name in tries(recording)) or "none"
    part = float(got is not None and got[1] == OTHERS[0][0] and "pier" not in names)
    return Finding(part, f"asked for {names}; joined {got[1] if got else 'none'}", asked)


def _in_order(recordings: Recordings) -> Finding:
    asked = "the whole list from its beginning, and none after one that let it in"
    for trial, recording in enumerate(recordings):
        names = [name for _, name in tries(recording)]
        rounds = [_NAMES[k % len(_NAMES)] for k in range(len(names))]
        if not names:
            return Finding(0.0, "asked for no network", asked, trial=trial)
        if names != rounds:
            shown = ", ".join(names[:6])
            return Finding(0.0, f"asked for {shown}", asked, tries(recording)[0][0], trial)
        got = joined(recording)
        if got is None and len(names) < len(_NAMES):
            told = f"came no further than {names[-1]}"
            return Finding(0.5 * len(names) / len(_NAMES), told, asked, None, trial)
        after = [t for t, _ in tries(recording) if got and t > got[0]]
        if after:
            return Finding(0.0, "went on asking after it had joined", asked, after[0], trial)
    return Finding(1.0, "each in its turn", asked)


def _patient(recordings: Recordings) -> Finding:
    asked = f"{_SHORTEST:g} to {_LONGEST:g} s for each, then the next"
    lasted = [
        (later - when, when, trial)
        for trial, recording in enumerate(recordings)
        for (when, _), (later, name) in itertools.pairwise(tries(recording))
        if name != _NAMES[0]  # before it begins anew it may rest and call for help
    ]
    stuck = max(
        ((r.seconds - tries(r)[-1][0], tries(r)[-1][0], k) for k, r in enumerate(recordings)
         if tries(r) and joined(r) is None and len(tries(r)) < len(_NAMES)
         and r.seconds - tries(r)[-1][0] > _LONGEST),
        default=None,
    )  # fmt: skip
    if stuck:
        return Finding(0.0, f"waited {stuck[0]:.0f} s for one network", asked, stuck[1], stuck[2])
    if not lasted:
        return Finding(0.0, "never went on to a second one", asked)
    longest, shortest = max(lasted), min(lasted)
    worst = longest if longest[0] > _LONGEST else shortest
    part = min(share(longest[0], full=_LONGEST, none=15.0),
               share(_SHORTEST - shortest[0], full=0.0, none=1.5))  # fmt: skip
    measured = f"{shortest[0]:.1f} to {longest[0]:.1f} s for each"
    return Finding(part, measured, asked, worst[1], worst[2])


def _looks(recordings: Recordings) -> Finding:
    parts, words = [], []
    for recording in recordings[:2]:
        got = joined(recording)
        until = got[0] if got else recording.seconds
        before = deck_share(recording, violet, _LOOKS_FROM, until - 0.2)
        after = deck_share(recording, white, until + 0.5, recording.seconds) if got else 0.0
        parts.append(share(1 - before, full=0.05, none=0.8) / 2)
        parts.append(share(1 - after, full=0.02, none=0.8) / 2)
        words.append(f"{100 * before:.0f} % / {100 * after:.0f} %")
    measured = f"violet before / white after, trial by trial: {', '.join(words)}"
    asked = "deck lamp violet while it looks, white once it has joined"
    return Finding(sum(parts) / 2, measured, asked)


def _calls(recordings: Recordings) -> Finding:
    recording = recordings[_ALONE]
    asked = "when the whole list is tried, the deck lamp blinks amber, about twice a second"
    last = [when for when, name in tries(recording) if name == _NAMES[-1]]
    if not last:
        return Finding(0.0, "did not try the whole list", asked, trial=_ALONE)
    since = last[0] + _LONGEST + 0.5
    part, measured = blinks(recording, since, since + 3.0)
    return Finding(part, measured, asked, since, _ALONE)


def _motors_off(recordings: Recordings) -> Finding:
    first = quiet_first(recordings)
    moved = [t for r in recordings if (t := first_drive(r)) is not None]
    if moved:
        asked = first.asked + ", and never driven"
        return Finding(0.0, f"a motor was driven at {min(moved):.2f} s", asked, min(moved))
    return first


# -- known mistakes ----------------------------------------------------------


def _none_asked(recordings: Recordings) -> str | None:
    return None if any(map(tries, recordings)) else "no network was ever asked for"


def _strongest(recordings: Recordings) -> str | None:
    names = [name for recording in recordings for _, name in tries(recording)]
    strangers = sorted({*names} - {*_NAMES})
    return f"it asked for {strangers[0]!r}, which is nobody you know" if strangers else None


def _other_order(recordings: Recordings) -> str | None:
    for recording in recordings:
        names = [name for _, name in tries(recording)]
        if names and names[0] != _NAMES[0]:
            return f"it began with {names[0]!r}; the list begins with {_NAMES[0]!r}"
        if len(names) > 1 and names[1] not in (_NAMES[0], _NAMES[1]):
            return f"after {names[0]!r} it asked for {names[1]!r}"
    return None


def _wrong_key(recordings: Recordings) -> str | None:
    """Not let in where all the lesson's passwords are right."""
    for event in recordings[0].of("radio"):
        if event.data[0] == "not joined" and event.data[1].endswith("wrong password"):
            return f"{event.data[1]}, in the trial in which nobody has changed it"
    return None


def _own_list(recordings: Recordings) -> str | None:
    names = [name for _, name in tries(elsewhere(recordings[0]))]
    if names and {*names} <= {*_NAMES}:
        return f"on a board with another secrets.py it asked for {names[0]!r}, which is not in it"
    return None


def _white_too_soon(recordings: Recordings) -> str | None:
    for recording in recordings[:2]:
        got = joined(recording)
        until = got[0] if got else recording.seconds
        if tries(recording) and deck_share(recording, white, _LOOKS_FROM, until - 0.2) > 0.5:
            return f"white from the beginning; let in: {f'at {until:.1f} s' if got else 'never'}"
    return None


def _calls_too_soon(recordings: Recordings) -> str | None:
    """Blinks after a part of the list."""
    recording = recordings[_ALONE]
    names = [name for _, name in tries(recording)]
    if names and len(names) < len(_NAMES) and blinks(recording, 30.0, 33.0)[0] == 1.0:
        return f"it called for help, and had asked for {', '.join(names)} only"
    return None


def _waits_for_ever(recordings: Recordings) -> str | None:
    found = _patient(recordings)
    return found.measured if found.measured.startswith("waited") else None


def _too_short(recordings: Recordings) -> str | None:
    found = _patient(recordings)
    shortest = found.measured.split(" ")[0]
    if found.share < 1.0 and shortest.replace(".", "").isdigit() and float(shortest) < _SHORTEST:
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
    found = _motors_off(recordings)
    return found.measured if found.share < 1.0 else None


def _lamp(recordings: Recordings) -> str | None:
    found = _looks(recordings)
    return found.measured if found.share < 1.0 else None


def _fast(recordings: Recordings) -> str | None:
    found = _calls(recordings)
    return found.measured if "flashes" in found.measured else None


def _silent(recordings: Recordings) -> str | None:
    found = _calls(recordings)
    since = found.at or 0.0
    if found.share == 1.0:
        return None
    steady = deck_share(recordings[_ALONE], amber, since, since + 3.0)
    return f"{found.measured}{'; it shines steadily' if steady > 0.95 else ''}"


_MISTAKES = (
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
        "another order than the list's",
        "keep the networks in a list of pairs; a dict has no order on a board.",
        _other_order,
    ),
    Mistake(
        "goes on after it has joined",
        "leave the loop, with break or return, as soon as isconnected() is true.",
        _goes_on,
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
        "the lamp tells another state",
        "violet before the first try, white right after joining.",
        _lamp,
    ),
    Mistake(
        "secrets written into the program",
        "from secrets import NETWORKS, and no name or password in the program itself.",
        _own_list,
    ),
    Mistake("blinks too fast", "250 ms lit and 250 ms dark are twice a second.", _fast),
    Mistake(
        "does not call for help",
        "after the loop has come to the end of the list: amber, dark, amber, dark.",
        _silent,
    ),
)

NETWORK = Task(
    id="powerup.network",
    title="Choose a network",
    program="join.py",
    runs=(
        Run(seconds=9.0, air=ALL_THERE),
        Run(seconds=18.0, air=CHANGED),
        Run(seconds=36.0, air=NONE_THERE),
    ),
    criteria=(
        Criterion("It joins the first on the list", 2.0,
                  _joins(0, "pier", 6.0, "pier, though others are stronger"), essential=True),
        Criterion("It goes on where one does not let it in", 2.0,
                  _joins(1, "boathouse", 14.0, "boathouse: pier has another password now")),
        Criterion("It keeps to the list, from first to last", 2.0, _in_order),
        Criterion("It takes them from secrets.py", 1.0, _from_secrets),
        Criterion("It gives each its time", 1.0, _patient),
        Criterion("Its lamp tells the state", 2.0, _looks),
        Criterion("It calls for help when none is left", 1.0, _calls),
        Criterion("Its motors stay off", 1.0, _motors_off),
    ),
    mistakes=_MISTAKES,
)  # fmt: skip
