"""The sliders' pictures; as a program, `sketches.py LETTERS NAME..`, drawn without matplotlib.

What it prints is JSON: for each picture its words and its SVG.
"""

from __future__ import annotations

import json
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any


def pictures() -> dict[str, Callable[[], Any]]:
    """Give a picture of each slider of the lessons, and of what else they show."""
    from robotsim.show.bounce_slider import bounce_figure
    from robotsim.show.colour_slider import Wire, colour_figure
    from robotsim.show.decay_slider import decay_figure
    from robotsim.show.duty_slider import duty_figure
    from robotsim.show.gain_slider import gain_figure, laws_figure
    from robotsim.show.heading_slider import heading_figure
    from robotsim.show.pace_slider import pace_figure
    from robotsim.show.print_slider import print_figure
    from robotsim.show.pulse_slider import pulse_figure
    from robotsim.show.scope import scope_figure
    from robotsim.show.silence_slider import silence_figure
    from robotsim.show.threshold_slider import threshold_figure

    return {
        "colour": lambda: colour_figure(Wire((120, 30, 0), "GRB", "RGB")),
        "decay": lambda: decay_figure(0.3, 5000), "duty": lambda: duty_figure(0.3, 7),
        "pulse": lambda: pulse_figure(2300), "bounce": lambda: bounce_figure(2),
        "threshold": lambda: threshold_figure(900, 7),
        "heading": lambda: heading_figure(0.5, 50, 7),
        "gain": lambda: gain_figure(0.13, 0.001), "laws": laws_figure,
        "print": lambda: print_figure(400), "pace": lambda: pace_figure(0.8),
        "silence": lambda: silence_figure(2, 5),
        "scope": lambda: scope_figure(
            _ran(_PULSES), begin=0.001, seconds=0.03, cursors=(0.01, 0.02)),
        "bus": lambda: scope_figure(_ran(_ASKS), "scl", "sda", "eye_0", seconds=0.001),
        "dense": lambda: scope_figure(_ran(_PULSES), "left_ahead", "arm", seconds=0.4),
    }  # fmt: skip


_PULSES = """\
from machine import Pin, PWM
from neopixel import NeoPixel
import time
lamps = NeoPixel(Pin(13), 5)
PWM(Pin(18), freq=50, duty_ns=1_200_000)
PWM(Pin(25), freq=5000, duty_u16=30000)
lamps.fill((10, 171, 205))
for k in range(8):
    time.sleep_ms(3)
    lamps.write()
"""
_ASKS = """\
from machine import ADC, I2C, Pin
import time
eye, wires = ADC(Pin(36)), I2C(0, scl=Pin(22), sda=Pin(21))
for k in range(3):
    wires.readfrom_mem(0x68, 0x75, 1)
    eye.read()
    time.sleep_us(50)
"""


def _ran(text: str) -> Any:
    from robotsim import Whose, run_trial

    return run_trial(text, seconds=0.5, whose=Whose.KIT)


def beyond() -> str:
    """Give what is said of a picture that a sketch cannot show."""
    from robotsim import KitError
    from robotsim.show.several import compare

    made = _ran(_PULSES)
    try:
        compare([made, made], ["a", "b"])
    except KitError as told:
        return str(told)
    return ""


if __name__ == "__main__":
    from checks.site.tab import no_pictures
    from checks.site.tab.sketch import letters

    letters._FILE = Path(sys.argv[1])
    no_pictures.stand_in()
    sys.meta_path.insert(0, sys.meta_path.pop())  # before the real one, which is installed here
    drawn = {name: pictures()[name]() for name in sys.argv[2:]}
    told = {name: [one.get_label(), one.svg()] for name, one in drawn.items()}
    print(json.dumps({**told, "beyond": [beyond(), ""]}))
