"""Evidence of mistakes in printed rates: each is put beside the bytes from which it was made.

A function here gives the evidence in words, or None where the mistake was not made.
"""

from __future__ import annotations

import statistics
from collections.abc import Callable, Sequence
from typing import NamedTuple

from robotsim import Recording

from ...readings.sensors import PER_DEG, Sample, bus, said, true_rate
from .evidence import SCALES, TURNING, first_of

__all__ = [
    "Compared",
    "bias_printed",
    "compared",
    "few_lines",
    "made_up",
    "none_at_rest",
    "offset",
    "said_is",
    "scaled",
    "sign_lost",
    "stale",
    "unmoved",
]

Recordings = Sequence[Recording]

_FRESH_S = 0.3
_OFFSET = 0.4
"""Rate in deg/s at rest above which what was taken off was not the bias."""
_STEADY_S, _STEADY = 0.08, 6.0
_KEPT: list[tuple[Recording, list[Compared]]] = []


class Compared(NamedTuple):
    """A printed rate beside what was read and what was true.

    Attributes:
        time: When it was printed, in s.
        said: The printed number.
        true: The true rate in deg/s when the sensor was last read before.
        steady: Whether the rate had hardly changed for a while.
        sample: That reading.
        recent: All readings since the line before, that one included.
    """

    time: float
    said: float
    true: float
    steady: bool
    sample: Sample
    recent: Sequence[Sample]


def compared(recording: Recording) -> list[Compared]:
    """Put each printed rate beside the last reading before it, if that is fresh."""
    for known, kept in _KEPT:
        if known is recording:
            return kept
    found = []
    begin = 0.0
    for line in said(recording, "rate"):
        sample = bus(recording).before(line.time)
        recent, begin = bus(recording).between(begin, line.time), line.time
        if sample is None or line.time - sample.time > _FRESH_S:
            continue
        true = true_rate(recording, sample.time)
        before = true_rate(recording, max(sample.time - _STEADY_S, 0.0))
        steady = abs(true - before) < _STEADY
        found.append(Compared(line.time, line.value, true, steady, sample, recent))
    _KEPT.append((recording, found))
    del _KEPT[:-4]
    return found


class Fit(NamedTuple):
    """Printed = slope x number + offset, and how much of the printed it leaves unexplained."""

    slope: float
    offset: float
    rest: float


def _fit(xs: Sequence[float], ys: Sequence[float]) -> Fit | None:
    if len(xs) < 6 or statistics.pstdev(xs) == 0 or statistics.pstdev(ys) == 0:
        return None
    slope, offset = statistics.linear_regression(xs, ys)
    rest = [y - slope * x - offset for x, y in zip(xs, ys, strict=True)]
    return Fit(slope, offset, statistics.pstdev(rest) / statistics.pstdev(ys))


_EXACT = 0.03
"""A fit that leaves no more unexplained than this tells how the number was made."""


def fitted(recording: Recording, what: Callable[[Sample], float]) -> Fit | None:
    """Tell how the printed rates follow from a number made of each reading's bytes.

    Tried with the last reading before each line, and with the mean of all since the line before.
    """
    lines = compared(recording)
    ys = [c.said for c in lines]
    last = _fit([what(c.sample) for c in lines], ys)
    mean = _fit([statistics.fmean(map(what, c.recent)) for c in lines if c.recent], ys)
    fits = [fit for fit in (last, mean) if fit]
    return min(fits, key=lambda fit: fit.rest, default=None)


def said_is(what: Callable[[Sample], float], name: str) -> Callable[[Recordings], str | None]:
    """Make a look for rates that came of the bytes in a wrong way."""

    def look(recording: Recording) -> str | None:
        right, wrong = fitted(recording, lambda s: s.raw), fitted(recording, what)
        if not wrong or wrong.rest > _EXACT or (right and right.rest <= 2 * wrong.rest):
            return None
        lines = compared(recording)
        worst = max(lines, key=lambda c: abs(c.said - c.true))
        sample = worst.sample
        return (
            f"at {worst.time:.2f} s the bytes were 0x{sample.high:02x} 0x{sample.low:02x}, which "
            f"is {sample.raw}; the printed {worst.said:.1f} follows if they are {name}"
        )

    return lambda recordings: first_of(look, recordings)


def _share(recording: Recording) -> tuple[float, float] | None:
    """Give (printed deg/s for each deg/s read, printed at a reading of 0)."""
    fit = fitted(recording, lambda s: s.raw / s.lsb)
    return (fit.slope, fit.offset) if fit and fit.rest < _EXACT else None


