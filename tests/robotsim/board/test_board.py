"""What the board does with each message: pins, pulse trains, samples, lamps, console."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from robotsim.board import costs
from robotsim.board.faults import Restart
from robotsim.units import MS, SECOND, US
from robotsim.wiring import FLOATING, Signal
from tests.robotsim.board.fakes import EXAMPLES, SET_UP, FakeWorld, Script, answers, serve

HIGH, LOW = Signal(1.0, 0.0), Signal(0.0, 0.0)


def after(
    *lines: bytes, world: FakeWorld | None = None
) -> tuple[FakeWorld, list[tuple[object, ...]]]:
    """Give the world and what was recorded, without times."""
    world = world or FakeWorld()
    board, _, ended = serve([*lines, b"q"], world)
    assert ended == "finished", ended
    return world, [(event.kind, *event.data) for event in board.events]


# -- time --------------------------------------------------------------------

COSTS = [
    (b"o 13 1", costs.PIN), (b"I 19", costs.PIN), (b"m 13 out ", costs.SETUP),
    (b"P 26 1000 - -", costs.SETUP), (b"d 25 100", costs.DUTY), (b"e 25 100", costs.DUTY),
    (b"g 25 1000", costs.DUTY), (b"Q 25 u16", costs.PIN), (b"p 25", costs.SETUP),
    (b"a 36 3", costs.SETUP), (b"A 36", costs.ADC), (b"U 36", costs.ADC), (b"T", costs.TICKS),
    (b"c 5", 5 * costs.TICKS),
    (b"s 10", 10 * US + costs.TICKS), (b"S 10", 10 * US + costs.TICKS), (b"Y", costs.NOTICE),
    (b"J 0 1000 1", costs.SETUP), (b"j 0", costs.SETUP), (b"N", costs.TICKS),
    (b"H 10", 10 * US + costs.TICKS), (b"i 19 3", costs.SETUP), (b"W 19 1 10", costs.PIN + 10 * US),
    (b"k 6461792f", costs.FILE), (b"f 6c6f67 0 61686f79", costs.FILE + 4 * costs.FILE_BYTE),
    # 1.25 us a bit, 30 us a pixel of three bytes, then the latch of 50 us: WS2812B data sheet
    # (transcription, and arithmetic); at 400 kHz twice as long.
    (b"n 13 1 " + b"00" * 15, 5 * 30 * US + 50 * US),
    (b"n 13 0 " + b"00" * 15, 5 * 60 * US + 50 * US),
    # 115200 baud with ten bits a character (MicroPython quick reference, read; arithmetic),
    # and a newline goes out as two characters.
    (b't "12345678\\n"', 10 * costs.CHARACTER), (b't ""', costs.NOTICE),
    (b't "\\u00e9"', 2 * costs.CHARACTER),
    # Start and stop, nine bits a byte: address; with a read, a second start and address
    # (NXP UM10204, from memory).
    (b"X 22 21 104 400000 - 0", 11 * 2500 + costs.PIN),
    (b"X 22 21 104 400000 75 1", (2 + 18 + 19) * 2500 + costs.PIN),
    (b"X 22 21 104 100000 6b00 0", (2 + 27) * 10_000 + costs.PIN),
    # What was computed before a message is its cost as well.
    (b"z 3", costs.NOTICE), (b"Z 3", costs.NOTICE), (b"+250 z 3", 250 * US),
    (b"+250 d 25 100", costs.DUTY + 250 * US),
]  # fmt: skip


@pytest.mark.parametrize(("line", "cost"), COSTS, ids=[line.decode() for line, _ in COSTS])
def test_each_operation_takes_the_time_of_the_real_one(line: bytes, cost: int) -> None:
    world = FakeWorld()
    world.answer = b"\0"
    before, _, _ = serve([*SET_UP, b"q"], world)
    board, _, _ = serve([*SET_UP, line, b"q"], world)
    assert board.now_ns - before.now_ns == cost


def test_every_message_of_the_language_has_its_cost_checked_here() -> None:
    checked = {line[:1] for line, _ in COSTS}
    free = {b"q", b"x", b"w", b".", b"R", b"b", b"l"}
    # File by file and in the air: tests of the flash and of the radio look at those.
    assert EXAMPLES.keys() - checked == free | {b"v", b"r", b"C"}


def test_one_character_takes_what_115200_baud_give_it() -> None:
    assert costs.CHARACTER == pytest.approx(86_806, abs=1)


@given(st.lists(st.integers(0, 10**7), max_size=20))
def test_sleeps_add_up(sleeps: list[int]) -> None:
    board, _, _ = serve([b"s %d" % us for us in sleeps] + [b"q"], limit_ns=1000 * SECOND)
    assert board.now_ns == sum(sleeps) * US + len(sleeps) * costs.TICKS
    assert [event.duration_ns for event in board.events] == [us * US for us in sleeps]


def test_ticks_count_from_the_boards_own_start() -> None:
    from robotsim.board.board import Board

    door = Script([b"T", b"s 1000", b"T", b"q"])
    door.talk(Board(FakeWorld(), 10 * SECOND, start_ns=3 * SECOND).hear)
    assert door.replies == [b"=6 6 1000", b"=1018 6 1000"]


def test_the_trial_ends_at_its_limit_and_not_a_message_later() -> None:
    board, door, ended = serve([b"s 999", b"T", b"T", b"T"], limit_ns=MS + 20 * US)
    assert ended == "TimeUp"
    assert door.replies == [b"=1011 6 1000", b"=1017 6 1000"]
    assert board.now_ns == MS + 23 * US


def test_a_sleep_beyond_all_measure_ends_the_trial_and_leaves_an_event_that_can_be_saved() -> None:
    board, _, ended = serve([b"s " + b"9" * 4000])
    assert ended == "TimeUp"
    assert board.events[-1].duration_ns < 2**63


# -- pins --------------------------------------------------------------------


def test_an_output_pin_puts_its_level_out_and_reads_back() -> None:
    world, events = after(b"m 13 out ", b"o 13 1")
    assert world.outputs == [(0, 13, LOW), (costs.SETUP, 13, HIGH)]
    assert events == [("mode", 13, "out", ""), ("pin", 13, 1)]
    assert answers(b"m 13 out ", b"I 13", b"o 13 1", b"I 13", b"o 13 0", b"I 13") == [
        b"=0", b"=1", b"=0",
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("pull", "outside", "seen"),
    [(b"", None, b"=0"), (b"up", None, b"=1"), (b"down", None, b"=0"), (b"up", 0, b"=0"),
     (b"down", 1, b"=1")],
)  # fmt: skip
def test_an_open_input_shows_its_pull_and_a_driven_one_what_drives_it(
    pull: bytes, outside: int | None, seen: bytes
) -> None:
    assert answers(b"m 19 in " + pull, b"I 19", world=FakeWorld(level=outside)) == [seen]


def test_a_pin_read_again_and_again_is_recorded_when_its_level_changes() -> None:
    """A loop that waits for the bumper must not fill the recording."""
    world = FakeWorld(level=1)
    board, door, _ = serve([b"I 19"] * 50 + [b"q"], world)
    assert [event.data for event in board.events] == [(19, 1)]
    assert door.replies == [b"=1"] * 50


def test_a_pin_made_an_input_lets_go() -> None:
    world, _ = after(b"m 25 out ", b"o 25 1", b"m 25 in ")
    assert world.outputs[-1][1:] == (25, FLOATING)
    assert answers(b"m 25 out ", b"o 25 1", b"m 25 in ", b"I 25") == [b"=0"]


def test_setting_a_pin_up_takes_its_pulse_train_off() -> None:
    """As on the board: the pin's function is the general one again (common practice, no source)."""
    world, events = after(b"P 25 1000 u16 60000", b"m 25 out ")
    assert world.outputs[-1][1:] == (25, LOW)
    assert events[-1] == ("pwm", 25, 0, 0)
    _, _, ended = serve([b"P 25 1000 u16 60000", b"m 25 out ", b"d 25 5"])
    assert ended == "LinkError"


