"""Evidence of mistakes in reading and calibrating the line eyes, read from recordings.

A function here gives the evidence in words, or None where the mistake was not made.
"""

from __future__ import annotations

import itertools
import math
import re
from collections.abc import Callable, Sequence
from typing import NamedTuple

from robotsim import Recording

from ...readings.line import EYE_PINS, SEEN, TOP_COUNT, course, looks, round_s, true_counts

__all__ = [
    "alike",
    "each",
    "fixed",
    "motors",
    "never_kept",
    "no_lines",
    "no_sleep",
    "not_extreme",
    "not_read",
    "off_line",
    "one_not_read",
    "read_once",
    "reported",
    "reported_in_wrong_order",
    "saturated",
    "scale_u16",
    "slow_loop",
    "small_swing",
    "swapped",
    "was_read",
]

Recordings = Sequence[Recording]
Look = Callable[[Recordings], str | None]

_LINE = re.compile(
    r"eye\s*(\d)\D*?white\s*\D?\s*(\d+(?:\.\d+)?)\D+?black\s*\D?\s*(\d+(?:\.\d+)?)", re.IGNORECASE
)
_NOISE = 25.0
"""Counts by which a mean or a filtered value may lie outside an eye's readings."""


def each(look: Callable[[Recording], str | None]) -> Look:
    """Look at each recording in turn; the first that gives evidence counts."""

    def first(recordings: Recordings) -> str | None:
        for recording in recordings:
            evidence = look(recording)
            if evidence:
                where = "" if recording.seed == 0 else f"with seed={recording.seed} "
                return where + evidence
        return None

    return first


def motors(sides: Sequence[str]) -> str:
    """Name one motor or both."""
    return "both motors" if len(sides) == 2 else f"the {sides[0]} motor"


# -- what was reported -------------------------------------------------------


class Report(NamedTuple):
    """What a program printed of one eye."""

    white: float
    black: float


def reported(recording: Recording) -> dict[int, Report]:
    """Give what was printed as `eye 0 white 812 black 2730`; the last line of an eye counts."""
    found: dict[int, Report] = {}
    for _, text in recording.printed:
        for eye, white, black in _LINE.findall(text):
            if int(eye) < len(EYE_PINS):
                found[int(eye)] = Report(float(white), float(black))
    return found


def was_read(recording: Recording, eye: int, number: float) -> bool:
    """Tell whether an eye's readings came to a number, give or take some noise."""
    counts = [look.value for look in looks(recording, eye)]
    return bool(counts) and min(counts) - _NOISE <= number <= max(counts) + _NOISE


def no_lines(recording: Recording) -> str | None:
    """Nothing printed in the form that was agreed."""
    found = reported(recording)
    if len(found) == len(EYE_PINS):
        return None
    lines = [text for _, text in recording.printed]
    shown = f"; the first line printed was {lines[0][:60]!r}" if lines else ""
    return f"{len(found)} of 4 eyes were reported as `eye 0 white 812 black 2730`{shown}"


def scale_u16(recording: Recording) -> str | None:
    """Counts reported on the scale of read_u16()."""
    numbers = [n for report in reported(recording).values() for n in report]
    if numbers and max(numbers) > TOP_COUNT:
        return f"{max(numbers):g} was reported, and read() counts only to {TOP_COUNT}"
    return None


def swapped(recording: Recording) -> str | None:
    """Black reported as white."""
    found = reported(recording)
    if found and all(
        report.white > report.black and all(was_read(recording, eye, number) for number in report)
        for eye, report in found.items()
    ):
        eye, report = next(iter(found.items()))
        return f"eye {eye} was reported with white {report.white:g} above black {report.black:g}"
    return None


def alike(recording: Recording) -> str | None:
    """The same numbers for all eyes of a tug whose eyes differ."""
    found = reported(recording)
    truth = true_counts(recording.table, recording.seed, recording.serial)
    if len(found) == 4 and len(set(found.values())) == 1:
        spread = max(truth.white) - min(truth.white)
        if spread > 60:
            return (
                f"all four eyes were reported as {found[0].white:g} and {found[0].black:g}, "
                f"but over the paper they read {min(truth.white):.0f} to {max(truth.white):.0f}"
            )
    return None


def fixed(recording: Recording) -> str | None:
    """Numbers that the eyes never read in that run."""
    for eye, report in reported(recording).items():
        for name, number in zip(report._fields, report, strict=True):
            if not was_read(recording, eye, number):
                counts = [look.value for look in looks(recording, eye)]
                span = f"read {min(counts)} to {max(counts)}" if counts else "was never read"
                return f"eye {eye}: {name} {number:g} was reported, but the eye {span}"
    return None


def reported_in_wrong_order(recording: Recording) -> str | None:
    """Each eye reported with another's numbers."""
    found = reported(recording)
    if len(found) < 4:
        return None
    truth = true_counts(recording.table, recording.seed, recording.serial)

    def misfit(order: Sequence[int]) -> float:
        return sum(abs(found[k].white - truth.white[order[k]]) for k in range(4))

    best = min(itertools.permutations(range(4)), key=misfit)
    if misfit(range(4)) > 200 and misfit(best) < 0.3 * misfit(range(4)):
        return "the numbers fit the eyes in the order " + ", ".join(map(str, best))
    return None


