"""The battery against what is commonly known of nickel-metal hydride cells.

Marks: R read in the published page, T read in a transcription, M from memory,
A arithmetic, P common practice without a source.  The published safety
figures for lithium cells do not apply: the tug has none.
"""

import pytest

from robotsim import run_trial
from robotsim.parts.battery import BROWN_OUT_VOLTS, RESISTANCE, Battery
from tests.published.table import Between, Tell


def _cell(share_left):
    return Battery(share_left).emf / 4


def test_nominal_voltage(tell: Tell):
    # 1.2 V a cell, four in a row 4.8 V (P): the average of a whole discharge.
    steps = [k / 1000 for k in range(1001)]
    mean = sum(Battery(share).emf for share in steps) / len(steps)
    assert tell("mean of a discharge, V", 4.8, mean, "1.2 V a cell (P)") == pytest.approx(
        4.8, rel=0.02
    )


@pytest.mark.parametrize(
    ("share_left", "low", "high"),
    [(1.0, 1.38, 1.45), (0.9, 1.23, 1.27), (0.2, 1.12, 1.20), (0.0, 0.8, 1.0)],
)
def test_landmarks_of_the_discharge_curve(share_left, low, high, tell: Tell):
    # About 1.4 V when full, 1.25 V after a tenth, little less until four fifths are gone,
    # 0.8 to 1.0 V when flat (P).
    what = "a cell with 100, 90, 20, 0 % left, V"
    assert low <= tell(what, Between(low, high), _cell(share_left), "NiMH discharge (P)") <= high


def test_the_curve_is_flat_in_the_middle_and_steep_at_its_ends():
    # The same (P).
    middle = (_cell(0.8) - _cell(0.3)) / 0.5
    assert (_cell(1.0) - _cell(0.95)) / 0.05 > 4 * middle
    assert (_cell(0.05) - _cell(0.0)) / 0.05 > 4 * middle


def test_running_time(tell: Tell):
    # 1900 mAh at 190 mA is ten hours (A).
    battery = Battery(1.0)
    hours = 0
    while battery.charge > 1e-9:
        battery.draw(0.190, 3600.0)
        hours += 1
        assert hours < 100
    assert tell("1900 mAh at 190 mA, hours", 10, hours, "Ah = A h (A)") == 10


def test_all_lamps_at_full_draw_and_sag_by_ohm_s_law(tell: Tell):
    # 15 channels of 18.5 mA (T), +-25 %; behind 0.18 ohm (invented) that is 50 mV (A).
    told = run_trial(
        "import time\nfrom machine import Pin\nfrom neopixel import NeoPixel\n"
        "chain = NeoPixel(Pin(13), 5)\ntime.sleep(0.1)\n"
        "chain.fill((255, 255, 255))\nchain.write()\n",
        seconds=0.3,
    )
    drawn, sag = (told.at(name, 0.2) - told.at(name, 0.05) for name in ("amps", "volts"))
    due = 15 * 0.0185
    source = "18.5 mA a channel, +-25 % (T)"
    assert tell("five white lamps draw more, A", due, drawn, source) == pytest.approx(due, rel=0.25)
    fall = -RESISTANCE * drawn
    assert tell("and pull the battery down, V", fall, sag, "Ohm (A)") == pytest.approx(
        fall, abs=2e-4
    )


STALL = "from machine import Pin\nfor n in (25, 27):\n    Pin(n, Pin.OUT).on()\n"


def test_a_battery_too_weak_for_both_motors_resets_the_board_and_a_full_one_does_not():
    # The board gives up and starts anew, as such boards do (P); its 3.45 V are invented.
    full, flat = (run_trial(STALL, seconds=1.0, charge=charge) for charge in (1.0, 0.0))
    assert not list(full.of("reset"))
    resets = list(flat.of("reset"))
    assert resets and all(event.cause == "brown-out" for event in resets)
    assert min(full.tracks["volts"]) > BROWN_OUT_VOLTS
    assert max(flat.tracks["left"]) < 0.5 * max(full.tracks["left"])
