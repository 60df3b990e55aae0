"""Sensing: what went over the bus to the motion sensor, and what the program printed of it.

A recording holds each transfer as it was on the wires.  Here they are followed as the sensor
follows them: which register was read, whether it was awake, which range was set.  Addresses and
scales are those of the MPU-6050 (register map RM-MPU-6000A r4.2, specification PS-MPU-6000A r3.4).
"""

from __future__ import annotations

import bisect
import math
import re
import statistics
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from robotsim import Recording
from robotsim.recording import once

__all__ = [
    "ADDRESS",
    "LSB_PER_DEG",
    "PER_DEG",
    "POWER",
    "RATE_Z",
    "WHO_AM_I",
    "Bus",
    "Printed",
    "Read",
    "Rest",
    "Sample",
    "Write",
    "bus",
    "heading_deg",
    "printed",
    "rests",
    "true_rate",
]

ADDRESS = 0x68
WHO_AM_I, POWER, GYRO_RANGE = 0x75, 0x6B, 0x1B
RATE_Z = 0x47
"""High byte of the rate of turn about z; the low byte follows."""
LSB_PER_DEG = (131.0, 65.5, 32.8, 16.4)
"""Counts for one degree a second, by range."""
PER_DEG = math.pi / 180
_SLEEP, _RESET = 0x40, 0x80
_PAIR_S = 0.02
"""Two bytes that are read one by one belong together if no more time in s lies between."""
_REST_RATE = 0.5


class Read(NamedTuple):
    """Bytes that were read from registers.

    Attributes:
        time: When, in s.
        register: The first register's number.
        data: The bytes.
        awake: Whether the sensor was awake.
    """

    time: float
    register: int
    data: bytes
    awake: bool

    def covers(self, register: int, count: int = 1) -> bool:
        """Tell whether it holds some registers."""
        return self.register <= register and register + count <= self.register + len(self.data)


class Write(NamedTuple):
    """A byte that was written to a register: when (s), its number, the byte."""

    time: float
    register: int
    value: int


class Sample(NamedTuple):
    """One reading of the rate of turn about z.

    Attributes:
        time: When it was read, in s.
        high: The byte of register 0x47.
        low: The byte of register 0x48.
        lsb: Counts for one degree a second in the range that was set.
        awake: Whether the sensor was awake.
    """

    time: float
    high: int
    low: int
    lsb: float
    awake: bool

    @property
    def raw(self) -> int:
        """The number that the two bytes mean: high byte first, two's complement."""
        return int.from_bytes(bytes((self.high, self.low)), "big", signed=True)

    @property
    def rate(self) -> float:
        """The rate in deg/s, bias and all."""
        return self.raw / self.lsb

    @property
    def unsigned(self) -> int:
        """The number without a sign."""
        return self.high << 8 | self.low

    @property
    def swapped(self) -> int:
        """The number with its bytes in the wrong order."""
        return int.from_bytes(bytes((self.high, self.low)), "little", signed=True)


@dataclass(frozen=True)
class Bus:
    """All transfers with the motion sensor, in order of time.

    Attributes:
        reads: What was read.
        writes: What was written to registers.
        samples: The readings of the rate about z.
    """

    reads: tuple[Read, ...]
    writes: tuple[Write, ...]
    samples: tuple[Sample, ...]

    def between(self, begin: float, end: float) -> Sequence[Sample]:
        """Give the samples of a stretch of time in s."""
        times = [sample.time for sample in self.samples]
        return self.samples[bisect.bisect_left(times, begin) : bisect.bisect_right(times, end)]

    def before(self, time: float) -> Sample | None:
        """Give the last sample up to a time in s."""
        k = bisect.bisect_right([sample.time for sample in self.samples], time)
        return self.samples[k - 1] if k else None

    def bias(self, recording: Recording) -> float | None:
        """Give the bias in deg/s: what was read at rest, else what was read beside the truth."""
        awake = [sample for sample in self.samples if sample.awake]
        beside = [(sample.rate, true_rate(recording, sample.time)) for sample in awake]
        still = [rate for rate, true in beside if abs(true) < _REST_RATE]
        if still:
            return statistics.fmean(still)
        return statistics.median(rate - true for rate, true in beside) if beside else None


