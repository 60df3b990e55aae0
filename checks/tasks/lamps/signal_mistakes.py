"""Known mistakes of the task `lamps.signal`, with what to try."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from statistics import median

from robotsim import LAMPS, Recording

from ...readings.light import DARK, Lit, counted, flashing, history, slept_through, told, white
from ...task import Mistake
from .beat import (
    BEGIN,
    LATE_FULL,
    LINE,
    MAST,
    PATTERN,
    STERN,
    STERN_FLASHES,
    STERN_PATTERN,
    fit,
    flashes,
    lateness,
    starts,
)

__all__ = ["MISTAKES"]

_OFF, _OFF_SHARE = 0.03, 0.04
"""A length that is off by more, in s and of itself, each time it comes, is not the one asked."""
_WAIT = 0.015
"""Who waits longer than this, s, at one go sees moments go by."""


def _signals(recording: Recording) -> bool:
    """Say whether the mast gives its signal, more or less."""
    return fit(flashes(recording, MAST), PATTERN, 15) > 0.8


def _wait(recording: Recording) -> float:
    """Give the longest wait at one go, in s, that the program has made three times or more."""
    waits = Counter(event.data[0] for event in recording.of("sleep"))
    return max((wait for wait, times in waits.items() if times >= 3), default=0) / 1e9


def _other_lamp(recordings: Sequence[Recording]) -> str | None:
    (recording,) = recordings
    if _signals(recording):
        return None
    for lamp, name in enumerate(LAMPS):
        if lamp != MAST and fit(flashes(recording, lamp), PATTERN, 15) > 0.8:
            return f"the {name} lamp (lamp {lamp}) gives the signal, not the mast (lamp {MAST})"
    return None


def _too_fast(recordings: Sequence[Recording]) -> str | None:
    (recording,) = recordings
    for lamp, name in enumerate(LAMPS):
        worst = flashing(history(recording, lamp))
        if worst.most > 3:
            return f"the {name} lamp flashes {worst.most} times in the second from {worst.at:.2f} s"
    return None


def _wrong_scale(recordings: Sequence[Recording]) -> str | None:
    lights = flashes(recordings[0], MAST)
    if not lights or not (lights[0].length < 0.03 or lights[0].length > 3.0):
        return None
    length = lights[0].length
    return f"the first flash lasts {length:.{1 if length > 1 else 4}f} s instead of 0.3 s"


def _every_pass(recordings: Sequence[Recording]) -> str | None:
    """Tell a moment that has always come: the lamp changes with each round of the loop."""
    steps = history(recordings[0], MAST)[1:40]
    gaps = [b.time - a.time for a, b in zip(steps, steps[1:], strict=False)]
    if len(gaps) > 20 and max(gaps) < 0.05 and max(gaps) < 1.9 * min(gaps):
        return f"the mast changes at every pass of the loop, every {1000 * max(gaps):.0f} ms"
    return None


def _stays_lit(recordings: Sequence[Recording]) -> str | None:
    (recording,) = recordings
    lights = flashes(recording, MAST)
    if len(lights) != 1 or slept_through(recording) or len(flashes(recording, STERN)) < 2:
        return None
    if lights[0].end == recording.seconds and lights[0].length > 3.0:
        return f"the mast comes on at {lights[0].begin:.2f} s and never goes dark again"
    return None


def _exchanged(recordings: Sequence[Recording]) -> str | None:
    pattern = ((0.3, 0.3), (0.3, 0.9), (1.9, 0.3))
    if fit(flashes(recordings[0], MAST), pattern, 15) > 0.8:
        return "the mast is lit for 1.9 s and dark for 0.9 s"
    return None


def _sent_by_the_other(recordings: Sequence[Recording]) -> str | None:
    """Tell a lamp whose changes go out only with some of those of the other."""
    (recording,) = recordings
    if _too_fast(recordings):
        return None
    mast, stern = (history(recording, lamp)[1:] for lamp in (MAST, STERN))
    for name, own, other in (("mast", mast, stern), ("stern", stern, mast)):
        moments = {round(step.time, 3) for step in other}
        tied = len(own) >= 4 and all(round(step.time, 3) in moments for step in own)
        if tied and len(own) < 0.9 * len(other):
            return f"the {name} changes only at moments at which the other lamp does"
    return None


def _tied(recordings: Sequence[Recording]) -> str | None:
    """Tell a lamp that goes dark with the other one, although the loop waits for neither."""
    (recording,) = recordings
    if _wait(recording) >= _WAIT or _too_fast(recordings):
        return None
    for own, other in ((MAST, STERN), (STERN, MAST)):
        moments = {round(step.time, 3) for step in history(recording, other)[1:]}
        dark = [s for s in history(recording, own)[1:] if s.colour == DARK]
        together = sum(round(step.time, 3) in moments for step in dark)
        if together >= 4:
            return (
                f"the {LAMPS[own]} lamp goes dark {together} times "
                f"at the very moment at which the {LAMPS[other]} lamp changes"
            )
    return None


def _stern_elsewhere(recordings: Sequence[Recording]) -> str | None:
    (recording,) = recordings
    for lamp, name in enumerate(LAMPS):
        if lamp in (MAST, STERN) or len(flashes(recording, STERN)) > 1:
            continue
        if fit(flashes(recording, lamp), STERN_PATTERN, STERN_FLASHES) > 0.8:
            return f"the {name} lamp (lamp {lamp}) blinks in place of the stern (lamp {STERN})"
    return None


def _once(recordings: Sequence[Recording]) -> str | None:
    lights = flashes(recordings[0], MAST)
    if 0 < len(lights) <= 4 and fit(lights, PATTERN, 3) > 0.6:
        return f"the mast gives {counted(len(lights), 'flash')}, then no more"
    return None


def _ends_early(recordings: Sequence[Recording]) -> str | None:
    (recording,) = recordings
    times = [step.time for step in history(recording, MAST)]
    stands = [b - a for a, b in zip(times, times[1:], strict=False)]
    rest = recording.seconds - times[-1]
    if len(stands) > 8 and rest > max(2.5, 2 * max(stands)):
        return f"after {times[-1]:.1f} s the mast does not change any more"
    return None


def _stern_stuck(recordings: Sequence[Recording]) -> str | None:
    """Tell a stern lamp that waits for the mast's signal: never still for long, had it its own."""
    (recording,) = recordings
    steps = history(recording, STERN)
    if len(steps) < 2 or len(flashes(recording, MAST)) < 4:
        return None
    times = [step.time for step in steps[1:]]
    stands = [b - a for a, b in zip(times, [*times[1:], recording.seconds], strict=True)]
    if max(stands) > 1.5:
        return f"the stern lamp does not change for {max(stands):.2f} s while the mast is busy"
    return None


