"""Task `lamps.signal`: a signal that keeps time while another lamp blinks by itself."""

from __future__ import annotations

import re
from collections.abc import Sequence

from robotsim import LAMPS, Recording

from ..light import DARK, SLIPS, Lit, counted, flashing, history, lit, slept_through, told, white
from ..task import Criterion, Finding, Mistake, Run, Task, share

__all__ = ["SIGNAL"]

_SECONDS = 21.0
_MAST, _STERN = 2, 3
_PERIOD = 4.0
_PATTERN = ((0.3, 0.3), (0.3, 0.3), (0.9, 1.9))
"""Lit and dark of each of the mast's three flashes, s: two short, one long, then a rest."""
_SIGNALS = 5
"""Signals that fit into the trial from end to end; the sixth only begins."""
_STERN_LIT, _STERN_PERIOD = 0.75, 1.5
_STERN_FLASHES = 13
_LATE_FULL, _LATE_NONE = 0.015, 0.3
_LINE = re.compile(r"\s*signal\s+(\d+)\s*:\s*two short,\s*one long\W*", re.IGNORECASE)


def _flashes(recording: Recording, lamp: int) -> list[Lit]:
    return lit(history(recording, lamp), recording.seconds)


def _starts(recording: Recording) -> list[float]:
    """Give when each signal starts: every third flash of the mast, s."""
    return [flash.begin for flash in _flashes(recording, _MAST)[:: len(_PATTERN)]]


def _fit(flashes: Sequence[Lit], pattern: Sequence[tuple[float, float]], asked: int) -> float:
    """Give the share of flashes and pauses that have their length, 0 to 1."""
    earned = 0.0
    for k, flash in enumerate(flashes):
        light, dark = pattern[k % len(pattern)]
        earned += share(abs(flash.length - light), full=0.06, none=0.15)
        if k + 1 < len(flashes):
            pause = flashes[k + 1].begin - flash.end
            earned += share(abs(pause - dark), full=0.06, none=0.25)
    # The last flash may be cut by the end of the trial, and no pause follows it.
    return min(1.0, earned / (2 * max(asked, len(flashes) - 1)))


def _pattern(recordings: Sequence[Recording]) -> Finding:
    (recording,) = recordings
    flashes = _flashes(recording, _MAST)
    asked = "0.3 on, 0.3 off, 0.3 on, 0.3 off, 0.9 on, 1.9 s off, five times"
    if not flashes:
        return Finding(0.0, "the mast lamp stays dark", asked)
    part = _fit(flashes, _PATTERN, _SIGNALS * len(_PATTERN))
    lengths = ", ".join(f"{flash.length:.2f}" for flash in flashes[:3])
    measured = f"{counted(len(flashes), 'flash')}, the first lit for {lengths} s"
    if part < 0.999:
        measured += f"; {100 * part:.0f} % of all lengths fit"
    # What fits by chance, one length in three or so, is no signal.
    return Finding(share(1 - part, full=0.001, none=0.7), measured, asked, flashes[0].begin)


def _late(recording: Recording) -> list[float]:
    """Give how late each signal starts, counted from the first; negative is early."""
    starts = _starts(recording)
    return [start - starts[0] - k * _PERIOD for k, start in enumerate(starts)]


def _keeps_time(recordings: Sequence[Recording]) -> Finding:
    (recording,) = recordings
    asked = f"every signal within {1000 * _LATE_FULL:.0f} ms of its moment, six starts in 20 s"
    late = _late(recording)
    if len(late) < 2:
        return Finding(0.0, f"{counted(len(late), 'signal')} in {recording.seconds:g} s", asked)
    worst = max(range(len(late)), key=lambda k: abs(late[k]))
    way = "late" if late[worst] >= 0 else "early"
    measured = f"signal {worst + 1} starts {1000 * abs(late[worst]):.0f} ms {way}"
    missing = max(0, _SIGNALS + 1 - len(late))
    if missing:
        measured += f"; {missing} of six starts missing"
    earned = share(abs(late[worst]), full=_LATE_FULL, none=_LATE_NONE)
    at = _starts(recording)[worst]
    return Finding(earned * (1 - missing / (_SIGNALS + 1)), measured, asked, at)


def _stern(recordings: Sequence[Recording]) -> Finding:
    (recording,) = recordings
    asked = "0.75 s on, 0.75 s off, all the time"
    flashes = _flashes(recording, _STERN)
    if len(flashes) < 2:
        return Finding(0.0, f"{counted(len(flashes), 'flash')} in {recording.seconds:g} s", asked)
    pattern = ((_STERN_LIT, _STERN_PERIOD - _STERN_LIT),)
    part = _fit(flashes, pattern, _STERN_FLASHES)
    lengths = sorted(flash.length for flash in flashes)
    measured = f"{len(flashes)} flashes of {lengths[0]:.2f} to {lengths[-1]:.2f} s"
    return Finding(share(1 - part, full=0.001, none=1.0), measured, asked, flashes[0].begin)


