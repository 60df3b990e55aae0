"""The modules that a program imports: what each call sends, and what it refuses.

The shims run here in this process, over a link that only notes what is said.
"""

from __future__ import annotations

import importlib.util
import math
import sys
from collections.abc import Callable, Iterator
from types import ModuleType

import pytest
from hypothesis import given
from hypothesis import strategies as st

from robotsim.board.engines import ENGINES, SHIMS


class Notes:
    """Takes the place of the program's end of the link."""

    def __init__(self) -> None:
        self.said: list[str] = []
        self.answer: Callable[[str], str] = lambda message: "0"
        self.armed: dict[tuple[str, int], Callable[[], None]] = {}
        self.seed = 0

    def tell(self, message: str) -> None:
        self.said.append(message)

    def ask(self, message: str) -> str:
        self.said.append(message)
        return self.answer(message)

    def now_us(self) -> int:
        return int(self.ask("T"))

    def sample(self, pin: int) -> int:
        return int(self.ask(f"A {pin}"))

    def arm(self, source: str, number: int, handler: Callable[[], None]) -> None:
        self.armed[source, number] = handler

    def disarm(self, source: str, number: int) -> None:
        self.armed.pop((source, number), None)

    def flush(self) -> None:
        pass

    def sleep_us(self, duration: int) -> None:
        self.said.append(f"s {duration}")


def _load(name: str) -> ModuleType:
    """Load a shim, and what it imports of the others, for this test alone."""
    with pytest.MonkeyPatch.context() as patch:
        patch.syspath_prepend(str(SHIMS))
        for path in SHIMS.glob("[_b]*.py"):
            if path.stem != "_link":
                patch.delitem(sys.modules, path.stem, raising=False)
        module = _load_file(name)
        for path in SHIMS.glob("[_b]*.py"):
            if path.stem != "_link":
                sys.modules.pop(path.stem, None)
    return module


def _load_file(name: str) -> ModuleType:
    spec = importlib.util.spec_from_file_location(f"shim_{name}", SHIMS / f"{name}.py")
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


_LINK = _load("_link")
Notes.whole = staticmethod(_LINK.whole)
Notes.buffer = staticmethod(_LINK.buffer)
Notes.os_error = staticmethod(_LINK.os_error)


@pytest.fixture
def notes(monkeypatch: pytest.MonkeyPatch) -> Iterator[Notes]:
    noted = Notes()
    monkeypatch.setitem(sys.modules, "_link", noted)
    yield noted


@pytest.fixture
def machine(notes: Notes) -> ModuleType:
    return _load("machine")


# -- pins and pulse trains ---------------------------------------------------


def test_a_pin_is_one_object_however_often_it_is_made(machine: ModuleType) -> None:
    pin = machine.Pin(13, machine.Pin.OUT)
    assert machine.Pin(13) is pin and machine.Pin(pin) is pin
    assert repr(pin) == "Pin(13)"


def test_a_pins_calls_say_what_they_mean(machine: ModuleType, notes: Notes) -> None:
    pin = machine.Pin(13, machine.Pin.OUT, value=1)
    pin.off()
    pin(1)
    pin.toggle()
    machine.Pin(19, machine.Pin.IN, machine.Pin.PULL_UP).value()
    assert notes.said == [
        "m 13 out ", "o 13 1", "o 13 0", "o 13 1", "I 13", "o 13 1", "m 19 in up", "I 19",
    ]  # fmt: skip


def test_a_pin_that_is_no_output_puts_nothing_out(machine: ModuleType, notes: Notes) -> None:
    machine.Pin(13).on()
    machine.Pin(14, machine.Pin.IN).on()
    assert notes.said == ["m 14 in "]


INPUT_ONLY = (34, 35, 36, 37, 38, 39)


@pytest.mark.parametrize("number", [-1, 6, 11, 24, 28, 31, 40, 1.0, True, "13", None])
def test_a_pin_that_the_board_has_not_is_refused(machine: ModuleType, number: object) -> None:
    with pytest.raises(ValueError, match="invalid pin"):
        machine.Pin(number)


@pytest.mark.parametrize("number", INPUT_ONLY)
def test_pins_34_to_39_only_listen(machine: ModuleType, notes: Notes, number: int) -> None:
    # MicroPython quick reference: "pins 34-39 are input only" (read).
    pin = machine.Pin(number, machine.Pin.IN)
    for make in (lambda: machine.Pin(number, machine.Pin.OUT), pin.on, lambda: machine.PWM(pin)):
        with pytest.raises(ValueError, match="input"):
            make()
    assert notes.said == [f"m {number} in "]


