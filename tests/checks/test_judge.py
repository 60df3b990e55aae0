"""check(): the trials that it runs."""

from __future__ import annotations

from checks import TASKS, check


def test_a_program_that_had_to_be_stopped_is_waited_for_less_in_the_next_trials() -> None:
    files = {TASKS["arm.knock"].program: "while True:\n    pass\n"}
    told = [str(made.problem) for made in check("arm.knock", files=files, serial=7).recordings]
    first, second = (text.splitlines()[0] for text in told)
    assert first == "stopped: has run for 5 s without touching the board"
    assert second == "stopped: has run for 1 s without touching the board"
