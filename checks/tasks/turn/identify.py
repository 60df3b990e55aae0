"""Task `turn.identify`: wake the sensor and ask who it is."""

from __future__ import annotations

from collections.abc import Iterator

from robotsim import Recording

from ...readings.sensors import ADDRESS, POWER, RATE_Z, WHO_AM_I, Sample, bus, printed
from ...task import Facts, Mistake, Run, Task, criterion, mistake, share
from .sensing import (
    DECODINGS,
    READING,
    STARBOARD_BIAS,
    Decode,
    Judged,
    each_trial,
    in_any_trial,
    line_missing,
)

__all__ = ["IDENTIFY"]

COUNTS_A_DEGREE = 131
"""Of the sensor's usual range: counts for one degree a second (its published sheet)."""
SAME = 1e-3
"""So near a printed number is the same: a raw one is whole, a scaled one has a few digits."""

SECONDS = 1.5
SETTLE_S, SETTLE_FULL = 0.100, 0.099
"""For how long, in s, it must have been awake when the rate is read."""


@criterion(
    "It asks the sensor who it is", 2, asks="register 0x75 read over the bus", essential=True
)
@each_trial
def asks_who(recording: Recording) -> Judged:
    if any(read.covers(WHO_AM_I) for read in bus(recording).reads):
        return 1.0, f"register 0x75 of 0x{ADDRESS:02x} was read", None
    registers = sorted({f"0x{read.register:02x}" for read in bus(recording).reads})
    if not registers:
        return 0.0, f"nothing was read from 0x{ADDRESS:02x}", None
    return 0.4, f"register {', '.join(registers)} was read, not 0x75", None


@criterion(
    "It wakes the sensor first",
    2,
    asks=f"awake for at least {1000 * SETTLE_S:g} ms when the rate is read",
)
@each_trial
def wakes_it(recording: Recording) -> Judged:
    awake = _longest_awake(recording)
    if awake is not None:
        part = 0.5 + 0.5 * share(SETTLE_S - awake, full=SETTLE_S - SETTLE_FULL, none=SETTLE_S)
        return part, f"awake for {1000 * awake:.0f} ms when the rate was read", None
    woken = [w.time for w in bus(recording).writes if w.register == POWER and not w.value & 0x40]
    if woken:
        return 0.5, f"woken at {woken[0]:.3f} s, the rate was not read after that", woken[0]
    return 0.0, "asleep all the time", None


def _longest_awake(recording: Recording) -> float | None:
    """Give for how long, in s, it had been awake at the best reading of the rate; None: never."""
    found = []
    for read in bus(recording).reads:
        since = read.time
        for write in bus(recording).writes:
            if write.register == POWER and write.time < read.time:
                since = read.time if write.value & 0xC0 else min(since, write.time)
        if read.awake and read.covers(RATE_Z):
            found.append(read.time - since)
    return max(found, default=None)


@criterion(
    "It prints address and identity",
    2,
    asks="lines `address 0x68` and `identity 0x68`, each printed after it has answered",
)
@each_trial
def tells_who(recording: Recording) -> Judged:
    identities = [r for r in bus(recording).reads if r.covers(WHO_AM_I)]
    facts = {
        "address": [(read.time, ADDRESS) for read in bus(recording).reads],
        "identity": [(r.time, r.data[WHO_AM_I - r.register]) for r in identities],
    }
    got, faults = 0.0, []
    for word, answers in facts.items():
        lines = printed(recording, word)
        if not lines:
            faults.append(f"no line `{word} ...`")
        elif word == "identity" and all(time > lines[-1].time for time, _ in answers):
            faults.append("`identity` was printed before it was read")
        elif not any(number == lines[-1].value for _, number in answers):
            faults.append(f"`{word}` printed as 0x{int(lines[-1].value):02x}")
        else:
            got += 0.5
    return got, "; ".join(faults) or "address 0x68, identity 0x68", None


@criterion(
    "It prints one raw rate, with its sign",
    2,
    asks="a line `raw ...` with a number that the sensor had sent, high byte first",
)
@each_trial
def prints_raw(recording: Recording) -> Judged:
    lines = printed(recording, "raw")
    if not lines:
        return 0.0, "no line `raw ...`", None
    last = lines[-1]
    before = [s for s in bus(recording).samples if s.awake and s.time <= last.time]
    if any(sample.raw == last.value for sample in before):
        return 1.0, f"raw {last.value:g}, as the sensor sent it", None
    sent = f"the sensor had sent {before[-1].raw}" if before else "no rate had been read till then"
    return 0.0, f"raw {last.value:g} printed, but {sent}", last.time