def test_a_pulse_trains_calls_say_what_they_mean(machine: ModuleType, notes: Notes) -> None:
    pwm = machine.PWM(machine.Pin(25), freq=1000, duty=512)
    pwm.duty(5)
    pwm.duty_u16(6)
    pwm.duty_ns(7)
    pwm.freq(50)
    pwm.deinit()
    machine.PWM(25)
    assert notes.said == [
        "P 25 1000 10 512", "e 25 5", "d 25 6", "g 25 7", "P 25 50 - -", "p 25", "P 25 5000 - -",
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("call", "value", "message"),
    [("duty", 1024, "duty must be from 0 to 1023"), ("duty", -1, "duty must be from 0 to 1023"),
     ("duty_u16", 65536, "duty_u16 must be from 0 to 65535"),
     ("duty_ns", 1_000_001, "duty_ns must be from 0 to 1000000 ns")],
)  # fmt: skip
def test_a_duty_out_of_range_has_the_boards_own_words(
    machine: ModuleType, notes: Notes, call: str, value: int, message: str
) -> None:
    # MicroPython's source for this family of boards (read).
    pwm = machine.PWM(machine.Pin(25), freq=1000)
    del notes.said[:]
    with pytest.raises(ValueError, match=message):
        getattr(pwm, call)(value)
    with pytest.raises(ValueError, match=message):
        machine.PWM(machine.Pin(26), freq=1000, **{call: value})
    assert not notes.said


@pytest.mark.parametrize("call", ["duty", "duty_u16", "duty_ns", "freq"])
@pytest.mark.parametrize("value", [0.5, "512", None.__class__])
def test_no_scale_takes_anything_but_whole_numbers(
    machine: ModuleType, call: str, value: object
) -> None:
    pwm = machine.PWM(machine.Pin(25), freq=1000)
    with pytest.raises(TypeError, match="can't convert"):
        getattr(pwm, call)(value)


@pytest.mark.parametrize("end", ["deinit", "init pin"])
def test_a_pulse_train_that_was_taken_off_is_inactive(machine: ModuleType, end: str) -> None:
    # "PWM is inactive": MicroPython's source for this family of boards (read).
    pwm = machine.PWM(machine.Pin(25), freq=1000)
    if end == "deinit":
        pwm.deinit()
    else:
        machine.Pin(25, machine.Pin.OUT)
    for call in ("duty", "duty_u16", "duty_ns", "freq"):
        for values in ((), (5,)):
            with pytest.raises(RuntimeError, match="PWM is inactive"):
                getattr(pwm, call)(*values)
    pwm.init(freq=50)
    pwm.duty(5)


# -- samples ahead --------------------------------------------------------------


class Converter:
    """Takes the host's place at a real `_link`: counts up with each sample."""

    def __init__(self) -> None:
        self.link = _load("_link")
        wire = self.link._wire = ModuleType("_wire")
        wire.send, wire.receive = self.take, self.give
        self.said: list[str] = []
        self.count, self.reply = 0, b""

    def take(self, data: bytes) -> None:
        for line in data.decode().splitlines():
            self.said.append(line)
            pins = line.split()[1:] if line[0] == "A" else []
            self.reply = b"=" + b" ".join(b"%d" % (self.count + k) for k in range(len(pins)))
            self.count += len(pins)

    def give(self) -> bytes:
        return self.reply


EYES = (36, 39, 34, 35)


def test_eyes_read_in_every_round_alike_cost_one_exchange_a_round() -> None:
    host = Converter()
    for _ in range(3):
        for pin in EYES:
            host.link.sample(pin)
        host.link.tell("s 20000")
    host.link.flush()
    each = [f"A {pin}" for pin in EYES]
    ahead = ["A 36 39+0 34+0 35+0", "b", "b", "b", "s 20000"]
    assert host.said == [*each, "s 20000", *ahead, *ahead]


def test_a_sample_ahead_is_never_taken_for_another_pin_or_after_anything_else() -> None:
    host = Converter()
    for pin in EYES:
        host.link.sample(pin)
    host.link.tell("s 1")
    host.link.sample(36)
    assert host.said[-1] == "A 36 39+0 34+0 35+0"
    host.link.tell("s 1")  # time has passed: what was sampled ahead is stale
    fresh = host.count
    assert host.link.sample(39) == fresh
    assert host.said[-1].startswith("A 39")


def test_with_a_timer_armed_nothing_is_sampled_ahead() -> None:
    host = Converter()
    host.link.arm("timer", 0, lambda: None)
    for _ in range(2):
        for pin in EYES:
            host.link.sample(pin)
    assert host.said == [f"A {pin}" for pin in EYES] * 2


