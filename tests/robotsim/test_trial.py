"""The trial: a program, a tug and a table joined, from power-up to the end of the time."""

from __future__ import annotations

import math
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

import pytest

from robotsim import PINS, TABLES, KitError, UnknownNameError, Whose, run, run_trial
from robotsim.live import live
from robotsim.parts.drive import Drive
from robotsim.recording import EVENT_KINDS, SAMPLE_NS
from robotsim.table import make_table
from robotsim.table.start import ask_start
from robotsim.trial import with_lines
from robotsim.units import MS, SECOND
from robotsim.world import TugWorld

ROOT = Path(__file__).parents[2]
AHEAD = """
import time
from machine import PWM, Pin
left, right = PWM(Pin(25), freq=1000, duty=700), PWM(Pin(27), freq=1000, duty=700)
time.sleep({seconds})
left.duty(0)
right.duty(0)
"""


# -- the same again ------------------------------------------------------------


def test_the_same_trial_gives_the_same_bytes_and_another_seed_or_serial_does_not() -> None:
    text = AHEAD.format(seconds=1) + "from machine import ADC\nprint(ADC(Pin(36)).read())\n"
    text += "for _ in range(20):\n    ADC(Pin(39), atten=3).read()\n"
    first = run_trial(text, serial=3, seed=1, seconds=2, table="quay").to_bytes()
    assert run_trial(text, serial=3, seed=1, seconds=2, table="quay").to_bytes() == first
    assert run_trial(text, serial=3, seed=2, seconds=2, table="quay").to_bytes() != first
    assert run_trial(text, serial=4, seed=1, seconds=2, table="quay").to_bytes() != first


def test_trials_side_by_side_do_not_touch_each_other() -> None:
    text = AHEAD.format(seconds=0.5)
    alone = [run_trial(text, serial=k, seconds=1).to_bytes() for k in range(4)]
    with ThreadPoolExecutor(4) as pool:
        together = list(
            pool.map(lambda k: run_trial(text, serial=k, seconds=1).to_bytes(), range(4))
        )
    assert together == alone


# -- what is recorded ----------------------------------------------------------


@pytest.mark.parametrize("table", sorted(TABLES))
def test_every_table_gives_a_whole_recording(table: str) -> None:
    told = run_trial(AHEAD.format(seconds=0.6), table=table, seconds=1.0, serial=2)
    assert told.ended == "finished" and told.problem is None
    rows = round(told.seconds * SECOND) // SAMPLE_NS + 1
    assert told.tracks["t"].tolist() == [round(k * SAMPLE_NS / SECOND, 6) for k in range(rows)]
    for name, column in told.tracks.items():
        assert len(column) == rows, name
        assert all(map(math.isfinite, column)), name
    assert {"x", "y", "heading", "left", "right", "volts", "amps"} <= told.tracks.keys()
    times = [event.time_ns for event in told.events]
    assert times == sorted(times) and times[-1] <= SECOND
    for event in told.events:
        assert len(event.data) == len(EVENT_KINDS[event.kind])
    assert [event.kind for event in told.events].count("end") == 1


def test_the_tug_goes_on_as_it_was_left_when_its_program_has_ended() -> None:
    """As the real one would: this is why motors are to be switched off."""
    left_on = AHEAD.split("left.duty(0)")[0].format(seconds=0.2)
    told = run_trial(left_on, seconds=1.0)
    assert told.ended == "finished" and told.ended_ns < 0.3 * SECOND
    assert told.at("x", 1.0) > told.at("x", 0.5) + 0.1
    assert told.events[-1].kind == "end" or told.events[-1].time_ns > told.ended_ns


def test_nothing_after_the_trials_time_is_recorded() -> None:
    text = "import time\nfrom machine import Pin\nled = Pin(2, Pin.OUT)\nwhile True:\n"
    text += "    led.toggle()\n    time.sleep_ms(30)\n"
    told = run_trial(text, seconds=0.1)
    assert (told.ended, told.ended_ns) == ("time is up", 100 * MS)
    assert all(event.time_ns < 100 * MS for event in told.events[:-1])
    assert (told.events[-1].kind, told.events[-1].time_ns) == ("end", 100 * MS)


