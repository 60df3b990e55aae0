"""Notice: what to see in a scope's picture, in a sentence for each pin."""

from __future__ import annotations

import math
from collections.abc import Sequence

from ..converter import Converter
from ..parts.servo import angle_of, pulse_us
from ..recording import Recording
from ..units import MS, SECOND, US
from ..wiring import Signal
from .bus import bus_waves, read_bus
from .waves import Wave, bytes_of_frame, frames, pin_wave, pulses, signals

__all__ = ["adc_volts", "in_hertz", "in_time", "notices"]

_DRAWN = Converter()
_MOST_HELD = 4
"""More different duties in a row are not told one by one."""


def adc_volts(count: float) -> float:
    """Give the voltage for a count at 11 dB on the board as drawn.

    A recording does not keep the attenuation; this is the one that the lessons use.
    """
    return _DRAWN.volts(count, 3)


def in_time(duration_ns: float) -> str:
    """Give a duration in words: `1.25 µs`, `20 ms`."""
    for unit, name in ((SECOND, "s"), (MS, "ms"), (US, "µs")):
        if abs(duration_ns) >= unit:
            return f"{duration_ns / unit:.4g} {name}"
    return f"{duration_ns:.4g} ns"


def in_hertz(freq: float) -> str:
    """Give a frequency in words: `800 kHz`."""
    for unit, name in ((1e6, "MHz"), (1e3, "kHz")):
        if freq >= unit:
            return f"{freq / unit:.5g} {name}"
    return f"{freq:.5g} Hz"


def notices(
    recording: Recording, names: Sequence[str], begin: int, end: int, clock_hz: int
) -> list[str]:
    """Give a sentence or two for each pin; both wires of a bus have one between them."""
    told = []
    for name in names:
        if name in ("scl", "sda"):
            if name == "scl" and "sda" in names:
                continue
            told.append(_bus(recording, begin, end, clock_hz))
            continue
        pin = recording.build.number_of(name)
        label = name.replace("_", " ")
        label = label[0].upper() + label[1:]
        samples = [int(e.data[1]) for e in recording.of("adc", pin=pin)
                   if begin <= e.time_ns <= end]  # fmt: skip
        if samples:
            told.append(_samples(label, samples))
        elif name == "battery" or name.startswith("eye"):
            told.append(f"{label}: the program took no sample in this time.")
        else:
            told.append(_digital(recording, label, pin, begin, end))
    return told


def _samples(label: str, raws: Sequence[int]) -> str:
    low, high = min(raws), max(raws)
    top = " The highest count, 4095, hides whatever is higher." if high == 4095 else ""
    return (
        f"{label}: {len(raws)} samples, {low} to {high} counts, which the board takes for "
        f"{adc_volts(low):.2f} to {adc_volts(high):.2f} V.{top}"
    )


def _digital(recording: Recording, label: str, pin: int, begin: int, end: int) -> str:
    wave = pin_wave(recording, pin, begin, end)
    if next(frames(recording, pin, begin, end), None) and wave:
        return _frame(recording, label, pin, wave)
    held = _held(recording, pin, begin, end)
    if len(held) > 1:
        told = ", then ".join(f"for {in_time(long)} {_kind(signal)}" for signal, long in held)
        return f"{label}: {told}. A new duty comes out with the next pulse."
    put_out = [each for each in signals(recording, pin) if each[0] < end]
    since, signal = put_out[-1] if put_out else (begin, None)
    if since > begin and any(earlier.freq_hz for _, earlier in put_out[-2:-1]):
        label = f"{label}, from {in_time(since - begin)} on"  # before it others are drawn
    if signal and signal.freq_hz:
        if label == "Arm":
            return _servo(label, wave, signal)
        if signal.duty in (0.0, 1.0):
            level = "low" if not signal.duty else "high"
            share = f"{100 * signal.duty:.0f} %"
            return f"{label}: a duty of {share} has no edges, the pin stays {level}."
        return (
            f"{label}: {signal.freq_hz:g} pulses a second, each high for "
            f"{in_time(signal.pulse_s * SECOND)} of {in_time(SECOND / signal.freq_hz)}: "
            f"{100 * signal.duty:.1f} % of the time. A new duty comes out with the next pulse."
        )
    if wave is None:
        return f"{label}: more edges than a picture can show."
    rises, high = wave.between(begin, end)
    if not rises and len(wave.edges) == 1:
        return f"{label}: {'high' if wave.edges[0][1] else 'low'} all the time."
    return f"{label}: rises {rises} times, high {100 * high:.1f} % of the time."


