"""The line eyes."""

import math
import statistics

import pytest
from hypothesis import given
from hypothesis import strategies as st

from robotsim.parts.part import FakeSurroundings
from robotsim.parts.quirks import Quirks
from robotsim.parts.reflectance import LineEyes, relative_light
from tests.robotsim.parts.quiet import Quiet

ROLES = ("eye_0", "eye_1", "eye_2", "eye_3")


class Striped(FakeSurroundings):
    """A white floor with a dark stripe from y = low to y = high."""

    def __init__(self, low, high):
        super().__init__()
        self.low, self.high = low, high

    def floor(self, x, y):
        return 0.2 if self.low <= y <= self.high else 0.9


def _eyes(serial=0, noise=None):
    return LineEyes(Quirks.of(serial), noise or Quiet())


def test_white_is_low_and_dark_is_high():
    eyes = _eyes()
    white = eyes.volts("eye_0", FakeSurroundings(shade=0.9))
    dark = eyes.volts("eye_0", FakeSurroundings(shade=0.2))
    assert 0.4 < white < 0.9 and 2.0 < dark < 2.6


@given(st.floats(0.0, 1.0), st.floats(0.0, 1.0), st.integers(0, 200))
def test_a_lighter_floor_never_gives_a_higher_voltage(one, other, serial):
    low, high = sorted((one, other))
    eyes = _eyes(serial)
    light = eyes.volts("eye_2", FakeSurroundings(shade=high))
    dark = eyes.volts("eye_2", FakeSurroundings(shade=low))
    assert 0.1 < light <= dark <= 3.3


@pytest.mark.parametrize(("role", "y_mm"), list(zip(ROLES, (18, 6, -6, -18), strict=True)))
def test_each_eye_looks_at_its_own_place_across_the_bow(role, y_mm):
    around = Striped(y_mm / 1000 - 0.003, y_mm / 1000 + 0.003)
    eyes = _eyes()
    dark = [eye for eye in ROLES if eyes.volts(eye, around) > 1.5]
    assert dark == [role]


def test_the_row_is_44_mm_ahead_and_turns_with_the_tug():
    class Spot(FakeSurroundings):
        def floor(self, x, y):
            return 0.2 if math.hypot(x - 1.0, y - 2.0) < 0.005 else 0.9

    around, eyes = Spot(), _eyes()
    for heading in (0.0, 0.7, math.pi / 2, -2.5):
        # Eye 1 is 44 mm ahead and 6 mm to port of the axle's middle.
        around.heading = heading
        around.x = 1.0 - 0.044 * math.cos(heading) + 0.006 * math.sin(heading)
        around.y = 2.0 - 0.044 * math.sin(heading) - 0.006 * math.cos(heading)
        assert eyes.volts("eye_1", around) > 2.0
        assert eyes.volts("eye_0", around) < 1.0
        assert eyes.volts("eye_2", around) < 1.0


def test_the_spot_turns_a_sharp_edge_into_even_steps():
    eyes = _eyes()
    white = eyes.volts("eye_1", FakeSurroundings(shade=0.9))
    dark = eyes.volts("eye_1", FakeSurroundings(shade=0.2))
    # An edge comes in from starboard in steps of 0.1 mm.
    passing = [
        eyes.volts("eye_1", Striped(-1.0, 0.006 + mm / 10_000)) for mm in range(-30, 31)
    ]
    assert passing[0] == pytest.approx(white) and passing[-1] == pytest.approx(dark)
    jumps = [b - a for a, b in zip(passing, passing[1:], strict=False)]
    assert min(jumps) >= -1e-12
    assert max(jumps) < 0.3 * (dark - white)
    changed = [k for k, jump in enumerate(jumps) if jump > 1e-9]
    # Seven points 0.65 mm apart: the edge takes 4 mm to pass (the spot's width).
    assert len(changed) == 7 and changed[-1] - changed[0] == pytest.approx(39, abs=2)


def test_the_room_s_light_pulls_every_reading_down():
    eyes = _eyes()
    around = FakeSurroundings(shade=0.2)
    before = eyes.volts("eye_0", around)
    eyes.ambient += 0.3
    assert eyes.volts("eye_0", around) == pytest.approx(before - 0.3)


def test_a_flood_of_light_saturates_an_eye_above_zero():
    eyes = _eyes()
    eyes.ambient = 50.0
    assert 0.0 < eyes.volts("eye_0", FakeSurroundings()) < 0.2


def test_eyes_of_one_tug_differ_so_that_a_shared_threshold_moves_the_edge():
    for serial in range(1, 50):
        eyes = _eyes(serial)
        middles, spans = [], []
        for role in ROLES:
            white = eyes.volts(role, FakeSurroundings(shade=0.9))
            dark = eyes.volts(role, FakeSurroundings(shade=0.2))
            middles.append((white + dark) / 2)
            spans.append(dark - white)
            assert dark - white > 1.0, "every eye can still tell the line"
        apart = max(middles) - min(middles)
        assert apart > 0.02
        if serial == 1:
            assert apart / min(spans) > 0.05
    # Over many tugs the middle of one eye is often off by a tenth of another's span.
    assert statistics.median(_spread(serial) for serial in range(1, 100)) > 0.1


def _spread(serial):
    eyes = _eyes(serial)
    white = [eyes.volts(role, FakeSurroundings(shade=0.9)) for role in ROLES]
    dark = [eyes.volts(role, FakeSurroundings(shade=0.2)) for role in ROLES]
    middles = [(w + d) / 2 for w, d in zip(white, dark, strict=True)]
    return (max(middles) - min(middles)) / (dark[0] - white[0])


def test_gain_and_offset_are_the_quirks():
    quirks = Quirks(7, eye_gain=(1.0, 1.1, 1.0, 1.0), eye_offset=(0.0, 0.0, 0.05, 0.0))
    eyes = LineEyes(quirks, Quiet())
    around = FakeSurroundings(shade=0.2)
    plain = eyes.volts("eye_0", around)
    assert 3.3 - eyes.volts("eye_1", around) == pytest.approx(1.1 * (3.3 - plain))
    assert eyes.volts("eye_2", around) == pytest.approx(plain - 0.05)


def test_more_of_the_room_s_light_pulls_down_by_its_share():
    class Brighter(FakeSurroundings):
        def lit(self, x, y):
            return 1.1

    eyes, around = _eyes(), FakeSurroundings(shade=0.2)
    before = eyes.volts("eye_0", around)
    assert eyes.volts("eye_0", Brighter(shade=0.2)) == pytest.approx(before - 0.1 * eyes.ambient)


def test_no_light_comes_back_from_a_floor_that_is_touched():
    assert relative_light(0.0) == 0.0 and relative_light(-1.0) == 0.0
