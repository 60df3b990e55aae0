"""Another wiring, other lamps, wheels and track: the simulator and all that follow it."""

from __future__ import annotations

import dataclasses
import json
import math
from pathlib import Path

import pytest

from robotsim import PINS, KitError, Recording, Whose, export, pins_of, ready, run, run_trial
from robotsim.cable.card import Card
from robotsim.cable.powerup import lead
from robotsim.commands import main
from robotsim.notebook import OWN_SERIAL, own_serial
from robotsim.onto import compiles
from robotsim.parts import Quirks
from robotsim.show import scope_figure
from robotsim.show.compose import figure
from robotsim.show.facts import drives
from robotsim.show.pack import heading_of
from robotsim.show.strips import strips_of
from robotsim.show.words import alt_text, how_it_ended
from robotsim.twin.build import check_pins, read_build
from robotsim.twin.fit import FloorRun, drive
from robotsim.twin.settings import settings_text
from robotsim.twin.tug_file import read_tug
from robotsim.wiring import DRAWN, Build
from tests.robotsim.cable.benches import SimBench, SimPerson

OTHER = {"left_ahead": 4, "left_back": 5, "lamps": 23, "sda": 16, "scl": 17, "eye_0": 32}
TUG = {"pins": OTHER, "lamps": 7, "wheel_mm": 60, "track_mm": 120,
       "strength": {"left": 1.0, "right": 1.0}}  # fmt: skip
DRIVES = """
import time
from machine import PWM, Pin
from neopixel import NeoPixel
from settings import PINS
lamps = NeoPixel(Pin(PINS["lamps"]), 7)
lamps[6] = (9, 0, 0)
lamps.write()
motors = [PWM(Pin(PINS[name]), freq=1000) for name in ("left_ahead", "right_ahead")]
try:
    for motor in motors:
        motor.duty_u16(40000)
    time.sleep(1)
finally:
    for motor in motors:
        motor.duty_u16(0)
"""


@pytest.fixture
def tug(tmp_path: Path) -> Path:
    file = tmp_path / "tug.json"
    file.write_text(json.dumps(TUG))
    return file


# -- what cannot be ------------------------------------------------------------------------


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
    """Quick reference of MicroPython for this family of boards (read)."""
    with pytest.raises(KitError, match=why):
        check_pins({**PINS, role: pin})


@pytest.mark.parametrize(
    ("data", "where"),
    [
        ({"lamps": 0}, "lamps"), ({"lamps": 99}, "lamps"), ({"lamps": 5.5}, "lamps"),
        ({"wheel_mm": 0.06}, "wheel_mm"), ({"wheel_mm": "60"}, "wheel_mm"),
        ({"track_mm": 1200}, "track_mm"), ({"track_mm": float("nan")}, "track_mm"),
    ],
)  # fmt: skip
def test_sizes_that_cannot_be_say_what_where_and_what_is_accepted(
    data: dict[str, object], where: str
) -> None:
    with pytest.raises(KitError) as told:
        read_build(data)
    assert told.value.where == where and told.value.hint


def test_what_is_not_said_is_as_drawn() -> None:
    assert read_build({}) == DRAWN == Build() == Quirks.of(7).build
    assert read_build({"pins": {"arm": 4}}).pins == {**PINS, "arm": 4}


def test_every_pin_that_may_give_pulses_is_one_of_the_boards_sixteen() -> None:
    """The sixteen pins of the PWM example for this family in MicroPython's documentation (read).

    Each frequency has a timer of its own there, of eight; a tug's five pulsed pins never want more.
    """
    published = {2, 4, 12, 13, 14, 15, 16, 18, 19, 22, 23, 25, 26, 27, 32, 33}
    for pin in published - set(PINS.values()):
        assert check_pins({**PINS, "arm": pin})["arm"] == pin


# -- the simulator -------------------------------------------------------------------------


