"""Causes that a card must not name falsely, each on the program of somebody who met one."""

from __future__ import annotations

import pytest

from checks import TASKS, Scorecard, check
from robotsim import run_trial
from robotsim.show.several import compare_text
from tests.checks.motor_slips import renumber
from tests.checks.tasks.judging import findings
from tests.checks.test_programs import programs
from tests.checks.tuning import tuned

MOTORS = """\
from machine import PWM, Pin
import time

left_ahead = PWM(Pin(25), freq=1000, duty_u16={0})
right_ahead = PWM(Pin(27), freq=1000, duty_u16={0})
left_back = PWM(Pin(26), freq=1000, duty_u16={1})
right_back = PWM(Pin(14), freq=1000, duty_u16={2})
"""
CREEP = """\
left_ahead.duty_u16({0})
right_ahead.duty_u16({1})
time.sleep(2.5)
for pwm in (left_ahead, left_back, right_ahead, right_back):
    pwm.duty_u16(0)
"""


def card(task: str, text: str) -> Scorecard:
    """Check a program on tug 7."""
    return check(task, files={TASKS[task].program: text}, serial=7)


def creeps(ahead: int, left: float, right: float) -> Scorecard:
    """Check a start in slow decay whose ahead inputs begin with a duty."""
    backs = [int(65535 * (1 - effort)) for effort in (left, right)]
    return card("drive.start", MOTORS.format(ahead, *backs) + CREEP.format(65535, 65535))


# -- driving -------------------------------------------------------------------


def test_exchanged_sides_are_told_with_the_efforts_that_came_out() -> None:
    text = programs("drive.curve", "wrong_")["wrong_sides_swapped_untuned"]
    cause = card("drive.curve", text).cause
    assert cause is not None and cause.name == "left and right swapped"
    assert "the left motor got 60 %, the right one 45 %" in cause.evidence
    assert "1 - effort" in cause.hint, "whoever wrote 40 and 55 sees it by these numbers"


MOVES = """\

def effort(ahead, back, share):
    full, pulsed = (ahead, back) if share >= 0 else (back, ahead)
    full.duty_u16(65535)
    pulsed.duty_u16(int(65535 * (1 - abs(share))))


def move(left, right, seconds):
    effort(left_ahead, left_back, left)
    effort(right_ahead, right_back, right)
    time.sleep(seconds)
    effort(left_ahead, left_back, 0)
    effort(right_ahead, right_back, 0)
    time.sleep(0.2)

"""
SIDE, TURN = "move(0.427, 0.473, {0})\n", "move(-0.45, 0.45, {0})\n"
OFF = "for pwm in (left_ahead, left_back, right_ahead, right_back):\n    pwm.duty_u16(0)\n"


def moves(task: str, *steps: str) -> Scorecard:
    """Check moves one after the other, then off."""
    return card(task, MOTORS.format(0, 0, 0) + MOVES + "".join(steps) + OFF)


@pytest.mark.parametrize(
    ("side", "turns", "name", "words"),
    [
        (2.2, 3, "wrong number of sides or turns", "degrees to port in all in place of 360"),
        (5.4, 4, "sides far too long", "in place of 0.40 m"),
    ],
)
def test_a_square_is_judged_by_what_it_came_to(
    side: float, turns: int, name: str, words: str
) -> None:
    """A turn there and back that is tried first is none too many; a wall ends what is too long."""
    tried = ["move(-0.45, 0.45, 0.3)\n", "move(0.45, -0.45, 0.3)\n"] if turns == 3 else []
    sides = [SIDE.format(side) + (TURN.format(0.5) if k < turns else "") for k in range(4)]
    cause = moves("drive.square", *tried, *sides).cause
    assert cause is not None and cause.name == name and words in cause.evidence