def _mast_stuck(recordings: Sequence[Recording]) -> str | None:
    pauses = _pauses(flashes(recordings[0], MAST))
    if len(pauses) >= 3 and max(pauses) > 2.5:
        return f"the mast stays dark for {max(pauses):.2f} s between two signals"
    return None


def _no_mast(recordings: Sequence[Recording]) -> str | None:
    (recording,) = recordings
    if not flashes(recording, MAST) and len(flashes(recording, STERN)) > 1:
        return "the mast lamp stays dark, while the stern lamp blinks"
    return None


def _no_stern(recordings: Sequence[Recording]) -> str | None:
    (recording,) = recordings
    if flashes(recording, MAST) and len(flashes(recording, STERN)) < 2:
        changes = len(history(recording, STERN)) - 1
        return f"it changes {changes} times in the whole trial" if changes else "it stays dark"
    return None


def _pauses(lights: Sequence[Lit]) -> list[float]:
    return [b.begin - a.end for a, b in zip(lights, lights[1:], strict=False)]


def _other(length: float, asked: float) -> bool:
    return abs(length - asked) > max(_OFF, _OFF_SHARE * asked)


def _mast_lengths(recordings: Sequence[Recording]) -> str | None:
    """Tell a length that is wrong each time from moments that were missed by waiting."""
    (recording,) = recordings
    lights = flashes(recording, MAST)
    if len(lights) < 9 or _wait(recording) >= _WAIT:
        return None
    pauses = _pauses(lights)
    for k, (lit, dark) in enumerate(PATTERN):
        long = median(light.length for light in lights[k:-1:3])
        if _other(long, lit):
            return f"flash {k + 1} of the mast's signal lasts {long:.2f} s instead of {lit} s"
        long = median(pauses[k::3])
        if _other(long, dark):
            return f"after flash {k + 1} the mast is dark for {long:.2f} s instead of {dark} s"
    return None


def _stern_lengths(recordings: Sequence[Recording]) -> str | None:
    (recording,) = recordings
    lights = flashes(recording, STERN)
    ((lit, dark),) = STERN_PATTERN
    lengths = ([light.length for light in lights[:-1]], _pauses(lights))
    if (
        len(lights) < 5
        or _wait(recording) >= _WAIT
        or any(max(some) - min(some) > 0.05 for some in lengths)
    ):
        return None
    long, off = map(median, lengths)
    if not (_other(long, lit) or _other(off, dark)):
        return None
    return f"the stern is lit for {long:.2f} s and dark for {off:.2f} s each time"


def _drift(recordings: Sequence[Recording]) -> str | None:
    (recording,) = recordings
    late = lateness(recording)
    if len(late) < 4:
        return None
    gaps = [b - a for a, b in zip(late, late[1:], strict=False)]
    grows = all(gap > 0 for gap in gaps) or all(gap < 0 for gap in gaps)
    if grows and abs(late[-1]) > LATE_FULL:
        each = late[-1] / len(gaps)
        return (
            f"each signal takes {1000 * abs(each):.1f} ms too {'long' if each > 0 else 'short'}; "
            f"signal {len(late)} is off by {1000 * abs(late[-1]):.0f} ms"
        )
    return None