def _safe(recordings: Sequence[Recording]) -> Finding:
    (recording,) = recordings
    asked = "at most 3 in any one second (WCAG 2.3.1)"
    counts = [flashing(history(recording, lamp)) for lamp in range(len(LAMPS))]
    lamp = max(range(len(LAMPS)), key=lambda k: counts[k].most)
    worst = counts[lamp]
    measured = f"at most {worst.most} in a second, at the {LAMPS[lamp]} lamp"
    return Finding(1.0 if 0 < worst.most <= 3 else 0.0, measured, asked, worst.at)


def _colours(recordings: Sequence[Recording]) -> Finding:
    (recording,) = recordings
    shown = {
        lamp: {step.colour for step in history(recording, lamp)} - {DARK}
        for lamp in range(len(LAMPS))
    }
    wrong = [
        f"{LAMPS[lamp]} shows {told(max(colours))}"
        for lamp, colours in shown.items()
        if colours and (lamp not in (_MAST, _STERN) or not all(map(white, colours)))
    ]
    measured = "; ".join(wrong) or "mast and stern white, the others dark"
    asked = "mast and stern white when lit, the others dark"
    return Finding(1.0 - len(wrong) / len(LAMPS) if shown[_MAST] else 0.0, measured, asked)


def _log(recordings: Sequence[Recording]) -> Finding:
    (recording,) = recordings
    asked = '"signal 1: two short, one long" when the first starts, and so on'
    lines = [
        (t, int(found[1])) for t, text in recording.printed if (found := _LINE.fullmatch(text))
    ]
    starts = _starts(recording)[: _SIGNALS + 1]
    good = sum(
        any(number == k + 1 and abs(time - start) < 0.1 for time, number in lines)
        for k, start in enumerate(starts)
    )
    missed = 1 - good / (_SIGNALS + 1) + (0.5 if len(lines) > len(starts) + 1 else 0.0)
    measured = f"{good} of six lines at the right moment, {len(lines)} in all"
    return Finding(share(missed, full=0.001, none=1.0), measured, asked)


# -- known mistakes ----------------------------------------------------------


def _other_lamp(recordings: Sequence[Recording]) -> str | None:
    (recording,) = recordings
    if _fit(_flashes(recording, _MAST), _PATTERN, 15) > 0.8:
        return None
    for lamp, name in enumerate(LAMPS):
        if lamp != _MAST and _fit(_flashes(recording, lamp), _PATTERN, 15) > 0.8:
            return f"the {name} lamp (lamp {lamp}) gives the signal, not the mast (lamp {_MAST})"
    return None


def _too_fast(recordings: Sequence[Recording]) -> str | None:
    (recording,) = recordings
    for lamp, name in enumerate(LAMPS):
        worst = flashing(history(recording, lamp))
        if worst.most > 3:
            return f"the {name} lamp flashes {worst.most} times in the second from {worst.at:.2f} s"
    return None


def _wrong_scale(recordings: Sequence[Recording]) -> str | None:
    flashes = _flashes(recordings[0], _MAST)
    if not flashes or not (flashes[0].length < 0.03 or flashes[0].length > 3.0):
        return None
    length = flashes[0].length
    return f"the first flash lasts {length:.{1 if length > 1 else 4}f} s instead of 0.3 s"


def _every_pass(recordings: Sequence[Recording]) -> str | None:
    """Tell a moment that has always come: the lamp changes with each round of the loop."""
    steps = history(recordings[0], _MAST)[1:40]
    gaps = [b.time - a.time for a, b in zip(steps, steps[1:], strict=False)]
    if len(gaps) > 20 and max(gaps) < 0.05 and max(gaps) < 1.9 * min(gaps):
        return f"the mast changes at every pass of the loop, every {1000 * max(gaps):.0f} ms"
    return None


def _stays_lit(recordings: Sequence[Recording]) -> str | None:
    (recording,) = recordings
    flashes = _flashes(recording, _MAST)
    if len(flashes) != 1 or slept_through(recording) or len(_flashes(recording, _STERN)) < 2:
        return None
    if flashes[0].end == recording.seconds and flashes[0].length > 3.0:
        return f"the mast comes on at {flashes[0].begin:.2f} s and never goes dark again"
    return None


def _exchanged(recordings: Sequence[Recording]) -> str | None:
    pattern = ((0.3, 0.3), (0.3, 0.9), (1.9, 0.3))
    if _fit(_flashes(recordings[0], _MAST), pattern, 15) > 0.8:
        return "the mast is lit for 1.9 s and dark for 0.9 s"
    return None


def _sent_by_the_other(recordings: Sequence[Recording]) -> str | None:
    """Tell a lamp whose changes go out only with those of the other."""
    (recording,) = recordings
    if _fit(_flashes(recording, _MAST), _PATTERN, 15) > 0.8:
        return None
    mast, stern = (history(recording, lamp)[1:] for lamp in (_MAST, _STERN))
    moments = {round(step.time, 3) for step in stern}
    if len(mast) >= 4 and all(round(step.time, 3) in moments for step in mast):
        return "the mast changes only at the moments at which the stern does"
    return None


