"""Judging a power-up: recordings made by hand, whose every moment is known."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import replace
from pathlib import Path

import pytest

from checks import TASKS, Finding
from checks.readings.waking import first_drive, never_set_low
from checks.tasks.powerup import TASKS as POWERUP
from checks.tasks.powerup.network import KNOWN, Search, gives_time, joined, tries
from checks.tasks.powerup.presses import lamps_lit, touches
from checks.tasks.powerup.states import blinks, state_name
from robotsim import Event, Recording
from robotsim.onto.folder import secrets_template
from tests.checks.slips import slips_of

PROGRAMS = Path(__file__).parents[2] / "programs" / "powerup"
IDS = [task.id for task in POWERUP]
MOTORS = (25, 26, 27, 14)
DARK = ((0, 0, 0),) * 5


def recorded(events: Iterable[tuple[float, str, tuple]] = (), seconds: float = 9.0) -> Recording:
    """Give a recording of a tug that stands still, with some events (s, kind, data)."""
    rows = round(seconds / 0.01) + 1
    flat = (0.0,) * rows
    tracks = {name: flat for name in ("x", "y", "heading", "left", "right", "bumper", "amps")}
    made = [Event(round(t * 1e9), kind, data) for t, kind, data in events]
    return Recording(
        program="main.py", files={"main.py": ""}, table="basin", serial=0, seed=0, seconds=seconds,
        engine="cpython", ended="finished", ended_ns=round(seconds * 1e9), problem=None,
        events=tuple(sorted(made, key=lambda e: e.time_ns)),
        tracks={"t": tuple(round(0.01 * k, 2) for k in range(rows)), **tracks},
    )  # fmt: skip


def deck(time: float, colour: tuple[int, int, int]) -> tuple[float, str, tuple]:
    return time, "lamps", ((*DARK[:4], colour),)


# -- every task --------------------------------------------------------------


@pytest.mark.parametrize("task", IDS)
def test_every_criterion_and_mistake_copes_with_an_empty_recording(task: str) -> None:
    empty = [recorded(seconds=run.seconds) for run in TASKS[task].runs]
    seen = TASKS[task].facts(empty)
    for criterion in TASKS[task].criteria:
        found = criterion.judge(seen)
        assert isinstance(found, Finding) and found.measured and criterion.asks
        assert not criterion.essential or found.share == 0.0
    for mistake in TASKS[task].mistakes:
        mistake.evidence(seen)


@pytest.mark.parametrize("task", IDS)
def test_every_known_mistake_has_a_program_or_a_slip_that_makes_it(task: str) -> None:
    made = {slip.cause for one in IDS for slip in slips_of(one)}
    for path in PROGRAMS.glob("*/wrong_*.py"):
        made |= {*re.findall(r"^# mistake: (.*)$", path.read_text(encoding="utf-8"), re.M)}
    rare = {"lamp forgotten", "lamps forgotten", "touches that are not counted"}
    assert {m.name for m in TASKS[task].mistakes} - made <= rare


# -- states ------------------------------------------------------------------


@pytest.mark.parametrize(
    ("colour", "name"),
    [
        ((120, 50, 0), "amber"), ((50, 120, 0), "amber"),  # chips that take red first
        ((60, 0, 90), "violet"), ((0, 60, 90), "violet"), ((60, 60, 60), "white"),
        ((238, 130, 238), "violet"), ((130, 238, 238), "violet"), ((255, 191, 0), "amber"),
        ((0, 0, 0), "dark"), ((120, 0, 0), "red (120, 0, 0)"), ((0, 0, 90), "blue (0, 0, 90)"),
        ((150, 50, 50), "pale red (150, 50, 50)"),
    ],
)  # fmt: skip
def test_a_state_is_known_by_its_colour(colour: tuple[int, int, int], name: str) -> None:
    assert state_name(colour) == name


def blinking(half_s: float, until: float = 9.0) -> Recording:
    steps = range(int(until / half_s))
    return recorded([deck(k * half_s, (120, 50, 0) if k % 2 else (0, 0, 0)) for k in steps])


def test_blinking_twice_a_second_is_a_call_and_faster_than_three_is_none() -> None:
    # WCAG 2.2, 2.3.1 (read): no more than three flashes in any one second.
    assert blinks(blinking(0.25), 3.0, 8.0)[0] == 1.0
    share, told = blinks(blinking(0.125), 3.0, 8.0)
    assert share == 0.0 and "4 flashes" in told
    assert blinks(recorded([deck(0.0, (120, 50, 0))]), 3.0, 8.0)[0] == 0.0, "steady is no call"


# -- motors first ------------------------------------------------------------


def low(time: float, pin: int) -> tuple[float, str, tuple]:
    return time, "pwm", (pin, 1000, 0)


def test_motors_count_as_first_only_before_everything_else() -> None:
    first = [low(0.0001 * k, pin) for k, pin in enumerate(MOTORS)]
    sleep = (0.1, "sleep", (1000,))
    assert never_set_low(recorded([*first, sleep])) == []
    assert never_set_low(recorded([*first[:3], sleep, low(0.2, 14)])) == [14]
    as_pins = [(0.0001 * k, "mode", (pin, "out", "")) for k, pin in enumerate(MOTORS)]
    assert never_set_low(recorded([*as_pins, sleep])) == []
    half = [(0.0001 * k, "pwm", (pin, 1000, 32768)) for k, pin in enumerate(MOTORS)]
    assert never_set_low(recorded([*half, sleep])) == sorted(MOTORS)
    then = [low(0.001 + 0.0001 * k, pin) for k, pin in enumerate(MOTORS)]
    assert never_set_low(recorded([*half, *then])) == sorted(MOTORS), "at one half first"
    lamps = (0.0, "mode", (13, "out", ""))
    assert never_set_low(recorded([lamps, *then])) == sorted(MOTORS), "the lamps' pin came first"
    high = [(0.0001, "mode", (25, "out", "")), (0.0002, "pin", (25, 1)), (0.0003, "pin", (25, 0))]
    assert 25 in never_set_low(recorded([*high, *then]))


def test_a_drive_of_microseconds_is_noticed() -> None:
    made = recorded([(0.001, "pwm", (25, 1000, 32768)), (0.00102, "pwm", (25, 1000, 0))])
    assert first_drive(made) == pytest.approx(0.001)
    assert first_drive(recorded([low(0.0, pin) for pin in MOTORS])) is None


# -- networks ----------------------------------------------------------------


def test_tries_and_joining_are_read_from_the_radio() -> None:
    made = recorded([
        (0.1, "radio", ("joining", "pier")), (6.0, "radio", ("not joined", "pier: not there")),
        (6.1, "radio", ("joining", "boathouse")), (7.5, "radio", ("joined", "boathouse")),
    ])  # fmt: skip
    assert [name for _, name in tries(made)] == ["pier", "boathouse"]
    assert joined(made) == (pytest.approx(7.5), "boathouse")


@pytest.mark.parametrize(("each", "share"), [(2.5, 1.0), (10.03, 1.0), (12.0, 0.625), (1.0, 0.0)])
def test_a_hundred_looks_of_a_tenth_of_a_second_are_ten_seconds(each: float, share: float) -> None:
    """A loop takes a little longer than its sleeps, and the lesson allows 10 s."""
    asked = [(0.1 + each * k, "radio", ("joining", name)) for k, (name, _) in enumerate(KNOWN)]
    seen = Search([recorded(asked, seconds=36.0)] * 3)
    assert gives_time.judge(seen).share == pytest.approx(share)


def test_the_lessons_secrets_are_those_of_the_trials() -> None:
    lesson = Path(__file__).parents[3].joinpath("lessons", "powerup.md").read_text("utf-8")
    assert all(f'("{name}", "{key}")' in lesson for name, key in KNOWN)
    assert all(key not in secrets_template() for _, key in KNOWN)


# -- touches -----------------------------------------------------------------


def test_a_contact_that_rocks_is_one_touch_and_two_apart_are_two() -> None:
    def met(*times: float) -> Recording:
        made = recorded([(t, "touch", ("wall", 0.05)) for t in times])
        row = [float(any(t <= now < t + 0.012 for t in times)) for now in made.tracks["t"]]
        return replace(made, tracks={**made.tracks, "bumper": tuple(row)})

    assert len(touches(met(1.0, 1.05, 1.1))) == 1
    assert len(touches(met(1.0, 1.8))) == 2
    graze = recorded([(1.0, "touch", ("wall", 0.05))])
    assert touches(graze) == [], "the hull met the wall, the switch stayed open"
    read = recorded([(1.0, "touch", ("wall", 0.05)), (1.003, "read", (19, 0))])
    assert len(touches(read)) == 1, "between two samples, but the program has seen it"
    assert touches(recorded([(1.003, "read", (19, 0))])) == [], "a pin without its pull-up"


def test_lit_lamps_are_counted_through_time() -> None:
    one, two = ((50, 0, 0), *DARK[1:]), ((50, 0, 0), (0, 50, 0), *DARK[2:])
    made = recorded([(1.0, "lamps", (one,)), (2.0, "lamps", (two,))])
    assert lamps_lit(made) == [(0.0, 0), (1.0, 1), (2.0, 2)]
