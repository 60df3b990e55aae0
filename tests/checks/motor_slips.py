"""Motor slips: edits that spoil any program that drives the motors, for the slips of many tasks."""

from __future__ import annotations

import re
from collections.abc import Mapping

from tests.checks.slips import Edit, Slip, put

__all__ = ["PINS_OF_OTHERS", "constant", "no_motor_there", "renumber", "wrong_pins"]


def renumber(pins: Mapping[int, int]) -> Edit:
    """Make an edit that puts other pins in place of some, all at once."""
    either = re.compile("|".join(rf"(?<![\w.]){pin}(?![\w.])" for pin in pins))
    return lambda program: either.sub(lambda found: str(pins[int(found[0])]), program)


def constant(names: str, value: str) -> Edit:
    """Make an edit of constants at the left margin; in the new value `@` is the old one.

    Args:
        names: Their names, with `|` between them.
        value: What each shall be; a number keeps its type, so that milliseconds stay whole.
    """
    return put(rf"^({names}) = (.*)$", rf"\1 = {value}".replace("@", r"(\2)"))


PINS_OF_OTHERS = {25: 26, 26: 25, 27: 14, 14: 27}
"""Each motor's two inputs exchanged."""


def _small_scale(program: str) -> str:
    """Spoil the scale where all inputs get a duty, none a steady level."""
    spoilt = "duty_u16(" in program and "Pin.OUT" not in program
    return re.sub(r"\b65535\b", "1023", program) if spoilt else program


def no_motor_there(*costs: str) -> Slip:
    """Give the slip of a motor's pin that is another one."""
    return Slip("takes 23 for pin 25", "wrong pin", costs, renumber({25: 23}))


def wrong_pins(*costs: str) -> tuple[Slip, ...]:
    """Give the slips with pins and scales that cost everything, whatever the task."""
    return (
        Slip("exchanges ahead and back", "ahead and back swapped", costs, renumber(PINS_OF_OTHERS)),
        no_motor_there(*costs),
        Slip(
            "gives duties up to 1023 to duty_u16", "duty in the wrong scale", costs,
            _small_scale,
        ),
    )  # fmt: skip
