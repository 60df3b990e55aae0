"""The console: times in line, long outputs cut, an error told with its place."""

from __future__ import annotations

from robotsim import run_trial
from robotsim.recording import Problem
from robotsim.show import console
from tests.robotsim.show.recordings import at, recording


def test_lines_carry_their_times_aligned_at_the_right() -> None:
    told = recording(
        seconds=20,
        events=[at(0.25, "print", "hel"), at(0.5, "print", "lo\nyou"),
                at(12.5, "print", "\nend\n")],  # fmt: skip
    )
    assert console(told) == "  0.250 s  hello\n  0.500 s  you\n 12.500 s  end"


def test_a_long_output_is_cut_in_the_middle_and_says_by_how_much() -> None:
    told = recording(events=[at(k / 100, "print", f"{k}\n") for k in range(200)])
    rows = console(told).splitlines()
    assert len(rows) == 51
    assert rows[39].endswith("  39") and rows[41].endswith("  190")
    assert rows[40].strip() == "... 150 lines left out ..."


def test_an_output_one_line_too_long_is_not_cut_for_nothing() -> None:
    told = recording(events=[at(k / 100, "print", f"{k}\n") for k in range(51)])
    assert len(console(told).splitlines()) == 51 and "left out" not in console(told)


def test_an_endless_line_is_cut() -> None:
    told = recording(events=[at(0, "print", "x" * 5000 + "\n")])
    assert len(console(told)) < 400 and "4700 characters left out" in console(told)


def test_an_error_shows_place_source_way_and_what_to_try() -> None:
    trouble = Problem(
        "ValueError", "invalid pin", "parts.py", 3, "    return Pin(99)",
        (("drive.py", 9, "<module>"), ("parts.py", 3, "lamp")), "see the pin table.",
    )  # fmt: skip
    told = recording(ended="error", ended_s=1.5, problem=trouble)
    assert console(told).splitlines() == [
        "  1.500 s  ValueError: invalid pin",
        "           Where: parts.py, line 3",
        "                  return Pin(99)",
        "           Called from: drive.py, line 9",
        "           Try: see the pin table.",
    ]


def test_a_failed_callback_has_no_time_of_the_end() -> None:
    trouble = Problem("NameError", "x", "drive.py", 2)
    assert console(recording(problem=trouble)).startswith("           NameError: x")


def test_silence_is_empty() -> None:
    assert console(recording()) == ""
    assert console(recording(ended="stopped", ended_s=1)) == "  1.000 s  drive.py was stopped"


def test_a_loop_that_prints_without_end_is_told_to_wait() -> None:
    wild = run_trial("while True:\n    print(1)\n", seconds=0.5)
    assert "Try: a time.sleep(0.1) in the loop" in console(wild)
    calm = "import time\nwhile True:\n    print(1)\n    time.sleep_us(100)\n"
    assert "Try:" not in console(run_trial(calm, seconds=0.5))
    assert "Try:" not in console(run_trial("for k in range(500):\n    print(k)\n", seconds=0.5))