@once
def bus(recording: Recording) -> Bus:
    """Follow the transfers of a recording."""
    reads: list[Read] = []
    writes: list[Write] = []
    samples: list[Sample] = []
    pointer, power, lsb = 0, _SLEEP, LSB_PER_DEG[0]
    for event in recording.of("i2c"):
        address, written, got = event.data
        if address != ADDRESS:
            continue
        sent, data = bytes.fromhex(written), bytes.fromhex(got)
        if sent:
            pointer = sent[0]
            for value in sent[1:]:
                writes.append(Write(event.seconds, pointer, value))
                if pointer == POWER:
                    power = _SLEEP if value & _RESET else value
                    lsb = LSB_PER_DEG[0] if value & _RESET else lsb
                elif pointer == GYRO_RANGE:
                    lsb = LSB_PER_DEG[value >> 3 & 3]
                pointer = (pointer + 1) & 0xFF
        if data:
            read = Read(event.seconds, pointer, data, not power & _SLEEP)
            samples.extend(_sample(read, reads, lsb))
            reads.append(read)
            pointer = (pointer + len(data)) & 0xFF
    return Bus(tuple(reads), tuple(writes), tuple(samples))


def _sample(read: Read, earlier: Sequence[Read], lsb: float) -> Iterator[Sample]:
    """Give the rate that a read completes, if it does."""
    if read.covers(RATE_Z, 2):
        k = RATE_Z - read.register
        yield Sample(read.time, read.data[k], read.data[k + 1], lsb, read.awake)
        return
    for mine, other in ((RATE_Z, RATE_Z + 1), (RATE_Z + 1, RATE_Z)):
        last = earlier[-1] if earlier else None
        if not (last and read.covers(mine) and last.covers(other)):
            continue
        if read.time - last.time < _PAIR_S and not last.covers(RATE_Z, 2):
            got = {
                mine: read.data[mine - read.register],
                other: last.data[other - last.register],
            }
            yield Sample(read.time, got[RATE_Z], got[RATE_Z + 1], lsb, read.awake)


# -- what the tug did --------------------------------------------------------


def heading_deg(recording: Recording, time: float) -> float:
    """Give by how much the tug has turned at a time in s, in degrees, to port positive."""
    return math.degrees(recording.at("heading", time) - recording.tracks["heading"][0])


def true_rate(recording: Recording, time: float) -> float:
    """Give the tug's true rate of turn in deg/s at a time in s, to port positive."""
    before, after = max(time - 0.01, 0.0), min(time + 0.01, recording.tracks["t"][-1])
    turned = recording.at("heading", after) - recording.at("heading", before)
    return math.degrees(turned) / (after - before)


class Rest(NamedTuple):
    """A stretch of time (s) in which the tug did not turn, and its heading in degrees."""

    begin: float
    end: float
    heading: float


def rests(recording: Recording, shortest: float = 0.25, apart: float = 30.0) -> list[Rest]:
    """Give where the tug rested between its turns; first of all where it stood at power-up.

    Where it turns back it rested, however shortly; on a way that goes on, only a rest of at least
    `shortest` seconds counts.  A rest that is less than `apart` degrees from the one before
    replaces it: so a small correction belongs to the turn that it corrects.
    """
    stood = _standstills(recording)
    found = [Rest(0.0, 0.0, 0.0)]
    for k, rest in enumerate(stood):
        came = rest.heading - stood[k - 1].heading if k else 0.0
        goes = stood[k + 1].heading - rest.heading if k + 1 < len(stood) else 0.0
        if rest.end - rest.begin < shortest and came * goes >= 0:
            continue
        if abs(rest.heading - found[-1].heading) < apart:
            rest = Rest(found.pop().begin, rest.end, rest.heading)
        found.append(rest)
    return found


def _standstills(recording: Recording) -> list[Rest]:
    """Give all stretches in which the tug did not turn, and all moments at which it turned back."""
    times, heads = recording.tracks["t"], recording.tracks["heading"]
    most = math.radians(_REST_RATE) * times[1]
    found: list[Rest] = []
    begin, last = 0, 0.0
    for k in range(1, len(times) + 1):
        step = heads[k] - heads[k - 1] if k < len(times) else math.inf
        if abs(step) <= most:
            continue
        if k - 1 > begin or step * last < 0:
            turned = math.degrees(heads[begin] - heads[0])
            found.append(Rest(times[begin], times[k - 1], turned))
        begin, last = k, step
    return found


# -- what the program printed ------------------------------------------------


class Printed(NamedTuple):
    """A printed line `word number`: when it began (s) and its number."""

    time: float
    value: float


_NUMBER = r"[-+]?(?:0[xX][0-9a-fA-F]{1,8}\b|\d{1,12}(?:\.\d*)?(?:[eE][-+]?\d{1,2})?)"


def printed(recording: Recording, word: str) -> list[Printed]:
    """Give the numbers that were printed behind a word at the beginning of a line."""
    pattern = re.compile(rf"\s*{word}\b\s*[:=]?\s*({_NUMBER})", re.IGNORECASE)
    found = []
    for time, text in recording.printed:
        if match := pattern.match(text):
            number = match[1]
            value = float(int(number, 16)) if "x" in number.lower() else float(number)
            found.append(Printed(time, value))
    return found
