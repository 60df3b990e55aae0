"""The tasks of the lesson `arm`: their criteria, on recordings whose every number is known."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence

import pytest

from checks import TASKS
from checks.course.lessons import LESSONS
from checks.readings.arm import angles, crossings, held, off_line, pulses, strike, trains, us_of
from checks.tasks.arm.pulses import Pulses
from robotsim import Recording, run_trial
from robotsim.recording import Event
from tests.checks.tasks.judging import findings, named
from tests.checks.tuning import put, worked
from tests.robotsim.show.recordings import at, motors, recording

ARM_PIN = 18
Way = Sequence[tuple[float, float]]
"""Times in s with angles in degrees; in between the arm turns evenly."""
SWEEP: Way = ((0.0, 0), (0.1, -45), (1.4, -45), (3.4, 45), (4.6, 45), (5.6, 0), (8.0, 0))
KNOCK: Way = ((0.0, 0), (0.1, -45), (1.4, -45), (1.58, 45), (2.0, 45), (2.1, 0), (5.0, 0))


def order(time: float, number: int, freq: int = 50) -> Event:
    """Give the event of a pulse train on the arm's pin: a 16-bit duty at a frequency."""
    return at(time, "pwm", ARM_PIN, freq, number)


def swung(way: Way, events: Sequence[Event] = (), table: str = "basin") -> Recording:
    """Give the recording of a tug that stands while its arm goes a known way, its pulses on."""
    events = events or (order(0.0, 4915),)
    seconds = way[-1][0]
    track = []
    for k in range(round(seconds * 100) + 1):
        time = k / 100
        later = next(j for j, (t, _) in enumerate(way) if t >= time)
        (t0, a0), (t1, a1) = way[max(later - 1, 0)], way[later]
        share = (time - t0) / (t1 - t0) if t1 > t0 else 0.0
        track.append(math.radians(a0 + share * (a1 - a0)))
    ball = {"float_x": (0.583,) * len(track), "float_y": (0.326,) * len(track)}
    more = {"arm": tuple(track), **(ball if table == "dock" else {})}
    return recording(seconds=seconds, events=events, table=table, more=more)


def lost(task: str, made: Recording) -> set[str]:
    """Give the criteria on which a recording does not earn everything."""
    return {title for title, found in findings(task, made).items() if found.share < 1.0}


# -- reading a recording -----------------------------------------------------


@pytest.mark.parametrize(
    ("number", "us"),
    [(3277, 1000.0), (4915, 1500.0), (6554, 2000.0), (51 << 6, 1000.0), (77 << 6, 1500.0)],
)
def test_the_published_numbers_are_the_published_pulses(number: int, us: float) -> None:
    # 1.0/1.5/2.0 ms and 50 Hz: Futaba practice (read); 5 % = 51/1023 = 3277/65535 and so on
    # (arithmetic); the board keeps duty << 6 and allows +-6 us (MicroPython's source, read).
    (train,) = pulses(swung(((0.0, 0), (2.0, 0)), [order(0.1, number)]))
    assert train.us == pytest.approx(us, abs=6.0)
    assert train.begin == 0.1 and train.end == 2.0


@pytest.mark.parametrize(("angle", "us"), [(-45, 1000), (0, 1500), (45, 2000), (30, 1833.3)])
def test_an_angle_has_its_published_pulse(angle: float, us: float) -> None:
    assert us_of(angle) == pytest.approx(us, abs=0.05)


@pytest.mark.parametrize(
    ("number", "freq"),
    [(3277, 1000), (3277, 5000), (77, 50), (32768, 50), (65535, 50), (0, 50), (4915, 20)],
)
def test_what_no_servo_follows_is_told_from_what_one_does(number: int, freq: int) -> None:
    made = swung(((0.0, 0), (2.0, 0)), [order(0.1, number, freq)])
    assert pulses(made) == []
    text = f"from machine import Pin, PWM\nPWM(Pin(18), freq={freq}, duty_u16={number})\n"
    if freq != 20:  # the board's own, and the arm does not stir
        real = run_trial(text, seconds=0.5)
        assert pulses(real) == [] and not any(angles(real))


def test_orders_that_repeat_the_one_before_are_one_order() -> None:
    again = [order(0.02 * k, 4915) for k in range(50)] + [order(1.0, 3277)]
    found = trains(swung(((0.0, 0), (2.0, 0)), again))
    assert [(t.begin, t.end) for t in found] == [(0.0, 1.0), (1.0, 2.0)]