def _stern_elsewhere(recordings: Sequence[Recording]) -> str | None:
    (recording,) = recordings
    pattern = ((_STERN_LIT, _STERN_PERIOD - _STERN_LIT),)
    for lamp, name in enumerate(LAMPS):
        if lamp in (_MAST, _STERN) or len(_flashes(recording, _STERN)) > 1:
            continue
        if _fit(_flashes(recording, lamp), pattern, _STERN_FLASHES) > 0.8:
            return f"the {name} lamp (lamp {lamp}) blinks in place of the stern (lamp {_STERN})"
    return None


def _once(recordings: Sequence[Recording]) -> str | None:
    (recording,) = recordings
    flashes = _flashes(recording, _MAST)
    if 0 < len(flashes) <= 4 and _fit(flashes, _PATTERN, 3) > 0.6:
        return f"the mast gives {counted(len(flashes), 'flash')}, then no more"
    return None


def _stern_stuck(recordings: Sequence[Recording]) -> str | None:
    """Tell a stern lamp that waits for the mast's signal: never still for long, had it its own."""
    (recording,) = recordings
    steps = history(recording, _STERN)
    if len(steps) < 2 or len(_flashes(recording, _MAST)) < 4:
        return None
    times = [step.time for step in steps[1:]]
    stands = [b - a for a, b in zip(times, [*times[1:], recording.seconds], strict=True)]
    if max(stands) > 1.5:
        return f"the stern lamp does not change for {max(stands):.2f} s while the mast is busy"
    return None


def _mast_stuck(recordings: Sequence[Recording]) -> str | None:
    (recording,) = recordings
    flashes = _flashes(recording, _MAST)
    pauses = [b.begin - a.end for a, b in zip(flashes, flashes[1:], strict=False)]
    if len(pauses) >= 3 and max(pauses) > 2.5:
        return f"the mast stays dark for {max(pauses):.2f} s between two signals"
    return None


def _no_stern(recordings: Sequence[Recording]) -> str | None:
    (recording,) = recordings
    if _flashes(recording, _MAST) and len(_flashes(recording, _STERN)) < 2:
        changes = len(history(recording, _STERN)) - 1
        return f"it changes {changes} times in the whole trial" if changes else "it stays dark"
    return None


def _drift(recordings: Sequence[Recording]) -> str | None:
    (recording,) = recordings
    late = _late(recording)
    if len(late) < 4:
        return None
    gaps = [b - a for a, b in zip(late, late[1:], strict=False)]
    grows = all(gap > 0 for gap in gaps) or all(gap < 0 for gap in gaps)
    if grows and abs(late[-1]) > _LATE_FULL:
        each = late[-1] / len(gaps)
        return (
            f"each signal takes {1000 * abs(each):.1f} ms too {'long' if each > 0 else 'short'}; "
            f"signal {len(late)} is off by {1000 * abs(late[-1]):.0f} ms"
        )
    return None


def _left_on(recordings: Sequence[Recording]) -> str | None:
    (recording,) = recordings
    others = [name for lamp, name in enumerate(LAMPS) if lamp not in (_MAST, _STERN)]
    on = [name for name in others if len(history(recording, LAMPS.index(name))) > 1]
    return f"lit as well: {', '.join(on)}" if on else None


def _not_white(recordings: Sequence[Recording]) -> str | None:
    (recording,) = recordings
    for lamp in (_MAST, _STERN):
        for step in history(recording, lamp):
            if step.colour != DARK and not white(step.colour):
                return f"the {LAMPS[lamp]} lamp shows {told(step.colour)}"
    return None


def _no_log(recordings: Sequence[Recording]) -> str | None:
    (recording,) = recordings
    lines = [text for _, text in recording.printed]
    numbers = [int(found[1]) for text in lines if (found := _LINE.fullmatch(text))]
    starts = len(_starts(recording))
    if starts and len(numbers) != starts:
        return f"{counted(len(numbers), 'line')} of the log for {counted(starts, 'signal')}"
    if numbers and numbers[0] != 1:
        return f"the first line of the log says signal {numbers[0]}"
    return None


_MISTAKES = (
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
    Mistake("the signal is given only once", "put it into a loop without end.", _once),
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
    Mistake(
        "the stern lamp does not blink", "give it its own moments in the same loop.", _no_stern
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
    Mistake("other lamps left on", "set only np[2] and np[3].", _left_on),
    Mistake("not white", "white is red, green and blue in equal parts.", _not_white),
    Mistake(
        "the log does not go with the signals",
        'print "signal 1: two short, one long" once, as the first flash starts; then 2, and so on.',
        _no_log,
    ),
)

SIGNAL = Task(
    id="lamps.signal",
    title="A signal that keeps time",
    program="signal.py",
    runs=(Run(_SECONDS),),
    criteria=(
        Criterion("The mast signals: two short, one long", 3, _pattern, essential=True),
        Criterion("The signals keep time", 3, _keeps_time),
        Criterion("The stern lamp blinks by itself", 2, _stern),
        Criterion("No lamp flashes too fast", 2, _safe),
        Criterion("White when lit, the other lamps dark", 1, _colours),
        Criterion("The console keeps the log", 1, _log),
    ),
    mistakes=(*SLIPS, *_MISTAKES),
)
"""Twelve points."""
