"""Every message of LINK.md, and every line that is none: the board answers or refuses, no more."""

from __future__ import annotations

import itertools
import json
import re
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import robotsim.board
from robotsim.board.board import Board
from robotsim.board.faults import Restart, TimeUp
from robotsim.errors import LinkError
from robotsim.origin import Whose
from robotsim.outcome import problem_of
from robotsim.parts.quirks import Quirks
from robotsim.radio import Airwaves, HarbourRadio
from robotsim.recording import EVENT_KINDS, Recording
from robotsim.saved import is_event
from robotsim.session import Session
from robotsim.table import make_table
from robotsim.units import MS, SECOND
from robotsim.wiring import PINS
from robotsim.world import TugWorld
from tests.robotsim.board.fakes import BEFORE, EXAMPLES, SET_UP, FakeWorld, Script, serve

PAGE = (Path(robotsim.board.__file__).parent / "LINK.md").read_text(encoding="utf-8")
TALK = sorted(EXAMPLES.keys() - {b"q", b"x", b".", b"R"})
"""The messages after which a program goes on."""


def documented() -> set[bytes]:
    rows = [row for row in PAGE.splitlines() if row.startswith("| `")]
    cells = [re.split(r"(?<!\\)\|", row)[1] for row in rows]
    return {word.split()[0].encode() for cell in cells for word in re.findall(r"`([^`]+)`", cell)}


def test_the_page_lists_exactly_the_messages_that_the_board_knows() -> None:
    board = Board(FakeWorld(), SECOND)
    assert documented() == {*board._handlers, b"."} == EXAMPLES.keys()


def capital(line: bytes) -> bool:
    return line[:1].isupper()


@pytest.mark.parametrize("op", TALK, ids=bytes.decode)
def test_a_capital_letter_has_one_answer_and_a_small_one_none(op: bytes) -> None:
    world = FakeWorld()
    world.answer = b"\x68"
    before = [*SET_UP, *BEFORE.get(op, ())]
    _, door, ended = serve([*before, EXAMPLES[op], b"q"], world)
    assert ended == "finished"
    assert len(door.replies) == sum(map(capital, [*before, EXAMPLES[op]]))


@pytest.mark.parametrize("op", sorted({*TALK} - {b"l"}), ids=bytes.decode)
def test_no_message_is_free_so_none_can_be_sent_for_ever(op: bytes) -> None:
    again = itertools.cycle([*BEFORE.get(op, ()), EXAMPLES[op]])
    lines = itertools.chain(SET_UP, again)
    _, door, ended = serve(lines, limit_ns=10 * MS)
    assert ended == "TimeUp"
    assert len(door.said) <= 10_001  # 1 us each at the least


@pytest.mark.parametrize("op", TALK, ids=bytes.decode)
def test_a_message_with_a_word_too_few_or_too_many_is_refused(op: bytes) -> None:
    message, before = EXAMPLES[op], [*SET_UP, *BEFORE.get(op, ())]
    if op == b"A":
        message = b"A 36 -1"  # it may have more words than one
    wrong = [message + b" 1", b" " + message, op + op]
    if b" " in message and op not in (b"t", b"w", b"A"):
        wrong.append(message.rpartition(b" ")[0])
    for line in wrong:
        _, door, ended = serve([*before, line])
        assert ended == "LinkError", line
        assert len(door.replies) == sum(map(capital, before))


