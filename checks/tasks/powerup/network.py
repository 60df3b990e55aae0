"""Task `powerup.network`: a list of networks, tried in order, each for some seconds."""

from __future__ import annotations

import functools
import itertools
from typing import NamedTuple

from robotsim import Recording
from robotsim.onto.habits import SECRETS
from robotsim.radio import AccessPoint, Airwaves
from robotsim.recording import once

from ...readings.waking import first_drive
from ...task import Criterion, Facts, Finding, Run, criterion, run_again, share
from ...words import listed, told_apart
from .states import BLINKS, blinks, deck_share, quiet_first

__all__ = ["ALONE", "CRITERIA", "FIRST_CHANGED", "KNOWN", "NAMES", "RUNS", "Search", "joined"]

KNOWN = (("pier", "gull-and-herring"), ("boathouse", "oakum-and-tar"), ("harbour", "lighthouse"))
"""The networks of the lesson's secrets file, in order (invented; real passwords are longer)."""
NAMES = [name for name, _ in KNOWN]
SHORTEST, LONGEST = 2.5, 10.0
"""How long a network gets, in s: such boards take 1 to 4 s to join (invented figures)."""
LONGEST_FULL = LONGEST + 0.2
"""What is near enough to the longest: a hundred looks, 100 ms apart, take a little more."""
LOOKS_FROM, CHANGES = 0.4, 0.5
"""From when on the lamp is looked at, and what it may take to change, s."""
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
OTHERS = (("lookout", "horn-and-lamp"), ("lookout", "foghorn-and-bell"))
"""Another board's secrets (invented), fewer rows than in the lesson: one network, with its old
password and the new one. A list has room for both; a dict keeps one."""
ELSEWHERE = _air(_point("pier"), AccessPoint(*OTHERS[1], -60.0))
ELSEWHERE_S = LONGEST + 7.0
RUNS = (
    Run(seconds=9.0, air=ALL_THERE),
    Run(seconds=18.0, air=CHANGED),
    Run(seconds=36.0, air=NONE_THERE),
)


class Try(NamedTuple):
    """A network that was asked for: when in s, and its name."""

    time: float
    name: str


class Spell(NamedTuple):
    """How long a network was given before the next was asked for: in s, from when on, the trial."""

    seconds: float
    since: float
    trial: int


def tries(recording: Recording) -> list[Try]:
    """Give which networks were asked for."""
    asked = (e for e in recording.of("radio") if e.data[0] == "joining")
    return [Try(event.seconds, event.data[1]) for event in asked]


def joined(recording: Recording) -> Try | None:
    """Give which network was joined first."""
    found = (e for e in recording.of("radio") if e.data[0] == "joined")
    return next((Try(event.seconds, event.data[1]) for event in found), None)


@once
def run_elsewhere(recording: Recording) -> Recording:
    """Run the program of a recording on a board whose secrets file is another."""
    own = {**recording.files, SECRETS: f"NETWORKS = {list(OTHERS)!r}\n"}
    return run_again(recording, own, seconds=ELSEWHERE_S, air=ELSEWHERE)


