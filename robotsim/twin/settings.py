"""Settings: the text of the file on a board that holds what differs from tug to tug."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from .figures import mapping, number, numbers

__all__ = ["SETTINGS", "settings_text"]

SETTINGS = "settings.py"
"""That file."""


def settings_text(data: Mapping[str, Any]) -> str:
    """Give its text for what a `tug.json` holds, with all `pins`.

    What was not measured is left out, or said to be as drawn where programs count on it.
    """
    rows = "".join(f'    "{role}": {pin},\n' for role, pin in data["pins"].items())
    order, trim, efforts = (data.get(name) for name in ("lamp_order", "arm_trim_us", "efforts"))
    left, right = (number(mapping(data, "efforts"), side, 0.5) for side in ("left", "right"))
    lamps = "" if order else ": as drawn, look at your tug's"
    ways = "by its twin" if efforts else 'measure it (lesson "Under way")'
    arm = ': measure it (lesson "The arm")' if trim is None else ""
    text = (
        "# Settings of one tug: its pins, and what was measured on it.\n"
        "# Programs read them from here, so that a program fits every tug.\n"
        f"PINS = {{\n{rows}}}\n\n"
        f'# "GRB" or "RGB", the order in which the lamps\' chips take the colours{lamps}.\n'
        f'LAMP_ORDER = "{order or "GRB"}"\n\n'
        f"# Effort, 0 to 1, with which each side runs straight: {ways}.\n"
        f"LEFT_EFFORT = {left:.3f}\nRIGHT_EFFORT = {right:.3f}\n\n"
        f"# Arm: pulse for straight ahead, less 1500, in microseconds{arm}.\n"
        f"ARM_TRIM_US = {round(number(data, 'arm_trim_us', 0.0))}\n"
    )
    start = {side: round(number(mapping(data, "start"), side, 0.0), 3)
             for side in mapping(data, "start")}  # fmt: skip
    white, black = numbers(data, "white_volts", 4), numbers(data, "black_volts", 4)
    half = [round(0.5 * (w + b), 2) for w, b in zip(white, black, strict=False)]
    gyro = [round(rate, 4) for rate in numbers(data, "gyro_bias", 3)]
    for name, words, found in (
        ("LAMPS", "How many lamps the chain has", data.get("lamps")),
        ("WHEEL_MM", "Diameter of the wheels, in mm", data.get("wheel_mm")),
        ("TRACK_MM", "From wheel to wheel, in mm", data.get("track_mm")),
        ("START", "Duty, 0 to 1, at which each wheel begins to turn, off the table", start),
        ("THRESHOLD_V", "Each eye: volts half-way between white and black", half),
        ("GYRO_BIAS", "Motion sensor at rest: rad/s about x, y, z", gyro),
    ):
        if found:
            text += f"\n# {words}.\n{name} = {found!r}\n"
    return text