def never_kept(recording: Recording) -> str | None:
    """Numbers with which the lists begin, still there when they were printed."""
    for eye, (white, black) in reported(recording).items():
        kept = [f"white {white:g}"] * (white in (0, TOP_COUNT))
        kept += [f"black {black:g}"] * (black in (0, TOP_COUNT))
        if kept and looks(recording, eye):
            return f"eye {eye} was reported with {' and '.join(kept)}, which no eye reads"
    return None


def not_extreme(recording: Recording) -> str | None:
    """Numbers from among the readings, but neither the lowest nor the highest."""
    for eye, report in reported(recording).items():
        counts = [look.value for look in looks(recording, eye)]
        if counts and max(counts) - min(counts) > 500:
            if report.white - min(counts) > 150 or max(counts) - report.black > 150:
                return (
                    f"eye {eye} was reported as {report.white:g} and {report.black:g}, though it "
                    f"had read {min(counts)} to {max(counts)}"
                )
    return None


def small_swing(recording: Recording) -> str | None:
    """Eyes that never came over one of the two grounds."""
    truth = true_counts(recording.table, recording.seed, recording.serial)
    heads = recording.tracks["heading"]
    swing = f"it turned {math.degrees(heads[0] - min(heads)):.0f} degrees to starboard and "
    swing += f"{math.degrees(max(heads) - heads[0]):.0f} to port"
    for eye in range(4):
        counts = [look.value for look in looks(recording, eye)]
        if counts and max(counts) < truth.black[eye] - 60:
            return f"eye {eye} was never over the line: {swing}"
        if counts and min(counts) > truth.white[eye] + 60:
            return f"eye {eye} was never over the paper alone: {swing}"
    return None


def off_line(recording: Recording) -> str | None:
    """Left standing beside the line."""
    aside = abs(course(recording).aside[-1])
    return f"the row of eyes ended {1000 * aside:.0f} mm off the line" if aside > SEEN else None


# -- reading the eyes --------------------------------------------------------


def not_read(recording: Recording) -> str | None:
    """Eyes that were never read."""
    if any(looks(recording, eye) for eye in range(4)):
        return None
    pins = {event.data[0] for event in recording.of("adc")}
    other = f"; read were the pins {sorted(pins)}" if pins else ""
    return f"none of the pins 36, 39, 34, 35 was ever read as an ADC{other}"


def one_not_read(recording: Recording) -> str | None:
    """An eye that was never read, while others were."""
    pins = sorted({event.data[0] for event in recording.of("adc")})
    missing = [eye for eye in range(4) if not looks(recording, eye)]
    if not pins or not missing:
        return None
    eye = f"eye {missing[0]}, pin {EYE_PINS[missing[0]]}"
    return f"{eye}, was never read; read were the pins {pins}"


def saturated(recording: Recording) -> str | None:
    """Readings at the top of the scale, which 11 dB never gives."""
    for eye in range(4):
        counts = [look.value for look in looks(recording, eye)]
        top = sum(count == TOP_COUNT for count in counts)
        if top > 0.05 * len(counts):
            return (
                f"eye {eye} read {TOP_COUNT}, the top of the scale, "
                f"in {100 * top / len(counts):.0f} % of its readings"
            )
    return None


def read_once(recording: Recording) -> str | None:
    """Eyes read at first, and no more while the tug drives on."""
    reads = [look.time for eye in range(4) for look in looks(recording, eye)]
    went, t = course(recording), recording.tracks["t"]
    moving = [k for k in range(len(t)) if abs(went.drive[k]) > 0.05 or abs(went.steer[k]) > 0.05]
    if not reads or not went.steering:
        most = max((len(looks(recording, eye)) for eye in range(4)), default=0)
        return f"no eye was read more than {most} times" if 0 < most <= 3 else None
    last = max(reads)
    drove_on = t[moving[-1]] - last
    if drove_on > 0.5 and last < t[went.steering[0]] + 0.3:
        return f"the last reading was at {last:.2f} s, and the tug drove on for {drove_on:.1f} s"
    return None


def slow_loop(recording: Recording) -> str | None:
    """Too long from one look to the next."""
    went = course(recording)
    usual = round_s(recording)
    if usual is None or usual < 0.1:
        return None
    speed = max(went.metres / went.seconds, 0.05) if went.seconds > 0 else 0.05
    return (
        f"an eye is read every {1000 * usual:.0f} ms: at {speed:.2f} m/s the tug goes "
        f"{1000 * usual * speed:.0f} mm blind"
    )


def no_sleep(recording: Recording) -> str | None:
    """A counted loop that is over in no time."""
    most = max((looks(recording, eye) for eye in range(4)), key=len)
    ended = recording.ended_ns / 1e9
    usual = (most[-1].time - most[0].time) / (len(most) - 1) if len(most) > 10 else 1.0
    if usual < 0.002 and recording.ended == "finished" and ended < 3.0:
        return f"the loop looked every {1000 * usual:.1f} ms and was over after {ended:.2f} s"
    return None
