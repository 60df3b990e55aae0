"""The strips show the recording's own numbers, and only what happened."""

from __future__ import annotations

import numpy as np
import pytest
from matplotlib.axes import Axes
from matplotlib.colors import to_hex
from matplotlib.figure import Figure

from robotsim.recording import Problem
from robotsim.show.colours import contrast, lamp_hex
from robotsim.show.compose import figure
from robotsim.show.strips import nice_limit, speeds, strips_of, turn_rate
from robotsim.trial import run_trial
from robotsim.wiring import LAMPS
from tests.robotsim.show.recordings import (
    OFF,
    SIDELIGHTS,
    TRACK,
    Basin,
    at,
    drift,
    lamps,
    motors,
    recording,
)  # fmt: skip
from tests.robotsim.show.scenes import SCENES


def strip(drawn: Figure, beginning: str) -> Axes:
    return next(axes for axes in drawn.axes if str(axes.get_label()).startswith(beginning))


def texts(axes: Axes, gid: str) -> list[str]:
    return [t.get_text() for t in axes.texts if t.get_gid() == gid]


def line(axes: Axes, gid: str):
    (found,) = [drawn for drawn in axes.lines if drawn.get_gid() == gid]
    return found


def dashes(drawn) -> str:
    """Give the pattern itself: matplotlib calls every pattern of one's own `--`."""
    return str(drawn._dash_pattern)


@pytest.mark.parametrize(
    ("scene", "names"),
    [("nothing", []), ("printed", ["printed"]), ("fade", ["lamps"]),
     ("stuck", ["left motor, duty in %", "right motor, duty in %"]),
     ("spin", ["left motor, duty in %", "right motor, duty in %", "speed in m/s",
               "rate of turn in °/s, to port is up"])],
)  # fmt: skip
def test_only_what_happened_has_a_strip(scene: str, names: list[str]) -> None:
    assert [s.name for s in strips_of(SCENES[scene][0])] == names


def test_all_strips_share_one_time_axis() -> None:
    shown, table, _ = SCENES["harbour"]
    drawn = figure(shown, table=table)
    strips = [strip(drawn, s.name) for s in strips_of(shown)]
    assert len(strips) == 7
    assert {axes.get_xlim() for axes in strips} == {(0.0, 20.0)}
    places = {tuple(np.round(axes.get_position().intervalx, 9)) for axes in strips}
    assert len(places) == 1
    labelled = [axes for axes in strips if any(t.get_text() for t in axes.get_xticklabels())]
    assert labelled == strips[-1:]
    assert strips[-1].get_xticklabels()[-1].get_text() == "20 s"


def test_speeds_are_those_of_the_tracks() -> None:
    shown = drift()
    axes = strip(figure(shown), "speed")
    for side in ("left", "right"):
        np.testing.assert_array_equal(line(axes, f"{side} wheel").get_ydata(), shown.tracks[side])
    assert line(axes, "tug").get_ydata()[200] == pytest.approx(0.22, abs=1e-6)
    styles = {dashes(line(axes, g)) for g in ("left wheel", "right wheel")}
    assert len(styles) == 2, "the wheels' lines differ without colour"
    assert set(texts(axes, "line name")) == {"left wheel", "right wheel", "tug"}


def test_speed_and_rate_of_turn_come_from_the_motion_itself() -> None:
    shown = recording(legs=[(5, -0.2, 0.5)])
    assert speeds(shown)[1][1:-1] == pytest.approx(np.full(499, -0.2), abs=1e-5)
    assert turn_rate(shown)[1] == pytest.approx(np.full(501, np.degrees(0.5)))
    assert shown.tracks["right"][0] - shown.tracks["left"][0] == pytest.approx(0.5 * TRACK)


def test_duty_is_signed_effective_and_told_in_words() -> None:
    shown, table, _ = SCENES["back"]
    axes = strip(figure(shown, table=table), "left motor")
    steps = line(axes, "duty")
    assert steps.get_drawstyle() == "steps-post"
    assert list(np.round(steps.get_ydata())) == [0, -55, 0, 55, 0, 0]
    assert list(np.round(steps.get_xdata(), 3)) == [0, 1, 3, 4, 5, 6]
    assert texts(axes, "duty text") == ["55 % fast", "brake", "55 %", "coasts"]
    hatched = {c.get_gid(): c.get_hatch() for c in axes.collections}
    assert hatched["slow decay"] and not hatched["fast decay"]
    assert "brake" in hatched


def test_a_state_between_two_writes_draws_no_spike_but_a_burst_alone_is_kept() -> None:
    # Stopping in slow decay sets one input after the other: for microseconds, full duty back.
    made = run_trial(
        """
from machine import Pin, PWM
import time
ahead, back = PWM(Pin(25), freq=1000, duty_u16=0), PWM(Pin(26), freq=1000, duty_u16=0)
ahead.duty_u16(65535)
back.duty_u16(40000)
time.sleep(0.5)
ahead.duty_u16(0)
back.duty_u16(0)
""",
        serial=0, seconds=1.0,
    )  # fmt: skip
    drawn = line(strip(figure(made), "left motor"), "duty").get_ydata()
    assert sorted({round(float(duty)) for duty in drawn}) == [0, 39]
    still = (0.0, 0.0)
    burst = recording(events=(*motors(0.2, (1.0, 0.0), still), *motors(0.201, still, still)))
    assert max(line(strip(figure(burst), "left motor"), "duty").get_ydata()) == 100


