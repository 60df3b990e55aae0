"""The board's PWM unit: channels, shared timers, resolution, read-back."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache

from ..outputs import next_cycle
from ..units import SECOND
from ..wiring import DUTY_STEPS, FULL_DUTY, duty_share
from .faults import BoardFault

__all__ = ["CHANNELS", "MAX_HZ", "TIMERS", "Channel", "PwmUnit", "resolution_bits"]

TIMERS = 8
CHANNELS = 16
MAX_HZ = 40_000_000
_CLOCK_HZ = 80_000_000
_TOPS = {"u16": FULL_DUTY, "10": 1023, "ns": SECOND}


@cache
def resolution_bits(freq_hz: int) -> int:
    """Give how many bits of duty the unit can tell apart at a frequency.

    *Model*: the counter of a timer runs at 80 MHz divided by at least 1, so
    one period of the PWM holds 80 MHz / f counts, of which the unit uses a
    power of two, at most 2^16.
    *Source*: the maker's formula, and the table computed from it in the values
    this kit is checked against (arithmetic).
    """
    return max(1, min(16, int(math.log2(_CLOCK_HZ / freq_hz))))


@dataclass
class Channel:
    """One pin with a pulse train: frequency in Hz and 16-bit duty as asked for."""

    freq_hz: int = 5000
    duty_u16: int = 32768

    @property
    def output_u16(self) -> int:
        """The duty that comes out, cut to what the timer can tell apart."""
        if self.duty_u16 >= FULL_DUTY:
            return FULL_DUTY
        spare = 16 - resolution_bits(self.freq_hz)
        return self.duty_u16 >> spare << spare

    def next_cycle(self, now_ns: int) -> int:
        """Give when the next pulse begins: only then does a new duty come out."""
        return next_cycle(now_ns, self.freq_hz)

    @property
    def duty(self) -> int:
        """The duty on the scale from 0 to 1023, as the board reads it back."""
        return self.output_u16 >> 6

    @property
    def duty_ns(self) -> int:
        """Length of one pulse in ns, as the board reads it back."""
        return round(duty_share(self.output_u16) * SECOND / self.freq_hz)


class PwmUnit:
    """Sixteen channels on eight timers; channels of equal frequency share a timer.

    *Source*: MicroPython documentation of `machine.PWM` and its source for
    this family of boards (read): limits, messages, scales.
    """

    def __init__(self) -> None:
        self.channels: dict[int, Channel] = {}

    def start(self, pin: int, freq_hz: int | None) -> Channel:
        """Give a pin's channel, made or moved to a frequency.

        Raises:
            BoardFault: A frequency out of range, or no timer or channel left.
        """
        channel = self.channels.get(pin)
        if freq_hz is None:
            freq_hz = channel.freq_hz if channel else 5000
        if not 1 <= freq_hz <= MAX_HZ:
            raise BoardFault("ValueError", "frequency must be from 1Hz to 40MHz")
        others = {c.freq_hz for p, c in self.channels.items() if p != pin}
        if freq_hz not in others and len(others) >= TIMERS:
            raise BoardFault("ValueError", f"out of PWM timers:{TIMERS}")
        if channel is None:
            if len(self.channels) >= CHANNELS:
                raise BoardFault("ValueError", f"out of PWM channels:{CHANNELS}")
            channel = self.channels[pin] = Channel()
        channel.freq_hz = freq_hz
        return channel

    def set_duty(self, pin: int, scale: str, value: int) -> Channel:
        """Set a duty on one of the scales "u16", "10" (0 to 1023) or "ns".

        Raises:
            KeyError: No pulse train on this pin, or no such scale.
            ValueError: The duty is out of its scale's range.
        """
        channel = self.channels[pin]
        if not 0 <= value <= _TOPS[scale]:
            raise ValueError(value)
        if scale == "ns":
            value = min(value * channel.freq_hz * DUTY_STEPS // 1_000_000_000, FULL_DUTY)
        elif scale == "10":
            value = FULL_DUTY if value >= 1023 else value << 6
        channel.duty_u16 = value
        return channel

    def stop(self, pin: int) -> None:
        """Take the pulse train off a pin."""
        self.channels.pop(pin, None)