# -- analogue, bus, timers ---------------------------------------------------


def test_an_analogue_pins_calls_say_what_they_mean(machine: ModuleType, notes: Notes) -> None:
    adc = machine.ADC(machine.Pin(36), atten=machine.ADC.ATTN_11DB)
    notes.answer = lambda message: "3000"
    assert (adc.read(), adc.read_u16(), adc.read_uv()) == (3000, 3000 << 4 | 3000 >> 8, 3000)
    adc.width(machine.ADC.WIDTH_10BIT)
    assert adc.read() == 750
    assert notes.said == ["a 36 3", "A 36", "A 36", "U 36", "A 36"]


@pytest.mark.parametrize("number", [5, 18, 19, 21, 22, 23])
def test_a_pin_without_converter_is_refused(machine: ModuleType, number: int) -> None:
    with pytest.raises(ValueError, match="invalid pin"):
        machine.ADC(machine.Pin(number))


def test_the_bus_speaks_in_bytes(machine: ModuleType, notes: Notes) -> None:
    bus = machine.I2C(0, scl=machine.Pin(22), sda=machine.Pin(21), freq=100_000)
    notes.answer = lambda message: "68ff" if message.endswith(" 2") else ""
    assert bus.readfrom_mem(0x68, 0x75, 2) == b"\x68\xff"
    into = bytearray(2)
    bus.readfrom_mem_into(0x68, 0x43, into)
    assert into == b"\x68\xff"
    bus.writeto_mem(0x68, 0x6B, b"\x00")
    assert bus.writeto(0x68, b"\x75") == 1
    assert bus.readfrom(0x68, 2) == b"\x68\xff"
    head = "X 22 21 104 100000"
    assert notes.said == [
        f"{head} 75 2", f"{head} 43 2", f"{head} 6b00 0", f"{head} 75 0", f"{head} - 2",
    ]  # fmt: skip


def test_a_scan_finds_who_answers(machine: ModuleType, notes: Notes) -> None:
    def answer(message: str) -> str:
        if message.split()[3] != "104":
            raise OSError(19, "ENODEV")
        return ""

    notes.answer = answer
    assert machine.SoftI2C(scl=22, sda=21).scan() == [104]
    assert len(notes.said) == 112


def test_a_timer_arms_its_callback_and_hands_itself_over(machine: ModuleType, notes: Notes) -> None:
    heard: list[object] = []
    timer = machine.Timer(1, period=250, callback=heard.append)
    notes.armed["timer", 1]()
    notes.armed["timer", 1]()
    assert heard == [timer, timer]
    timer.init(mode=machine.Timer.ONE_SHOT, freq=20, callback=heard.append)
    notes.armed["timer", 1]()
    assert ("timer", 1) not in notes.armed
    timer.deinit()
    assert notes.said == ["J 1 250000 1", "J 1 50000 0", "j 1"]


# -- time --------------------------------------------------------------------

ticks = st.integers(0, 2**30 - 1)


@given(ticks, st.integers(-(2**29), 2**29 - 1))
def test_a_difference_of_ticks_is_right_across_the_wrap_around(start: int, delta: int) -> None:
    time = _time()
    assert time.ticks_diff(time.ticks_add(start, delta), start) == delta


@given(ticks, ticks)
def test_a_difference_of_ticks_stays_in_its_published_range(one: int, other: int) -> None:
    # ticks period 2^30, difference in [-2^29, 2^29 - 1]: MicroPython documentation (read).
    assert -(2**29) <= _time().ticks_diff(one, other) < 2**29


def _time() -> ModuleType:
    with pytest.MonkeyPatch.context() as patch:
        patch.setitem(sys.modules, "_link", Notes())
        return _load("time")


def test_ticks_come_from_the_boards_clock_and_wrap(notes: Notes) -> None:
    time = _load("time")
    notes.answer = lambda message: str(2**30 * 1000 + 5_000_007)
    assert time.ticks_ms() == 5000
    assert time.ticks_us() == (2**30 * 1000 + 5_000_007) % 2**30
    assert time.time() == (2**30 * 1000 + 5_000_007) // 10**6
    assert time.time_ns() == (2**30 * 1000 + 5_000_007) * 1000


def test_a_sleep_takes_seconds_milliseconds_or_microseconds(notes: Notes) -> None:
    time = _load("time")
    time.sleep(0.25)
    time.sleep(2)
    time.sleep_ms(3)
    time.sleep_us(4)
    assert notes.said == ["s 250000", "s 2000000", "s 3000", "s 4"]


