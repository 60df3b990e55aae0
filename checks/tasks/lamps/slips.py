"""Mistakes that any program for the lamps may make."""

from __future__ import annotations

from collections.abc import Sequence

from robotsim import LAMPS, PINS, Recording

from ...readings.light import counted, slept_through
from ...task import Mistake

__all__ = ["SLIPS"]


def _wrong_pin(recordings: Sequence[Recording]) -> str | None:
    pins = {event.data[0] for recording in recordings for event in recording.of("frame")}
    if pins and PINS["lamps"] not in pins:
        return f"colours went out on pin {min(pins)}; the lamps hang on pin {PINS['lamps']}"
    return None


def _half_speed(recordings: Sequence[Recording]) -> str | None:
    if any(event.data[1] == 0 for recording in recordings for event in recording.of("frame")):
        return "frames were sent at 400 kHz; these chips take every bit of that for a 1"
    return None


def _all_dark(recordings: Sequence[Recording]) -> str | None:
    frames = [event.data[2] for recording in recordings for event in recording.of("frame")]
    if any(slept_through(recording) for recording in recordings):
        return None  # what comes after the wait might have lit them
    if frames and not any(frame.strip("0") for frame in frames):
        return f"{counted(len(frames), 'frame')} went out, and every number in them was 0"
    return None


def _short_chain(recordings: Sequence[Recording]) -> str | None:
    longest_frame = max(
        (len(event.data[2]) // 6 for r in recordings for event in r.of("frame")), default=0
    )
    if 0 < longest_frame < len(LAMPS):
        return f"a frame carried colours for {longest_frame} lamps; the chain has {len(LAMPS)}"
    return None


def _no_sleep(recordings: Sequence[Recording]) -> str | None:
    for recording in recordings:
        frames = sum(1 for _ in recording.of("frame"))
        busy = recording.ended_ns / 1e9
        waits = sum(1 for _ in recording.of("sleep", "call"))
        if frames > 100 and busy > 0 and frames / busy > 1000 and waits < frames / 10:
            return f"{frames} frames went out in {busy:.2f} s, with hardly a wait between them"
    return None


SLIPS: tuple[Mistake, ...] = (
    Mistake("wrong pin", "the pin table says 13: NeoPixel(Pin(13), 5).", _wrong_pin),
    Mistake("lamps spoken to at half speed", "leave timing out, or set it to 1.", _half_speed),
    Mistake(
        "written before the colours were set",
        "write() sends what is noted at that moment: first np[0] = ..., then np.write().",
        _all_dark,
    ),
    Mistake(
        "chain set up too short",
        "give the number of lamps, not the highest index: NeoPixel(Pin(13), 5).",
        _short_chain,
    ),
    Mistake(
        "no sleep in the loop",
        "without a time.sleep_ms() the board does nothing but send; wait between two frames.",
        _no_sleep,
    ),
)
"""Looked for in every task of the lamps, before the task's own mistakes."""
