"""The battery against what is commonly known of nickel-metal hydride cells.

Marks: R read in the published page, T read in a transcription, M from memory,
A arithmetic, P common practice without a source.  The published safety
figures for lithium cells do not apply: the tug has none.
"""

import pytest

from robotsim.parts.battery import Battery


def _cell(share_left):
    return Battery(share_left).emf / 4


def test_nominal_voltage():
    # 1.2 V a cell, four in a row 4.8 V (P): the average of a whole discharge.
    steps = [k / 1000 for k in range(1001)]
    mean = sum(Battery(share).emf for share in steps) / len(steps)
    assert mean == pytest.approx(4.8, rel=0.02)


@pytest.mark.parametrize(
    ("share_left", "low", "high"),
    [(1.0, 1.38, 1.45), (0.9, 1.23, 1.27), (0.2, 1.12, 1.20), (0.0, 0.8, 1.0)],
)
def test_landmarks_of_the_discharge_curve(share_left, low, high):
    # About 1.4 V when full, 1.25 V after a tenth, little less until four fifths are gone,
    # 0.8 to 1.0 V when flat (P).
    assert low <= _cell(share_left) <= high


def test_the_curve_is_flat_in_the_middle_and_steep_at_its_ends():
    # The same (P).
    middle = (_cell(0.8) - _cell(0.3)) / 0.5
    assert (_cell(1.0) - _cell(0.95)) / 0.05 > 4 * middle
    assert (_cell(0.05) - _cell(0.0)) / 0.05 > 4 * middle


def test_running_time():
    # 1900 mAh at 190 mA is ten hours (A).
    battery = Battery(1.0)
    hours = 0
    while battery.charge > 1e-9:
        battery.draw(0.190, 3600.0)
        hours += 1
        assert hours < 100
    assert hours == 10


def test_all_lamps_and_a_stalled_arm_sag_by_ohm_s_law():
    # 15 channels of 18.5 mA (T) and 0.65 A behind 0.18 ohm (A).
    load = 15 * 0.0185 + 0.65
    assert 4.8 - Battery().volts(load) == pytest.approx(0.167, abs=0.001)