def test_motors_by_turns_are_told_also_behind_a_try_on_the_spot() -> None:
    """In a square as well, whose turns on the spot drive both, against each other."""
    tried = "move(-0.45, 0.45, 0.4)\n", "move(0.45, -0.45, 0.4)\n"
    sides = ["move(0.45, 0, 1.2)\nmove(0, 0.45, 1.2)\n" + TURN.format(0.5)] * 4
    for task, steps in (("drive.square", sides), ("drive.curve", sides[0].splitlines(True)[:2])):
        cause = moves(task, *tried, *steps).cause
        assert cause is not None and cause.name == "one motor after the other", task
        assert "both wheels turned alike for 0.00 s" in cause.evidence


@pytest.mark.parametrize("step_s", [0.02, 0.08])
def test_motors_by_turns_are_told_behind_a_ramp_of_both(step_s: float) -> None:
    """A ramp drives both, and for most of its time turns no wheel."""
    ramp = f"for percent in range(5, 24):\n    move(percent / 100, percent / 100, {step_s})\n"
    text = MOTORS.format(0, 0, 0) + MOVES.replace("time.sleep(0.2)", "pass") + ramp + OFF
    cause = card("drive.start", f"{text}move(0.26, 0, 1.1)\nmove(0, 0.28, 1.1)\n{OFF}").cause
    assert cause is not None and cause.name == "one motor after the other"


BENDS = MOTORS.format(0, 0, 0) + MOVES + "move({0}, 0.6, 3.3)\n" + OFF


@pytest.mark.parametrize(
    ("pins", "words"),
    [
        ({26: 14, 14: 26}, "pin 14 with pin 25, the left motor's ahead input and pin 26 with"),
        ({14: 26}, "pin 26 with pin 27, the right motor's ahead input"),
    ],
)
def test_a_back_input_on_the_other_motors_pin_is_told_with_the_pin(
    pins: dict[int, int], words: str
) -> None:
    """Whether the ahead input is set before it or after it; with the right pins it is no cause."""
    before = BENDS.format(0.5)
    after = before.replace("    full.duty_u16(65535)\n", "").replace(
        "share))))\n", "share))))\n    full.duty_u16(65535)\n"
    )
    zeros = "for pwm in (left_ahead, left_back, right_ahead, right_back):\n    pwm.duty_u16(0)\n"
    late = before.replace(", duty_u16=0)", ")").replace("\ndef effort", f"\n{zeros}\ndef effort")
    for text in (before, after, late):
        cause = card("drive.curve", renumber(pins)(text)).cause
        assert cause is not None and cause.name == "a back input on the pin of the other motor"
        assert words in cause.evidence
        cause = card("drive.curve", text).cause
        assert cause is not None and cause.name == "radius not yet right"


def test_back_inputs_set_in_a_row_have_their_pins_told_beside_exchanged_sides() -> None:
    """Two efforts that are not far apart, exchanged, make no curve to starboard."""
    text = CREEP.format(65535, 65535)
    for left in (0.6, 0.52):
        backs = [int(65535 * (1 - effort)) for effort in (left, 0.46)]
        cause = card("drive.curve", MOTORS.format(0, *backs) + text).cause
        assert cause is not None and cause.name == "left and right swapped"
        assert "the pins of the back inputs, 26 on the left and 14 on the right" in cause.hint


def test_turns_to_starboard_are_told_by_all_of_them_not_by_a_try() -> None:
    steps = SIDE.format(2.2), "move(0.45, -0.45, 0.5)\n"
    cause = moves("drive.square", "move(-0.45, 0.45, 0.2)\n", *steps * 4).cause
    assert cause is not None and cause.name == "left and right swapped"
    assert "degrees to starboard in all" in cause.evidence


def test_a_try_to_one_side_and_back_is_no_turn_on_the_spot_and_no_second_curve() -> None:
    tried = "move(0, 0.6, 0.4)\n", "move(0, -0.6, 0.4)\n"
    cause = moves("drive.curve", *tried, "move(0.38, 0.6, 3.0)\n").cause
    assert cause is not None and cause.name == "radius not yet right"


