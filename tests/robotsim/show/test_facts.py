"""What the pictures say, against motions and signals known in closed form."""

from __future__ import annotations

import gc
import math
import weakref

import pytest

from robotsim.show.facts import Drive, drives, ending, glows, journey, touches
from robotsim.wiring import PINS
from tests.robotsim.show.recordings import OFF, SIDELIGHTS, at, lamps, motors, recording


def test_an_arc_is_told_in_the_frame_of_its_start() -> None:
    radius, angle = 0.25, math.radians(90)
    went = journey(
        recording(legs=[(2.0, radius * angle / 2, angle / 2)], start=(0.6, 0.4, 2.0), seconds=3.0)
    )
    assert went.ahead == pytest.approx(radius, abs=1e-9)
    assert went.port == pytest.approx(radius, abs=1e-9)
    assert went.path == pytest.approx(radius * angle, rel=1e-4)
    assert went.turned == pytest.approx(angle)
    assert went.away == pytest.approx(radius * math.sqrt(2))


def test_turning_there_and_back_counts_as_movement() -> None:
    went = journey(recording(legs=[(1, 0, 0.5), (1, 0, -0.5)]))
    assert went.moved and went.turned == pytest.approx(0.0) and went.swept == pytest.approx(1.0)
    assert not journey(recording()).moved


def test_a_fact_is_worked_out_once_and_goes_with_its_recording() -> None:
    told = recording(legs=[(1, 0.1, 0)], events=motors(0, (0.5, 0), (0.2, 0)))
    again = recording(legs=[(1, 0.1, 0)], events=motors(0, (0.5, 0), (0.2, 0)))
    assert drives(told, "left") is drives(told, "left") != drives(told, "right")
    assert journey(told) is journey(told) is not journey(again)
    assert told == again and told.to_bytes() == again.to_bytes(), "what is kept is no part of it"
    gone = weakref.ref(told)
    del told
    gc.collect()
    assert gone() is None


# DRV8835 data sheet SLVSB18, table 2: 0 0 coasts, 1 0 drives ahead, 0 1 drives back, 1 1 brakes.
# What fills the rest of a cycle follows: the other input low gives coasting (fast decay), the
# other input high gives braking (slow decay), with an effective duty of 1 - d.
@pytest.mark.parametrize(
    ("ahead", "back", "duty", "mode"),
    [(0, 0, 0.0, "coast"), (1, 0, 1.0, "full"), (0, 1, -1.0, "full"), (1, 1, 0.0, "brake"),
     (0.6, 0, 0.6, "fast decay"), (0, 0.6, -0.6, "fast decay"), (1, 0.4, 0.6, "slow decay"),
     (0.4, 1, -0.6, "slow decay"), (0.5, 0.2, 0.3, "mixed"), (0.5, 0.5, 0.0, "mixed")],
)  # fmt: skip
def test_two_inputs_give_the_duty_and_decay_of_the_data_sheet(
    ahead: float, back: float, duty: float, mode: str
) -> None:
    told = recording(events=motors(1.0, (ahead, back), (0, 0)))
    last = drives(told, "left")[-1]
    assert last.duty == pytest.approx(duty, abs=1e-4)
    assert last.mode == mode
    assert last.end == 5.0


def test_levels_and_pulses_of_both_pins_are_joined_in_order_of_time() -> None:
    ahead, back = PINS["right_ahead"], PINS["right_back"]
    told = recording(
        events=[at(1, "pin", ahead, 1), at(2, "pin", back, 1), at(3, "pwm", back, 1000, 0),
                at(4, "mode", ahead, "in", "")]  # fmt: skip
    )
    assert drives(told, "right") == [
        Drive(0.0, 1.0, 0.0, "coast"), Drive(1.0, 2.0, 1.0, "full"),
        Drive(2.0, 3.0, 0.0, "brake"), Drive(3.0, 4.0, 1.0, "full"),
        Drive(4.0, 5.0, 0.0, "coast"),
    ]  # fmt: skip
    assert drives(told, "left") == []


def test_lamps_that_are_written_again_the_same_do_not_change() -> None:
    told = recording(events=[lamps(1.0), lamps(2.0), lamps(3.0, (OFF,) * 5)])
    assert [(g.begin, g.end, g.colours) for g in glows(told)] == [
        (0.0, 1.0, (OFF,) * 5), (1.0, 3.0, SIDELIGHTS), (3.0, 5.0, (OFF,) * 5)
    ]  # fmt: skip


def test_a_series_of_touches_counts_once() -> None:
    told = recording(events=[at(t, "touch", "wall", 0.1) for t in (1.0, 1.1, 1.3, 2.5)])
    assert touches(told) == [(1.0, "touched wall"), (2.5, "touched wall")]


def test_each_way_to_end_is_told() -> None:
    assert ending(recording(ended_s=2.0)) == "finished at 2.00 s"
    assert "still running" in ending(recording(ended="time is up"))
    assert ending(recording(ended="stopped", ended_s=1.0)) == "was stopped at 1.00 s"
