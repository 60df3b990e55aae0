"""Callbacks: between the program's own steps, in order of time, never one inside another."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from robotsim.board import costs
from robotsim.board.board import Board
from robotsim.units import MS, SECOND, US
from tests.robotsim.board.fakes import Script, serve


def calls(board: Board) -> list[tuple[float, int]]:
    return [(event.time_ns / MS, event.number) for event in board.events if event.kind == "call"]


def test_a_one_shot_timer_calls_once_and_a_periodic_one_again_and_again() -> None:
    once, _, _ = serve([b"J 2 10000 0", b"S 95000", b"q"])
    assert calls(once) == [(pytest.approx(10.05), 2)]
    often, _, _ = serve([b"J 2 10000 1", b"S 95000", b"q"])
    assert calls(often) == [(pytest.approx(10.05 + 10 * k), 2) for k in range(9)]


def test_callbacks_come_within_a_sleep_at_their_time_and_the_sleep_is_no_longer_for_them() -> None:
    board, door, _ = serve([b"J 0 3000 0", b"J 1 5000 0", b"S 20000", b"T", b"q"])
    assert door.replies == [b"=", b"=", b">timer 0", b">timer 1", b"=", b"=20112 6 1000"]
    assert calls(board) == [(pytest.approx(3.05), 0), (pytest.approx(5.1), 1)]


def test_a_callback_that_lasts_beyond_the_sleep_makes_it_longer() -> None:
    board, _, _ = serve([b"J 0 3000 0", b"S 5000", b"q"], in_callback=[b"s 10000"])
    assert board.now_ns == (50 + 3000 + 10_000 + 6) * US + costs.CALL


def test_a_plain_sleep_holds_callbacks_back_until_the_next_question() -> None:
    board, door, _ = serve([b"J 0 3000 0", b"s 5000", b"T", b"q"])
    assert door.replies == [b"=", b">timer 0", b"=5062"]
    assert calls(board) == [(pytest.approx(5.062), 0)]


def test_a_timer_that_was_held_up_keeps_its_beat() -> None:
    board, _, _ = serve([b"J 0 10000 1", b"s 15000", b"T", b"S 20000", b"q"])
    assert calls(board) == [
        (pytest.approx(15.062), 0), (pytest.approx(20.05), 0), (pytest.approx(30.05), 0),
    ]  # fmt: skip


def test_what_is_asked_within_a_callback_is_answered_there_and_the_old_question_after_it() -> None:
    _, door, _ = serve([b"J 0 3000 0", b"S 5000", b"q"], in_callback=[b"T", b"o 13 1"])
    assert door.replies == [b"=", b">timer 0", b"=3076 6 1000", b"="]


def test_no_callback_comes_inside_another() -> None:
    lines = [b"J 0 1000 1", b"J 1 1500 1", b"S 10000", b"q"]
    board, door, _ = serve(lines, in_callback=[b"s 2000", b"T"], limit_ns=30 * MS)
    inside = False
    for reply in door.replies:
        if reply.startswith(b">"):
            assert not inside
            inside = True
        elif reply != b"=":
            inside = False
    assert len(calls(board)) > 5


def test_a_timer_started_anew_forgets_its_old_time_and_a_stopped_one_is_silent() -> None:
    board, _, _ = serve([b"J 0 3000 1", b"J 0 8000 0", b"S 20000", b"q"])
    assert calls(board) == [(pytest.approx(8.1), 0)]
    board, _, _ = serve([b"J 0 3000 1", b"S 4000", b"j 0", b"S 20000", b"q"])
    assert len(calls(board)) == 1


@given(
    st.dictionaries(st.integers(0, 3), st.tuples(st.integers(1, 30_000), st.booleans())),
    st.integers(0, 60_000),
)
@settings(max_examples=60, deadline=None)
def test_callbacks_come_in_the_order_of_their_times(
    timers: dict[int, tuple[int, bool]], sleep: int
) -> None:
    lines = [b"J %d %d %d" % (n, us, often) for n, (us, often) in timers.items()]
    board, _, _ = serve([*lines, b"S %d" % sleep, b"q"], limit_ns=70 * MS)
    times = [event.time_ns for event in board.events if event.kind == "call"]
    assert times == sorted(times)
    for number, (us, often) in timers.items():
        mine = [t for t, n in calls(board) if n == number]
        assert often or len(mine) <= 1
        if mine and us > 2000:  # slower than all callbacks together
            assert mine[0] * 1000 >= us


def test_a_timer_faster_than_its_callback_starves_the_program_but_not_the_trial() -> None:
    board, door, ended = serve([b"J 0 1 1", b"S 100", b"T", b"q"], limit_ns=20 * MS)
    assert ended == "TimeUp"
    assert b"=" not in door.replies[1:]
    assert len(calls(board)) <= 20 * MS // costs.CALL + 1


def test_an_exception_in_a_callback_is_printed_and_noted_and_the_program_goes_on() -> None:
    report = b'w {"kind": "KeyError", "message": "gone", "calls": [["main.py", 3, "f"]]}'
    board, _, ended = serve([b"J 0 3000 0", b"S 5000", b"q"], in_callback=[report])
    assert ended == "finished"
    fault, printed = [event for event in board.events if event.kind in ("fault", "print")]
    assert (fault.error, fault.message, fault.file, fault.line) == (
        "KeyError",
        "gone",
        "main.py",
        3,
    )
    assert printed.text == "Unhandled exception in callback: KeyError: gone\n"
    assert board.faults[0]["kind"] == "KeyError"


def test_a_program_that_ends_within_a_callback_has_ended_then() -> None:
    board, _, ended = serve([b"J 0 3000 0", b"S 5000000"], in_callback=[b"q"])
    assert ended == "finished" and board.now_ns < 4 * MS
    script = Script([b"J 0 3000 0", b"S 5000"])
    script.in_callback = []
    assert script.talk(Board(_quiet(), SECOND).hear) == {}


def _quiet():
    from tests.robotsim.board.fakes import FakeWorld

    return FakeWorld()
