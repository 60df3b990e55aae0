"""Sensing: what the tasks of the lesson `turn` share: each trial judged, and the sensor read."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from robotsim import Recording

from ...readings.motion import SIDES, driven, rolled
from ...readings.sensors import (
    ADDRESS,
    PER_DEG,
    POWER,
    RATE_Z,
    WHO_AM_I,
    Read,
    Sample,
    bus,
    printed,
    true_rate,
)
from ...readings.together import together
from ...task import Clues, Facts, Finding, Mistake, Run, mistake
from ...words import named_trials, trial_name

__all__ = [
    "DECODINGS",
    "MIDDLE",
    "PORT_BIAS",
    "READING",
    "STARBOARD_BIAS",
    "Decode",
    "Judged",
    "does_not_turn",
    "each_trial",
    "faster_than_the_range",
    "in_any_trial",
    "line_missing",
    "one_side_only",
    "three_tugs",
]

MIDDLE = (0.60, 0.40, 0.0)
PORT_BIAS, STARBOARD_BIAS = 94, 133
"""Two tugs whose sensor shows much at rest, 4.4 deg/s one way and 4.5 the other.  At the same
effort the first turns faster than the other by a quarter, so counting seconds will not do."""


def three_tugs(seconds: float, port: int, starboard: int) -> tuple[Run, ...]:
    """Give the trials of a task: the learner's tug, and two by their seeds."""
    others = ((port, PORT_BIAS), (starboard, STARBOARD_BIAS))
    return (
        Run(seconds, start=MIDDLE),
        *(Run(seconds, start=MIDDLE, seed=seed, serial=serial) for seed, serial in others),
    )


Judged = tuple[float, str, float | None]
"""What one recording earns as a share, what was measured in it, and when to look."""
Decode = Callable[[Sample], float]
"""From a reading's bytes to counts."""
Look = Callable[[Recording], Iterator[str]]


def each_trial(judge: Callable[[Recording], Judged]) -> Callable[[Facts], Finding]:
    """Judge each trial: the mean is earned, and the worst is told with its tug's name."""

    def judged(seen: Facts) -> Finding:
        found = [judge(recording) for recording in seen.recordings]
        worst = min(range(len(found)), key=lambda k: found[k][0])
        part, measured, at = found[worst]
        mean = sum(part for part, _, _ in found) / len(found)
        return Finding(mean, trial_name(seen.recordings, worst) + measured, at=at, trial=worst)

    return judged


def in_any_trial(look: Look) -> Callable[[Facts], Clues]:
    """Look into each trial; a clue has its tug's name."""

    def found(seen: Facts) -> Clues:
        for name, recording in named_trials(seen.recordings):
            for clue in look(recording):
                yield name + clue

    return found


# -- the two bytes -----------------------------------------------------------

_SWAPPED = ("bytes swapped", "the byte from the lower register, 0x47, is the high one: 256 * high "
            "+ low.")  # fmt: skip
_NO_SIGN = ("two's complement forgotten", "after `raw = 256 * high + low`: if raw is 32768 or "
            "more, take 65536 from it.")  # fmt: skip
_ONE_BYTE = ("only one of the two bytes used", "both bytes make the number: 256 * high + low.")


def _from_the_upper_half(take: int) -> Decode:
    return lambda s: s.unsigned - take if s.unsigned >= 32768 else s.unsigned


DECODINGS: tuple[tuple[str, str, Decode, str], ...] = (
    (*_SWAPPED, lambda s: s.swapped, "taken the other way round"),
    (*_SWAPPED, lambda s: s.low << 8 | s.high, "taken the other way round, without a sign"),
    (*_NO_SIGN, lambda s: s.unsigned, "taken without a sign"),
    (*_NO_SIGN, _from_the_upper_half(32768), "less 32768, not 65536"),
    (*_NO_SIGN, _from_the_upper_half(65535), "less 65535, not 65536"),
    (*_ONE_BYTE, lambda s: s.high, "the high byte alone"),
    (*_ONE_BYTE, lambda s: s.low, "the low byte alone"),
)
"""Ways to take the two bytes wrongly: the mistake's name, what to try, the number that comes of
it, and how a card says it."""


# -- on the bus --------------------------------------------------------------


@mistake(
    "nothing read from the sensor",
    "the sensor answers at address 0x68 on SCL 22 and SDA 21: "
    "bus.readfrom_mem(0x68, register, count).",
)
def never_read(seen: Facts) -> Clues:
    if not any(bus(recording).reads for recording in seen.recordings):
        yield f"nothing was read from address 0x{ADDRESS:02x}"


def _rate_reads(recording: Recording, awake: bool) -> list[Read]:
    reads = bus(recording).reads
    return [read for read in reads if read.covers(RATE_Z) and read.awake == awake]


@mistake(
    "sensor still asleep",
    "write 0 to register 0x6B first: bus.writeto_mem(0x68, 0x6B, bytes([0])).",
)
@in_any_trial
def asleep(recording: Recording) -> Iterator[str]:
    early = _rate_reads(recording, awake=False)
    if not early:
        return
    writes = [write for write in bus(recording).writes if write.register == POWER]
    first = f"at {early[0].time:.3f} s the rate was read as {early[0].data.hex(' ')}"
    if not writes:
        named = any(event.data[1:] == (f"{POWER:x}", "") for event in recording.of("i2c"))
        read = any(read.register == POWER for read in bus(recording).reads)
        how = "register 0x6B was never written"
        if named and not read:
            how = "register 0x6B was named, but no byte sent: bytes(0) is empty"
        yield f"{first}, and {how}"
    elif writes[-1].value & 0xC0:
        what = f"0x6B was written, but as 0x{writes[-1].value:02x}, which leaves it asleep"
        yield f"{first}; {what}"
    else:
        yield f"{first}, but the sensor was woken only at {writes[-1].time:.3f} s"