def test_motors_driven_by_turns_are_no_drift_that_a_trim_could_mend() -> None:
    text = programs("drive.straight", "wrong_")["wrong_one_after_the_other"]
    for task in ("drive.straight", "drive.curve"):
        for spoilt in (text, text.replace("right_back, 0.6", "right_back, 0.5")):
            cause = card(task, spoilt).cause
            assert cause is not None and cause.name == "one motor after the other", task
            assert cause.second is None or "trim" not in cause.second.name


def test_fast_decay_is_named_before_an_effort_that_would_do_in_slow_decay() -> None:
    duties = [int(65535 * effort) for effort in (0.24, 0.28)]
    fast = card("drive.start", MOTORS.format(0, 0, 0) + CREEP.format(*duties))
    assert fast.cause is not None and fast.cause.name == "fast decay where slow was asked"
    less = card("drive.start", MOTORS.format(0, 0, 0) + CREEP.format(9000, 9000))
    assert less.cause is not None and less.cause.name == "below the start duty"
    assert "coasts (fast decay)" in less.cause.hint


def test_an_effort_that_only_a_jerk_begins_is_no_start_duty() -> None:
    """What a jerk of a tenth of a millisecond sets going the same effort does not start."""
    jerked, braked = creeps(65535, 0.2, 0.2), creeps(0, 0.2, 0.2)
    for found in (jerked, braked):
        shares = [row.finding.share for row in found.rows[1:3]]
        assert shares == [0.0, 1.0], "the left wheel needs more on that day, the right one less"
    assert jerked.cause is not None
    assert jerked.cause.name == "started by a jerk, not by its effort"
    assert creeps(65535, 0.25, 0.28).full, "an effort that starts by itself may have had a jerk"


def test_a_half_that_was_asked_for_is_no_forgotten_duty() -> None:
    text = programs("drive.start", "wrong_")["wrong_no_duty_at_making"]
    asked = text.replace("freq=1000)", "freq=1000, duty_u16=int(0.5 * 65535))")
    named = [c.name if (c := card("drive.start", one).cause) else "" for one in (text, asked)]
    assert named[0] == "no duty given when the PWM was made" != named[1]


# -- orders, and what is not heard -----------------------------------------------


def test_an_order_that_no_program_heard_did_not_fail_by_being_obeyed() -> None:
    text = programs("radio.lamps", "right_")["right_plain"]
    ends = text.replace("while True:", "for _ in range({}):")
    _, refused = card("radio.lamps", ends.format(1)).rows[:2]
    assert refused.points == 0
    assert refused.finding.measured.startswith("all 29 came when the program had ended")
    shown, refused = card("radio.lamps", ends.format(100)).rows[:2]
    assert "the first that failed" not in shown.finding.measured + refused.finding.measured
    assert "22 more came when the program had ended" in refused.finding.measured


def until(task: str, ms: int, last: str = "") -> Scorecard:
    """Check a task's plain program with its loop broken off at a time, and a last line."""
    right = tuned(task, programs(task, "right_")["right_plain"], 7)
    text = right.replace("while True:", f"while time.ticks_ms() < {ms}:")
    assert text != right
    return card(task, f"{text}\n{last}\n")


@pytest.mark.parametrize(
    ("task", "ms", "last"),
    [("radio.helm", 7700, "stop()"), ("radio.lamps", 4100, ""), ("radio.report", 4200, "")],
)
def test_an_order_just_before_a_programs_end_is_told_as_unheard_by_every_row(
    task: str, ms: int, last: str
) -> None:
    """It may have been taken; no time was left to see what came of it."""
    found = until(task, ms, last)
    told = " ".join(row.finding.measured for row in found.rows)
    assert "came when the program had ended, or was about to" in told
    assert "first that failed" not in told, told
    assert "the worst: 0.00 m/s" not in told and "hardly any way" not in told