def scaled(kind: str) -> Callable[[Recordings], str | None]:
    """Make a look for rates that are wrong by a factor: range, radians, raw or sign."""

    def look(recording: Recording) -> str | None:
        got = _share(recording)
        if got is None:
            return None
        slope, _ = got
        lsb = bus(recording).samples[-1].lsb
        lines = [c for c in compared(recording) if abs(c.true) > TURNING]
        where = lines[len(lines) // 2] if lines else compared(recording)[0]
        shown = f"printed {where.said:.4g} where it turned at {where.true:.1f} deg/s"
        if kind == "sign":
            return shown if -1.1 < slope < -0.9 else None
        size = abs(slope)
        if kind == "radians":
            near = abs(size / PER_DEG - 1) < 0.1 or abs(size * PER_DEG - 1) < 0.1
            return f"{shown}: off by a factor of 57.3, that is 180/pi" if near else None
        if kind == "raw":
            return shown if abs(size / lsb - 1) < 0.1 else None
        factor = next((f for f in SCALES if abs(size / f - 1) < 0.06), None)
        if factor:
            return f"{shown}: {SCALES[factor]} the true rate; this range has {lsb:g} a deg/s"
        return f"{shown}: {size:.2f} times the true rate" if abs(size - 1) > 0.06 else None

    return lambda recordings: first_of(look, recordings)


def bias_printed(recordings: Recordings) -> str | None:
    """Rates from which the bias was not taken off, or taken wrongly."""

    def look(recording: Recording) -> str | None:
        got, bias = _share(recording), bus(recording).bias(recording)
        lines = [c for c in compared(recording) if abs(c.true) < 0.1]
        if not lines or bias is None or abs(bias) < 1.0:
            return None
        value = statistics.median(c.said for c in lines)
        slope = got[0] if got else 1.0
        for times, words in ((1.0, "that is its bias"), (2.0, "twice its bias: added, not taken")):
            if abs(value - times * slope * bias) < 0.25 * abs(slope * bias):
                return f"at rest it printed {value:.1f}; the sensor showed {bias:.1f}, {words}"
        return None

    return first_of(look, recordings)


def _unmoved(recording: Recording, fresh: bool) -> str | None:
    """Tell of printed rates that hardly differ although the tug turned at quite different ones."""
    lines = said(recording, "rate")
    values = [line.value for line in lines]
    true = [true_rate(recording, line.time) for line in lines]
    if len(values) < 6 or max(true) - min(true) < 60 or max(values) - min(values) > 2.0:
        return None
    count = len(bus(recording).between(lines[0].time, lines[-1].time))
    if fresh != (count >= len(lines) // 2):
        return None
    return (
        f"the {len(values)} printed rates lay between {min(values):.1f} and {max(values):.1f} "
        f"while it turned at up to {max(map(abs, true)):.0f} deg/s; in that time the rate was "
        f"read {count} times"
    )


def stale(recordings: Recordings) -> str | None:
    """The same number again and again, and no new readings."""

    def look(recording: Recording) -> str | None:
        return _unmoved(recording, fresh=False) or _seldom_read(recording)

    return first_of(look, recordings)


def _seldom_read(recording: Recording) -> str | None:
    lines = said(recording, "rate")
    if len(lines) < 6:
        return None
    count = len(bus(recording).between(lines[0].time, lines[-1].time))
    if count >= len(lines) // 2:
        return None
    return f"{len(lines)} rates were printed, and meanwhile the rate was read {count} times"


def unmoved(recordings: Recordings) -> str | None:
    """New readings, and rates that do not follow the turning: those of another axis."""
    return first_of(lambda recording: _unmoved(recording, fresh=True), recordings)


def none_at_rest(recordings: Recordings) -> str | None:
    """Rates that were printed only while it turned."""

    def look(recording: Recording) -> str | None:
        lines = compared(recording)
        still = [c for c in lines if abs(c.true) < 0.1]
        if lines and len(still) < 3:
            return f"of {len(lines)} printed rates {len(still)} were printed at rest"
        return None

    return first_of(look, recordings)


def made_up(recordings: Recordings) -> str | None:
    """A few numbers that come again and again, while the readings all differ."""

    def look(recording: Recording) -> str | None:
        lines = compared(recording)
        told = {c.said for c in lines}
        read = {c.sample.raw for c in lines}
        if len(lines) < 12 or len(told) > 4 or len(read) < 3 * len(told):
            return None
        shown = ", ".join(f"{value:.4g}" for value in sorted(told))
        return (
            f"before its {len(lines)} lines the sensor gave {len(read)} different numbers, and "
            f"printed were only {shown}"
        )

    return first_of(look, recordings)


def offset(recordings: Recordings) -> str | None:
    """Rates that are all wrong by the same number, which is not the bias."""

    def look(recording: Recording) -> str | None:
        got, bias = _share(recording), bus(recording).bias(recording)
        lines = [c for c in compared(recording) if abs(c.true) < 0.1]
        if got is None or bias is None or not lines or abs(got[0] - 1) > 0.06:
            return None
        value = statistics.median(c.said for c in lines)
        if abs(value) < _OFFSET:
            return None
        taken = bias - value
        return (
            f"at rest it printed {value:.1f} where the sensor showed {bias:.1f}: what was taken "
            f"off is {taken:.1f}"
        )

    return first_of(look, recordings)


def sign_lost(recordings: Recordings) -> str | None:
    """Rates that are right, but above 0 to both sides."""

    def look(recording: Recording) -> str | None:
        lines = [c for c in compared(recording) if abs(c.true) > TURNING and c.steady]
        back = [c for c in lines if c.true < 0]
        if len(back) < 3 or any(abs(c.said - abs(c.true)) > 0.1 * abs(c.true) for c in lines):
            return None
        one = back[0]
        return f"at {one.time:.2f} s it printed {one.said:.1f} where it was {one.true:.1f} deg/s"

    return first_of(look, recordings)


def few_lines(recordings: Recordings) -> str | None:
    """Too few rates to judge a turn by."""

    def look(recording: Recording) -> str | None:
        told = said(recording, "rate")
        if not 2 <= len(told) <= 20:
            return None
        gap = statistics.median(b.time - a.time for a, b in zip(told, told[1:], strict=False))
        return f"{len(told)} lines, one every {gap:.2f} s" if gap > 0.25 else None

    return first_of(look, recordings)