class Search(Facts):
    """What was asked for and joined in each trial, and what the lamp showed meanwhile."""

    @functools.cached_property
    def tries(self) -> list[list[Try]]:
        """The networks asked for, trial by trial."""
        return [tries(made) for made in self.recordings]

    @functools.cached_property
    def names(self) -> list[list[str]]:
        """Their names, trial by trial."""
        return [[one.name for one in some] for some in self.tries]

    @functools.cached_property
    def joined(self) -> list[Try | None]:
        """The network joined first, trial by trial."""
        return [joined(made) for made in self.recordings]

    @property
    def elsewhere(self) -> Recording:
        """What the program does on a board with another secrets file."""
        return run_elsewhere(self.recording)

    @functools.cached_property
    def old_password_tried(self) -> bool:
        """Whether it tried, on the other board, the password that stands first there."""
        return any("wrong password" in e.detail for e in self.elsewhere.of("radio"))

    @functools.cached_property
    def spells(self) -> list[Spell]:
        """How long each network was given; what comes before the list begins anew is a rest."""
        return [
            Spell(later.time - one.time, one.time, trial)
            for trial, some in enumerate(self.tries)
            for one, later in itertools.pairwise(some)
            if later.name != NAMES[0]
        ]

    @functools.cached_property
    def stuck(self) -> Spell | None:
        """The longest wait for a network that was not the last, and after which none was asked."""
        waits = [
            Spell(made.seconds - some[-1].time, some[-1].time, trial)
            for trial, (made, some) in enumerate(zip(self.recordings, self.tries, strict=True))
            if some and self.joined[trial] is None and len(some) < len(NAMES)
        ]
        longest = max(waits, default=None)
        return longest if longest and longest.seconds > LONGEST else None

    @functools.cached_property
    def after_joining(self) -> tuple[int, Try, Try] | None:
        """The first try after a network had let it in: the trial, what was joined, what asked."""
        for trial, (got, some) in enumerate(zip(self.joined, self.tries, strict=True)):
            late = [one for one in some if got and one.time > got.time]
            if got and late:
                return trial, got, late[0]
        return None

    @functools.cached_property
    def printed_password(self) -> float | None:
        """When a password went out over the console, s."""
        return next(
            (
                at
                for made in self.recordings
                for at, line in made.printed
                if any(key in line for _, key in KNOWN)
            ),
            None,
        )

    @functools.cached_property
    def call(self) -> tuple[float, str, float]:
        """How well it called once the list was tried: a share, what was measured, from when on."""
        made = self.recordings[ALONE]
        last = [one.time for one in self.tries[ALONE] if one.name == NAMES[-1]]
        if not last:
            return 0.0, "did not try the whole list", 0.0
        since = last[0] + LONGEST + 0.5
        until = since + 3.0
        anew = next((one.time for one in self.tries[ALONE] if one.time > last[0]), until)
        if anew < until:  # it called for a while, and has begun the list again
            since, until = max(last[0] + SHORTEST, anew - 2.0), anew - 0.1
        return (*blinks(made, since, until), since)


def _joins(title: str, trial: int, name: str, within: float, why: str) -> Criterion:
    @criterion(title, 2, asks=f"{name}, within {within:g} s, {why}", essential=trial == 0)
    def judge(seen: Search) -> Finding:
        got = seen.joined[trial]
        if got is None:
            asked = listed(seen.names[trial]) if seen.names[trial] else "none"
            return Finding(0.0, f"joined none; asked for {asked}", trial=trial)
        part = share(got.time, full=within, none=1.6 * within) if got.name == name else 0.0
        return Finding(part, f"joined {got.name} after {got.time:.1f} s", at=got.time, trial=trial)

    return judge


joins_first = _joins("It joins the first on the list", 0, "pier", 6.0, "though others are stronger")
goes_on = _joins(
    "It goes on where one does not let it in", FIRST_CHANGED, "boathouse", 14.0,
    "where pier has another password now",
)  # fmt: skip


@criterion(
    "It keeps to the list, from first to last",
    2,
    asks="pier, boathouse, harbour in this order, each once before the list begins again, none "
    "besides, and none after one that let it in",
)
def in_order(seen: Search) -> Finding:
    for trial, names in enumerate(seen.names):
        if not names:
            return Finding(0.0, "asked for no network", trial=trial)
        if names != [NAMES[k % len(NAMES)] for k in range(len(names))]:
            at = seen.tries[trial][0].time
            return Finding(0.0, f"asked for {listed(names[:6])}", at=at, trial=trial)
    if seen.after_joining:
        trial, _, late = seen.after_joining
        return Finding(0.0, "went on asking after it had joined", at=late.time, trial=trial)
    short = min(len(names) for names, got in zip(seen.names, seen.joined, strict=True)
                if got is None) if None in seen.joined else len(NAMES)  # fmt: skip
    if short < len(NAMES):
        return Finding(0.5 * short / len(NAMES), f"came no further than {NAMES[short - 1]}")
    return Finding(1.0, "each in its turn")


