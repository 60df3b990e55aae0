"""The tasks of the lesson `drive`: their criteria, on recordings whose every number is known."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence

import pytest

from checks import TASKS, check
from checks.course.lessons import LESSONS
from checks.mistakes import COMMON
from checks.readings.bench import faster_side, start_duties
from checks.readings.motion import Way, hit_wall, motor_phases, moves, still_braked, still_driven
from checks.tasks import motors as slips
from checks.tasks.drive.square import no_rest
from checks.tasks.drive.straight import no_trim, trim_not_yet_right, trim_on_the_wrong_side
from robotsim import PINS, Recording, run_trial
from robotsim.parts.quirks import Quirks
from robotsim.parts.wheels import TRACK
from robotsim.recording import Event
from tests.checks.tasks.judging import findings
from tests.robotsim.show.recordings import motors, recording

QUARTER = math.pi / 2
SLOW_HALF = ((1.0, 0.5), (1.0, 0.5))
OFF = ((0.0, 0.0), (0.0, 0.0))
STRAIGHT_FROM, CURVE_FROM, SQUARE_FROM = (
    TASKS[f"drive.{name}"].runs[0].start or (0.0, 0.0, 0.0)
    for name in ("straight", "curve", "square")
)


def drove(
    legs: Sequence[tuple[float, float, float]], start: tuple[float, float, float], *,
    seconds: float = 20.0, events: Sequence[Event] = (),
) -> Recording:  # fmt: skip
    """Give the recording of a tug that drove some legs of exact arcs."""
    return recording(legs=legs, start=start, seconds=seconds, events=events, ended_s=seconds / 2)


# -- reading a recording -----------------------------------------------------


@pytest.mark.parametrize(
    ("ahead", "back", "duty", "braked"),
    [
        (0.0, 0.0, 0.0, False),  # coast
        (1.0, 0.0, 1.0, False),  # forward
        (0.0, 1.0, -1.0, False),  # reverse
        (1.0, 1.0, 0.0, True),  # brake
        (0.3, 0.0, 0.3, False),  # PWM, 0: forward, fast decay
        (1.0, 0.7, 0.3, True),  # 1, PWM: forward, slow decay
        (0.7, 1.0, -0.3, True),
    ],
)
def test_a_motors_phases_follow_the_bridges_truth_table(
    ahead: float, back: float, duty: float, braked: bool
) -> None:
    # Texas Instruments SLVSB18 (DRV8835), table 2 (read); decay modes of the DRV8833 class, where
    # the effective duty of (1, PWM) is 1 - d (transcription).
    made = recording(seconds=2.0, events=motors(0.5, (ahead, back), (0.0, 0.0)))
    phase = motor_phases(made, "left")[-1]
    assert phase.duty == pytest.approx(duty, abs=1e-4)
    assert phase.braked is braked
    assert still_driven(made) == (["left"] if duty else [])


def test_a_state_of_microseconds_between_two_writes_is_not_taken_for_driving() -> None:
    both = [*motors(1.0, (1.0, 0.0), (0.0, 0.0)), *motors(1.00003, (1.0, 1.0), (0.0, 0.0))]
    assert [p.duty for p in motor_phases(recording(events=both), "left")] == [0.0, 0.0]


def test_a_way_is_seen_from_the_tugs_own_start() -> None:
    way = Way.of(drove([(2.0, 0.25, 0.0)], (0.5, 0.2, QUARTER)))
    assert way.end == pytest.approx((0.5, 0.0), abs=1e-9)
    assert way.path == pytest.approx(0.5, abs=1e-9)


def test_the_start_duty_measured_is_the_one_that_the_tug_has() -> None:
    # The current's ripple helps a wheel by about a hundredth, and a step is a quarter of one.
    for serial in (0, 7, 50, 131, 200):
        quirks = Quirks.of(serial)
        found = start_duties(serial)
        for side, own in (("left", quirks.left_start), ("right", quirks.right_start)):
            assert -0.02 < found[side] - own < 0.005, (serial, side)


def test_the_faster_side_is_the_one_whose_wheel_runs_farther_at_equal_duty() -> None:
    assert faster_side(0) == ""
    program = "import time\n" + "".join(
        f"from machine import Pin, PWM\nPWM(Pin({a}), freq=1000, duty_u16=65535)\n"
        for a in (25, 27)
    )
    for serial in (7, 12):
        made = run_trial(program + "time.sleep(1)\n", serial=serial, seconds=1.0)
        left, right = (sum(made.tracks[side]) for side in ("left", "right"))
        assert faster_side(serial) == ("left" if left > right else "right")


def test_a_wall_is_met_where_the_hull_reaches_it() -> None:
    # 0.058 m of hull before a wall at 1.2 m; at 0.2 m/s from x = 0.6 after 2.7 s.
    made = drove([(4.0, 0.2, 0.0)], (0.6, 0.4, 0.0))
    assert hit_wall(made) == pytest.approx(2.71, abs=0.02)
    assert hit_wall(drove([(2.0, 0.2, 0.0)], (0.6, 0.4, 0.0))) is None


# -- one metre straight ------------------------------------------------------


def test_an_exact_metre_earns_all_and_30_cm_too_few_only_a_part() -> None:
    whole = findings("drive.straight", drove([(5.0, 0.2, 0.0)], STRAIGHT_FROM))
    assert all(found.share == 1.0 for found in whole.values())
    short = findings("drive.straight", drove([(3.5, 0.2, 0.0)], STRAIGHT_FROM))
    part = (0.80 - 0.30) / (0.80 - 0.04)
    assert short["It goes one metre"].share == pytest.approx(part, abs=0.01)
    assert "0.30 m short" in short["It goes one metre"].measured
    assert 0.5 < short["It keeps to the line"].share < 1.0, "a short way is a short line"


def test_wheels_that_differ_by_four_percent_lose_the_line_and_nothing_else() -> None:
    # Differential drive (University of Freiburg exercise sheet, transcription):
    # R = l/2 (vl + vr)/(vr - vl), w = (vr - vl)/l.
    left, right = 0.196, 0.204
    turn = (right - left) / TRACK
    radius = TRACK / 2 * (left + right) / (right - left)
    found = findings("drive.straight", drove([(5.0, 0.2, turn)], STRAIGHT_FROM))
    aside = radius * (1 - math.cos(1.0 / radius))
    assert aside == pytest.approx(0.215, abs=0.005), "what the lesson tells: about 0.2 m"
    assert f"{aside:.2f} m to port" in found["It keeps to the line"].measured
    assert found["It keeps to the line"].share == 0.0
    assert found["It goes one metre"].share > 0.8


def test_a_miss_by_a_hair_and_a_way_cut_short_are_told_so_that_the_loss_is_understood() -> None:
    far = drove([(5.0, 0.1918, 0.0)], STRAIGHT_FROM)
    assert findings("drive.straight", far)["It goes one metre"].measured == (
        "ended 0.041 m short of 1.00 m"
    )
    part = findings("drive.straight", drove([(3.0, 0.2, 0.0)], STRAIGHT_FROM))
    assert "in the 0.60 m that it came ahead" in part["It keeps to the line"].measured


def test_moves_without_a_rest_between_them_are_named_before_the_trim() -> None:
    leg = [*motors(0.1, (1.0, 0.6), (1.0, 0.5)), *motors(2.1, (0.5, 1.0), (1.0, 0.5))]
    events = [
        event._replace(time_ns=event.time_ns + k * 2_500_000_000) for k in range(4) for event in leg
    ]
    resting = [
        *events,
        *(e for k in range(4) for t in (2.0, 2.5) for e in motors(2.5 * k + t, *OFF)),
    ]
    made = drove([(2.0, 0.2, 0.05), (0.5, 0.0, 3.2)] * 4, SQUARE_FROM, events=events)
    rested = drove([(2.0, 0.2, 0.05), (0.5, 0.0, 3.2)] * 4, SQUARE_FROM, events=resting)
    square = TASKS["drive.square"].facts
    assert no_rest.evidence(square([made])) and not no_rest.evidence(square([rested]))


def test_a_wall_does_not_stop_the_tug_in_the_learners_place() -> None:
    found = findings("drive.straight", drove([(5.25, 0.2, 0.0)], STRAIGHT_FROM))
    assert found["It goes one metre"].share == 0.0
    assert found["It stops by itself"].share == 0.0


def test_motors_left_on_are_told_even_if_the_tug_stands() -> None:
    events = motors(0.0, *SLOW_HALF)
    found = findings("drive.straight", drove([(5.0, 0.2, 0.0)], STRAIGHT_FROM, events=events))
    assert found["It stops by itself"].share == 0.0
    stopped = [*events, *motors(5.0, *OFF)]
    found = findings("drive.straight", drove([(5.0, 0.2, 0.0)], STRAIGHT_FROM, events=stopped))
    assert found["It stops by itself"].share == 1.0


# -- half a circle -----------------------------------------------------------


def arc(vl: float, vr: float, turned: float) -> tuple[float, float, float]:
    """Give the leg (s, m/s, rad/s) in which two wheel speeds turn the tug by an angle."""
    turn = (vr - vl) / TRACK
    return turned / turn, (vl + vr) / 2, turn


def test_wheel_speeds_of_204_to_296_are_the_circle_that_the_lesson_works_out() -> None:
    # Differential drive, as above: (R + l/2)/(R - l/2) with R = 0.25 and l = 0.092.
    found = findings("drive.curve", drove([arc(0.204, 0.296, math.pi)], CURVE_FROM))
    assert all(one.share == 1.0 for one in found.values())
    assert "mean radius is 0.25 m" in found["It keeps to the circle"].measured


def test_a_curve_of_another_radius_is_told_with_its_radius() -> None:
    found = findings("drive.curve", drove([arc(0.230, 0.290, math.pi)], CURVE_FROM))
    wide = found["It keeps to the circle"]
    assert wide.share == 0.0 and "mean radius is 0.40 m" in wide.measured
    assert found["It turns by half a turn"].share == 1.0


def test_a_curve_to_starboard_and_a_spin_earn_nothing_essential() -> None:
    wrong_side = drove([arc(0.296, 0.204, -QUARTER)], (0.45, 0.65, 0.0))
    assert findings("drive.curve", wrong_side)["It turns to port"].share == 0.0
    spin = drove([(3.0, 0.0, math.pi / 3)], CURVE_FROM)
    assert findings("drive.curve", spin)["It turns to port"].share == 0.0


def test_three_straight_sides_are_no_circle() -> None:
    side = math.pi * 0.25 / 3
    legs = [(side / 0.2, 0.2, 0.0), (1.0, 0.0, math.pi / 3)] * 3
    found = findings("drive.curve", drove(legs, CURVE_FROM))
    assert found["It keeps to the circle"].share < 0.5


# -- a square ----------------------------------------------------------------


def square(
    *, side: float = 0.4, turn: float = 90.0, count: int = 4, pause: float = 0.2
) -> Recording:
    """Give the recording of a polygon driven side by side, with turns on the spot."""
    legs, events, time = [], [], 0.0
    both, spin = ((1.0, 0.5), (1.0, 0.5)), ((0.5, 1.0), (1.0, 0.5))
    moves = ((side / 0.2, 0.2, 0.0), both), ((1.0, 0.0, math.radians(turn)), spin)
    for leg, inputs in moves * count:
        legs += [leg, (pause, 0.0, 0.0)]
        events += [*motors(time, *inputs), *motors(time + leg[0], *OFF)]
        time += leg[0] + pause
    return drove(legs, SQUARE_FROM, events=events)


def test_an_exact_square_earns_all() -> None:
    assert all(found.share == 1.0 for found in findings("drive.square", square()).values())


def test_more_than_eight_moves_cost_nothing_if_each_has_its_rest() -> None:
    rested, hurried = (
        findings("drive.square", square(side=0.15, turn=45, count=8, pause=pause))
        ["It rests between the moves"].share
        for pause in (0.2, 0.05)
    )  # fmt: skip
    assert rested == 1.0 > hurried


def test_turns_about_one_wheel_earn_all_with_sides_as_short_as_the_lesson_says() -> None:
    """The middle of the tug runs half a track about the braked wheel, the left one."""
    text = (LESSONS / "drive.md").read_text(encoding="utf-8")
    told = re.search(r"drive only (0\.\d+) m a side, (0\.\d+) m less", text)
    assert told and [*map(float, told.groups())] == pytest.approx([0.4 - TRACK, TRACK])
    corner, v = TRACK / 2 * QUARTER, 0.1
    legs = [(float(told[1]) / 0.2, 0.2, 0.0), (0.2, 0.0, 0.0), (corner / v, v, v / (TRACK / 2))] * 4
    found = findings("drive.square", drove(legs, SQUARE_FROM))
    of_the_way = {title: one.share for title, one in found.items() if "rests" not in title}
    assert {*of_the_way.values()} == {1.0}, of_the_way


@pytest.mark.parametrize(
    ("made", "lost"),
    [
        (square(turn=82), {"It comes by the corners", "It keeps to the sides", "It closes",
                           "It heads as it began"}),
        (square(side=0.25), {"It comes by the corners", "It keeps to the sides", "It closes",
                             "It goes round to port", "It heads as it began"}),
        (square(count=3), {"It comes by the corners", "It keeps to the sides", "It closes",
                           "It heads as it began", "It goes round to port",
                             "It rests between the moves"}),
    ],
    ids=["turns too small", "sides too short", "a side too few"],
)  # fmt: skip
def test_a_square_with_one_fault_loses_on_what_the_fault_spoils(
    made: Recording, lost: set[str]
) -> None:
    found = findings("drive.square", made)
    assert lost >= {title for title, one in found.items() if one.share < 1.0}
    assert found["It comes by the corners"].share < 1.0


@pytest.mark.parametrize(("pause", "share"), [(0.1, 1.0), (0.05, 0.5), (0.02, 0.2)])
def test_a_rest_that_is_too_short_loses_in_proportion(pause: float, share: float) -> None:
    rests = findings("drive.square", square(pause=pause))["It rests between the moves"]
    assert rests.share == pytest.approx(share, abs=0.03)


def test_standing_on_the_spot_does_not_close_a_square() -> None:
    card = check("drive.square", files={"square.py": "pass\n"}, serial=7)
    assert card.points == 0.0
    spin = drove([(4.0, 0.0, QUARTER)], SQUARE_FROM)
    assert findings("drive.square", spin)["It goes round to port"].share == 0.0


def test_driving_out_and_back_does_not_close_a_square() -> None:
    found = findings("drive.square", drove([(4.0, 0.2, 0.0), (4.0, -0.2, 0.0)], SQUARE_FROM))
    assert found["It goes round to port"].share == 0.0


# -- mistakes ----------------------------------------------------------------


def test_an_even_tug_is_never_told_that_one_wheel_is_the_faster() -> None:
    assert faster_side(0) == ""
    made = drove([(5.0, 0.2, 0.2)], STRAIGHT_FROM, events=motors(0.0, *SLOW_HALF))
    assert made.serial == 0
    seen = TASKS["drive.straight"].facts([made])
    assert not no_trim.evidence(seen) and not trim_on_the_wrong_side.evidence(seen)


def test_a_part_on_another_pin_is_no_wrong_pin_of_a_motor(monkeypatch: pytest.MonkeyPatch) -> None:
    (wrong_pin,) = (mistake for mistake in COMMON if mistake.name == "wrong pin")
    made = recording(events=[Event(0, "pwm", (pin, 50, 5000)) for pin in (2, 25, 26, 27)])
    assert wrong_pin.evidence([made])
    monkeypatch.setitem(PINS, "horn", 2)
    assert not wrong_pin.evidence([made])


def test_no_card_tells_the_start_duty_to_who_has_not_found_it() -> None:
    needs = start_duties(7)
    for effort in (0.0, 0.1, 1.0):
        program = (
            "from machine import Pin, PWM\nimport time\n"
            "pins = [PWM(Pin(n), freq=1000, duty_u16=65535) for n in (25, 26, 27, 14)]\n"
            f"for pin in pins[1::2]:\n    pin.duty_u16(int(65535 * (1 - {effort})))\n"
            "time.sleep(2.5)\nfor pin in pins:\n    pin.duty_u16(0)\n"
        )
        text = str(check("drive.start", files={"start.py": program}, serial=7))
        for need in needs.values():
            assert f"{100 * need:.0f} %" not in text and f"{need:.2f}" not in text, text


def test_motors_off_is_neither_driven_nor_braked() -> None:
    shares = []
    for inputs in (OFF, ((1.0, 1.0), (0.0, 0.0)), ((1.0, 0.0), (0.0, 0.0))):
        made = recording(events=[*motors(0.0, *SLOW_HALF), *motors(1.0, *inputs)])
        shares.append(slips.switched_off(made)[0])
    assert shares == [1.0, 0.5, 0.0]
    assert still_braked(recording(events=motors(1.0, (1.0, 1.0), (1.0, 0.0)))) == ["left"]


def test_a_way_is_cut_into_sides_and_turns() -> None:
    kinds = [(move.straight, round(move.length, 1)) for move in moves(square())]
    assert kinds == [(True, 0.4), (False, 0.0)] * 4


TRIMMED = """\
import time
from machine import PWM, Pin
pins = {{pin: PWM(Pin(pin), freq=1000, duty_u16=0) for pin in (25, 26, 27, 14)}}
pins[25].duty_u16(int({left} * 65535))
pins[27].duty_u16(int({right} * 65535))
time.sleep(2)
pins[25].duty_u16(0)
pins[27].duty_u16(0)
"""


@pytest.mark.parametrize(("left", "right"), [(0.7, 0.5), (0.5, 0.7)])
def test_a_trim_is_told_with_both_duties_and_with_the_side_to_take_from(
    left: float, right: float
) -> None:
    made = run_trial(TRIMMED.format(left=left, right=right), start=STRAIGHT_FROM, seconds=10.0)
    seen = TASKS["drive.straight"].facts([made])
    found = trim_not_yet_right.evidence(seen)
    side = "left" if left > right else "right"
    assert found is not None and f"take a little duty from the {side} motor" in found.hint
    assert f"the {side} motor got 70.0 % duty, the other 50.0 %" in found.words


def test_motors_left_at_full_by_mixed_pins_are_told_that_a_brake_needs_both_of_one() -> None:
    mixed = TRIMMED.format(left=1, right=0.5).replace("duty_u16(0)", "duty_u16(65535)")
    for text, told in ((mixed, True), (mixed.replace("65535", "30000"), False)):
        made = run_trial(text, start=STRAIGHT_FROM, seconds=5.0)
        found = slips.left_on.evidence(TASKS["drive.straight"].facts([made]))
        assert found is not None and ("two inputs of ONE motor" in found.hint) == told


def test_a_turn_on_the_spot_alone_is_no_way_round_a_square() -> None:
    """A stranger's: ahead and back again, then round by guess; half of the points were its."""
    spun = findings("drive.square", square(side=0.02))
    assert spun["It heads as it began"].share < 0.1 and spun["It closes"].share < 0.1
    assert "of the sides in 0.08 m of way" in spun["It heads as it began"].measured


def test_to_and_fro_along_one_side_is_no_square_however_long() -> None:
    leg = [(2.0, 0.2, 0.0), (0.5, 0.0, 0.0), (2.0, -0.2, 0.0), (0.5, 0.0, 0.0)]
    spin = [(4.0, 0.0, math.radians(90)), (0.5, 0.0, 0.0)]
    found = findings("drive.square", drove([*leg * 2, *spin], SQUARE_FROM))
    for title in ("It keeps to the sides", "It closes", "It heads as it began"):
        assert found[title].share < 0.4, title
        assert "% of the sides in 1.6" in found[title].measured
