"""The words tell the finding, with the numbers of the recording."""

from __future__ import annotations

import math

import pytest

from robotsim.recording import Problem
from robotsim.show.compose import figure
from robotsim.show.facts import share_words
from robotsim.show.words import alt_text, headline
from robotsim.trial import run_trial
from tests.robotsim.show.recordings import OFF, arc, at, drift, lamps, motors, recording


def test_a_drift_is_told_with_its_numbers() -> None:
    x, y, heading = arc(0, 0, 0, 0.22, 0.07, 3.7)
    told = alt_text(drift())
    assert (
        f"The tug drove {x:.2f} m ahead, drifted {y:.2f} m to port and ended heading "
        f"{round(math.degrees(heading))} degrees to port of its first heading."
    ) in told
    assert "drive.py finished at 4.00 s." in told
    assert "amber on mast, white 8 % on deck; port bow, starboard bow and stern were dark" in told
    assert "It printed 3 lines." in told


def test_starboard_and_astern_are_told_as_such() -> None:
    told = alt_text(recording(legs=[(2.0, -0.2, 0.1)]))
    assert "m astern" in told and "to starboard" in told and "to port and" not in told


def test_a_way_there_and_back_is_not_told_as_a_straight_drive() -> None:
    told = alt_text(recording(legs=[(1, 0.4, 0), (0.5, -0.4, 0)]))
    assert "went 0.60 m in all, ended 0.20 m ahead of its start, on its first heading" in told


def test_a_closed_circle_and_a_turn_on_the_spot() -> None:
    assert "came back to its start, having turned 360 degrees to port" in alt_text(
        recording(legs=[(4.0, 0.3, math.tau / 4)])
    )
    assert "turned 90 degrees to starboard on the spot" in alt_text(
        recording(legs=[(1.0, 0.0, -math.pi / 2)])
    )


def test_motors_too_weak_to_start_are_told() -> None:
    told = recording(events=motors(1.0, (0.12, 0), (0.1, 0)))
    assert "driven at up to 12 % duty, but the tug did not move" in alt_text(told)
    assert headline(told) == "The motors were driven at up to 12 % duty; the tug did not move"


def test_motors_that_a_program_leaves_on_are_told_in_the_words_and_in_the_picture() -> None:
    left = recording(events=motors(0.1, (0.5, 0.0), (0.5, 0.0)), ended_s=1.0)
    assert "It left both motors driven." in alt_text(left)
    shown = [text.get_text() for text in figure(left).texts]
    assert any("finished at 1.00 s, with both motors still driven." in text for text in shown)
    off = [*motors(0.1, (0.5, 0.0), (0.5, 0.0)), *motors(0.9, (0.0, 0.0), (0.5, 0.0))]
    assert "It left the right motor driven." in alt_text(recording(events=off, ended_s=1.0))
    running = recording(events=off, ended="time is up")
    assert "driven" not in alt_text(running).replace("were driven at", "")


def test_an_error_is_told_with_its_line_and_time() -> None:
    trouble = Problem("ValueError", "duty out of range", "drive.py", 12, "l.duty_u16(70000)")
    told = alt_text(recording(ended="error", ended_s=1.2, problem=trouble))
    assert told.startswith("drive.py ended with ValueError in line 12 at 1.20 s.")


def test_a_failed_callback_does_not_end_the_program() -> None:
    begins = "from machine import Timer\nTimer(0, period=90, callback=lambda t: x)\n"
    text = f"{begins}import time\ntime.sleep(1)\nTimer(0).deinit()\n"
    told = alt_text(run_trial(text, seconds=2.0))
    assert "finished at 1.00 s. A callback failed with NameError in line 2." in told


def test_a_program_lost_in_computing_is_told_as_that_and_as_no_callback() -> None:
    told = alt_text(run_trial("while True:\n    pass\n", seconds=5.0))
    assert "It has run for 5 s without touching the board in line 2." in told
    assert "callback" not in told


def test_lamps_touches_and_float_are_told() -> None:
    n = 501
    told = alt_text(
        recording(
            events=[lamps(0.0, ((255, 255, 255),) * 5), lamps(1.0, (OFF,) * 5),
                    at(2.0, "touch", "float", 0.01), at(3.0, "dock", "in")],
            more={"float_x": tuple(0.5 + 0.2 * k / (n - 1) for k in range(n)),
                  "float_y": (0.4,) * n,
                  "arm": tuple(math.radians(30) * math.sin(k / 50) for k in range(n))},
        )  # fmt: skip
    )
    assert "The lamps changed 2 times. At the end all lamps were dark." in told
    assert "Touched float at 2.00 s." in told
    assert "The float ended 0.20 m from where it lay. It came into the dock at 3.00 s." in told
    assert "The arm swung between -30 and 30 degrees" in told


def test_the_same_recording_gives_the_same_words() -> None:
    assert alt_text(drift()) == alt_text(drift())


def test_no_number_is_a_minus_zero() -> None:
    assert "-0" not in alt_text(recording(legs=[(1, 0.2, -1e-12)]))


def test_an_arm_that_swung_stands_in_the_head_and_so_does_a_float_that_docked() -> None:
    arm = tuple(0.4 if 100 < k < 200 else 0.0 for k in range(501))
    assert headline(recording(more={"arm": arm})).startswith("The arm swung between 0 and 23°")
    events = [at(1.0, "touch", "arm", 0.1), at(2.0, "dock", "in")]
    made = recording(more={"arm": arm}, events=events)
    assert headline(made).startswith("The float came into the dock; the arm swung")
    assert "Arm struck float at 1.00 s." in alt_text(made)


def test_a_duty_in_another_scale_is_neither_nothing_nor_0_percent() -> None:
    made = recording(events=motors(1.0, (50 / 65535, 0), (50 / 65535, 0)))
    told = "The motors were driven at up to 0.08 % duty (a duty of 50, where 65535 is full)"
    assert headline(made) == f"{told}; the tug did not move" and told in alt_text(made)
    assert share_words(50 / 65535) == "0.08 %" and share_words(0.0) == "0 %"


def test_colours_on_a_pin_without_lamps_are_told_as_the_check_tells_them() -> None:
    made = recording(events=[at(0.1, "frame", 12, 1, "0a0a0a")])
    told = "Colours went out on pin 12; the lamps hang on pin 13"
    assert headline(made) == told and f"{told}." in alt_text(made)
    notes = [text.get_text() for text in figure(made).texts]
    assert not any("no lamp was written to" in text for text in notes)
    assert headline(recording(events=[at(0.1, "frame", 13, 1, "000000")])) != told


@pytest.mark.parametrize("begun", ["", "from machine import Pin\nPin(25, Pin.OUT).on()\n"])
def test_a_loop_without_end_is_named_with_its_line_in_the_picture_too(begun: str) -> None:
    made = run_trial(f"{begun}while True:\n    pass\n", seconds=2.0)
    line = f"line {begun.count(chr(10)) + 2}"
    shown = [text.get_text() for text in figure(made).texts]
    assert any(f"was still running in {line} when the time was up" in text for text in shown)
    if not begun:
        assert headline(made) == f"Caught in main.py, {line}: nothing moved, nothing lit up"


def test_a_callback_that_failed_is_not_where_a_program_still_runs() -> None:
    text = "from machine import Timer\nTimer(0, period=50, callback=lambda t: 1 / 0)\n"
    made = run_trial(text + "import time\ntime.sleep(9)\n", seconds=0.5)
    assert made.problem is not None and "running in line" not in alt_text(made)