def _held(recording: Recording, pin: int, begin: int, end: int) -> list[tuple[Signal, int]]:
    """Give what a pin put out in turn, with how long, in ns, if one at least was a pulse train.

    What lasts for less than two cycles is on its way to what follows.
    """
    changes = [each for each in signals(recording, pin) if each[0] < end]
    ends = [*(since for since, _ in changes[1:]), end]
    spans = [
        (signal, until - max(since, begin))
        for (since, signal), until in zip(changes, ends, strict=False)
    ]
    freq = max((signal.freq_hz for signal, long in spans if long > 0), default=0.0)
    held = [(signal, long) for signal, long in spans if long * freq >= 2 * SECOND] if freq else []
    return held if pin != recording.build.number_of("arm") and len(held) <= _MOST_HELD else []


def _kind(signal: Signal) -> str:
    """Give what a pin puts out, in a few words."""
    if not signal.freq_hz or signal.duty in (0.0, 1.0):
        return "high all the time" if signal.duty else "low all the time"
    return (
        f"{signal.freq_hz:g} pulses a second, each high for {in_time(signal.pulse_s * SECOND)} "
        f"({100 * signal.duty:.1f} % of the time)"
    )


def _servo(label: str, wave: Wave | None, signal: Signal) -> str:
    found = pulses(wave) if wave else []
    length = found[-1][1] / 1000 if found else signal.pulse_s * 1e6
    if pulse_us(signal) is None:
        return (
            f"{label}: {signal.freq_hz:g} pulses a second of {length:.0f} µs: the servo hears"
            " nothing in them. It waits for pulses near 1 to 2 ms, some fifty a second."
        )
    degrees = math.degrees(angle_of(length))
    side = (
        "straight ahead"
        if abs(degrees) < 0.5
        else (f"{abs(degrees):.0f}° to {'port' if degrees > 0 else 'starboard'}")
    )
    return (
        f"{label}: a pulse of {length:.0f} µs asks a tug without trim for {side}. Only the length "
        "of the high counts; the rest of the frame is a pause."
    )


def _frame(recording: Recording, label: str, pin: int, wave: Wave) -> str:
    at, data, timing = next(frames(recording, pin, wave.begin, wave.end))
    found = bytes_of_frame(wave, at)
    highs = sorted({until - begin for level, begin, until in wave.stretches
                    if level and until < wave.end})  # fmt: skip
    short, long = (f" ({in_time(high)})" if len(highs) == 2 else "" for high in (highs * 2)[:2])
    names = (*recording.build.lamp_names, "no lamp")
    first = ", ".join(
        f"{names[k // 3]} {' '.join(f'{value:02X}' for _, _, value in found[k : k + 3])}"
        for k in range(0, min(len(found), 6), 3)
    )
    slow = "" if timing else " At 400 kHz the lamps take every bit for a 1."
    return (
        f"{label}: {len(data)} bytes; a short high{short} is a 0, a long one{long} a 1, the "
        f"highest bit comes first. {first}: three bytes a lamp, in the order in which its chip "
        f"takes them.{slow}"
    )


def _bus(recording: Recording, begin: int, end: int, clock_hz: int) -> str:
    words = read_bus(*bus_waves(recording, begin, end, clock_hz))
    if not words:
        return "I2C: nothing was said in this time; both wires rest high."
    way = "reading from" if words[0].value & 1 else "writing to"
    said = " ".join(f"{word.value:02X}" for word in words[:14])
    unanswered = words[0].value >> 1 if len(words) == 1 and not words[0].answered else None
    if unanswered is not None:
        return f"I2C: nobody answers at address 0x{unanswered:02X}: the ninth bit stays high."
    return (
        f"I2C: bytes {said}. The first is the address 0x{words[0].value >> 1:02X} with one bit "
        f"more for {way} it; the ninth bit of each byte is the answer, low for yes; the board "
        f"ends its reading with a no. Drawn at {clock_hz // 1000} kHz, which the recording does "
        "not keep."
    )