@criterion(
    "It takes them from secrets.py",
    1,
    asks="on a board with another secrets.py, whose first network stands there with its old "
    "password and then with the new one, it tries both in turn, joins within "
    f"{ELSEWHERE_S:g} s and asks for no network that is not in it; it prints no password",
)
def from_secrets(seen: Search) -> Finding:
    if seen.printed_password is not None:
        return Finding(0.0, f"a password was printed at {seen.printed_password:.1f} s")
    names, got = [one.name for one in tries(seen.elsewhere)], joined(seen.elsewhere)
    own = got is not None and got.name == OTHERS[0][0] and not {*names} & {*NAMES}
    words = f"asked for {listed(names or ['none'])}; joined {got.name if got else 'none'}"
    return Finding(float(own and seen.old_password_tried), words)


@criterion(
    "It gives each its time", 1, asks=f"{SHORTEST:g} to {LONGEST:g} s for each, then the next"
)
def gives_time(seen: Search) -> Finding:
    if seen.stuck:
        wait, since, trial = seen.stuck
        return Finding(0.0, f"waited {wait:.0f} s for one network", at=since, trial=trial)
    if not seen.spells:
        return Finding(0.0, "never went on to a second one")
    longest, shortest = max(seen.spells), min(seen.spells)
    worst = longest if longest.seconds > LONGEST_FULL else shortest
    part = min(share(longest.seconds, full=LONGEST_FULL, none=1.5 * LONGEST),
               share(SHORTEST - shortest.seconds, full=0.0, none=1.5))  # fmt: skip
    low = told_apart(shortest.seconds, SHORTEST, 1)
    high = told_apart(longest.seconds, LONGEST_FULL, 1)
    return Finding(part, f"{low} to {high} s for each", at=worst.since, trial=worst.trial)


@criterion(
    "Its lamp tells the state",
    2,
    asks=f"deck lamp violet from {LOOKS_FROM:g} s on while it looks, white from {CHANGES:g} s "
    "after it has joined",
)
def lamp_tells(seen: Search) -> Finding:
    parts, words = [], []
    for made, got in zip(seen.recordings[:2], seen.joined, strict=False):
        until = got.time if got else made.seconds
        before = deck_share(made, "violet", LOOKS_FROM, until - 0.2)
        after = deck_share(made, "white", until + CHANGES, made.seconds) if got else 0.0
        parts += [share(1 - before, full=0.05, none=0.8), share(1 - after, full=0.02, none=0.8)]
        words.append(f"violet for {100 * before:.0f} % before, white for {100 * after:.0f} % after")
    return Finding(sum(parts) / 4, f"{'; '.join(words)}, in the first two trials")


@criterion(
    "It calls for help when none is left",
    1,
    asks=f"when the whole list is tried, the deck lamp {BLINKS}",
)
def calls(seen: Search) -> Finding:
    part, measured, since = seen.call
    return Finding(part, measured, at=since or None, trial=ALONE)


@criterion(
    "Its motors stay off",
    1,
    asks="all four motor inputs set low before any other pin is set up, and before any sleep, "
    "print or radio; never driven",
)
def motors_off(seen: Search) -> Finding:
    moved = [time for made in seen.recordings if (time := first_drive(made)) is not None]
    if moved:
        return Finding(0.0, f"a motor was driven at {min(moved):.2f} s", at=min(moved))
    return quiet_first(seen)


CRITERIA = (
    joins_first, goes_on, in_order, from_secrets, gives_time, lamp_tells, calls, motors_off,
)  # fmt: skip
"""Twelve points."""
