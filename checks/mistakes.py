"""Known mistakes that any task's recording may give away, and the choice of the likeliest."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from robotsim import PINS, Recording

from .task import Mistake, Task

__all__ = ["COMMON", "Cause", "likeliest", "unsent"]


@dataclass(frozen=True)
class Cause:
    """The likeliest cause of lost points: the mistake's name, the evidence, what to try."""

    name: str
    evidence: str
    hint: str


def _raised(recordings: Sequence[Recording]) -> str | None:
    for recording in recordings:
        if recording.problem is not None:
            told = recording.problem
            return f"{told.kind}: {told.message} ({told.place})" if told.place else str(told)
    return None


def _nobody_there(recordings: Sequence[Recording]) -> str | None:
    for recording in recordings:
        answered = any(True for _ in recording.of("i2c"))
        asked = [event.data[0] for event in recording.of("nack")]
        # A scan asks every address, and most stay silent: that is no mistake.
        if asked and not answered and len(asked) < 100:
            return f"nothing on the bus answered at 0x{asked[0]:02x}"
    return None


def _untouched(recordings: Sequence[Recording]) -> str | None:
    touched = ("mode", "pin", "pwm", "frame", "adc", "read", "i2c", "nack")
    acts = [event for recording in recordings for event in recording.of(*touched, "radio")]
    # What else is on the air, such as a broker going down, is no act of the program.
    if not any(event.kind != "radio" or event.what == "on" for event in acts):
        return "no pin of the board was touched in the whole run"
    return None


def _no_frame(recordings: Sequence[Recording]) -> str | None:
    # With a radio or a bumper perhaps nothing has happened yet that would light a lamp: there the
    # task's own mistakes know more.
    return unsent([r for r in recordings if not _waits(r)])


def _waits(recording: Recording) -> bool:
    bumper = any(event.data[0] == PINS["bumper"] for event in recording.of("mode"))
    return bumper or any(event.what == "on" for event in recording.of("radio"))


def unsent(recordings: Sequence[Recording]) -> str | None:
    """Tell of lamps that were set up, and to which no colours were ever sent."""
    for recording in recordings:
        prepared = any(event.data[0] == PINS["lamps"] for event in recording.of("mode"))
        if prepared and not any(True for _ in recording.of("frame")):
            return "the chain of lamps was set up, but no colours were ever sent to it"
    return None


COMMON: tuple[Mistake, ...] = (
    Mistake(
        "nobody at that address",
        "compare the address, and the pins of SDA and SCL, with the table of pins.",
        _nobody_there,
    ),
    Mistake(
        "the program stopped with an error",
        "mend that line first; the rest may be right.",
        _raised,
    ),
    Mistake(
        "the program does nothing yet",
        "write the program in the cell that begins with %%program and run that cell.",
        _untouched,
    ),
    Mistake(
        "write() forgotten",
        "np[0] = ... only notes a colour; np.write() sends all of them to the lamps.",
        _no_frame,
    ),
)
"""Looked for in every task, before the task's own."""


def _advice(hint: str, recordings: Sequence[Recording]) -> str:
    """Give what the board's own advice on the error is, or else the usual hint."""
    problem = next((made.problem for made in recordings if made.problem is not None), None)
    return problem.hint if problem is not None and problem.hint else hint


def likeliest(task: Task, recordings: Sequence[Recording]) -> Cause | None:
    """Give the first mistake that the recordings give away, or None."""
    for mistake in (*COMMON, *task.mistakes):
        evidence = mistake.look(recordings)
        if evidence:
            hint = mistake.hint
            if mistake.look is _raised:
                hint = _advice(hint, recordings)
            return Cause(mistake.name, evidence, hint)
    return None
