"""The twin: what is measured makes the simulated tug the real one, and says how well."""

from __future__ import annotations

import json
import math
import random
import re
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from scipy.optimize import least_squares

from robotsim import KitError, Whose, run, run_trial
from robotsim.commands import main
from robotsim.onto import compiles
from robotsim.parts import Quirks
from robotsim.parts.battery import Battery
from robotsim.twin import fit as module
from robotsim.twin.fit import FloorRun, drive, fit, read_run, read_runs, straight
from robotsim.twin.survey import USUAL, survey_program
from robotsim.twin.tug_file import read_tug
from tests.robotsim.cable.benches import SimBench, SimPerson
from tests.robotsim.twin.unknown import (
    SHORT,
    of_the_tug,
    surveyed,
)  # fmt: skip

TURN = (-0.5, 0.5, 0.42)


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


def test_a_weak_battery_that_was_read_is_not_taken_for_weak_motors() -> None:
    own, legs = replace(Quirks.of(0), left_strength=0.97, right_strength=0.93), (SHORT, TURN)
    weak = [FloorRun(*leg, volts=4.5) for leg in legs]
    read = [replace(run, **dict(zip(("ahead", "aside", "turned"), drive(own, run), strict=True)))
            for run in weak]  # fmt: skip
    found = fit(read_tug(known(own)), read).quirks
    assert found.left_strength == pytest.approx(0.97, abs=0.01)
    unread = fit(read_tug(known(own)), [replace(run, volts=None) for run in read]).quirks
    assert abs(unread.left_strength - 0.97) > 0.02
    # What the card of the power-up has read holds for runs beside which it was not.
    card = read_tug({**known(own), "battery_volts": [4.5, 4.2]})
    again = fit(card, [replace(run, volts=None) for run in read]).quirks
    assert again.left_strength == pytest.approx(0.97, abs=0.01)


def test_what_stays_uncertain_of_a_metre_is_told_and_falls_with_runs() -> None:
    own = Quirks.of(7)

    def left(count: int) -> tuple[float, float]:
        runs = [surveyed(7, k, SHORT, random.Random(k)) for k in range(count)]
        told = re.search(r"known to (\d+) mm along and (\d+) mm across",
                         str(fit(read_tug(known(own)), runs)))  # fmt: skip
        assert told
        return float(told[1]), float(told[2])

    assert left(6)[0] < left(1)[0] and left(6)[1] < left(1)[1]


def test_a_battery_that_cannot_be_is_refused() -> None:
    for volts in ("2.4", "48", "nan"):
        with pytest.raises(KitError, match="Four cells rest at|A run is"):
            read_run(f"0.5,0.5,1.5,-,-,3.0,1,{volts}")
    with pytest.raises(KitError, match="Four cells rest at 3.6 to 5.8 V, not '4.8'"):
        run("a.py", files={"a.py": ""}, volts="4.8", picture=False)  # type: ignore[arg-type]
    assert read_tug({"battery_volts": [0.1, 0.1]}).charge is None  # the pin reads nothing


def test_without_a_card_the_start_duties_are_not_said_to_be_measured() -> None:
    run = surveyed(7, 1, SHORT, random.Random(1))
    told, card = fit(read_tug({}), [run]), fit(read_tug(known(Quirks.of(7))), [run])
    assert "1 run with 3" in str(told) and "no card tells them" in str(told)
    assert told.spread["left_start"] > card.spread["left_start"]
    half = {"start": {"left": Quirks.of(7).left_start}}
    assert "of the card for the left wheel, for the other" in str(fit(read_tug(half), [run]))


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
        ({"lmps": 8}, "did you mean 'lamps'"),
    ],
)
def test_a_file_that_cannot_be_gets_one_clear_line(data: dict[str, object], words: str) -> None:
    with pytest.raises(KitError, match=words):
        read_tug(data)


def test_a_slip_in_a_file_that_was_written_by_hand_is_told_with_its_place(tmp_path: Path) -> None:
    file = tmp_path / "mine.json"
    file.write_text('{"lamps": 8,\n "note": "ours",}')
    with pytest.raises(KitError, match="not written as JSON is") as told:
        read_tug(file)
    assert told.value.where.startswith(f"{file}, line 2, column ")
    assert "a comma too many" in told.value.hint
    file.write_text('{"lamps": 8}', encoding="utf-8-sig")
    assert read_tug(file).build.lamps == 8


