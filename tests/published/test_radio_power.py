"""The radio's naps and its hunger against what is published of such boards.

*Source*: beacons each 100 units of 1024 us, IEEE 802.11 (M = from memory); in modem sleep a station
wakes at each such beacon, or each third by default, the maker's low-power guide for Wi-Fi (R =
read); its board then draws 31.12 mA on average at each beacon (R), of which 20 to 30 mA are the
processor's (M); receiving takes 95 to 100 mA and sending up to 240 mA (maker's data sheet, M).
MicroPython's names and numbers for it: PM_NONE 0, PM_PERFORMANCE 1, PM_POWERSAVE 2 (R).
"""

from __future__ import annotations

import random

import pytest

from robotsim import run_trial
from robotsim.radio.modem import (
    BEACON_NS,
    HEARING_A,
    LISTEN_BEACONS,
    PM_NONE,
    PM_PERFORMANCE,
    PM_POWERSAVE,
    SENDING_A,
    Modem,
)
from robotsim.units import SECOND
from tests.published.table import Between, Tell

GUIDE, SHEET = "the maker's low-power guide (R)", "the maker's data sheet (M)"


def napping(saving: int, seed: int = 1) -> Modem:
    modem = Modem(random.Random(seed))
    modem.switch(True, 0)
    modem.save(saving, 0)
    modem.join(True, 0)
    return modem


def test_how_long_what_is_sent_to_a_napping_station_waits(tell: Tell) -> None:
    assert tell("from beacon to beacon, ms", 102.4, BEACON_NS / 1e6, "IEEE 802.11 (M)") == 102.4
    every = LISTEN_BEACONS[PM_PERFORMANCE], LISTEN_BEACONS[PM_POWERSAVE]
    assert tell("wakes at every n-th beacon", (1, 3), every, GUIDE) == (1, 3)
    for saving, most in ((PM_NONE, 0.0), (PM_PERFORMANCE, 102.4), (PM_POWERSAVE, 307.2)):
        modem = napping(saving)
        waits = [(modem.hear(at) - at) / 1e6 for at in range(SECOND, 3 * SECOND, 777_777)]
        what = "longest wait with PM_NONE, PM_PERFORMANCE, PM_POWERSAVE, ms"
        longest = tell(what, most, max(waits), "beacons (A)")
        assert longest == pytest.approx(most, abs=4.0)
        if most:  # evenly spread over the time between two beacons
            assert sum(waits) / len(waits) == pytest.approx(most / 2, rel=0.1)


def test_what_hearing_sending_and_napping_draw(tell: Tell) -> None:
    assert 0.095 <= tell("hearing, A", Between(0.095, 0.1), HEARING_A, SHEET) <= 0.1
    assert tell("sending, A", Between(0.19, 0.24), SENDING_A, SHEET) <= 0.24
    modem = napping(PM_PERFORMANCE)
    modem.draws(0, SECOND)
    mean, _ = modem.draws(SECOND, 11 * SECOND)
    # 31.12 mA less 20 to 30 mA of the processor, which our board counts by itself.
    assert 0.001 <= tell("napping, A", Between(0.001, 0.011), mean, f"{GUIDE}, (A)") <= 0.011


def test_the_board_s_numbers(tell: Tell) -> None:
    told = run_trial(
        "import network\nW = network.WLAN\nprint(W.PM_NONE, W.PM_PERFORMANCE, W.PM_POWERSAVE, "
        "W(W.IF_STA).config('pm'))\n",
        seconds=0.5,
    )
    ours = tuple(map(int, told.printed[0][1].split()))
    what = "PM_NONE, PM_PERFORMANCE, PM_POWERSAVE, and at first"
    assert tell(what, (0, 1, 2, 1), ours, "MicroPython (R)") == (0, 1, 2, 1)