def test_ways_and_holds_are_measured_where_they_are() -> None:
    made = swung(SWEEP)
    assert crossings(made, -35, 35) == pytest.approx((1.62, 3.18), abs=0.011)
    assert crossings(made, 35, 5, after=3.2) == pytest.approx((4.82, 5.49), abs=0.011)
    assert crossings(made, 20, 30, after=4.0) is None
    assert held(made, 45, 2.0, 3.0, 8.0) == pytest.approx(1.2 + 2 * 2 / 45, abs=0.03)
    assert off_line(made, 1.4, 3.4) == pytest.approx(0.0, abs=1e-6)
    assert off_line(made, 0.5, 3.4) > 5.0


def test_the_three_orders_are_found_among_others() -> None:
    numbers = (4915, 3277, 4915, 94 << 6, 4915)
    made = swung(((0.0, 0), (5.0, 0)), [order(k, n) for k, n in enumerate(numbers)])
    assert [order.begin for order in Pulses([made]).meant if order] == [1.0, 2.0, 3.0]
    made = swung(((0.0, 0), (5.0, 0)), [order(0.0, 4915)])
    assert [order is not None for order in Pulses([made]).meant] == [False, True, False]


# -- three angles, three scales ----------------------------------------------

STEPS: Way = (
    (0.0, 0), (0.1, -45), (1.0, -45), (1.1, 0), (2.0, 0), (2.1, 30), (5.0, 30),
)  # fmt: skip


def test_the_right_three_pulses_earn_all() -> None:
    right = [order(0.0, 3276), order(1.0, 4915), order(2.0, 94 << 6), order(3.0, 0)]
    assert lost("arm.pulses", swung(STEPS, right)) == set()


def test_a_number_cut_off_is_a_step_of_the_coarse_scale_too_short() -> None:
    cut = [order(0.0, 3276), order(1.0, 4915), order(2.0, 93 << 6), order(3.0, 0)]
    made = swung(STEPS, cut)
    assert lost("arm.pulses", made) == {"30 degrees to port"}
    assert "1816.4 us" in findings("arm.pulses", made)["30 degrees to port"].measured


def test_a_fine_pulse_where_the_coarse_scale_was_asked_earns_half() -> None:
    fine = [order(0.0, 3276), order(1.0, 4915), order(2.0, 6007), order(3.0, 0)]
    found = findings("arm.pulses", swung(STEPS, fine))["30 degrees to port"]
    assert found.share == 0.5 and "cannot make" in found.measured


def test_a_fine_number_at_another_rate_may_look_like_one_of_the_coarse_scale() -> None:
    """At 50 a second nobody gets this number but by `duty`; at 48 `duty_ns` makes one by chance."""
    for freq, number, share in ((48, 49 << 6, 1.0), (50, 51 << 6, 0.5)):
        events = [order(0.0, number, freq), order(1.0, 4915), order(2.0, 94 << 6), order(3.0, 0)]
        found = findings("arm.pulses", swung(STEPS, events))["45 degrees to starboard"]
        assert found.share == share, found


def test_pulses_at_another_rate_are_not_heard_and_earn_nothing_essential() -> None:
    fast = [order(k, n, 1000) for k, n in enumerate((3277, 4915, 94 << 6))]
    found = findings("arm.pulses", swung(((0.0, 0), (5.0, 0)), fast))
    assert found["the servo hears its pulses"].share == 0.0
    assert found["50 pulses a second"].share == 0.0


def test_one_pulse_that_leaves_the_arm_where_it_is_earns_nothing() -> None:
    found = findings("arm.pulses", swung(((0.0, 0), (5.0, 0)), [order(0.0, 4915)]))
    assert found["the servo hears its pulses"].share == 0.0


def test_half_a_second_for_each_earns_a_part() -> None:
    short = ((0.0, 0), (0.1, -45), (0.5, -45), (0.6, 0), (1.0, 0), (1.1, 30), (1.5, 30), (5.0, 30))
    events = [order(0.0, 3276), order(0.5, 4915), order(1.0, 94 << 6), order(1.5, 0)]
    made = swung(short, events)
    assert lost("arm.pulses", made) == {"the servo hears its pulses", "time for each"}
    assert 0.3 < findings("arm.pulses", made)["time for each"].share < 0.7


@pytest.mark.parametrize("stood", [0.1, 0.2, 0.39, 0.41, 0.6])
def test_points_fall_evenly_with_the_time_that_an_order_stands(stood: float) -> None:
    """An order just below the limit earns hardly less than one just above it."""

    def earned(stood: float) -> float:
        events = [order(k * stood, n) for k, n in enumerate((3276, 4915, 94 << 6, 0))]
        way = [(0.0, 0.0)]
        for k, angle in enumerate((-45.0, 0.0, 30.0)):
            way += [(k * stood + 0.09, angle), ((k + 1) * stood, angle)]
        made = swung([*way, (5.0, 30.0)], events)
        return sum(c.points * found.share for c, found in
                   zip(TASKS["arm.pulses"].criteria, findings("arm.pulses", made).values(),
                       strict=True))  # fmt: skip

    assert 0.0 < earned(stood) - earned(stood - 0.02) < 0.6


