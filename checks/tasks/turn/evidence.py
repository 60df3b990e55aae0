"""Evidence of mistakes with the motion sensor, read from what went over the bus and was printed.

A function here gives the evidence in words, or None where the mistake was not made.  Printed rates
are looked at in `turn_rates`, turns in `turn_replay`.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

from robotsim import Recording

from ...readings.motion import SIDES, driven, rolled, still_driven
from ...readings.sensors import (
    ADDRESS,
    PER_DEG,
    POWER,
    RATE_Z,
    WHO_AM_I,
    Sample,
    bus,
    said,
    true_rate,
)

__all__ = [
    "SCALES",
    "SETTLE_S",
    "TURNING",
    "asleep",
    "axis",
    "elsewhere",
    "first_of",
    "full_range",
    "half_read",
    "hasty",
    "identity_register",
    "left_on",
    "line_missing",
    "motors",
    "never_read",
    "never_turned",
    "numbers",
    "one_way",
    "raw_is",
    "raw_unread",
    "told_early",
    "which",
]

Recordings = Sequence[Recording]

SETTLE_S = 0.015
"""For how long, in s, it must at least have been awake; the lesson asks 0.1, and some wait less."""
TURNING = 20.0
"""Rate in deg/s above which the tug counts as turning."""

SCALES: dict[float, str] = {
    2.0: "twice",
    4.0: "four times",
    8.0: "eight times",
    0.5: "half",
    0.25: "a quarter of",
    0.125: "an eighth of",
}


def which(recordings: Recordings, trial: int) -> str:
    """Name a trial by tug and seed, as a learner can run it."""
    if len(recordings) == 1:
        return ""
    recording = recordings[trial]
    seed = f", seed={recording.seed}" if recording.seed else ""
    return f"tug {recording.serial}{seed}: "


def motors(sides: Sequence[str]) -> str:
    """Name one motor or both."""
    return "both motors" if len(sides) == 2 else f"the {sides[0]} motor"


def numbers(value: float) -> str:
    """Give a printed number as short as it was."""
    return f"{value:.1f}".removesuffix(".0")


def first_of(look: Callable[[Recording], str | None], recordings: Recordings) -> str | None:
    """Give the first evidence in any of the recordings, with the tug's name."""
    for k, recording in enumerate(recordings):
        if evidence := look(recording):
            return which(recordings, k) + evidence
    return None


# -- on the bus --------------------------------------------------------------


def never_read(recordings: Recordings) -> str | None:
    """No byte came from the sensor."""
    if any(bus(recording).reads for recording in recordings):
        return None
    return f"nothing was read from address 0x{ADDRESS:02x}"


def asleep(recordings: Recordings) -> str | None:
    """The rate was read while the sensor slept."""

    def look(recording: Recording) -> str | None:
        early = [read for read in bus(recording).reads if read.covers(RATE_Z) and not read.awake]
        if not early:
            return None
        writes = [write for write in bus(recording).writes if write.register == POWER]
        first = f"at {early[0].time:.3f} s the rate was read as {early[0].data.hex(' ')}"
        if not writes:
            return f"{first}, and {_unsent(recording)}"
        last = writes[-1]
        if last.value & 0x40 or last.value & 0x80:
            return f"{first}; 0x6B was written, but as 0x{last.value:02x}, which leaves it asleep"
        return f"{first}, but the sensor was woken only at {last.time:.3f} s"

    return first_of(look, recordings)


def _unsent(recording: Recording) -> str:
    """Tell why the power register kept its byte."""
    named = any(event.data[1:] == (f"{POWER:x}", "") for event in recording.of("i2c"))
    if named and not any(read.register == POWER for read in bus(recording).reads):
        return "register 0x6B was named, but no byte sent: bytes(0) is empty"
    return "register 0x6B was never written"


def elsewhere(recordings: Recordings) -> str | None:
    """Bytes were read, and none of the rate about z."""

    def look(recording: Recording) -> str | None:
        if any(read.covers(k) for read in bus(recording).reads for k in (RATE_Z, RATE_Z + 1)):
            return None
        read = [r.register for r in bus(recording).reads if r.register not in (WHO_AM_I, POWER)]
        if not read:
            return None
        return f"register 0x{read[0]:02x} was read, that is {read[0]}, and 0x47, that is 71, never"

    return first_of(look, recordings)


def axis(recordings: Recordings) -> str | None:
    """Another register pair was read where the rate about z was wanted."""
    names = {
        0x3B: "the acceleration ahead", 0x3D: "the acceleration to port",
        0x3F: "the acceleration upward", 0x41: "the temperature",
        0x43: "the rate about x", 0x45: "the rate about y", 0x48: "the low byte of z, and beyond",
    }  # fmt: skip

    def look(recording: Recording) -> str | None:
        if bus(recording).samples:
            return None
        for read in bus(recording).reads:
            if read.register in names and len(read.data) >= 2 and not read.covers(RATE_Z, 2):
                return f"0x{read.register:02x} was read, that is {names[read.register]}"
        return None

    return first_of(look, recordings)


def half_read(recordings: Recordings) -> str | None:
    """Only one of the two bytes of the rate was read."""

    def look(recording: Recording) -> str | None:
        found = [read for read in bus(recording).reads if read.covers(RATE_Z)]
        lows = [read for read in bus(recording).reads if read.covers(RATE_Z + 1)]
        if bus(recording).samples or not (found or lows):
            return None
        name = "high byte, 0x47" if found else "low byte, 0x48"
        return f"only the {name}, was read, never both"

    return first_of(look, recordings)