@pytest.mark.parametrize(
    ("call", "value", "error"),
    [("sleep", "1", TypeError), ("sleep", None, TypeError), ("sleep", math.nan, ValueError),
     ("sleep_ms", 0.5, TypeError), ("sleep_ms", "5", TypeError), ("sleep_us", 1.0, TypeError)],
)  # fmt: skip
def test_a_sleep_takes_nothing_that_the_board_would_not(
    notes: Notes, call: str, value: object, error: type[Exception]
) -> None:
    with pytest.raises(error):
        getattr(_load("time"), call)(value)
    assert not notes.said


# -- lamps and random numbers ------------------------------------------------


def test_a_colours_bytes_go_out_green_first(machine: ModuleType, notes: Notes) -> None:
    # (255,128,1) on a GRB chain -> 80 FF 01: the official driver under the real interpreter (run).
    neopixel = _load("neopixel")
    chain = neopixel.NeoPixel(machine.Pin(13), 2)
    chain[0] = (255, 128, 1)
    chain[-1] = (1, 2, 3)
    chain.write()
    assert notes.said == ["m 13 out ", "n 13 1 80ff01020103"]
    assert chain[0] == (255, 128, 1) and chain[1] == (1, 2, 3) and len(chain) == 2
    chain.fill((9, 8, 7))
    assert chain.buf == bytes([8, 9, 7] * 2)


def test_a_chain_of_four_bytes_and_a_slow_one_are_sent_as_such(
    machine: ModuleType, notes: Notes
) -> None:
    neopixel = _load("neopixel")
    chain = neopixel.NeoPixel(machine.Pin(13), 1, bpp=4, timing=0)
    chain[0] = (1, 2, 3, 4)
    chain.write()
    assert notes.said[-1] == "n 13 0 02010304"


def test_a_colour_out_of_range_wraps_as_a_byte_does(machine: ModuleType) -> None:
    # A byte store of the real interpreter keeps the low eight bits (run: 300 becomes 44).
    chain = _load("neopixel").NeoPixel(machine.Pin(13), 1)
    chain[0] = (256, 300, -1)
    assert chain[0] == (0, 44, 255)
    for colour in ((0.5, 0, 0), ("1", 0, 0)):
        with pytest.raises(TypeError):
            chain[0] = colour
    with pytest.raises(IndexError):
        chain[1] = (0, 0, 0)


@given(st.integers(0, 2**40))
def test_random_numbers_keep_to_their_ranges_and_follow_from_their_seed(seed: int) -> None:
    with pytest.MonkeyPatch.context() as patch:
        patch.setitem(sys.modules, "_link", Notes())
        random = _load("random")
    random.seed(seed)
    drawn = [random.random(), random.randrange(3, 40, 7), random.getrandbits(5)]
    drawn += [random.randint(-2, 2), random.choice("abc"), random.uniform(-1, 1)]
    assert 0 <= drawn[0] < 1 and drawn[1] in range(3, 40, 7) and 0 <= drawn[2] < 32
    assert -2 <= drawn[3] <= 2 and drawn[4] in "abc" and -1 <= drawn[5] <= 1
    random.seed(seed)
    assert random.random() == drawn[0]
    for empty in (lambda: random.randrange(3, 3), lambda: random.randint(2, 1)):
        with pytest.raises(ValueError):
            empty()


def test_random_numbers_are_evenly_spread(notes: Notes) -> None:
    random = _load("random")
    rolls = [random.randint(1, 6) for _ in range(6000)]
    # Five degrees of freedom: above 20.5 in one of a thousand (chi-squared table, from memory).
    assert sum((rolls.count(face) - 1000) ** 2 / 1000 for face in range(1, 7)) < 20.5
    assert sum(random.random() for _ in range(10_000)) / 10_000 == pytest.approx(0.5, abs=0.015)


# -- the engines ---------------------------------------------------------------


def test_both_engines_offer_a_program_the_same_modules() -> None:
    cpython = (SHIMS.parent / "engines" / "offered.py").read_text(encoding="utf-8")
    micropython = (SHIMS.parent / "engines" / "boot_micropython.py").read_text(encoding="utf-8")
    space: dict[str, object] = {}
    exec(cpython, space)

    def names(head: str) -> set[str]:
        block = micropython.split(head)[1].split(")")[0]
        return set(block.replace('"', " ").replace(",", " ").split())

    assert set(space["NAMES"]) - {"sys"} == names("_BUILT_IN = (")
    assert set(space["ALIASES"]) == names("_ALIASES = (")
    assert list(ENGINES) == ["cpython", "micropython"]