def test_an_order_made_on_another_scale_than_asked_is_half_worth() -> None:
    coarse = [order(0.0, 51 << 6), order(1.0, 4915), order(2.0, 94 << 6), order(3.0, 0)]
    found = findings("arm.pulses", swung(STEPS, coarse))["45 degrees to starboard"]
    assert found.share == 0.5 and "`duty` made" in found.measured


# -- sweep and hold ----------------------------------------------------------


@pytest.mark.parametrize(
    ("low", "high", "last", "off", "cause"),
    [
        (1000, 2000, 1500, 3.0, "no trim given"),
        (1020, 2020, 1520, 3.0, "trim not right"),
        (1000, 2000, 1522, 2.0, "the last order is not for straight ahead"),  # ends at 2 degrees
        (1033, 2033, 1500, -3.0, "the last order is not for straight ahead"),  # trim left out there
    ],
)
def test_a_last_order_for_another_angle_is_told_from_a_wrong_trim(
    low: int, high: int, last: int, off: float, cause: str
) -> None:
    numbers = (round(us / 20000 * 65536) for us in (low, 1500, high, last))
    events = [order(t, n) for t, n in zip((0.0, 1.4, 3.4, 5.6), numbers, strict=True)]
    way = [*moved(SWEEP[:5], off if low + high == 2 * last else 0.0), (5.6, off), (8.0, off)]
    assert named("arm.sweep", swung(way, events)) == cause



def moved(way: Way, by: float) -> Way:
    """Give a way with every angle off by some degrees."""
    return [(time, angle + by) for time, angle in way]


def test_an_exact_sweep_earns_all() -> None:
    assert lost("arm.sweep", swung(SWEEP)) == set()


@pytest.mark.parametrize("by", [-0.9, 0.9])
def test_an_arm_within_a_degree_loses_nothing(by: float) -> None:
    assert lost("arm.sweep", swung(moved(SWEEP, by))) == set()


@pytest.mark.parametrize("by", [-3.0, 3.0])
def test_a_trim_left_in_loses_the_holds_and_the_end(by: float) -> None:
    made = swung(moved(SWEEP, by))
    assert lost("arm.sweep", made) == {
        "it holds to starboard", "it holds to port", "it ends straight ahead",
    }  # fmt: skip
    told = findings("arm.sweep", made)["it ends straight ahead"].measured
    assert told == f"up to {by:.1f} degrees aside in the last 0.8 s"


def test_a_jump_is_not_a_sweep() -> None:
    # 90 degrees at the published slew: 0.12 s for 60 degrees at 4.8 V (9 g class, transcription).
    jump = ((0.0, 0), (0.1, -45), (3.3, -45), (3.48, 45), (4.6, 45), (5.6, 0), (8.0, 0))
    found = findings("arm.sweep", swung(jump))
    assert found["it sweeps in two seconds"].share == 0.0
    assert found["at a steady speed"].share == 0.0
    assert found["it holds to starboard"].share == found["it holds to port"].share == 1.0


@pytest.mark.parametrize(("step", "full"), [(5, True), (15, False)])
def test_steps_that_can_be_seen_are_not_steady(step: int, full: bool) -> None:
    rungs: list[tuple[float, float]] = []
    for angle in range(-45, 46, step):
        begin = 1.4 + (angle + 45) / 45
        rungs += [(begin, angle - step if angle > -45 else -45), (begin + step / 500, angle)]
    way = [(0.0, 0.0), (0.1, -45.0), *rungs, (4.6, 45.0), (5.6, 0.0), (8.0, 0.0)]
    assert (findings("arm.sweep", swung(way))["at a steady speed"].share == 1.0) is full


def test_sweeping_to_one_side_only_earns_nothing_essential() -> None:
    half = ((0.0, 0), (1.0, -45), (3.0, -45), (4.0, 0), (8.0, 0))
    assert findings("arm.sweep", swung(half))["the arm goes to both sides"].share == 0.0


# -- knock the float in ------------------------------------------------------

HIT = [at(1.5, "touch", "arm", 0.0065), at(2.1, "dock", "in")]


def test_a_swing_that_docks_the_float_earns_all() -> None:
    assert lost("arm.knock", swung(KNOCK, HIT, "dock")) == set()
    assert strike(swung(KNOCK, HIT, "dock")) == (1.5, 1)


@pytest.mark.parametrize(
    ("events", "share"),
    [
        ([], 0.0),
        ([at(1.5, "touch", "arm", 0.0065)], 0.0),  # struck, and it did not roll
        ([at(1.2, "touch", "float", 0.01), at(1.9, "dock", "in")], 0.0),  # by the hull alone
        ([*HIT, at(3.0, "dock", "out")], 0.5),
    ],
    ids=["not struck", "not moved", "by the hull", "out again"],
)
def test_only_the_arm_brings_the_float_in(events: list[Event], share: float) -> None:
    found = findings("arm.knock", swung(KNOCK, events, "dock"))
    assert found["the float ends in the dock"].share == share


