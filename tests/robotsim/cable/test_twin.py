"""The twin: what is measured makes the simulated tug the real one, and says how well."""

from __future__ import annotations

import json
import math
import random
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from scipy.optimize import least_squares

from robotsim import PINS, KitError, Whose, run, run_trial
from robotsim.__main__ import main
from robotsim.cable import twin as module
from robotsim.cable.survey import survey_program
from robotsim.cable.twin import FloorRun, drive, fit, read_run, read_tug, refined
from robotsim.cable.wired import as_wired, check_pins
from robotsim.onto.folder import settings_template
from robotsim.parts import Day, Quirks, seed_day
from robotsim.units import MS, SECOND
from robotsim.wiring import FLOATING, Signal
from robotsim.world import TugWorld
from tests.robotsim.cable.benches import SimBench, SimPerson

METRE, SHORT, TURN = (0.5, 0.5, 5.6), (0.5, 0.5, 1.5), (-0.5, 0.5, 0.42)


def of_the_tug(serial: int, seed: int, run: tuple[float, float, float]) -> tuple[float, ...]:
    """What the tug itself does, on one of its days."""
    world = TugWorld(module._OPEN, Quirks.of(serial), seed, None,
                     day=Day.of(seed_day(seed), serial))  # fmt: skip
    left, right, seconds = run
    for side, effort in (("left", left), ("right", right)):
        full, part = ("ahead", "back") if effort >= 0 else ("back", "ahead")
        world.output(PINS[f"{side}_{full}"], Signal(1.0, 0.0), MS)
        world.output(PINS[f"{side}_{part}"], Signal(1.0 - abs(effort), 1000.0), MS)
    end = MS + round(seconds * SECOND)
    for role in ("left_ahead", "left_back", "right_ahead", "right_back"):
        world.output(PINS[role], FLOATING, end)
    world.advance_to(end + round(0.6 * SECOND))
    return world.x - 20.0, world.y - 20.0, world.heading


def surveyed(
    serial: int, seed: int, run: tuple[float, float, float], ruler: random.Random
) -> FloorRun:
    """The same, by a ruler that is off by 2 mm and a gyro that is off by half a degree."""
    ahead, aside, turned = of_the_tug(serial, seed, run)
    return FloorRun(*run, round(ahead + ruler.gauss(0, 0.002), 3),
                    round(aside + ruler.gauss(0, 0.002), 3),
                    turned + ruler.gauss(0, math.radians(0.5)))  # fmt: skip


def known(quirks: Quirks) -> dict[str, object]:
    """A tug.json whose start duties are exact."""
    return {"start": {"left": quirks.left_start, "right": quirks.right_start}}


def test_the_fit_finds_a_tug_again_that_has_no_days() -> None:
    own = replace(Quirks.of(0), left_strength=0.97, right_strength=0.90, left_start=0.2)
    runs = [FloorRun(*run, *drive(own, FloorRun(*run))) for run in (SHORT, TURN, (0.7, 0.6, 1.0))]
    found = fit(read_tug(known(own)), runs)
    assert found.quirks.left_strength == pytest.approx(0.97, abs=0.02)
    assert found.quirks.right_strength == pytest.approx(0.90, abs=0.02)
    assert "3 runs with 9 measurements" in str(found) and "+-" in str(found)


def test_the_least_squares_are_those_of_a_general_library() -> None:
    """scipy.optimize.least_squares, on a curve with two figures and noise; also the spread."""
    noise = np.random.default_rng(1)
    times = np.linspace(0, 2, 30)
    seen = 1.5 * np.exp(-0.8 * times) + noise.normal(0, 0.02, 30)

    def off(figures: np.ndarray) -> np.ndarray:
        return (figures[0] * np.exp(-figures[1] * times) - seen) / 0.02

    ours, slopes = module._least_squares(off, np.array([1.0, 1.0]))
    theirs = least_squares(off, [1.0, 1.0])
    assert ours == pytest.approx(theirs.x, rel=1e-4)
    spread = np.sqrt(np.diag(np.linalg.inv(slopes.T @ slopes)))
    assert spread == pytest.approx(
        np.sqrt(np.diag(np.linalg.inv(theirs.jac.T @ theirs.jac))), rel=1e-2
    )


def test_more_runs_leave_less_uncertain() -> None:
    own = Quirks.of(7)
    one = fit(read_tug(known(own)), [surveyed(7, 1, SHORT, random.Random(1))])
    runs = [surveyed(7, k, SHORT, random.Random(k)) for k in range(3)]
    more = fit(read_tug(known(own)), runs)
    assert all(more.spread[name] <= one.spread[name] + 1e-3 for name in more.spread)
    assert set(more.spread) == {"left_strength", "right_strength", "left_start", "right_start"}