HOSTILE = [
    b" ", b"\xff\xfe", b"Z", b"tt", b"t hello", b"t 5", b'{"a": 1}', b"t " + b"[" * 60_000,
    b"t NaN", b"t null", b"x " + b"[" * 60_000, b"x {}", b"x []", b"w 5", b".",
    b'x {"kind": 1, "message": 2, "calls": 3}', b'x {"kind": 1, "message": 2, "calls": [1]}',
    b'w {"kind": 1, "message": 2, "calls": [["f", 1e999, "g"]]}',
    b'w {"kind": 1, "message": 2, "calls": {"f": 1}}',
    b"o -1 1", b"o 40 1", b"o 13 2", b"o 13 -1", b"o 13 1.0", b"o 13 " + b"9" * 5000,
    b"m 13 sideways ", b"m 13 out left", b"m 99 in ", b"m 13 \xff ", b"I 1000000", b"I x",
    b"A -36", b"A 36 99", b"A 36 x", b"A", b"b", b"b 1", b"U 99", b"a 36 4", b"a 36 -1", b"a 99 1",
    b"P 25 1000 u16 65536", b"P 25 1000 u16 -1", b"P 25 1000 10 1024", b"P 25 1000 ns 1000000001",
    b"P 25 1000 percent 5", b"P 99 1000 - -", b"P -1 1000 - -",
    b"d 26 5", b"e 26 5", b"g 26 5", b"Q 26 u16", b"Q 25 volts", b"d 25 65536", b"e 25 1024",
    b"g 25 -1", b"p 77", b"n 13 2 ff", b"n 13 -1 ff", b"n 13 1 fff", b"n 13 1 xyz",
    b"n 13 1 " + b"00" * 30_001, b"n 50 1 ff",
    b"s -1", b"S -1", b"s 1e9", b"S nan", b"J 4 1000 1", b"J -1 1000 1", b"J 0 0 1", b"J 0 -5 1",
    b"j 9", b"X 22 21 104 0 75 1", b"X 22 21 104 2000000 75 1", b"X 22 21 104 400000 7 1",
    b"X 22 21 104 400000 75 -1", b"X 22 21 104 400000 75 99999",
    b"i 19 4", b"i 40 1", b"W 19 2 10", b"W 19 1 -1", b"H -1",
    b"f 6c6f67 1 61", b"f 6c6f67 0 6", b"f - 0 61", b"f 2e2e2f78 0 61", b"f 2f78 0 61", b"f  0 61",
    b"f 782f 0 61", b"f ff 0 61", b"v 6c6f67", b"r 6c6f67 6f6c64", b"k 646179", b"k 2e2e2f",
]  # fmt: skip


@pytest.mark.parametrize("line", HOSTILE, ids=lambda line: line[:24].decode("latin-1"))
def test_a_message_out_of_range_is_refused_with_a_word_on_what_to_do(line: bytes) -> None:
    door = Script([*SET_UP, line, b"T"])
    world = FakeWorld()
    board = Board(world, SECOND)
    with pytest.raises(LinkError) as told:
        door.talk(board.hear)
    assert told.value.hint
    assert len(str(told.value)) < 500
    assert door.replies == [b"="]
    assert len(world.outputs) == 1, "nothing but the set-up has reached the pins"


words = st.one_of(
    st.integers(-(2**70), 2**70).map(str),
    st.integers(0, 40).map(str),
    st.sampled_from(["-", "u16", "10", "ns", "freq", "in", "out", "up", "", "1e3", "0x10", "1_0"]),
    st.binary(max_size=6).map(bytes.hex),
    st.recursive(
        st.one_of(st.none(), st.booleans(), st.floats(), st.text(max_size=5), st.integers()),
        lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=5), inner),
        max_leaves=5,
    ).map(json.dumps),
)
nearly = st.builds(
    lambda op, rest: b" ".join([op, *(w.encode("utf-8", "replace") for w in rest)]),
    st.sampled_from(sorted(EXAMPLES)), st.lists(words, max_size=7),
)  # fmt: skip
rubbish = st.binary(min_size=1, max_size=40).filter(lambda line: b"\n" not in line)
talk = st.lists(
    st.one_of(st.sampled_from(sorted(EXAMPLES.values())), nearly, rubbish), min_size=1, max_size=12
)


