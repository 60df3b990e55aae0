"""Motion sensor: accelerations and rates of turn, read from registers over I2C."""

from __future__ import annotations

import math
import random
from typing import ClassVar, NamedTuple

from ..chance import Noise
from ..units import GRAVITY
from .part import Part, Surroundings
from .quirks import Quirks

__all__ = ["ADDRESS", "MotionSensor"]

ADDRESS = 0x68
"""Address on the I2C bus."""

_DIVIDER, _CONFIG, _GYRO_CONFIG, _ACCEL_CONFIG = 0x19, 0x1A, 0x1B, 0x1C
_DATA, _POWER, _WHO = 0x3B, 0x6B, 0x75
_RESET, _SLEEP = 0x80, 0x40
_KEPT = {_DIVIDER: 0xFF, _CONFIG: 0x3F, _GYRO_CONFIG: 0xF8, _ACCEL_CONFIG: 0xF8, _POWER: 0x6F}
"""Registers that can be written, with the bits that stay."""
_AT_RESET = {_POWER: _SLEEP, _WHO: 0x68}

_LSB_PER_G = (16384.0, 8192.0, 4096.0, 2048.0)
_LSB_PER_DEG = (131.0, 65.5, 32.8, 16.4)
_GYRO_NOISE = 0.05 / math.sqrt(98.0)
"""In (deg/s)/sqrt(Hz): the sheet has 0.05 deg/s rms with the filter at 98 Hz."""
_ACCEL_NOISE = 400e-6
"""In g/sqrt(Hz)."""
_WORDS, _TEMPERATURE = 7, 3
"""How many words the data are, and which is the temperature."""
_CELSIUS = 26.0
"""Temperature of the chip (invented)."""
_AWAKE_AMPS, _ASLEEP_AMPS = 0.0039, 0.000005
"""Supply current (from memory)."""


class _Filter(NamedTuple):
    """Settings of the low-pass filter: bandwidths in Hz, delays in s."""

    accel_hz: float
    accel_s: float
    gyro_hz: float
    gyro_s: float
    rate_hz: float


_FILTERS = (
    _Filter(260.0, 0.0, 256.0, 0.98e-3, 8000.0),
    _Filter(184.0, 2.0e-3, 188.0, 1.9e-3, 1000.0),
    _Filter(94.0, 3.0e-3, 98.0, 2.8e-3, 1000.0),
    _Filter(44.0, 4.9e-3, 42.0, 4.8e-3, 1000.0),
    _Filter(21.0, 8.5e-3, 20.0, 8.3e-3, 1000.0),
    _Filter(10.0, 13.8e-3, 10.0, 13.4e-3, 1000.0),
    _Filter(5.0, 19.0e-3, 5.0, 18.6e-3, 1000.0),
    _Filter(260.0, 0.0, 256.0, 0.98e-3, 8000.0),  # reserved; taken as "off"
)
"""Register map RM-MPU-6000A, table of register 26 (transcription)."""