@mistake(
    "identity asked of the wrong register",
    "the identity stands in register 0x75; 0x68 is the sensor's address on the bus.",
    costs=[asks_who],
    explains=[tells_who],
)
@in_any_trial
def other_register(recording: Recording) -> Iterator[str]:
    reads = bus(recording).reads
    if reads and not any(read.covers(WHO_AM_I) for read in reads):
        yield f"register 0x{reads[0].register:02x} was read first, 0x75 never"


@mistake(
    "printed before it was read",
    "first read register 0x75, then print the byte that came.",
    costs=[tells_who],
)
@in_any_trial
def printed_early(recording: Recording) -> Iterator[str]:
    lines = printed(recording, "identity")
    times = [read.time for read in bus(recording).reads if read.covers(WHO_AM_I)]
    if lines and (not times or lines[-1].time < min(times)):
        when = f"was read at {min(times):.3f} s" if times else "was never read"
        yield f"`identity` was printed at {lines[-1].time:.3f} s, and 0x75 {when}"


def _raw_is(name: str, hint: str, decode: Decode, words: str) -> Mistake:
    """Make the mistake of a raw number that came of the bytes in a wrong way."""

    @mistake(name, hint, costs=[prints_raw])
    @in_any_trial
    def look(recording: Recording) -> Iterator[str]:
        for line in printed(recording, "raw")[-1:]:
            for sample in bus(recording).samples:
                if sample.raw != line.value and abs(decode(sample) - line.value) < SAME:
                    yield (
                        f"the bytes were 0x{sample.high:02x} 0x{sample.low:02x}, which is "
                        f"{sample.raw}; printed was {line.value:g}: {words}"
                    )

    return look


def _size(sample: Sample) -> float:
    return abs(sample.raw)


@mistake(
    "a number that did not come from the sensor",
    "print the number that you made of the two bytes, as it is: no scale, no mean.",
    costs=[prints_raw],
)
@in_any_trial
def raw_unread(recording: Recording) -> Iterator[str]:
    lines, samples = printed(recording, "raw"), bus(recording).samples
    if lines and not any(sample.raw == lines[-1].value for sample in samples):
        sent = ", ".join(str(s.raw) for s in samples[:4]) or "no rate at all"
        yield f"`raw {lines[-1].value:g}` was printed; the sensor had sent {sent}"


@mistake(
    "read before it had settled",
    "between waking it and reading the rate: time.sleep_ms(100).",
    costs=[wakes_it],
)
@in_any_trial
def hasty(recording: Recording) -> Iterator[str]:
    awake = _longest_awake(recording)
    if awake is not None and awake < SETTLE_FULL:
        yield f"the rate was read {1000 * awake:.1f} ms after waking"


_never_read, _asleep, *_wrong_register = READING
IDENTIFY = Task(
    id="turn.identify",
    title="Wake it and ask who it is",
    program="identify.py",
    runs=(Run(SECONDS), Run(SECONDS, seed=3, serial=STARBOARD_BIAS)),
    facts=Facts,
    criteria=(asks_who, wakes_it, tells_who, prints_raw),
    mistakes=(
        _never_read,
        other_register,
        _asleep.bound(costs=[wakes_it], explains=[prints_raw]),
        *(known.bound(costs=[prints_raw], explains=[wakes_it]) for known in _wrong_register),
        printed_early,
        *(_raw_is(*how) for how in DECODINGS),
        _raw_is(
            "degrees a second in place of the raw number",
            "print the number that you made of the two bytes, before it is divided by 131.",
            lambda sample: sample.raw / COUNTS_A_DEGREE,
            "divided by 131",
        ),
        _raw_is(
            "the sign is lost",
            "print the number with its sign, without abs(): below 0 it is a turn to starboard.",
            _size,
            "without its sign",
        ),
        mistake(
            "a line is missing or reads otherwise",
            'three lines, each a word and a number: print("address", hex(SENSOR)) and so on.',
            explains=[tells_who, prints_raw],
        )(in_any_trial(line_missing("address", "identity", "raw"))),
        raw_unread,
        hasty,
    ),
)
"""Eight points."""