@pytest.mark.parametrize(
    ("start", "words"),
    [((10, 40, 0), "were those cm? Write start=(0.1, 0.4, 0)"),
     ((0.25, 0.4, 90), "were those degrees? Write start=(0.25, 0.4, math.radians(90))"),
     ((0.25, 0.4, 10), "10 degrees are 0.1745 rad"),
     ((0.25, 0.4, -45), "-45 degrees are -0.7854 rad"),
     ((0.6, 0.78, 0), "y from 0.06 to 0.74 m"), ([-1, 0.4, 0], "x may go from 0.06 to 1.14 m")],
)  # fmt: skip
def test_a_start_off_the_table_or_in_degrees_is_refused_wherever_it_is_given(
    start: Any, words: str
) -> None:
    asked: list[Callable[[], Any]] = [
        lambda: run_trial("", start=start, seconds=0.05),
        lambda: run("a.py", files={"a.py": ""}, start=start, picture=False),
        lambda: run("a.py", files={"a.py": ""}, beside=("a.py", 12, start), picture=False),
        lambda: live("a.py", files={"a.py": ""}, start=start, broker=None, pad=False),
    ]
    for ask in asked:
        with pytest.raises(KitError, match="on the table: |heading is in rad") as told:
            ask()
        assert words in told.value.hint and repr(start) in told.value.where


@pytest.mark.parametrize("name", [name for name in TABLES if make_table(name).line])
def test_a_start_along_or_across_a_line_may_have_turned_as_far_as_the_line(name: str) -> None:
    for table in (make_table(name, seed) for seed in range(4)):
        assert table.line is not None
        for k in range(50):
            x, y, way = table.line.at(k / 50 * table.line.length)
            for heading in (way, way + math.pi / 2, way - math.pi / 2):
                assert ask_start((x, y, heading), table) == (x, y, heading)


def test_a_tug_may_stand_as_near_the_edge_as_an_own_table_lets_it() -> None:
    text = "import time\ntime.sleep(0.01)\n"
    told = run_trial(text, start=(0.06, 0.74, 0), seconds=0.05, whose=Whose.OWN)
    assert with_lines(told).lines


def test_a_recording_from_a_start_that_is_refused_today_is_shown_as_it_is() -> None:
    told = run_trial("x = 1\n", seconds=0.05, whose=Whose.OWN)
    for track, then in (("heading", 90.0), ("x", 40.0)):
        told.tracks[track][0] = then
        assert with_lines(told) is told


def test_a_tug_starts_where_it_is_put() -> None:
    told = run_trial("", start=(0.6, 0.3, 1.5), seconds=0.05)
    assert [told.tracks[name][0] for name in ("x", "y", "heading")] == [0.6, 0.3, 1.5]
    usual = run_trial("", seconds=0.05)
    assert usual.tracks["x"][0] == 0.25


def test_a_duty_that_waits_for_its_cycle_is_replaced_by_a_later_one() -> None:
    text = (
        "from machine import PWM, Pin\nleft = PWM(Pin(25), freq=1, duty=0)\n"
        "left.duty(1023)\nleft.duty(0)\n"  # both before the cycle of one second ends
    )
    assert max(run_trial(text, seconds=3.0).tracks["left"]) == 0.0


def test_without_a_program_that_drives_nothing_moves() -> None:
    told = run_trial("print('at anchor')", seconds=2.0, serial=9)
    for name in ("x", "y", "heading"):
        assert len(set(told.tracks[name])) == 1


# -- the board starts anew -----------------------------------------------------


def test_a_reset_stops_the_tug_and_begins_the_program_again() -> None:
    text = AHEAD.split("left.duty(0)")[0].format(seconds=0.4) + "import machine\nmachine.reset()\n"
    told = run_trial(text, seconds=2.0)
    assert told.ended == "time is up"
    resets = list(told.of("reset"))
    assert [event.cause for event in resets] == ["machine.reset()"] * 3
    assert [e.seconds for e in resets] == pytest.approx([0.4, 1.15, 1.9], abs=0.01)
    assert told.at("left", resets[0].seconds + 0.34) < told.at("left", resets[0].seconds)


def test_a_battery_that_gives_way_resets_the_board_and_is_recorded() -> None:
    text = "from machine import Pin\nfor n in (25, 27):\n    Pin(n, Pin.OUT).on()\n"
    fresh = run_trial(text, seconds=1.0, charge=1.0)
    flat = run_trial(text, seconds=1.0, charge=0.0)
    assert not list(fresh.of("reset"))
    assert min(flat.tracks["volts"]) < min(fresh.tracks["volts"])