def identity_register(recordings: Recordings) -> str | None:
    """Another register was read where the identity was wanted."""

    def look(recording: Recording) -> str | None:
        reads = bus(recording).reads
        if not reads or any(read.covers(WHO_AM_I) for read in reads):
            return None
        return f"register 0x{reads[0].register:02x} was read first, 0x75 never"

    return first_of(look, recordings)


def full_range(recordings: Recordings) -> str | None:
    """The sensor turned faster than its range."""

    def look(recording: Recording) -> str | None:
        for sample in bus(recording).samples:
            if sample.raw in (32767, -32768):
                fast = abs(true_rate(recording, sample.time))
                most = 32768 / sample.lsb
                if fast < 1.03 * most:
                    continue
                return (
                    f"at {sample.time:.2f} s it turned at {fast:.0f} deg/s and read "
                    f"{sample.raw}, the end of the range of {most:.0f} deg/s"
                )
        return None

    return first_of(look, recordings)


# -- lines of turn.identify --------------------------------------------------


def told_early(recordings: Recordings) -> str | None:
    """The identity was printed before it was read."""

    def look(recording: Recording) -> str | None:
        told = said(recording, "identity")
        times = [read.time for read in bus(recording).reads if read.covers(WHO_AM_I)]
        if told and (not times or told[-1].time < min(times)):
            when = f"was read at {min(times):.3f} s" if times else "was never read"
            return f"`identity` was printed at {told[-1].time:.3f} s, and 0x75 {when}"
        return None

    return first_of(look, recordings)


def line_missing(*words: str) -> Callable[[Recordings], str | None]:
    """Make a look for lines that were not printed, or not in the form that was asked."""

    def look(recording: Recording) -> str | None:
        missing = [word for word in words if not said(recording, word)]
        if not missing:
            return None
        seen = [text for _, text in recording.printed]
        seen.sort(key=lambda text: not text.strip().lower().startswith(missing[0]))
        shown = f"; printed was {seen[0]!r}" if seen else "; nothing was printed"
        return f"no line `{missing[0]} ...` with a number{shown}"

    return lambda recordings: first_of(look, recordings)


def raw_is(what: Callable[[Sample], float], name: str) -> Callable[[Recordings], str | None]:
    """Make a look for a raw number that came of the bytes in a wrong way."""

    def look(recording: Recording) -> str | None:
        lines = said(recording, "raw")
        if not lines:
            return None
        for sample in bus(recording).samples:
            if sample.raw != lines[-1].value and abs(what(sample) - lines[-1].value) < 0.01:
                return (
                    f"the bytes were 0x{sample.high:02x} 0x{sample.low:02x}, which is "
                    f"{sample.raw}; printed was {lines[-1].value:g}, {name}"
                )
        return None

    return lambda recordings: first_of(look, recordings)


def hasty(recordings: Recordings) -> str | None:
    """The first rate was read right after waking."""

    def look(recording: Recording) -> str | None:
        reads = [read for read in bus(recording).reads if read.covers(RATE_Z) and read.awake]
        woken = [w.time for w in bus(recording).writes if w.register == POWER]
        if not reads or not woken or reads[-1].time - woken[-1] >= SETTLE_S:
            return None
        return f"the rate was read {1000 * (reads[-1].time - woken[-1]):.1f} ms after waking"

    return first_of(look, recordings)


def raw_unread(recordings: Recordings) -> str | None:
    """A raw number that never came over the bus."""

    def look(recording: Recording) -> str | None:
        lines, samples = said(recording, "raw"), bus(recording).samples
        if not lines or any(sample.raw == lines[-1].value for sample in samples):
            return None
        sent = ", ".join(str(s.raw) for s in samples[:4]) or "no rate at all"
        return f"`raw {lines[-1].value:g}` was printed; the sensor had sent {sent}"

    return first_of(look, recordings)


# -- motors ------------------------------------------------------------------


def never_turned(degrees: float) -> Callable[[Recordings], str | None]:
    """Make a look for a tug that hardly turned: no turn, or wheels that turn the same way."""

    def look(recording: Recording) -> str | None:
        heads = recording.tracks["heading"]
        turned = (max(heads) - min(heads)) / PER_DEG
        left, right = (rolled(recording, side) for side in SIDES)
        if left * right > 0 and min(abs(left), abs(right)) > 0.1:
            return f"both wheels rolled the same way, by {left:.2f} and {right:.2f} m"
        if turned > degrees:
            return None
        if not any(driven(recording, side) for side in SIDES):
            return "no motor was ever driven"
        return f"the motors were driven, but it turned by no more than {turned:.0f} degrees"

    return lambda recordings: first_of(look, recordings)


def one_way(recordings: Recordings) -> str | None:
    """Turns to one side only."""

    def look(recording: Recording) -> str | None:
        heads = recording.tracks["heading"]
        least, most = ((f(heads) - heads[0]) / PER_DEG for f in (min, max))
        back = (max(heads) - heads[-1]) / PER_DEG
        if most > 30 and back < 10:
            return f"it turned {most:.0f} degrees to port and never to starboard"
        if least < -30 and most < 10 and (heads[-1] - min(heads)) / PER_DEG < 10:
            return f"it turned {-least:.0f} degrees to starboard and never to port"
        return None

    return first_of(look, recordings)


def left_on(recordings: Recordings) -> str | None:
    """Motors driven at the end although the program has ended."""

    def look(recording: Recording) -> str | None:
        sides = still_driven(recording)
        if not sides or recording.ended == "time is up":
            return None
        ended = recording.ended_ns / 1e9
        verb = "were" if len(sides) == 2 else "was"
        return f"the program ended at {ended:.2f} s, but {motors(sides)} {verb} still driven"

    return first_of(look, recordings)