_OTHERS = {
    0x3B: "the acceleration ahead", 0x3D: "the acceleration to port",
    0x3F: "the acceleration upward", 0x41: "the temperature",
    0x43: "the rate about x", 0x45: "the rate about y", 0x48: "the low byte of z, and beyond",
}  # fmt: skip


@mistake(
    "wrong axis",
    "a turn on the table is a turn about z: registers 0x47 (high byte) and 0x48 (low byte).",
)
@in_any_trial
def wrong_axis(recording: Recording) -> Iterator[str]:
    for read in bus(recording).reads:
        if read.register in _OTHERS and len(read.data) >= 2 and not read.covers(RATE_Z, 2):
            if not bus(recording).samples:
                yield f"0x{read.register:02x} was read, that is {_OTHERS[read.register]}"


@mistake(
    "only one of the two bytes read", "ask for 2 bytes: bus.readfrom_mem(0x68, 0x47, 2)."
)  # fmt: skip
@in_any_trial
def half_read(recording: Recording) -> Iterator[str]:
    reads = bus(recording).reads
    if bus(recording).samples:
        return
    for register, name in ((RATE_Z, "high byte, 0x47"), (RATE_Z + 1, "low byte, 0x48")):
        if any(read.covers(register) for read in reads):
            yield f"only the {name}, was read, never both"


@mistake(
    "rate asked of the wrong register",
    "the rate stands in 0x47 and 0x48; without the 0x in front, 47 is another drawer.",
)
@in_any_trial
def rate_elsewhere(recording: Recording) -> Iterator[str]:
    reads = bus(recording).reads
    others = [read.register for read in reads if read.register not in (WHO_AM_I, POWER)]
    if others and not any(read.covers(k) for read in reads for k in (RATE_Z, RATE_Z + 1)):
        read = f"register 0x{others[0]:02x} was read, that is {others[0]}"
        yield f"{read}, and 0x47, that is 71, never"


READING = (never_read, asleep, wrong_axis, half_read, rate_elsewhere)
"""What may spoil every reading, and with it anything."""


@mistake(
    "faster than the sensor's range",
    "turn more slowly: an effort of 0.4 keeps every tug below 250 degrees a second.",
)
@in_any_trial
def faster_than_the_range(recording: Recording) -> Iterator[str]:
    """The sensor turned faster than its range."""
    for sample in bus(recording).samples:
        most = 32768 / sample.lsb
        fast = abs(true_rate(recording, sample.time))
        if sample.raw in (32767, -32768) and fast >= 1.03 * most:
            yield (
                f"at {sample.time:.2f} s it turned at {fast:.0f} deg/s and read {sample.raw}, the "
                f"end of the range of {most:.0f} deg/s"
            )


# -- lines and turns ---------------------------------------------------------


def line_missing(*words: str) -> Look:
    """Make a look for lines that were not printed, or not in the form that was asked."""

    def look(recording: Recording) -> Iterator[str]:
        missing = [word for word in words if not printed(recording, word)]
        lines = [text.rstrip() for _, text in recording.printed]
        for word in missing:
            lines.sort(key=lambda text: not text.strip().lower().startswith(word))  # noqa: B023
            shown = f"printed was {lines[0]!r}" if lines else "nothing was printed"
            yield f"no line `{word} ...` with a number; {shown}"

    return look


def does_not_turn(least: float) -> Mistake:
    """Make the mistake of a tug that turns by no more than some degrees, or goes straight."""

    @mistake(
        "the tug does not turn",
        "one wheel back, the other ahead: motor(left_ahead, left_back, -0.4) and "
        "motor(right_ahead, right_back, 0.4).",
    )
    @in_any_trial
    def look(recording: Recording) -> Iterator[str]:
        heads = recording.tracks["heading"]
        turned = (max(heads) - min(heads)) / PER_DEG
        left, right = (rolled(recording, side) for side in SIDES)
        times = together(recording)
        if times.ahead + times.astern > 0.3 > 3 * (times.to_port + times.to_starboard):
            yield (
                f"both motors were driven the same way, ahead for {times.ahead:.1f} s and astern "
                f"for {times.astern:.1f} s"
            )
        elif left * right > 0 and min(abs(left), abs(right)) > 0.1:
            yield f"both wheels rolled the same way, by {left:.2f} and {right:.2f} m"
        elif turned <= least and not any(driven(recording, side) for side in SIDES):
            yield "no motor was ever driven"
        elif turned <= least:
            yield f"the motors were driven, but it turned by no more than {turned:.0f} degrees"

    return look


@in_any_trial
def one_side_only(recording: Recording) -> Iterator[str]:
    """Turns to one side only."""
    heads = recording.tracks["heading"]
    least, most = ((f(heads) - heads[0]) / PER_DEG for f in (min, max))
    if most > 30 and (max(heads) - heads[-1]) / PER_DEG < 10:
        yield f"it turned {most:.0f} degrees to port and never to starboard"
    if least < -30 and most < 10 and (heads[-1] - min(heads)) / PER_DEG < 10:
        yield f"it turned {-least:.0f} degrees to starboard and never to port"