def _seldom(recordings: Sequence[Recording]) -> str | None:
    wait = _wait(recordings[0])
    return f"the program waits for {1000 * wait:.0f} ms at one go" if wait >= _WAIT else None


def _late_begin(recordings: Sequence[Recording]) -> str | None:
    begun = starts(recordings[0])
    if begun and begun[0] > BEGIN:
        return f"the first signal starts at {begun[0]:.2f} s"
    return None


def _left_on(recordings: Sequence[Recording]) -> str | None:
    (recording,) = recordings
    others = [name for lamp, name in enumerate(LAMPS) if lamp not in (MAST, STERN)]
    on = [name for name in others if len(history(recording, LAMPS.index(name))) > 1]
    return f"lit as well: {', '.join(on)}" if on else None


def _not_white(recordings: Sequence[Recording]) -> str | None:
    (recording,) = recordings
    for lamp in (MAST, STERN):
        for step in history(recording, lamp):
            if step.colour != DARK and not white(step.colour):
                return f"the {LAMPS[lamp]} lamp shows {told(step.colour)}"
    return None


def _no_log(recordings: Sequence[Recording]) -> str | None:
    (recording,) = recordings
    lines = [(t, int(found[1])) for t, x in recording.printed if (found := LINE.fullmatch(x))]
    begun = starts(recording)
    if begun and len(lines) != len(begun):
        return f"{counted(len(lines), 'line')} of the log for {counted(len(begun), 'signal')}"
    for k, ((time, number), start) in enumerate(zip(lines, begun, strict=False)):
        if number != k + 1:
            return f"line {k + 1} of the log says signal {number}"
        if abs(time - start) >= 0.1:
            return f"signal {number} starts at {start:.2f} s, and is in the log at {time:.2f} s"
    return None


_DARK_LAMP = "give it its own moments in the same loop."
MISTAKES = (
    Mistake(
        "the signal is on the wrong lamp",
        "counted from 0 the mast is np[2] and the stern np[3].",
        lambda recordings: _other_lamp(recordings) or _stern_elsewhere(recordings),
    ),
    Mistake(
        "on and off exchanged",
        "at the places 0, 2 and 4 of the lengths the mast goes on, at 1, 3 and 5 off.",
        _exchanged,
    ),
    Mistake(
        "the signals stop too early",
        "put them into a loop without end: while True.",
        lambda recordings: _once(recordings) or _ends_early(recordings),
    ),
    Mistake(
        "write() forgotten for one lamp",
        "after each np[...] = ... comes an np.write(), for the mast and for the stern.",
        _sent_by_the_other,
    ),
    Mistake(
        "the clock is asked the wrong way round",
        "ticks_diff(later, earlier): first now, then the moment of the next change; "
        "0 or more says that the moment has come.",
        _every_pass,
    ),
    Mistake(
        "one lamp's change puts the other out",
        "at the mast's moments set np[2] alone, at the stern's np[3] alone; fill() sets both.",
        _tied,
    ),
    Mistake(
        "the mast stays lit",
        "each time its moment has come, the place in LENGTHS must move on as well: "
        "place = (place + 1) % 6.",
        _stays_lit,
    ),
    Mistake(
        "seconds and milliseconds mixed up",
        "ticks_ms() and sleep_ms() count in milliseconds: 0.3 s is 300.",
        _wrong_scale,
    ),
    Mistake(
        "flashes more than three times a second",
        "leave at least a third of a second from one flash to the next.",
        _too_fast,
    ),
    Mistake("the mast lamp does not signal", _DARK_LAMP, _no_mast),
    Mistake("the stern lamp does not blink", _DARK_LAMP, _no_stern),
    Mistake(
        "a length is not the one asked",
        "mast: 0.3 s on, 0.3 off, 0.3 on, 0.3 off, 0.9 on, 1.9 off; stern: 0.75 on, 0.75 off.",
        lambda recordings: _mast_lengths(recordings) or _stern_lengths(recordings),
    ),
    Mistake(
        "one lamp waits for the other",
        "no long sleep: go round a loop every 5 to 10 ms, and ask the clock what each lamp "
        "should show now.",
        lambda recordings: _stern_stuck(recordings) or _mast_stuck(recordings),
    ),
    Mistake(
        "time drifts",
        "waits add up with the time that the rest of the loop takes. Count from one moment: "
        "next = time.ticks_add(next, 4000), or ticks_diff(now, start) % 4000. If you do so "
        "already, look at the clock more often: every 5 to 10 ms.",
        _drift,
    ),
    Mistake(
        "too long a wait in the loop",
        "while it waits no lamp can change: look at the clock every 5 to 10 ms, and let neither "
        "lamp's part sleep.",
        _seldom,
    ),
    Mistake("it begins too late", "the first signal starts within half a second.", _late_begin),
    Mistake("other lamps left on", "set only np[2] and np[3].", _left_on),
    Mistake("not white", "white is red, green and blue in equal parts.", _not_white),
    Mistake(
        "the log does not go with the signals",
        'print "signal 1: two short, one long" once, as the first flash starts; then 2, and so on.',
        _no_log,
    ),
)