class MotionSensor(Part):
    """A six-axis sensor, mounted flat at the middle of the axle: x ahead, y to port, z up.

    *Model*: a register file with a pointer that moves on by itself.  Awake, it
    takes a new sample at each tick of its sample rate: the motion through a
    first-order low-pass with the published delay, plus the tug's bias and
    noise of the filter's bandwidth, scaled by the range, rounded and
    held at the ends of 16 bits.  All bytes of one transfer come from one
    sample.  Asleep, as after a reset, the data registers stay as they were.
    *Source*: MPU-6050, register map RM-MPU-6000A r4.2 and specification
    PS-MPU-6000A r3.4 (read; filter table transcription; range bits from memory).
    """

    roles: ClassVar[tuple[str, ...]] = ("sda", "scl")
    address: ClassVar[int] = ADDRESS

    def __init__(self, quirks: Quirks, noise: random.Random) -> None:
        super().__init__(quirks, noise)
        self.hiss = Noise(noise)
        self._pointer = self._settled = 0
        self._registers = bytearray(256)
        self._reset()

    def _reset(self) -> None:
        self._registers[:] = bytes(256)
        for register, value in _AT_RESET.items():
            self._registers[register] = value
        self._settle()

    def _settle(self) -> None:
        """Take over what the setting registers say."""
        registers = self._registers
        self._filter = _FILTERS[registers[_CONFIG] & 7]
        self._period = (1 + registers[_DIVIDER]) / self._filter.rate_hz
        self._awake = not registers[_POWER] & _SLEEP
        self._clock, self._taken = 0.0, 0
        self._settled += _WORDS
        self._stale: set[int] = set()
        self._seen: tuple[float, float, float] | None = None
        self._felt = (0.0, 0.0, 0.0)
        self.amps = _AWAKE_AMPS if self._awake else _ASLEEP_AMPS

    def advance(self, duration: float, around: Surroundings) -> None:
        """Feel the motion for a time in s."""
        if not self._awake or duration <= 0.0:
            return
        self._felt = self._feel(duration, around)
        self._seen = _motion(around)
        self._clock += duration

    def _feel(self, duration: float, around: Surroundings) -> tuple[float, float, float]:
        """Give what has come through the filters a time in s after the last step."""
        now, was, felt = _motion(around), self._seen, self._felt
        if was is None:
            return now
        accel_s, gyro_s = self._filter.accel_s, self._filter.gyro_s
        return (
            _follow(felt[0], was[0], now[0], duration, accel_s),
            _follow(felt[1], was[1], now[1], duration, accel_s),
            _follow(felt[2], was[2], now[2], duration, gyro_s),
        )

    def transfer(self, written: bytes, count: int, around: Surroundings) -> bytes:
        """Carry out one I2C transfer.

        Args:
            written: Bytes written: the register's number, then values for it
                and for those that follow.
            count: How many bytes to read, from where the pointer stands.
            around: The world at that moment.

        Returns:
            The bytes read.
        """
        start = written[0] if written else self._pointer
        # A setting may stop the sensor: then all stays as it was at this moment.
        last = start - _DATA + count - 1
        whole = len(written) > 1 or start + count > 256
        first = 0 if whole else max(start - _DATA, 0) // 2
        self._sample(around, range(first, _WORDS if whole else min(last // 2 + 1, _WORDS)))
        if written:
            self._pointer = written[0]
            for value in written[1:]:
                self._write(self._pointer, value)
                self._pointer = (self._pointer + 1) & 0xFF
        start = self._pointer
        self._pointer = (start + count) & 0xFF
        return bytes(self._registers[(start + k) & 0xFF] for k in range(count))

    def _write(self, register: int, value: int) -> None:
        if register not in _KEPT:
            return  # read-only, or not modelled
        if register == _POWER and value & _RESET:
            self._reset()
            return
        value &= _KEPT[register]
        if value == self._registers[register]:
            return
        self._registers[register] = value
        if register in (_DIVIDER, _CONFIG, _POWER):
            self._settle()

    def _sample(self, around: Surroundings, words: range) -> None:
        """Bring some of the data registers' words up to the last tick of the sample rate."""
        # A hair is added so that a tick is not lost to the rounding of summed times.
        ticks = int((self._clock + around.ahead) / self._period + 1e-6)
        if not self._awake:
            return
        if ticks != self._taken:
            self._taken = ticks
            self._stale = set(range(_WORDS))
        if self._stale.isdisjoint(words):
            return
        felt = self._feel(around.ahead, around) if around.ahead > 0.0 else self._felt
        for word in self._stale.intersection(words):
            place = _DATA + 2 * word
            self._registers[place : place + 2] = _word(self._reading(word, felt))
            self._stale.discard(word)

    def _reading(self, word: int, felt: tuple[float, float, float]) -> float:
        """Give what one word of the data shows: accelerations x y z, temperature, rates x y z."""
        if word == _TEMPERATURE:
            return (_CELSIUS - 36.53) * 340.0
        filt, time, source = self._filter, self._taken * self._period, self._settled + word
        if word < _TEMPERATURE:
            value = (felt[0], felt[1], GRAVITY)[word] + self.quirks.accel_bias[word]
            noise = _ACCEL_NOISE * math.sqrt(filt.accel_hz)
            rough = noise * self.hiss.wander(source, time, filt.accel_hz)
            per_g = _LSB_PER_G[self._registers[_ACCEL_CONFIG] >> 3 & 3]
            return (value / GRAVITY + rough) * per_g
        axis = word - _TEMPERATURE - 1
        value = (0.0, 0.0, felt[2])[axis] + self.quirks.gyro_bias[axis]
        noise = _GYRO_NOISE * math.sqrt(filt.gyro_hz)
        rough = noise * self.hiss.wander(source, time, filt.gyro_hz)
        per_deg = _LSB_PER_DEG[self._registers[_GYRO_CONFIG] >> 3 & 3]
        return (math.degrees(value) + rough) * per_deg


def _motion(around: Surroundings) -> tuple[float, float, float]:
    """Give what there is to feel: acceleration ahead and to port (m/s^2), rate of turn (rad/s)."""
    return around.acceleration, around.speed * around.turn_rate, around.turn_rate


def _follow(felt: float, was: float, now: float, duration: float, delay: float) -> float:
    """Step a first-order low-pass exactly for an input that changes evenly over the step."""
    if delay <= 0.0:
        return now
    lag = (now - was) / duration * delay
    return now - lag + (felt - was + lag) * math.exp(-duration / delay)


def _word(value: float) -> bytes:
    """Give a number as 16 bits, high byte first; it stops at the ends of the range."""
    return round(min(max(value, -32768.0), 32767.0)).to_bytes(2, "big", signed=True)
