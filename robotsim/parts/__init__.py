"""Parts: pure models of the tug's components.

A new part is its module here, its test, and one line in `PARTS`.
"""

from __future__ import annotations

from .battery import Battery
from .bumper import Bumper
from .day import IDEAL, Day, seed_day
from .drive import Drive
from .lamps import Lamps
from .motion import MotionSensor
from .part import FakeSurroundings, Part, Surroundings
from .quirks import MOST_SERIAL, Quirks
from .reflectance import LineEyes
from .servo import Servo

__all__ = [
    "IDEAL",
    "MOST_SERIAL",
    "PARTS",
    "Battery",
    "Bumper",
    "Day",
    "Drive",
    "FakeSurroundings",
    "Lamps",
    "LineEyes",
    "MotionSensor",
    "Part",
    "Quirks",
    "Servo",
    "Surroundings",
    "seed_day",
]

PARTS: dict[str, type[Part]] = {
    "drive": Drive,
    "lamps": Lamps,
    "arm": Servo,
    "eyes": LineEyes,
    "motion": MotionSensor,
    "bumper": Bumper,
}
"""Every part by name; the contract test and the trial find them here."""