def test_nobody_obeys_an_order_that_comes_behind_the_programs_end() -> None:
    """A tug whose motors were left on is under way, and by no order."""
    obeyed = until("radio.helm", 5000).rows[0].finding.measured
    assert obeyed.startswith("2 of 2 orders to move were obeyed; 10 more came"), obeyed


def test_a_bad_order_that_stopped_the_program_with_an_error_was_heard() -> None:
    text = programs("radio.lamps", "right_")["right_plain"]
    raises = text.replace("except ValueError", "except OSError")
    assert raises != text
    refused = card("radio.lamps", raises).rows[1].finding.measured
    assert "the first that failed" in refused


def test_orders_that_are_not_counted_are_told_with_the_reason() -> None:
    text = programs("radio.lamps", "right_")["right_plain"]
    dark = card("radio.lamps", text.replace("lamps.write()", "pass")).rows[0].finding.measured
    assert "0 of 12 good orders" in dark and "2 left out, as they asked dark lamps" in dark


# -- lamps -----------------------------------------------------------------------


def test_a_rise_of_the_right_shape_is_told_its_scale_and_not_its_shape() -> None:
    text = programs("lamps.fade", "right_")["right_power"]
    cause = card("lamps.fade", text.replace("255 *", "100 *")).cause
    assert cause is not None and cause.name == "the rise stops short of full"
    assert "the right shape, but all of the light became 100" in cause.hint
    linear = text.replace("255 *", "100 *").replace("** 2.2", "** 1.0")
    cause = card("lamps.fade", linear).cause
    assert cause is not None and cause.name == "lightness sent as it is"


def test_four_numbers_a_lamp_are_no_other_colour() -> None:
    """What is white in every order of three is blue here and yellow there."""
    text = programs("lamps.signal", "right_")["right_timer"]
    for order in ("(0, 1, 2, 3)", "(1, 0, 2, 3)"):
        other = text.replace("TICK_MS =", f"np.ORDER = {order}\nTICK_MS =")
        assert card("lamps.signal", other).full
    spoilt = text.replace("Pin(13), 5", "Pin(13), 5, bpp=4").replace("(v, v, v)", "(v, v, v, 0)")
    cause = card("lamps.signal", spoilt).cause
    assert cause is not None and cause.name == "four numbers for each lamp"
    assert "20 bytes went out at a time" in cause.evidence


def test_a_board_that_waits_for_its_timers_waits_in_no_loop() -> None:
    text = programs("lamps.signal", "right_")["right_timer"].replace("111111000000", "111111111111")
    cause = card("lamps.signal", text).cause
    assert cause is None or "wait" not in cause.name


def test_lamps_that_stay_dark_flash_at_none_of_them() -> None:
    told = findings("lamps.signal", run_trial("print('x')\n", seconds=21.0))
    assert told["No lamp flashes too fast"].measured == "no lamp flashes"


def test_a_function_that_is_never_called_is_thought_of_where_nothing_is_done() -> None:
    within = "".join(f"    {line}\n" for line in CREEP.format(65535, 65535).splitlines())
    text = f"{MOTORS.format(0, 0, 0)}\n\ndef main():\n{within}"
    cause = card("drive.start", text).cause
    assert cause is not None and cause.name == "the program does nothing yet"
    assert "a function (def) for the line that calls it" in cause.hint


# -- pictures --------------------------------------------------------------------


@pytest.mark.parametrize(("duty", "told"), [(0, "turned by 0 degrees."), (30000, "to starboard.")])
def test_no_turn_has_no_sign_and_a_turn_has_its_side(duty: int, told: str) -> None:
    text = "from machine import PWM, Pin\nimport time\np = PWM(Pin(25), freq=1000, duty_u16={})\n"
    made = run_trial(text.format(duty) + "time.sleep(0.5)\n", serial=0, seconds=0.6)
    assert compare_text([made], ["a"]).endswith(told)