# -- bad arguments -------------------------------------------------------------


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        ({"program": "drive.py"}, "There is no file on the board called 'drive.py'"),
        ({"table": "bassin"}, "did you mean 'basin'"),
        ({"engine": "python"}, "did you mean 'cpython'"),
        ({"seconds": 0}, "more than 0 and at most 600"),
        ({"seconds": -1.0}, "more than 0"), ({"seconds": 601}, "at most 600"),
        ({"seconds": math.nan}, "not nan"), ({"seconds": "5"}, "not '5'"),
        ({"serial": -1}, "whole number from 0 to 9999"), ({"serial": 10_000}, "not 10000"),
        ({"serial": 1.5}, "whole number"),
        ({"serial": True}, "whole number"), ({"seed": 0.5}, "whole number"),
        ({"start": (0.5, 0.5)}, "three numbers"), ({"start": (0, 0, math.nan)}, "three numbers"),
        ({"charge": 1.5}, "from 0 (empty) to 1 (full)"),
        ({"day": 3}, "A day's name is a text"), ({"day": "x" * 81}, "at most 80 characters"),
    ],
)  # fmt: skip
def test_a_bad_argument_is_told_before_anything_runs(
    arguments: dict[str, object], words: str
) -> None:
    with pytest.raises(KitError) as told:
        run_trial({"main.py": "print(1)"}, **arguments)  # type: ignore[arg-type]
    assert words in str(told.value)
    assert told.value.hint


def test_a_file_that_is_not_on_the_board_is_told_with_the_nearest() -> None:
    with pytest.raises(UnknownNameError, match="did you mean 'drive.py'"):
        run_trial({"drive.py": ""}, program="drive2.py")


# -- the door ------------------------------------------------------------------


def test_pins_without_a_part_move_nothing() -> None:
    text = "from machine import Pin, PWM\n"
    text += "".join(f"PWM(Pin({n}), freq=1000, duty=900)\n" for n in (2, 4, 5, 12, 15, 16, 17))
    told = run_trial(text, seconds=0.5)
    assert told.problem is None and len(list(told.of("pwm"))) == 7
    assert set(told.tracks["x"]) == {0.25}


def test_the_drives_pins_are_the_only_ones_that_move_the_tug() -> None:
    moved = []
    for role, number in PINS.items():
        if number < 34 and number != PINS["battery"]:
            text = f"from machine import Pin\nPin({number}, Pin.OUT).on()\n"
            told = run_trial(text, seconds=0.3)
            if abs(told.at("left", 0.3)) + abs(told.at("right", 0.3)) > 0.01:
                moved.append(role)
    assert sorted(moved) == sorted(Drive.roles)


def test_sampling_ahead_changes_nothing_in_the_recording(monkeypatch: pytest.MonkeyPatch) -> None:
    """It is a matter of speed alone: what a program reads, and when, must not depend on it."""
    text = (ROOT / "tests" / "programs" / "speed" / "follow.py").read_text(encoding="utf-8")
    ahead = run_trial(text, table="quay", seconds=1.5, serial=4, seed=2)

    class Blind(TugWorld):
        def glance(self, pin: int, time_ns: int) -> float | None:
            return None

    monkeypatch.setattr("robotsim.trial.TugWorld", Blind)
    plain = run_trial(text, table="quay", seconds=1.5, serial=4, seed=2)
    assert sum(1 for _ in ahead.of("adc")) > 200
    assert ahead == plain


def test_the_trials_seed_begins_the_boards_random_numbers() -> None:
    text = "import random\nprint([random.randint(1, 6) for _ in range(12)])\n"
    rolled = [run_trial(text, seconds=0.05, seed=seed).printed for seed in (0, 1, 1)]
    assert rolled[1] == rolled[2] != rolled[0]


def test_the_same_level_put_on_a_pin_without_rest_is_one_change_a_millisecond() -> None:
    head = "from machine import Pin\nahead = Pin(25, Pin.OUT)\n"
    once = run_trial(head + "ahead.on()\n", seconds=0.2)
    again = run_trial(head + "while True:\n    ahead.on()\n", seconds=0.2)
    assert again.ended == "time is up"
    assert again.tracks["left"][-1] > 0.05
    assert again.tracks["left"][-1] == pytest.approx(once.tracks["left"][-1], rel=1e-3)