def test_lamps_are_named_in_words_or_letters_and_stand_out() -> None:
    axes = strip(figure(recording(events=[lamps(1.0)])), "lamps")
    assert texts(axes, "lamp text") == ["red", "green", "white"]
    assert texts(axes, "line name") == list(LAMPS)
    for text, colour in zip(
        [t for t in axes.texts if t.get_gid() == "lamp text"], SIDELIGHTS, strict=False
    ):
        assert contrast(to_hex(text.get_color()), lamp_hex(colour)) >= 4.5
        assert text.get_position()[0] == pytest.approx(3.0), "in the middle of 1 s to 5 s"
    blinks = strip(figure(SCENES["fade"][0]), "lamps")
    assert texts(blinks, "lamp text").count("W") + texts(blinks, "lamp text").count("white") >= 5


def test_lamp_colours_over_time_are_those_of_the_events() -> None:
    frames = [lamps(k / 10, ((k * 5, 0, 0), OFF, OFF, OFF, OFF)) for k in range(50)]
    axes = strip(figure(recording(events=frames)), "lamps")
    (row,) = [c for c in axes.collections if c.get_gid() == "lamp 0"]
    shades = np.round(np.asarray(row.get_array()).reshape(-1, 3) * 255).astype(int)
    wanted = [int(lamp_hex((k * 5, 0, 0))[1:3], 16) for k in range(50)]
    assert list(shades[:, 0]) == wanted
    # readable in grey: a dark lamp and the dimmest white differ, and brighter is lighter
    assert all(a <= b for a, b in zip(wanted[1:], wanted[2:], strict=False))


def test_eye_counts_are_what_the_program_read() -> None:
    shown, table, _ = SCENES["harbour"]
    axes = strip(figure(shown, table=table), "line eyes")
    raws = [e.raw for e in shown.of("adc", pin=36)]
    np.testing.assert_array_equal(line(axes, "eye 0").get_ydata(), raws)
    assert len({dashes(line(axes, f"eye {k}")) for k in range(4)}) == 4
    assert axes.get_yticks()[-1] == 4095


@pytest.mark.parametrize(
    ("ended", "problem", "told"),
    [("finished", None, "program ended"), ("time is up", None, "time is up"),
     ("error", Problem("ValueError", "x", "a.py", 1), "error: ValueError"),
     ("stopped", Problem("stopped", "x"), "program stopped"),
     ("finished", Problem("KeyError", "in a callback"), "program ended")],
)  # fmt: skip
def test_the_end_of_the_program_is_marked_through_all_strips(
    ended: str, problem: Problem | None, told: str
) -> None:
    shown = recording(
        legs=[(3, 0.1, 0)], events=[lamps(0), *motors(0, (0.5, 0), (0.5, 0))],
        ended=ended, problem=problem, ended_s=2.5,
    )  # fmt: skip
    drawn = figure(shown, table=Basin())
    strips = [strip(drawn, s.name) for s in strips_of(shown)]
    for axes in strips:
        assert list(line(axes, "moment").get_xdata()) == [2.5, 2.5]
    assert texts(strips[0], "moment name") == [told]


def test_resets_and_touches_are_marked() -> None:
    shown = recording(
        events=[*motors(0, (0.5, 0), (0.5, 0)), at(1, "reset", "program"),
                at(3, "touch", "float", 0.1)],
        ended="time is up",
    )  # fmt: skip
    axes = strip(figure(shown), "left motor")
    assert set(texts(axes, "moment name")) == {"time is up", "reset", "touched float"}


def test_printed_lines_stand_at_their_times_with_their_text() -> None:
    axes = strip(figure(drift()), "printed")
    assert list(line(axes, "printed").get_xdata()) == [0.25, 2.0, 4.0]
    assert texts(axes, "printed text")[0] == "hello"


def test_lines_printed_at_nearly_one_time_all_have_their_text() -> None:
    burst = [(0.0, "moored"), (0.003, "ready"), (0.003, "now"), (2.0, "under way")]
    many = [(3.0 + k / 50, str(k)) for k in range(40)]
    shown = recording(events=[at(time, "print", f"{text}\n") for time, text in [*burst, *many]])
    axes = strip(figure(shown), "printed")
    assert texts(axes, "printed text") == ["moored · ready · now", "under way", "39"]


@pytest.mark.parametrize(
    ("value", "limit"),
    [(0.22, 0.3), (1.0, 1.0), (0.99, 1.0), (47, 50), (6.1, 8), (0, 1), (9, 10), (0.1, 0.1)],
)
def test_limits_are_round_and_hold_the_value(value: float, limit: float) -> None:
    assert nice_limit(value) == pytest.approx(limit)
