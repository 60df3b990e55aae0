"""Mistakes that any program for the lamps may make, in whatever lesson."""

from __future__ import annotations

from robotsim import LAMPS, PINS

from ...readings.light import slept_through
from ...task import Clues, Facts, Mistake, mistake
from ...words import counted

__all__ = ["SLIPS"]


@mistake("wrong pin for the lamps", f"the pin table says {PINS['lamps']}: NeoPixel(Pin(13), 5).")
def wrong_lamp_pin(seen: Facts) -> Clues:
    pins = {event.data[0] for made in seen.recordings for event in made.of("frame")}
    if pins and PINS["lamps"] not in pins:
        yield f"colours went out on pin {min(pins)}; the lamps hang on pin {PINS['lamps']}"


@mistake("lamps spoken to at half speed", "leave timing out, or set it to 1.")
def half_speed(seen: Facts) -> Clues:
    if any(event.data[1] == 0 for made in seen.recordings for event in made.of("frame")):
        yield "frames were sent at 400 kHz; these chips take every bit of that for a 1"


def _only_zeros(seen: Facts) -> int:
    """Give how many frames went out if every number in them was 0, else 0."""
    frames = [event.data[2] for made in seen.recordings for event in made.of("frame")]
    if any(slept_through(made) for made in seen.recordings):
        return 0  # what comes after the wait might have lit them
    return 0 if any(frame.strip("0") for frame in frames) else len(frames)


@mistake(
    "written before the colours were set",
    "write() sends what is noted at that moment: first np[0] = ..., then np.write().",
)
def written_first(seen: Facts) -> Clues:
    if 0 < _only_zeros(seen) <= 2 * len(seen.recordings):
        yield f"{counted(_only_zeros(seen), 'frame')} went out, and every number in them was 0"


@mistake(
    "every number that is sent is 0",
    "print the numbers that you send: 255 is full, and a share between 0 and 1 is still to be "
    "taken times 255.",
)
def zeros_sent(seen: Facts) -> Clues:
    if _only_zeros(seen) > 2 * len(seen.recordings):
        yield f"{counted(_only_zeros(seen), 'frame')} went out, and every number in them was 0"


@mistake(
    "chain set up too short",
    "give the number of lamps, not the highest index: NeoPixel(Pin(13), 5).",
)
def short_chain(seen: Facts) -> Clues:
    lengths = [len(event.data[2]) // 6 for made in seen.recordings for event in made.of("frame")]
    if lengths and 0 < max(lengths) < len(LAMPS):
        yield f"a frame carried colours for {max(lengths)} lamps; the chain has {len(LAMPS)}"


@mistake(
    "four numbers for each lamp",
    f"these lamps have three colours: NeoPixel(Pin({PINS['lamps']}), {len(LAMPS)}) without bpp, "
    "and (red, green, blue).",
)
def four_numbers(seen: Facts) -> Clues:
    """Tell frames of whole lamps of four bytes, and of no whole lamps of three."""
    sizes = {len(event.data[2]) // 2 for made in seen.recordings for event in made.of("frame")}
    if sizes and all(size % 4 == 0 and size % 3 for size in sizes):
        yield f"{max(sizes)} bytes went out at a time, four a lamp: each takes three, so they shift"


@mistake(
    "no sleep in the loop",
    "without a time.sleep_ms() the board does nothing but send; wait between two frames.",
)
def no_sleep(seen: Facts) -> Clues:
    for made in seen.recordings:
        frames, busy = sum(1 for _ in made.of("frame")), made.ended_ns / 1e9
        waits = sum(1 for _ in made.of("sleep", "call"))
        if frames > 100 and busy > 0 and frames / busy > 1000 and waits < frames / 10:
            yield f"{frames} frames went out in {busy:.2f} s, with hardly a wait between them"


@mistake(
    "nothing is sent to the lamps",
    "make the chain, np = NeoPixel(Pin(13), 5), give np[0] and the others their colours, and send "
    "them with np.write().",
)
def nothing_sent(seen: Facts) -> Clues:
    if not any(True for made in seen.recordings for _ in made.of("frame")):
        yield f"no colours went out on pin {PINS['lamps']} in the whole run"


SLIPS: tuple[Mistake, ...] = (
    wrong_lamp_pin, half_speed, written_first, zeros_sent, four_numbers, short_chain, no_sleep,
    nothing_sent,
)  # fmt: skip
"""Looked for in every task of the lamps, before the task's own mistakes."""