def test_what_no_tug_does_is_refused() -> None:
    with pytest.raises(KitError, match=r"the run 0\.5,.* times its usual spread off"):
        fit(read_tug({}), [FloorRun(*SHORT, 3.0, 2.0, 1.0)])
    with pytest.raises(KitError, match="nothing to fit"):
        fit(read_tug({}), [FloorRun(*SHORT)])


def test_a_run_of_which_nothing_was_measured_counts_for_nothing() -> None:
    """One that an older file holds, say."""
    run = FloorRun(*SHORT, *drive(Quirks.of(0), FloorRun(*SHORT)))
    found = fit(read_tug({}), [run, FloorRun(*TURN)])
    assert "They rest on 1 run with 3 measurements" in str(found)


def test_the_command_refines_the_file_and_keeps_the_old_one(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    own = Quirks.of(7)
    file = tmp_path / "tug.json"
    file.write_text(json.dumps(known(own)))
    ((ahead, aside, turned),) = of_the_tug(7, 4, SHORT)
    run = f"0.5,0.5,1.5,{ahead:.3f},{aside:.3f},{math.degrees(turned):.1f}"
    assert main(["fit", str(file), "--run", run]) == 0
    told = capsys.readouterr().out
    assert "Measured on it: start duties, motors' strengths. Not measured, so as drawn:" in told
    assert "+-" in told and f"Written: {file}" in told and "kept as tug.1.json" in told
    assert f'run("drive.py", tug="{file.as_posix()}")' in told  # a notebook lies elsewhere
    found = json.loads(file.read_text())
    assert found["strength"] and found["spread"] and (tmp_path / "tug.1.json").exists()
    assert f"straight: left {found['efforts']['left']:.3f}, right" in told and "Next: " in told
    again = read_tug(file).quirks
    assert again.left_strength == pytest.approx(found["strength"]["left"])
    assert f"LEFT_EFFORT = {found['efforts']['left']:.3f}" in read_tug(file).settings
    (tmp_path / "day1.txt").write_text("  9.1 s  run -0.5,0.5,0.42,-,-,99.0\n")
    assert main(["fit", str(file), "--log", str(tmp_path / "day1.txt")]) == 0
    told = capsys.readouterr().out
    assert "They rest on 2 runs with 4 measurements" in told and "of the card" in told
    assert json.loads(file.read_text())["start_on_block"] == known(own)["start"]
    assert main(["fit", str(file), "--log", str(tmp_path / "day1.txt")]) == 1
    assert "count already" in capsys.readouterr().err
    turn = ["--run", "-0.5,0.5,0.42,-,-,99.5"]
    assert main(["fit", str(file), *turn]) == 0
    assert "They rest on 3 runs" in capsys.readouterr().out
    assert main(["fit", str(file), "--survey", "--leg", "-0.5,0.5,0.42"]) == 0
    shown = capsys.readouterr()
    assert "(-0.5, 0.5, 0.42)," in shown.out and "--to survey.py" in shown.err
    before = file.read_text()
    assert main(["fit", str(file), "--run", "0.5,0.5,5.6,-,-,-"]) == 1
    assert "Nothing was measured of this run." in capsys.readouterr().err
    assert file.read_text() == before
    full = OSError(28, "No space left on device")
    with monkeypatch.context() as disk:
        disk.setattr(Path, "write_text", lambda *_, **__: (_ for _ in ()).throw(full))
        assert main(["fit", str(file), "--run", run]) == 1
    shown = capsys.readouterr().err
    assert "No space left on device" in shown and str(file) in shown
    assert file.read_text() == before and not list(tmp_path.glob("*.part"))
    program = tmp_path / "survey.py"
    assert main(["fit", str(tmp_path / "tugg.json"), "--survey"]) == 1  # > survey.py, say
    shown = capsys.readouterr()
    assert not shown.out and "`--to survey.py` has the program written as a file" in shown.err
    assert main(["fit", str(tmp_path / "tugg.json"), "--survey", "--to", str(program)]) == 1
    shown = capsys.readouterr().err
    assert str(tmp_path / "tugg.json") in shown and f"did you mean {str(file)!r}" in shown
    assert not program.exists()  # and no empty one, which a board would start
    assert main(["fit", str(file), "--survey", "--to", str(program)]) == 0
    assert program.read_text() == survey_program() and not capsys.readouterr().err
    monkeypatch.chdir(tmp_path)
    for folder in (".", str(tmp_path)):  # which stays where it is, under its own name
        assert main(["fit", str(file), "--survey", "--to", folder]) == 1
        assert "cannot be written: Is a directory." in capsys.readouterr().err and file.exists()
        assert main(["fit", folder, "--run", run]) == 1
        assert f"did you mean {str(Path(folder, 'tug.json'))!r}?" in capsys.readouterr().err
    assert main(["fit", str(file), "--survey", "--leg", "0.5,0.5"]) == 1
    assert "A leg is left, right, seconds, not '0.5,0.5'." in capsys.readouterr().err
    assert main(["fit", str(program), "--run", run]) == 1  # another file beside it
    assert f"did you mean {str(file)!r}?" in capsys.readouterr().err
    assert main(["fit", str(tmp_path / "none.json"), "--run", run]) == 1
    assert "cannot be read: No such file or directory." in capsys.readouterr().err
    for wrong in ("1,2", "2,0,1,-,-,-", "a,b,c,d,e,f", "1,1,1,nan,0,0", "0.5,0.5,-,1,1,1"):
        with pytest.raises(KitError, match="A run is"):
            read_run(wrong)


def test_the_survey_runs_on_the_board_and_tells_its_turns() -> None:
    """Its gyro's word after each leg against how the tug stands; and it stays in its pen."""
    text = survey_program().replace("while bumper.value()", "while False")
    files = {"main.py": text, "settings.py": read_tug({}).settings}
    done = run_trial(files, serial=7, seed=3, seconds=30, start=(0.6, 0.4, 0), whose=Whose.OWN)
    assert done.ended == "finished" and not list(done.of("touch"))
    assert compiles("survey.py", text) is None
    before, rows = 0.0, [(at, row) for at, row in done.printed if row.startswith("run")]
    for at, row in rows:
        turned, heading = read_run(row[4:]).turned or 0.0, done.at("heading", at)
        assert math.degrees(turned - (heading - before)) == pytest.approx(0, abs=1.0)
        before = heading
    runs = read_runs("\n".join(f"{at:7.3f} s  {row}" for at, row in rows))
    assert read_runs(done.kept["survey.txt"]) == runs
    assert [run.legs for run in runs] == [*dict.fromkeys(USUAL)]
    assert all(run.times == 4 for run in runs)
    rests = 2 * Battery(done.charge).pin_volts(0.0)  # the board's own converter: within 15 mV
    assert all(run.volts == pytest.approx(rests, abs=0.05) for run in runs)


def test_what_no_survey_has_printed_is_refused() -> None:
    with pytest.raises(KitError, match="No run of a survey"):
        read_runs("press the bumper\n")
    with pytest.raises(KitError, match="A run is"):
        read_runs("  3.100 s  run 0.5,0.5\n")


def test_a_turn_that_was_jostled_is_left_out() -> None:
    rows = [f"run 0.5,-0.5,0.42,-,-,{turned}" for turned in (-116.6, -92.3, -98.2, -96.6)]
    (run,) = read_runs("\n".join(rows))
    assert run.times == 3 and math.degrees(run.turned or 0.0) == pytest.approx(-95.7)
    (apart,) = read_runs("run 0.5,-0.5,0.42,-,-,-120\nrun 0.5,-0.5,0.42,-,-,-90")
    assert apart.times == 1


def test_a_run_is_read_as_it_was_written() -> None:
    run = FloorRun(-0.5, 0.5, 0.42, None, 0.031, math.radians(91.25), 4)
    again = read_run(str(run))
    assert str(again) == str(run) == "-0.5,0.5,0.42,-,0.031,91.25,4"
    assert again.turned == pytest.approx(run.turned)
    assert str(read_run("0.5,0.5,1,-,-,3,1,4.812")) == "0.5,0.5,1,-,-,3,1,4.812"


def test_straight_is_straight() -> None:
    own = replace(Quirks.of(0), left_strength=0.9)
    left, right = straight(own)
    assert abs(drive(own, FloorRun(left, right, 3.0))[2]) < math.radians(0.1)
    assert left != right


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
    weak = run("a.py", whose=Whose.OWN, volts=4.3, **words)  # type: ignore[arg-type]
    assert weak.tracks["x"][-1] < plain.tracks["x"][-1] - 0.01
    twin = run("a.py", whose=Whose.OWN, tug=file, **words)  # type: ignore[arg-type]
    assert abs(plain.tracks["heading"][-1]) < 0.01 < abs(twin.tracks["heading"][-1])
    assert next(plain.of("lamps")).data != next(twin.of("lamps")).data