def test_a_tug_that_is_wired_otherwise_drives_by_its_own_pins(
    tug: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    done = run("a.py", files={"a.py": DRIVES}, seconds=2, tug=tug, picture=False, whose=Whose.OWN)
    assert isinstance(done, Recording) and done.problem is None
    assert done.tracks["left"][100] > 0.2 < done.tracks["right"][100]
    assert done.build == read_build(TUG) and done.lamps_at(1.0)[6] == (9, 0, 0)
    as_drawn = DRIVES.replace("from settings import PINS", f"PINS = {dict(PINS)}")
    assert capsys.readouterr().out == ""
    drawn = {"a.py": DRIVES, "settings.py": settings_text({"pins": dict(PINS)})}
    run("a.py", files=drawn, seconds=0.1, tug=TUG, picture=False, whose=Whose.OWN)
    assert 'Try: write "left_ahead": 4.' in capsys.readouterr().out
    other = run("a.py", files={"a.py": as_drawn}, seconds=2, tug=tug, picture=False,
                whose=Whose.OWN)  # fmt: skip
    assert isinstance(other, Recording) and max(other.tracks["left"]) == 0.0
    assert not list(other.of("lamps")) and max(other.tracks["right"]) > 0.1


def test_pictures_and_words_take_the_roles_from_the_recording(tug: Path) -> None:
    done = run("a.py", files={"a.py": DRIVES}, seconds=2, tug=tug, picture=False, whose=Whose.OWN)
    assert isinstance(done, Recording)
    assert "on lamp 6" in alt_text(done)
    assert {phase.duty for phase in drives(done, "left")} <= {0.0, 0.5, 40000 / 65536}
    strips = {strip.name: strip.inches for strip in strips_of(done)}
    assert strips["lamps"] == pytest.approx(7 * 0.18)
    named = scope_figure(done, "left_ahead")
    assert "left ahead" in str(named.get_label()).lower()


def test_a_recording_keeps_how_the_tug_was_put_together(tug: Path) -> None:
    done = run_trial(DRIVES, seconds=0.5, tug=read_tug(TUG).quirks, whose=Whose.OWN)
    again = Recording.from_bytes(done.to_bytes())
    assert again == done and again.build == done.build != DRAWN
    drawn = run_trial("pass", seconds=0.1, whose=Whose.OWN)
    assert Recording.from_bytes(drawn.to_bytes()).build == DRAWN


@pytest.mark.parametrize("wrong", [{"lamps": -1}, {"pins": {"arm": 4}}, {"wheel": 0}, {"more": 1}])
def test_a_recording_with_a_tug_that_cannot_be_is_refused(
    wrong: dict[str, object], monkeypatch: pytest.MonkeyPatch
) -> None:
    done = run_trial("pass", seconds=0.1, tug=read_tug(TUG).quirks, whose=Whose.OWN)
    plain = {**dataclasses.asdict(done.build), **wrong}
    monkeypatch.setattr("robotsim.recording.asdict", lambda _: plain)
    with pytest.raises(KitError, match="damaged"):
        Recording.from_bytes(done.to_bytes())


def test_larger_wheels_go_further_and_a_wider_track_turns_less() -> None:
    """Geometry of a differential drive (Freiburg sheet): ways grow as wheels, turns fall as track.

    At an effort at which friction is little beside the back-EMF.
    """
    own = Quirks(0, left_start=0.02, right_start=0.02)
    large = dataclasses.replace(own, build=Build(wheel=2 * DRAWN.wheel))
    wide = dataclasses.replace(own, build=Build(track=2 * DRAWN.track))
    straight, turn = FloorRun(0.5, 0.5, 6.0), FloorRun(-0.5, 0.5, 3.0)
    assert drive(large, straight)[0] / drive(own, straight)[0] == pytest.approx(2.0, rel=0.08)
    assert drive(own, turn)[2] / drive(wide, turn)[2] == pytest.approx(2.0, rel=0.08)


@pytest.mark.parametrize("given", ["path", "figures"])
def test_a_twins_run_is_said_to_be_a_twins_and_of_which_tug(
    given: str, tug: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("robotsim.notebook.own_serial", lambda: 8)
    asked = tug if given == "path" else TUG
    file = "/".join(tug.parts[-2:]) if given == "path" else "a tug of yours"
    name = f"the twin of {file} (6 things not measured)"
    done = run("a.py", files={"a.py": DRIVES}, seconds=0.2, tug=asked, picture=False,
               whose=Whose.OWN)  # fmt: skip
    assert isinstance(done, Recording) and done.tug == name and name in repr(done)
    words = " ".join(text.get_text() for text in figure(done).texts)
    assert f"a.py on the basin, the twin of {file}" in words and "tug 8" not in words
    assert name in heading_of([done]) and Recording.from_bytes(done.to_bytes()) == done
    plain = run("a.py", files={"a.py": DRIVES}, seconds=0.2, picture=False, whose=Whose.OWN)
    assert isinstance(plain, Recording) and "on basin, tug 8, " in repr(plain)


def test_what_of_a_twin_was_measured_and_what_is_as_drawn_is_said_wherever_it_runs(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """An eye that was not measured, or did not see, is the drawn one: and is said to be."""
    both = [0.5] * 4, [2.5, 2.5, 0.6, 2.5]
    data = {"start": {"left": 0.2}, "lamp_order": "RGB", "arm_trim_us": 0, "battery_volts": [5, 4],
            "white_volts": both[0], "black_volts": both[1], "gyro_bias": [0.01, 0, 0],
            "accel_bias": [0, 0, 0], "strength": {"left": 0.9, "right": 1.0}}  # fmt: skip
    file = tmp_path / "card" / "tug.json"
    file.parent.mkdir()
    file.write_text(json.dumps(data))
    known = ("Measured on it: lamp order, left start duty, arm trim, eye 0, eye 1, eye 3, motion "
             "sensor, battery, motors' strengths. Not measured, so as drawn: right start duty, "
             "eye 2.")  # fmt: skip
    found = read_tug(file)
    assert str(found.known) == known and known in str(found)
    assert found.quirks.eye_gain[2] == 1.0 != found.quirks.eye_gain[1]
    words = {"seconds": 0.2, "whose": Whose.OWN, "tug": file}
    done = run("a.py", files={"a.py": DRIVES}, **words)  # type: ignore[arg-type]
    assert f"The twin of card/tug.json. {known}" in capsys.readouterr().out
    assert isinstance(done, Recording)
    assert done.tug == "the twin of card/tug.json (not measured: right start duty, eye 2)"
    (row,) = (text.get_text() for text in figure(done).texts if text.get_gid() == "subtitle")
    assert f"{done.tug}. " in row or "card/tug.json (in part as drawn). " in row
    assert row.endswith(how_it_ended(done)), "what was not measured took its place"
    assert " (not measured: right start duty, eye 2), " in heading_of([done])
    assert known in str(ready("a.py", files={"a.py": DRIVES}, **words))  # type: ignore[arg-type]
    bare = read_tug({"lamps": 8})
    assert "Guessed, as such motors are: their strengths" in str(bare.known)
    assert bare.quirks.twin_of == "a tug of yours\nnothing measured"
    whole = read_tug({**data, "start": {"left": 0.2, "right": 0.2}, "black_volts": [2.5] * 4})
    assert whole.quirks.twin_of == "a tug of yours" and "as drawn" not in str(whole.known)
    assert str(whole.known).count("start duties") == str(whole.known).count("eyes") == 1


# -- what follows --------------------------------------------------------------------------


def test_the_pin_table_and_the_settings_are_the_tugs(tug: Path) -> None:
    assert pins_of(tug) == {**PINS, **OTHER}
    text = read_tug(tug).settings
    kept: dict[str, object] = {}
    exec(text, kept)
    assert kept["PINS"] == pins_of(tug) and kept["LAMPS"] == 7
    assert kept["WHEEL_MM"] == 60 and kept["TRACK_MM"] == 120
    assert compiles("settings.py", text) is None


def test_ready_tries_it_on_that_tug_and_names_settings_that_are_anothers(tug: Path) -> None:
    words = {"seconds": 2.0, "whose": Whose.OWN}
    good = ready("a.py", files={"a.py": DRIVES}, tug=tug, **words)  # type: ignore[arg-type]
    assert good.ready, str(good)
    drawn = {"a.py": DRIVES, "settings.py": settings_text({"pins": dict(PINS)})}
    bad = ready("a.py", files=drawn, tug=tug, **words)  # type: ignore[arg-type]
    assert not bad.ready
    assert "left_ahead is on pin 25; the tug on which it was tried has it on pin 4" in str(bad)
    assert "it uses pin 25, on which this tug has nothing: left_ahead is on pin 4" in str(bad)
    own = {"a.py": DRIVES, "settings.py": read_tug(tug).settings}
    asked = ready("a.py", files=own, **words)  # type: ignore[arg-type]
    assert "say which it is: ready(..., tug=" in str(asked)
    assert not any(one.fails for one in asked if one.file == "settings.py")


def test_export_writes_that_tugs_settings_and_refuses_anothers(
    tug: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    export("a.py", tmp_path / "out", files={"a.py": DRIVES}, tug=tug)
    assert '"left_ahead": 4' in (tmp_path / "out" / "settings.py").read_text()
    drawn = {"a.py": DRIVES, "settings.py": settings_text({"pins": dict(PINS)})}
    with pytest.raises(KitError, match="It is not exported: it says that"):
        export("a.py", tmp_path / "no", files=drawn, tug=tug)
    assert not (tmp_path / "no").exists()
    (tmp_path / "a.py").write_text(DRIVES)
    words = ["--tug", str(tug)]
    assert main(["export", str(tmp_path / "a.py"), str(tmp_path / "two"), *words]) == 0
    assert main(["ready", str(tmp_path / "a.py"), "--seconds", "2", *words]) == 0
    tug.write_text('{"pins": {"arm": 35}}')
    assert main(["ready", str(tmp_path / "a.py"), *words]) == 1
    assert "arm cannot be on pin 35: it is an input only" in capsys.readouterr().err


def test_a_real_tugs_file_is_no_damaged_card_and_changes_no_check(
    tug: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What is marked is marked on the tug as drawn, with such a file beside the notebook or not."""
    from checks import check

    text = DRIVES.replace("7)", "5)").replace("lamps[6]", "lamps[4]")
    files = {"main.py": text, "settings.py": settings_text({"pins": dict(PINS)})}
    before = check("powerup.start", files=files, whose=Whose.OWN)
    monkeypatch.chdir(tug.parent)
    assert own_serial() == OWN_SERIAL
    (tug.parent / "mine").mkdir()
    (tug.parent / "mine" / "tug.json").write_text('{"lamps": 8}')
    tug.write_text(json.dumps({**TUG, "serial": 12}))
    assert own_serial(tug.parent / "mine") == 12 and pins_of(tug)["lamps"] == 23
    tug.write_text(json.dumps(TUG))
    after = check("powerup.start", files=files, whose=Whose.OWN)
    assert before.points == after.points and str(before) == str(after)
    with pytest.raises(KitError, match="judged on the tug as drawn"):
        check("powerup.start", files=files, whose=Whose.OWN, tug=tug)


@pytest.mark.parametrize(
    "fault", ["", "left-backwards", "lamps-turned", "eye-loose", "bumper-stuck"]
)
def test_the_led_power_up_goes_by_its_pins_also_with_a_fault(fault: str) -> None:
    quirks = dataclasses.replace(Quirks.of(5), build=read_build(TUG))
    bench = SimBench(5, fault, quirks)
    card = lead(bench, SimPerson(bench.world), card=Card.of(TUG))
    assert len(card.mends) == bool(fault), card
    assert card.data["lamps"] == 7 and read_tug(card.data).build.lamps == 7
    if not fault:
        assert card.pins == pins_of(TUG)


def test_drawn_pins_find_nothing_on_such_a_tug() -> None:
    """Yesterday the led power-up could not be told of another wiring."""
    bench = SimBench(5, "", dataclasses.replace(Quirks.of(5), build=read_build(TUG)))
    card = lead(bench, SimPerson(bench.world), ["lamps", "sensor"])
    assert {mend.part for mend in card.mends} == {"lamps", "motion sensor"}


def test_the_way_a_turn_goes_is_the_same_by_other_pins() -> None:
    drawn = Quirks.of(3)
    other = dataclasses.replace(drawn, build=read_build({"pins": OTHER}))
    turn = FloorRun(-0.5, 0.5, 0.4)
    assert drive(drawn, turn) == drive(other, turn) and math.degrees(drive(drawn, turn)[2]) > 60