def converse(world: object, lines: list[bytes], in_callback: list[bytes]) -> None:
    """Let a program say these lines: it must end well, with the clock never moved back."""
    clock = [0]

    def watch(_: bytes) -> None:
        assert board.now_ns >= clock[0]
        clock[0] = board.now_ns
        assert len(door.said) < 5000, "this goes on for ever"

    door = Script(lines, watch, in_callback)
    board = Board(world, 20 * MS)  # type: ignore[arg-type]
    try:
        word = door.talk(board.hear)
        assert word == {} or word["kind"]
    except TimeUp:
        assert board.now_ns >= board.limit_ns
    except (LinkError, Restart):
        pass
    asked = sum(line.split(b" ")[0].isupper() for line in door.said)
    answered = sum(line[:1] in b"=-" for line in door.replies)
    assert 0 <= asked - answered <= 2  # the last one, and one within a callback
    for event in board.events:
        assert event.time_ns >= 0
        assert len(event.data) == len(EVENT_KINDS[event.kind])
        # Kept and loaded again, it is believed: so a recording made here can always be loaded.
        kept = json.loads(json.dumps([event.time_ns, event.kind, *event.data]))
        assert is_event(kept, EVENT_KINDS), event


@given(talk, talk)
@settings(max_examples=150, deadline=None)
def test_whatever_a_program_says_the_board_answers_refuses_or_ends(
    lines: list[bytes], in_callback: list[bytes]
) -> None:
    converse(FakeWorld(), lines, [line for line in in_callback if line != b"."])


@given(talk)
@settings(max_examples=40, deadline=None)
def test_whatever_a_program_says_the_tug_and_its_table_stand_it(lines: list[bytes]) -> None:
    world = TugWorld(make_table("basin"), Quirks.of(3), 0, None, 0.5)
    converse(world, lines, [])
    world.advance_to(40 * MS)
    assert all(abs(value) < 10 for name in ("x", "y") for value in world.tracks[name])


def test_a_program_that_never_ends_its_callback_runs_out_of_time() -> None:
    door = Script(itertools.chain([b"J 0 1000 1", b"S 5000"], itertools.repeat(b"T")))
    door.in_callback = []  # no `.` ever comes
    board = Board(FakeWorld(), 10 * MS)
    with pytest.raises(TimeUp):
        door.talk(board.hear)
    assert sum(line.startswith(b">") for line in door.replies) == 1


def test_a_program_cannot_fill_the_hosts_memory(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("robotsim.board.board._MAX_EVENTS", 1000)
    board, _, ended = serve(itertools.repeat(b"o 13 1"))
    assert ended == "LinkError"
    assert len(board.events) == 1001
    report = EXAMPLES[b"w"]
    board, _, ended = serve(itertools.repeat(report))
    assert len(board.faults) <= 100


def test_no_message_moves_the_motors_but_by_a_duty_between_none_and_all() -> None:
    world = FakeWorld()
    hostile = itertools.product(
        (b"P 25 1000 u16", b"d 25", b"e 25", b"g 25"), (b"-70000", b"70000")
    )
    for head, value in hostile:
        serve([*SET_UP, head + b" " + value], world)
    assert all(0.0 <= signal.duty <= 1.0 for _, _, signal in world.outputs)
    assert PINS["left_ahead"] == 25


@given(st.lists(st.one_of(st.sampled_from(sorted(EXAMPLES.values())), nearly, rubbish), max_size=8))
@settings(max_examples=60, deadline=None)
def test_a_trial_of_whatever_was_said_can_be_kept_and_loaded(lines: list[bytes]) -> None:
    """The link's other end is a stranger's; the recording is the marker's."""
    session = Session(
        TugWorld(make_table("basin"), Quirks.of(3), 0, None, 0.5), HarbourRadio(Airwaves(), 0, 3),
        {"main.py": ""}, "main.py", "cpython", 1.0, 20 * MS, 3, 0, Whose.KIT,
    )  # fmt: skip
    board = Board(session.world, 20 * MS, 3, 0, session.flash, session.radio)
    try:
        word = Script(lines).talk(board.hear)
    except (LinkError, Restart, TimeUp):
        word = {}
    session.problem = problem_of(word, session.files, {}) if word.get("message") else None
    session._keep_lines(board.lines)
    session._end("stopped", board.now_ns, board.events)
    made = session.recording("basin", 0.02)
    assert Recording.from_bytes(made.to_bytes()) == made
