"""What a notebook offers: a cell put on the board, a run, the learner's own tug."""

from __future__ import annotations

import statistics
from pathlib import Path

import pytest

from robotsim import KitError, UnknownNameError, run_trial
from robotsim.board.engines import ENGINES
from robotsim.notebook import FLASH, OWN_SERIAL, Flash, own_serial, program_cell, replay, run


def test_a_program_is_kept_and_its_lines_are_counted() -> None:
    flash = Flash()
    assert flash.put("blink.py", "a = 1\nb = 2\n") == "blink.py is on the board (2 lines)."
    assert flash == {"blink.py": "a = 1\nb = 2\n"}


def test_a_file_named_like_a_module_of_the_board_is_told_what_it_hides_and_how_it_goes() -> None:
    told = Flash().put("time.py", "BASE = 30\n")
    assert "(1 line).\nIt hides the board's own module time: every program here" in told
    assert 'remove("time.py")' in told and "another name" in told
    assert "`import math` gets the board's own module math" in Flash().put("math.py", "x = 1\n")
    assert "hides" not in Flash().put("times.py", "x = 1\n")


@pytest.mark.parametrize("text", ["x = = 3\n", "a = '\n", "\0", "(" * 300])
def test_a_program_that_cannot_run_is_kept_and_told(text: str) -> None:
    flash = Flash()
    told = flash.put("bad.py", "ok = 1\n" + text)
    assert "It cannot run yet: " in told
    assert flash["bad.py"] == "ok = 1\n" + text


def test_a_syntax_error_is_told_with_its_line() -> None:
    assert "Where: bad.py, line 2: x = = 3" in Flash().put("bad.py", "ok = 1\nx = = 3\n")


@pytest.mark.filterwarnings("error")
def test_a_mere_warning_is_not_shown(capsys: pytest.CaptureFixture[str]) -> None:
    Flash().put("odd.py", "print(1 is 1)\n")
    assert capsys.readouterr().err == ""


@pytest.mark.parametrize(
    ("name", "offered"),
    [("", "drive.py"), ("hafen", "hafen.py"), ("../trip.py", "trip.py"),
     ("my prog.py", "my_prog.py"), ("1.py", "program_1.py"), ("trip.py x", "trip.py"),
     ("größe.py", "groesse.py"), ("main.txt", "main.py"), ("a-b", "a_b.py"),
     ('"q.py"', "q.py without quotes"),
     ("файл.py", "drive.py")],
)  # fmt: skip
def test_a_bad_name_is_refused_and_offers_the_one_that_was_meant(name: str, offered: str) -> None:
    with pytest.raises(KitError, match="letters a to z") as told:
        Flash().put(name, "")
    assert told.value.hint == f"write %%program {offered}."


MIXED = "for i in range(2):\n\tprint(i)\n        print('b')\n"


@pytest.mark.parametrize("engine", list(ENGINES))
def test_mixed_tabs_and_spaces_that_the_board_runs_are_not_said_to_stop_it(
    engine: str, need_engine: None
) -> None:
    told = Flash().put("a.py", MIXED)
    assert "It runs on the board, but mixes tabs and spaces" in told and "cannot run" not in told
    assert "Try: four spaces everywhere." in told and "line 3: print('b')" in told
    made = run_trial(MIXED, engine=engine, seconds=0.1)
    assert made.problem is None and len(made.printed) == 4
    worse = Flash().put("a.py", MIXED + "x = = 3\n")
    assert "It cannot run yet" in worse and "line 4: x = = 3" in worse


def test_a_program_that_cannot_run_is_told_what_to_try() -> None:
    told = Flash().put("a.py", "def f():\nx = 1\n")
    assert "Try: after the function definition in line 1 the next line must be set in." in told


def test_only_a_program_cell_is_one() -> None:
    assert program_cell("%%program drive.py\nx = 1\n") == ("drive.py", "x = 1\n")
    for other in ("x = 1", "%%time\nx", "%%program\nx", "%%program a b.py\nx", ""):
        assert program_cell(other) is None


def test_the_tugs_card_is_found_above_and_a_damaged_one_told(tmp_path: Path) -> None:
    folder = tmp_path / "lessons" / "deep"
    folder.mkdir(parents=True)
    assert own_serial(folder) == OWN_SERIAL
    (tmp_path / "tug.json").write_text('{"serial": 23}', encoding="utf-8")
    assert own_serial(folder) == 23
    for wrong in ("", "[]", '{"serial": -1}', '{"serial": "7"}'):
        (tmp_path / "tug.json").write_text(wrong, encoding="utf-8")
        with pytest.raises(KitError, match="damaged"):
            own_serial(folder)


