"""Task `powerup.network`: a list of networks, tried in order, each for some seconds."""

from __future__ import annotations

import itertools
from collections.abc import Callable

from robotsim import Recording, Whose, run_trial
from robotsim.onto.habits import SECRETS
from robotsim.radio import AccessPoint, Airwaves
from robotsim.recording import once

from ...task import Finding, patience, share
from .states import (
    Recordings,
    blinks,
    deck_share,
    first_drive,
    quiet_first,
    violet,
    white,
)

__all__ = [
    "ALL_THERE",
    "ALONE",
    "CHANGED",
    "FIRST_CHANGED",
    "KNOWN",
    "LONGEST",
    "LOOKS_FROM",
    "NAMES",
    "NONE_THERE",
    "SHORTEST",
    "calls",
    "elsewhere",
    "from_secrets",
    "in_order",
    "joined",
    "joins",
    "looks",
    "motors_off",
    "patient",
    "shown_key",
    "tries",
]

KNOWN = (("pier", "gull-and-herring"), ("boathouse", "oakum-and-tar"), ("harbour", "lighthouse"))
"""The networks of the lesson's secrets file, in order (invented; real passwords are longer)."""
NAMES = [name for name, _ in KNOWN]
SHORTEST, LONGEST = 2.5, 10.0
"""How long a network gets, in s: such boards take 1 to 4 s to join (invented figures)."""
LOOKS_FROM = 0.4
FIRST_CHANGED, ALONE = 1, 2
"""The trials in which the first password was changed, and in which no network lets it in."""


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


def joins(trial: int, name: str, within: float, asked: str) -> Callable[[Recordings], Finding]:
    """Judge which network is joined in a trial, and how soon."""

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


@once
def elsewhere(recording: Recording) -> Recording:
    """Run the program of a recording on a board whose secrets file is another."""
    own = {**recording.files, SECRETS: f"NETWORKS = {list(OTHERS)!r}\n"}
    return run_trial(
        own, program=recording.program, serial=recording.serial, seconds=7.0, air=ELSEWHERE,
        silence_s=patience([recording]), whose=recording.whose or Whose.STRANGER,
    )  # fmt: skip


def from_secrets(recordings: Recordings) -> Finding:
    """The list is that of secrets.py, whatever stands in it, and stays secret."""
    asked = "on a board with another secrets.py it joins the first network of that one"
    recording = elsewhere(recordings[0])
    got = joined(recording)
    names = ", ".join(name for _, name in tries(recording)) or "none"
    part = float(got is not None and got[1] == OTHERS[0][0] and "pier" not in names)
    told = shown_key(recordings)
    if told:
        return Finding(0.0, told, asked + ", and prints no password")
    return Finding(part, f"asked for {names}; joined {got[1] if got else 'none'}", asked)


def shown_key(recordings: Recordings) -> str | None:
    """Tell of a password that went out over the console."""
    for recording in recordings:
        for at, line in recording.printed:
            if any(key in line for _, key in KNOWN):
                return f"a password was printed at {at:.1f} s"
    return None


def in_order(recordings: Recordings) -> Finding:
    """Each is asked for in its turn, and none after one that let it in."""
    asked = "the whole list from its beginning, and none after one that let it in"
    for trial, recording in enumerate(recordings):
        names = [name for _, name in tries(recording)]
        rounds = [NAMES[k % len(NAMES)] for k in range(len(names))]
        if not names:
            return Finding(0.0, "asked for no network", asked, trial=trial)
        if names != rounds:
            shown = ", ".join(names[:6])
            return Finding(0.0, f"asked for {shown}", asked, tries(recording)[0][0], trial)
        got = joined(recording)
        if got is None and len(names) < len(NAMES):
            told = f"came no further than {names[-1]}"
            return Finding(0.5 * len(names) / len(NAMES), told, asked, None, trial)
        after = [t for t, _ in tries(recording) if got and t > got[0]]
        if after:
            return Finding(0.0, "went on asking after it had joined", asked, after[0], trial)
    return Finding(1.0, "each in its turn", asked)


def patient(recordings: Recordings) -> Finding:
    """Each gets its time, no more and no less."""
    asked = f"{SHORTEST:g} to {LONGEST:g} s for each, then the next"
    lasted = [
        (later - when, when, trial)
        for trial, recording in enumerate(recordings)
        for (when, _), (later, name) in itertools.pairwise(tries(recording))
        if name != NAMES[0]  # before it begins anew it may rest and call for help
    ]
    stuck = max(
        ((r.seconds - tries(r)[-1][0], tries(r)[-1][0], k) for k, r in enumerate(recordings)
         if tries(r) and joined(r) is None and len(tries(r)) < len(NAMES)
         and r.seconds - tries(r)[-1][0] > LONGEST),
        default=None,
    )  # fmt: skip
    if stuck:
        return Finding(0.0, f"waited {stuck[0]:.0f} s for one network", asked, stuck[1], stuck[2])
    if not lasted:
        return Finding(0.0, "never went on to a second one", asked)
    longest, shortest = max(lasted), min(lasted)
    worst = longest if longest[0] > LONGEST else shortest
    part = min(share(longest[0], full=LONGEST, none=15.0),
               share(SHORTEST - shortest[0], full=0.0, none=1.5))  # fmt: skip
    measured = f"{shortest[0]:.1f} to {longest[0]:.1f} s for each"
    return Finding(part, measured, asked, worst[1], worst[2])


def looks(recordings: Recordings) -> Finding:
    """The deck lamp tells whether it looks or has joined."""
    parts, words = [], []
    for recording in recordings[:2]:
        got = joined(recording)
        until = got[0] if got else recording.seconds
        before = deck_share(recording, violet, LOOKS_FROM, until - 0.2)
        after = deck_share(recording, white, until + 0.5, recording.seconds) if got else 0.0
        parts.append(share(1 - before, full=0.05, none=0.8) / 2)
        parts.append(share(1 - after, full=0.02, none=0.8) / 2)
        words.append(f"{100 * before:.0f} % / {100 * after:.0f} %")
    measured = f"violet before / white after, trial by trial: {', '.join(words)}"
    asked = "deck lamp violet while it looks, white once it has joined"
    return Finding(sum(parts) / 2, measured, asked)


def calls(recordings: Recordings) -> Finding:
    """It calls for a person once the whole list was tried."""
    recording = recordings[ALONE]
    asked = "when the whole list is tried, the deck lamp blinks amber, about twice a second"
    last = [when for when, name in tries(recording) if name == NAMES[-1]]
    if not last:
        return Finding(0.0, "did not try the whole list", asked, trial=ALONE)
    since = last[0] + LONGEST + 0.5
    until = since + 3.0
    anew = next((when for when, _ in tries(recording) if when > last[0]), until)
    if anew < until:  # it called for a while, and has begun the list again
        since, until = max(last[0] + SHORTEST, anew - 2.0), anew - 0.1
    part, measured = blinks(recording, since, until)
    return Finding(part, measured, asked, since, ALONE)


def motors_off(recordings: Recordings) -> Finding:
    """The motors are off from the first, and stay so."""
    first = quiet_first(recordings)
    moved = [t for r in recordings if (t := first_drive(r)) is not None]
    if moved:
        asked = first.asked + ", and never driven"
        return Finding(0.0, f"a motor was driven at {min(moved):.2f} s", asked, min(moved))
    return first
