"""Words: numbers, names and trials as a card says them."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from robotsim import Recording

__all__ = [
    "amount",
    "counted",
    "late_by",
    "listed",
    "named_trials",
    "percent",
    "told_apart",
    "trial_name",
    "typed",
]


_PLAIN = re.compile(r"[\w./\\:~+@%=,-]+")
"""What no shell takes for anything but itself."""


def amount(value: float, places: int = 2) -> str:
    """Give a number with so many places; what rounds to nothing has no sign."""
    text = f"{value:.{places}f}"
    return text.removeprefix("-") if not float(text) else text


def told_apart(value: float, limit: float, places: int = 2) -> str:
    """Give a number with as many places as show on which side of a limit it lies, 5 at most.

    A card that says "0.04 m, asked: within 0.04 m" beside a cross would not be believed.
    """
    while value != limit and places < 5 and float(f"{value:.{places}f}") == float(
        f"{limit:.{places}f}"
    ):
        places += 1
    return amount(value, places)


def counted(number: int, what: str) -> str:
    """Give a number of things in words: `1 step`, `2 steps`, `2 flashes`."""
    many = "es" if what.endswith(("sh", "ss", "ch", "x")) else "s"
    return f"{number} {what}{'' if number == 1 else many}"


def listed(names: Sequence[str]) -> str:
    """Give names in words: `a`, `a and b`, `a, b and c`."""
    *first, last = names
    return f"{', '.join(first)} and {last}" if first else last


def late_by(hours: float) -> str:
    """Give how late something came, by its two largest units: `3 days 14 hours`, `1 second`."""
    left = max(1, round(hours * 3600))
    words: list[str] = []
    for unit, seconds in (("day", 86400), ("hour", 3600), ("minute", 60), ("second", 1)):
        count, left = divmod(left, seconds)
        if count or words:
            words.append(counted(count, unit) if count else "")
    return " ".join(filter(None, words[:2]))


def percent(share: float) -> str:
    """Give a share in words, without its sign: `45 %`."""
    return f"{100 * abs(share):.0f} %"


def typed(place: object) -> str:
    """Give a path as it is typed into a command: in quotation marks where it needs them.

    >>> typed("my class")
    '"my class"'
    """
    text = str(place)
    return text if _PLAIN.fullmatch(text) else f'"{text}"'


def trial_name(recordings: Sequence[Recording], trial: int) -> str:
    """Name a trial by tug and seed, as a learner can run it: `tug 94, seed=6: `; "" if alone."""
    if len(recordings) == 1:
        return ""
    recording = recordings[trial]
    seed = f", seed={recording.seed}" if recording.seed else ""
    return f"tug {recording.serial}{seed}: "


def named_trials(recordings: Sequence[Recording]) -> Iterator[tuple[str, Recording]]:
    """Go through the trials, each with its name to put before what was seen in it."""
    for k, recording in enumerate(recordings):
        yield trial_name(recordings, k), recording
