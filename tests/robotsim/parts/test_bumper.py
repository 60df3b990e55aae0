"""The bumper."""

import random

from hypothesis import given
from hypothesis import strategies as st

from robotsim.parts.bumper import Bumper
from robotsim.parts.part import FakeSurroundings
from robotsim.parts.quirks import Quirks


def _bumper(seed=0):
    return Bumper(Quirks.of(0), random.Random(seed))


def _watch(bumper, around, seconds, step=2e-6):
    """Give (time, level) at each change seen by looking very often."""
    changes, last = [], bumper.level("bumper", around)
    for k in range(1, round(seconds / step) + 1):
        bumper.advance(step, around)
        level = bumper.level("bumper", around)
        if level != last:
            changes.append((k * step, level))
            last = level
    return changes


def test_open_until_something_pushes():
    bumper, around = _bumper(), FakeSurroundings()
    bumper.advance(1.0, around)
    assert bumper.level("bumper", around) is None
    around.pressed = True
    assert bumper.level("bumper", around) == 0


@given(st.integers(0, 10_000))
def test_a_press_and_a_release_bounce_for_about_3_ms_and_then_rest(seed):
    bumper, around = _bumper(seed), FakeSurroundings()
    for pressed, rest in ((True, 0), (False, None)):
        around.pressed = pressed
        bumper.level("bumper", around)  # the first touch
        changes = 0
        passed = 0.0
        while (wait := bumper.next_edge(around)) is not None:
            bumper.advance(wait + 1e-9, around)
            passed += wait
            changes += 1
        assert 4 <= changes <= 8 and changes % 2 == 0
        assert 0.0025 <= passed <= 0.0036
        assert bumper.level("bumper", around) == rest
        bumper.advance(1.0, around)
        assert bumper.level("bumper", around) == rest


def test_a_program_that_counts_every_edge_counts_too_many():
    bumper, around = _bumper(3), FakeSurroundings()
    around.pressed = True
    closings = sum(level == 0 for _, level in _watch(bumper, around, 0.005))
    assert closings >= 2, "the first touch and again after each bounce"


def test_looking_every_20_ms_sees_one_press():
    bumper, around = _bumper(3), FakeSurroundings()
    seen = []
    for pressed in (False, True, True, True, False, False):
        around.pressed = pressed
        bumper.advance(0.02, around)
        seen.append(bumper.level("bumper", around))
    assert seen == [None, 0, 0, 0, None, None]


def test_the_bounce_is_the_same_for_the_same_seed_and_differs_for_another():
    def pattern(seed):
        bumper, around = _bumper(seed), FakeSurroundings()
        around.pressed = True
        return _watch(bumper, around, 0.004)

    assert pattern(1) == pattern(1) != pattern(2)


def test_step_length_does_not_move_the_bounces():
    fine, coarse, around = _bumper(5), _bumper(5), FakeSurroundings()
    around.pressed = True
    fine.level("bumper", around), coarse.level("bumper", around)
    for _ in range(100):
        coarse.advance(5e-5, around)
        for _ in range(5):
            fine.advance(1e-5, around)
        assert fine.level("bumper", around) == coarse.level("bumper", around)


def test_a_release_within_the_bounce_starts_a_burst_of_its_own():
    bumper, around = _bumper(), FakeSurroundings()
    around.pressed = True
    bumper.advance(0.001, around)
    around.pressed = False
    bumper.advance(0.001, around)
    bumper.advance(0.01, around)
    assert bumper.level("bumper", around) is None
    assert bumper.readings() == (0.0,)