def test_an_unknown_program_names_the_nearest() -> None:
    with pytest.raises(UnknownNameError, match="did you mean 'drive.py'"):
        run("drvie.py", files={"drive.py": ""}, picture=False)


def test_a_run_uses_the_notebooks_board() -> None:
    FLASH["hello.py"] = "print('hello')\n"
    try:
        recording = run("hello.py", seconds=0.1, serial=0, picture=False)
    finally:
        del FLASH["hello.py"]
    assert [text for _, text in recording.printed] == ["hello"]


AHEAD = """
from machine import PWM, Pin
import time
for pin in (25, 27):
    PWM(Pin(pin), freq=1000, duty_u16=40000)
time.sleep(0.8)
for pin in (25, 27):
    PWM(Pin(pin), freq=1000, duty_u16=0)
"""


def test_several_runs_are_laid_over_each_other_with_their_spread_in_words(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    shown: list[dict[str, str]] = []
    monkeypatch.setattr("IPython.display.display", lambda data, raw: shown.append(data))
    files = {"ahead.py": AHEAD}
    made = run("ahead.py", files=files, seconds=1.2, serial=7, runs=4)
    assert len({one.end for one in made}) == len({one.day for one in made}) == 4
    alone = run("ahead.py", files=files, seconds=1.2, serial=7, picture=False)
    assert made[0] == alone, "the first is what a single run shows"
    along = 1000 * statistics.stdev(one.end[0] for one in made)
    told = f"by {along:.0f} mm along"
    assert told in capsys.readouterr().out
    (picture,) = shown
    assert told in picture["text/plain"] and "run 4: ended" in picture["text/plain"]
    assert told.replace("by ", "") in picture["text/html"]


def test_of_several_runs_one_that_fails_is_shown_by_itself(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    shown: list[dict[str, str]] = []
    monkeypatch.setattr("IPython.display.display", lambda data, raw: shown.append(data))
    run("fails.py", files={"fails.py": "1 / 0\n"}, seconds=0.1, serial=7, runs=3)
    assert "ZeroDivisionError" in capsys.readouterr().out + shown[0]["text/plain"]


def test_runs_of_the_tug_as_drawn_are_all_alike() -> None:
    made = run("a.py", files={"a.py": AHEAD}, seconds=1.2, serial=0, runs=2, picture=False)
    assert repr(made) == f"2 x {made[0]!r}", "a cell shows equal lines once"
    assert made[0] == made[1]


@pytest.mark.parametrize(
    ("asked", "words"),
    [({"runs": 0}, "1 to 6 times"), ({"runs": 7}, "1 to 6 times"), ({"runs": True}, "1 to 6"),
     ({"runs": 2.5}, "1 to 6 times")],
)  # fmt: skip
def test_runs_that_cannot_be_shown_are_refused(asked: dict, words: str) -> None:
    with pytest.raises(KitError, match=words):
        run("a.py", files={"a.py": ""}, **asked)


def test_a_run_and_any_recording_can_be_shown_as_a_replay(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    shown: list[dict[str, str]] = []
    monkeypatch.setattr("IPython.display.display", lambda data, raw: shown.append(data))
    files = {"hello.py": "import time\nprint('hello')\ntime.sleep(0.1)\n"}
    mine = run("hello.py", files=files, seconds=0.2, serial=0, replay=True)
    assert "hello" in capsys.readouterr().out
    assert mine.lines[-1][1:] == ("hello.py", 3)
    other = run("hello.py", files=files, seconds=0.2, serial=0, picture=False)
    replay(other, mine, labels=("before", "after"), at=0.1, marks=[(0.1, "look here")])
    assert len(shown) == 2
    for stored in shown:
        assert set(stored) == {"text/html", "text/plain"} and "<script>" in stored["text/html"]
    assert shown[1]["text/plain"].startswith("before: hello.py finished")
    several = run("hello.py", files=files, seconds=0.2, serial=0, runs=3, replay=True)
    assert isinstance(several, tuple) and all(made.lines for made in several)
    assert "run 3: " in shown[2]["text/plain"] and "<script>" in shown[2]["text/html"]