def test_a_level_does_not_reach_a_pin_that_carries_a_pulse_train() -> None:
    """The pulse unit keeps the pin until it is taken off (common practice, no source)."""
    world, events = after(b"m 25 out ", b"P 25 1000 u16 60000", b"o 25 0")
    assert world.outputs[-1][2].freq_hz == 1000
    assert events[-1][0] == "pwm"


# -- pulse trains ------------------------------------------------------------


def test_a_new_duty_comes_out_with_the_next_cycle_so_that_no_pulse_is_cut() -> None:
    world, _ = after(b"P 25 50 u16 5000", b"s 30000", b"d 25 6000")
    assert [at for at, _, _ in world.outputs] == [0, 40 * MS]


@given(
    st.integers(1, 40_000_000), st.integers(0, 10**10),
)  # fmt: skip
def test_the_next_cycle_lies_ahead_by_less_than_one_cycle(freq: int, now: int) -> None:
    from robotsim.board.pwm import Channel

    begins = Channel(freq_hz=freq).next_cycle(now)
    assert now <= begins <= now + -(-SECOND // freq) + 1


def test_taking_a_pulse_train_off_leaves_the_pin_low() -> None:
    world, events = after(b"P 25 1000 u16 60000", b"p 25")
    assert world.outputs[-1][1:] == (25, FLOATING)
    assert events[-1] == ("pwm", 25, 0, 0)


def test_a_fault_of_the_pulse_unit_is_an_exception_in_the_program_and_changes_nothing() -> None:
    world = FakeWorld()
    told = answers(*SET_UP, b"P 26 0 - -", b"P 25 50000000 - -", b"Q 25 freq", world=world)
    message = b"-ValueError frequency must be from 1Hz to 40MHz"
    assert told == [b"=", message, message, b"=1000"]
    assert len(world.outputs) == 1


# -- samples, lamps, bus, console --------------------------------------------


def test_an_attenuation_holds_for_its_own_pin() -> None:
    assert answers(b"a 36 3", b"A 36", b"A 39", world=FakeWorld(volts=1.2)) == [b"=1313", b"=4095"]


def test_samples_ahead_happen_only_when_they_are_taken() -> None:
    board, door, _ = serve([b"a 36 3", b"A 36 39 34", b"b", b"T", b"q"], FakeWorld(volts=0.5))
    assert door.replies[0] == b"=444 1806 1806"
    assert [(e.time_ns - costs.SETUP, *e.data) for e in board.events] == [
        (60 * US, 36, 444), (120 * US, 39, 1806),
    ]  # fmt: skip
    assert door.replies[1].split()[0] == b"=%d" % ((costs.SETUP + 120 * US + costs.TICKS) // US)
    _, _, ended = serve([b"A 36 39", b"T", b"b"])
    assert ended == "LinkError", "what came between has dropped them"
    _, _, ended = serve([b"A 36", b"b"])
    assert ended == "LinkError"


class Blind(FakeWorld):
    """A world in which nothing can be sampled ahead."""

    def glance(self, pin: int, time_ns: int) -> float | None:
        return None


def test_where_a_sample_ahead_would_move_the_world_there_is_none() -> None:
    _, door, _ = serve([b"A 36 39 34", b"q"], Blind(volts=0.5))
    assert door.replies == [b"=1806"]


def test_a_frame_is_recorded_when_it_starts_and_the_lamps_when_it_has_latched() -> None:
    world = FakeWorld()
    board, _, _ = serve([b"s 1000", b"n 13 1 80FF01", b"q"], world)
    # (255,128,1) on a GRB chain: 80 FF 01 (the official driver under the real interpreter, run).
    frame, lamps = board.events[1:]
    assert frame.data == (13, 1, "80ff01")
    assert world.frames == [(13, b"\x80\xff\x01", 1, frame.time_ns)]
    assert lamps.time_ns - frame.time_ns == 80 * US
    assert lamps.colours == ((0, 0, 0),) * 5


def test_an_i2c_transfer_reaches_its_bus_and_is_recorded() -> None:
    world = FakeWorld()
    world.answer = b"\x68\x00"
    board, door, _ = serve([b"X 22 21 104 400000 75 2", b"q"], world)
    assert world.transfers == [((22, 21), 104, b"\x75", 2)]
    assert door.replies == [b"=6800"]
    assert board.events[0].data == (104, "75", "6800")


def test_nobody_at_an_address_is_the_boards_own_error() -> None:
    assert answers(b"X 22 21 66 400000 - 1") == [b"-OSError [Errno 19] ENODEV"]


def test_a_program_that_only_fails_on_the_bus_runs_out_of_time_too() -> None:
    import itertools

    _, door, ended = serve(itertools.repeat(b"X 22 21 66 400000 - 1"), limit_ns=10 * MS)
    assert ended == "TimeUp"
    assert len(door.said) < 200


def test_the_boards_own_number_carries_the_serial_and_is_no_makers() -> None:
    from robotsim.board.board import Board

    for serial in (0, 7, 2**80):
        door = Script([b"N", b"q"])
        door.talk(Board(FakeWorld(), SECOND, serial=serial).hear)
        number = bytes.fromhex(door.replies[0][1:].decode())
        assert len(number) == 6
        assert number[0] & 3 == 2  # locally administered, one station: IEEE 802 (from memory)
        assert number[-1] == serial % 256


# -- the end -----------------------------------------------------------------


def test_the_last_word_is_handed_on() -> None:
    from robotsim.board.board import Board

    report = b'x {"kind": "KeyError", "message": "gone", "calls": [["main.py", 3, "f"]]}'
    word = Script([report]).talk(Board(FakeWorld(), SECOND).hear)
    assert word == {"kind": "KeyError", "message": "gone", "calls": [("main.py", 3, "f")]}
    assert Script([b"q", b"T"]).talk(Board(FakeWorld(), SECOND).hear) == {"kind": "finished"}
    assert Script([b"T"]).talk(Board(FakeWorld(), SECOND).hear) == {}


def test_a_reset_leaves_the_board_at_its_time() -> None:
    from robotsim.board.board import Board

    board = Board(FakeWorld(), SECOND)
    with pytest.raises(Restart) as restart:
        Script([b"s 500", b"R hard"]).talk(board.hear)
    assert restart.value.at_ns == board.now_ns
    assert restart.value.cause == "machine.reset()"