def test_eyes_order_trim_and_bias_come_from_the_card() -> None:
    from robotsim.cable.powerup import lead

    bench = SimBench(7)
    card = lead(bench, SimPerson(bench.world), ["lamps", "arm", "eyes", "sensor"])
    own, found = Quirks.of(7), read_tug(json.loads(card.json)).quirks
    assert found.lamp_order == own.lamp_order
    assert found.eye_gain == pytest.approx(own.eye_gain, abs=0.05)
    assert found.eye_offset == pytest.approx(own.eye_offset, abs=0.1)
    assert found.gyro_bias == pytest.approx(own.gyro_bias, abs=0.01)
    assert found.arm_trim_us == pytest.approx(own.arm_trim_us, abs=8)


@pytest.mark.parametrize(
    ("data", "words"),
    [
        ({"lamp_order": "BGR"}, "GRB or RGB, not 'BGR'"),
        ({"white_volts": [1, 2]}, "list of 4 numbers"),
        ({"start": {"left": "much"}}, "left is a number"),
        ({"start": 3}, "table of names"),
        ({"pins": {"wings": 4}}, "wings"),
    ],
)
def test_a_file_that_cannot_be_gets_one_clear_line(data: dict[str, object], words: str) -> None:
    with pytest.raises(KitError, match=words):
        read_tug(data)


def test_what_no_tug_does_is_refused() -> None:
    with pytest.raises(KitError, match="No tug does"):
        fit(read_tug({}), [FloorRun(*SHORT, 3.0, 2.0, 1.0)])
    with pytest.raises(KitError, match="nothing to fit"):
        fit(read_tug({}), [FloorRun(*METRE)])


def test_the_command_refines_the_file_and_keeps_the_old_one(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    own = Quirks.of(7)
    file = tmp_path / "tug.json"
    file.write_text(json.dumps(known(own)))
    ahead, aside, turned = of_the_tug(7, 4, SHORT)
    run = f"0.5,0.5,1.5,{ahead:.3f},{aside:.3f},{math.degrees(turned):.1f}"
    assert main(["fit", str(file), "--run", run]) == 0
    assert "+-" in capsys.readouterr().out
    found = json.loads(file.read_text())
    assert found["strength"] and found["spread"] and (tmp_path / "tug.1.json").exists()
    again = read_tug(file).quirks
    assert again.left_strength == pytest.approx(found["strength"]["left"])
    assert refined({}, read_tug(file))["strength"] == found["strength"]
    assert main(["fit", str(tmp_path / "none.json"), "--run", run]) == 1
    for wrong in ("1,2", "2,0,1,-,-,-", "a,b,c,d,e,f", "1,1,1,nan,0,0", "0.5,0.5,-,1,1,1"):
        with pytest.raises(KitError, match="A run is"):
            read_run(wrong)


def test_the_survey_runs_on_the_board_and_tells_the_turn() -> None:
    """Its gyro's word against where the tug then stands."""
    text = survey_program(0.5, 0.5, 1.0).replace("while bumper.value()", "while False")
    files = {"main.py": text, "settings.py": settings_template()}
    done = run_trial(files, serial=7, seconds=5, whose=Whose.OWN)
    told = [row for _, row in done.printed if row.startswith("turned")]
    assert float(told[0].split()[1]) == pytest.approx(
        math.degrees(done.tracks["heading"][-1]), abs=1.0
    )


# -- another wiring ------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("role", "pin", "why"),
    [
        ("left_ahead", 35, "input only"),
        ("lamps", 25, "left_ahead is on it already|lamps is on it already"),
        ("arm", 6, "no such pin free"),
        ("arm", True, "no such pin free"),
        ("eye_0", 4, "no voltage can be read"),
        ("bumper", 37, "no pull-up"),
        ("sda", 1, "console"),
    ],
)
def test_what_cannot_be_wired_gets_one_clear_line(role: str, pin: int, why: str) -> None:
    with pytest.raises(KitError, match=why):
        check_pins({**PINS, role: pin})


def test_a_tug_that_is_wired_otherwise_drives_by_its_own_pins() -> None:
    pins = check_pins({**PINS, "left_ahead": 4, "lamps": 5, "sda": 16, "scl": 17})
    bench = SimBench(3)
    bench.world.fault = as_wired(pins)
    bench.pulse([25], 0.7, 0.3, 33)
    assert bench.world.wheels.left_way == 0.0
    bench.pulse([4], 0.7, 0.3, 33)
    assert bench.world.wheels.left_way > 0.01
    bench.lamps(5, [(0, 40, 0)])
    assert any(bench.world.shown[0])
    assert bench.sensor(21, 22) is None and bench.sensor(16, 17) is not None