def test_a_hull_that_touches_loses_and_a_float_at_the_docks_wall_does_not() -> None:
    rolled = swung(KNOCK, [*HIT, at(2.8, "touch", "float-wall", 0.005)], "dock")
    assert lost("arm.knock", rolled) == set()
    bumped = swung(KNOCK, [*HIT, at(3.0, "touch", "float", 0.005)], "dock")
    assert lost("arm.knock", bumped) == {"the hull keeps clear"}
    for pulsed in (0.9, 1.0):  # driven by a tenth; braked
        on = swung(KNOCK, [*HIT, *motors(3.0, (1.0, pulsed), (1.0, pulsed))], "dock")
        assert lost("arm.knock", on) == {"the hull keeps clear"}


def test_60_degrees_in_the_published_time_are_a_swing_and_in_half_a_second_are_none() -> None:
    for seconds, full in ((0.18, True), (0.75, False)):
        way = (
            (0.0, 0), (0.1, -45), (1.4, -45), (1.4 + seconds, 45), (3.0, 45), (3.1, 0), (5.0, 0),
        )  # fmt: skip
        found = findings("arm.knock", swung(way, HIT, "dock"))["one full swing"]
        assert (found.share == 1.0) is full, found


def test_no_wait_before_the_swing_and_an_arm_left_out_are_told() -> None:
    hasty = ((0.0, 0), (0.1, -45), (0.3, -45), (0.48, 45), (1.0, 45), (1.1, 0), (5.0, 0))
    events = [at(0.4, "touch", "arm", 0.0065), at(1.0, "dock", "in")]
    assert lost("arm.knock", swung(hasty, events, "dock")) == {"it winds up and waits"}
    out = ((0.0, 0), (0.1, -45), (1.4, -45), (1.58, 45), (5.0, 45))
    assert lost("arm.knock", swung(out, HIT, "dock")) == {"the arm is stowed"}
    beyond = [order(1.4, round(2400 / 20000 * 65536)), order(2.0, 4915)]
    pressing = swung(KNOCK, [*HIT, *beyond], "dock")
    assert lost("arm.knock", pressing) == {"the arm is stowed"}


@pytest.mark.parametrize("seed", range(12))
def test_the_worked_knock_docks_the_float_on_held_out_tables(seed: int) -> None:
    for serial in (0, 2, 10, 11):  # the strongest trims either way among them
        made = run_trial(worked("arm.knock"), table="dock", seed=seed, serial=serial, seconds=5.0)
        assert [event.data[0] for event in made.of("dock")] == ["in"], serial


# -- the lesson --------------------------------------------------------------


@pytest.mark.parametrize(("number", "off"), [(76, -1.4), (77, 0.4)])
def test_cut_off_or_rounded_makes_the_difference_that_the_lesson_tells(
    number: int, off: float
) -> None:
    text = (
        "from machine import Pin, PWM\nimport time\narm = PWM(Pin(18), freq=50, duty_u16=3277)\n"
        f"time.sleep(0.5)\narm.duty({number})\n"
    )
    stood = math.degrees(run_trial(text, seconds=1.0).tracks["arm"][-1])
    assert stood == pytest.approx(off, abs=0.05)


def test_the_neighbour_in_the_lesson_needs_33_us() -> None:
    lesson = (LESSONS / "arm.md").read_text(encoding="utf-8")
    text = re.search(r"^%%program middle.py\n(.*?)^```$", lesson, re.M | re.S)
    assert text
    for trim, angle in ((0, -3.0), (33, 0.0)):
        made = run_trial(put(text.group(1), {"TRIM": trim}), serial=2, seconds=1.4)
        assert math.degrees(made.at("arm", 1.2)) == pytest.approx(angle, abs=0.06)


def test_the_arm_of_the_worked_program_never_comes_to_20_degrees() -> None:
    lesson = (LESSONS / "arm.md").read_text(encoding="utf-8")
    text = re.search(r"^%%program worked.py\n(.*?)^```$", lesson, re.M | re.S)
    assert text
    made = run_trial(text.group(1), serial=7, seconds=2.5)
    after = [a for t, a in zip(made.tracks["t"], angles(made), strict=True) if 0.8 < t]
    assert max(after) < 1.0
    longer = text.group(1).replace("time.sleep(0.05)", "time.sleep(0.13)")
    made = run_trial(longer, serial=7, seconds=2.5)
    after = [a for t, a in zip(made.tracks["t"], angles(made), strict=True) if 0.8 < t]
    assert max(after) == pytest.approx(20.0, abs=0.6)
