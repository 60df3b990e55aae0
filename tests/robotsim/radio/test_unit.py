"""The board's radio unit: whatever a program says to it, it answers, waits or refuses."""

from __future__ import annotations

import itertools

import pytest
from hypothesis import given
from hypothesis import strategies as st

from robotsim.board.board import Board
from robotsim.board.faults import TimeUp
from robotsim.errors import LinkError
from robotsim.radio import Airwaves, HarbourRadio, Outage
from robotsim.radio.packets import Connect
from robotsim.units import MS, SECOND
from tests.robotsim.board.fakes import FakeWorld, Script

JOIN = [b"C on 1", b"C join x686172626f7572 x6c69676874686f757365", b"S 2000000"]
OPEN = b"C open x3139322e3136382e372e32 1883 -1"
HELLO = b"C send 1 " + Connect("a").encode().hex().encode()


def say(lines: list[bytes], limit_s: float = 60.0, air: Airwaves | None = None) -> tuple[
    Board, Script, str
]:  # fmt: skip
    """Let a board with a radio carry out messages; give it, the door, and how it ended."""
    door = Script(lines)
    limit = int(limit_s * SECOND)
    board = Board(FakeWorld(), limit, radio=HarbourRadio(air or Airwaves()))
    try:
        ended = door.talk(board.hear).get("kind", "gone")
    except (TimeUp, LinkError) as end:
        ended = type(end).__name__
    return board, door, ended


def test_a_program_joins_connects_and_is_answered() -> None:
    take = b"C take 1 10 -1"
    _, door, ended = say([*JOIN, b"C status", OPEN, HELLO, take, b"C close 1", b"q"])
    assert ended == "finished"
    assert door.replies[3:] == [b"=1010 1 -50", b"=1", b"=%d" % 15, b"=20020000", b"="]


@pytest.mark.parametrize(
    ("message", "answer"),
    [(b"C take 9 10 0", b"-OSError [Errno 128]"), (b"C send 9 00", b"-OSError [Errno 128]"),
     (b"C close 9", b"="), (b"C find x6e6f", b"-OSError [Errno -202]"), (b"C on -", b"=0"),
     (OPEN, b"-OSError [Errno 118]"), (b"C scan", b"=off"), (b"C status", b"=1000 0 0"),
     (b"C join x61 x", b"=off"), (b"C addresses", b"=0.0.0.0 0.0.0.0 0.0.0.0 0.0.0.0")],
)  # fmt: skip
def test_a_call_out_of_place_is_answered_all_the_same(message: bytes, answer: bytes) -> None:
    _, door, ended = say([message, b"q"])
    assert ended == "finished" and door.replies[0].startswith(answer)


@pytest.mark.parametrize(
    "message",
    [b"C", b"C sing", b"C take 1 0 0", b"C take 1 -5 0", b"C take x 1 0", b"C send 1 0",
     b"C on 2 3", b"C send 1 " + b"00" * 5000, b"C open x6f 1883",
     b"C retry often", b"C join xzz x"],
)  # fmt: skip
def test_a_message_that_is_none_is_refused(message: bytes) -> None:
    assert say([*JOIN, OPEN, message])[2] == "LinkError"


def test_waiting_ends_with_its_time_and_with_the_trials() -> None:
    board, door, ended = say([*JOIN, OPEN, b"C take 1 10 500", b"q"])
    assert (door.replies[-1], ended) == (b"=-", "finished")
    board, _, ended = say([*JOIN, OPEN, HELLO, b"C take 1 4 -1", b"C take 1 10 -1"], 9.0)
    assert ended == "TimeUp" and board.now_ns == 9 * SECOND


def test_a_connection_to_nobody_is_given_up() -> None:
    air = Airwaves(cuts=[(2.0, 60.0)])
    board, door, _ = say([*JOIN, OPEN, b"q"], air=air)
    assert door.replies[-1] == b"-OSError [Errno 116] ETIMEDOUT"
    assert 18 * SECOND <= board.now_ns - 2 * SECOND <= 20 * SECOND
    _, door, _ = say([*JOIN, OPEN.replace(b"-1", b"700"), b"q"], air=air)
    assert door.replies[-1] == b"-OSError [Errno 116] ETIMEDOUT"
    _, door, _ = say([*JOIN, OPEN, b"q"], air=Airwaves(outages=[Outage(0.5, 9.0)]))
    assert door.replies[-1] == b"-OSError [Errno 111] ECONNREFUSED"


def test_no_message_to_the_radio_is_free() -> None:
    lines = itertools.chain(JOIN, itertools.cycle([b"C status", b"C take 1 1 0", b"C close 1"]))
    door = Script(lines)
    board = Board(FakeWorld(), 3 * SECOND, radio=HarbourRadio(Airwaves()))
    with pytest.raises(TimeUp):
        door.talk(board.hear)
    assert len(door.said) < 3 * SECOND // (200 * 1000) + 10 and board.now_ns < 3 * SECOND + MS


verbs = st.sampled_from(
    [b"on", b"scan", b"join", b"leave", b"retry", b"status", b"addresses", b"find", b"open",
     b"send", b"take", b"close", b"x"]
)  # fmt: skip
words = st.sampled_from(
    [b"0", b"1", b"-1", b"9", b"1883", b"x", b"x61", b"00", b"100c00044d515454", b"-", b"300"]
)


@given(st.lists(st.tuples(verbs, st.lists(words, max_size=4)), min_size=1, max_size=15))
def test_whatever_is_said_to_the_radio_is_answered_or_refused(
    said: list[tuple[bytes, list[bytes]]],
) -> None:
    lines = [b" ".join([b"C", verb, *rest]) for verb, rest in said]
    _, door, ended = say([*JOIN, OPEN, HELLO, *lines, b"q"])
    assert ended in ("finished", "LinkError", "TimeUp")
    assert all(reply[:1] in (b"=", b"-") for reply in door.replies)