# -- fifty unknown tugs --------------------------------------------------------------------


def of_an_unknown_tug(serial: int) -> tuple[list[float], float, float]:
    """Survey a tug, make its twin, and compare them on other days.

    Returns:
        How far three metres ended from the twin's, in m; how far an untuned one's did; and by how
        many degrees four quarter turns were off.
    """
    from robotsim.cable.powerup import lead

    ruler, bench = random.Random(serial), SimBench(serial)
    twin = read_tug(lead(bench, SimPerson(bench.world), ["motors", "start"]).data)
    short = surveyed(serial, 1000, SHORT, ruler)
    metre = _straight(fit(twin, [short]).quirks)
    runs = [short, *(surveyed(serial, 1001 + k, metre, ruler) for k in range(3)),
            *(surveyed(serial, 1010 + k, TURN, ruler) for k in range(4))]  # fmt: skip
    found = fit(twin, runs).quirks
    metre = _straight(found)
    end, drawn = drive(found, FloorRun(*metre)), drive(Quirks.of(0), FloorRun(*METRE))
    far = [math.dist(of_the_tug(serial, 2000 + k, metre)[:2], end[:2]) for k in range(3)]
    untuned = math.dist(of_the_tug(serial, 2000, METRE)[:2], drawn[:2])
    quarter = _quarter(found)
    turned = sum(of_the_tug(serial, 3000 + k, quarter)[2] for k in range(4))
    return far, untuned, math.degrees(turned) - 360.0


@pytest.mark.long
@pytest.mark.parametrize("serial", range(1, 51))
def test_an_unknown_tug_does_what_its_twin_does(serial: int) -> None:
    """Within three times what days do (10 mm along, 15 mm across, 2 degrees a quarter turn)."""
    far, untuned, square = of_an_unknown_tug(serial)
    assert max(far) < 0.06 and abs(square) < 16.0
    assert max(far) < untuned


def _straight(quirks: Quirks) -> tuple[float, float, float]:
    """Give efforts and time for a straight metre on a twin."""
    low, high = -0.08, 0.08
    for _ in range(12):
        trim = 0.5 * (low + high)
        turns = drive(quirks, FloorRun(0.5 + trim, 0.5 - trim, 3.0))[2] > 0
        low, high = (trim, high) if turns else (low, trim)
    seconds = 5.0
    for _ in range(3):
        seconds /= drive(quirks, FloorRun(0.5 + trim, 0.5 - trim, seconds))[0]
    return 0.5 + trim, 0.5 - trim, seconds


def _quarter(quirks: Quirks) -> tuple[float, float, float]:
    """Give the run that is a quarter turn to port on a twin."""
    low, high = 0.1, 0.9
    for _ in range(12):
        seconds = 0.5 * (low + high)
        less = drive(quirks, FloorRun(-0.5, 0.5, seconds))[2] < 0.5 * math.pi
        low, high = (seconds, high) if less else (low, seconds)
    return -0.5, 0.5, seconds


def test_run_takes_the_twins_file(tmp_path: Path) -> None:
    """The lamps of a twin take red first, and its motors are as unequal as the file says."""
    file = tmp_path / "tug.json"
    file.write_text(json.dumps({"strength": {"left": 1.0, "right": 0.88}, "lamp_order": "RGB"}))
    text = (
        "from machine import Pin, PWM\nfrom neopixel import NeoPixel\nimport time\n"
        "lamps = NeoPixel(Pin(13), 5)\nlamps[0] = (9, 0, 0)\nlamps.write()\n"
        "for pin in (25, 27): PWM(Pin(pin), freq=1000, duty_u16=45000)\ntime.sleep(1)\n"
    )
    words = {"files": {"a.py": text}, "seconds": 1, "serial": 0, "picture": False}
    plain = run("a.py", whose=Whose.OWN, **words)  # type: ignore[arg-type]
    twin = run("a.py", whose=Whose.OWN, tug=file, **words)  # type: ignore[arg-type]
    assert abs(plain.tracks["heading"][-1]) < 0.01 < abs(twin.tracks["heading"][-1])
    assert next(plain.of("lamps")).data != next(twin.of("lamps")).data


if __name__ == "__main__":  # the figures of CABLE.md, a line a tug
    for tug in range(1, 51):
        ends, plain, off = of_an_unknown_tug(tug)
        whole = [round(1000 * end) for end in (*ends, plain)]
        print(tug, *whole, round(off, 1), flush=True)
