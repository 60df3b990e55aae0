"""Two tugs on one table: both programs are heard, nothing depends on which process is faster."""

from __future__ import annotations

import _thread
import math
import signal
import threading
import time
from typing import Any

import pytest

from robotsim import KitError, Recording, UnknownNameError, Whose, run_trial
from robotsim.company import Mate, place_beside, run_beside
from robotsim.notebook import replay, run
from robotsim.playground import ask, turns
from robotsim.show.both import meetings
from robotsim.table import make_table
from robotsim.wiring import PINS
from tests.robotsim.endless import ENDLESS

MOTORS = """\
import time
from machine import PWM, Pin
left = PWM(Pin(25), freq=1000, duty_u16=0)
right = PWM(Pin(27), freq=1000, duty_u16=0)
"""
AHEAD = MOTORS + "left.duty_u16(30000)\nright.duty_u16(30000)\ntime.sleep(1.5)\n"
UNTIL_IT_BUMPS = MOTORS + """\
bumper = Pin(19, Pin.IN, Pin.PULL_UP)
left.duty_u16(30000)
right.duty_u16(30000)
for k in range(300):
    if bumper.value() == 0:
        print("bump")
        break
    time.sleep_ms(10)
left.duty_u16(0)
right.duty_u16(0)
"""
STAND = "import time\ntime.sleep(3)\nprint('stood')\n"
JOIN = """\
import time, network
from machine import unique_id
from umqtt.simple import MQTTClient
me = "tug-%d" % unique_id()[5]
wlan = network.WLAN(network.STA_IF)
wlan.active(True)
wlan.connect("harbour", "lighthouse")
while not wlan.isconnected():
    time.sleep_ms(50)
client = MQTTClient(me, "office")
"""
ASKS = JOIN + """\
client.connect()
time.sleep(1)
client.publish(b"harbour/tug-12/order", b"you first", qos=1)
"""
HEARS = JOIN + """\
client.set_callback(lambda topic, text: print(topic, text))
client.connect()
client.subscribe("harbour/%s/order" % me, qos=1)
client.wait_msg()
"""
FACING = (0.45, 0.4, math.pi)


def both(
    one: str, other: str, where: Any = FACING, **order: Any
) -> tuple[Recording, Recording]:
    files = {"one.py": one, "other.py": other}
    order = {"seconds": 2.0, "serial": 7, "whose": Whose.OWN, **order}
    return run_beside(files, program="one.py", beside=Mate("other.py", 12, where), **order)


def bumps(recording: Recording) -> list[tuple[float, float]]:
    return [(e.seconds, e.impulse) for e in recording.of("touch") if e.what == "tug"]


def test_they_bump_into_each_other_and_both_feel_the_same() -> None:
    one, other = both(UNTIL_IT_BUMPS, UNTIL_IT_BUMPS)
    assert bumps(one) and bumps(one) == bumps(other)
    assert [text for _, text in one.printed] == [text for _, text in other.printed] == ["bump"]
    gap = [
        math.dist(a, b) for a, b in zip(
            zip(one.tracks["x"], one.tracks["y"], strict=True),
            zip(other.tracks["x"], other.tracks["y"], strict=True), strict=True,
        )
    ]  # fmt: skip
    assert min(gap) == pytest.approx(2 * 0.058, abs=2e-4)  # two hulls of 116 mm (design)
    assert "bumped into each other" in meetings((one, other))


def test_who_stands_in_the_way_is_pushed() -> None:
    _, other = both(AHEAD, STAND, (0.42, 0.4, 0.0))
    assert other.tracks["x"][-1] - 0.42 > 0.05 and other.printed == []


def test_the_same_again_gives_the_same_to_the_last_bit() -> None:
    first = both(UNTIL_IT_BUMPS, AHEAD, seed=3)
    assert first == both(UNTIL_IT_BUMPS, AHEAD, seed=3)
    assert first != both(UNTIL_IT_BUMPS, AHEAD, seed=4)


def test_nothing_depends_on_whose_process_is_slow() -> None:
    slow = "n = 0\nfor k in range(60000):\n    n += k\n"  # much of the computer's time
    quick = "import time\ntime.sleep(1.0)\n"
    assert both(slow + UNTIL_IT_BUMPS, quick + AHEAD) == both(slow + UNTIL_IT_BUMPS, quick + AHEAD)


def test_a_tug_that_never_comes_near_changes_nothing() -> None:
    alone = run_trial(AHEAD, serial=7, seconds=2.0, whose=Whose.OWN)
    one, other = both(AHEAD, STAND, (0.25, 0.65, math.pi))
    assert one.end == pytest.approx(alone.end, abs=1e-4) and not bumps(one)
    assert other.end == pytest.approx((0.25, 0.65, math.pi), abs=1e-6)
    assert "never touched" in meetings((one, other))


def test_orders_go_from_tug_to_tug_by_one_broker() -> None:
    asks, hears = both(ASKS, HEARS, seconds=4.0)
    ((at, text),) = hears.printed
    assert text == "b'harbour/tug-12/order' b'you first'"
    said = [e.seconds for e in asks.of("message") if e.stage == "said"]
    # 8 to 14 ms each way (design), and the nap between two beacons: 102.4 ms (IEEE 802.11)
    assert 0.008 < at - said[0] < 0.14
    assert not [e for e in asks.of("message") if e.stage == "taken"]


def test_one_may_fail_or_start_anew_and_the_other_goes_on() -> None:
    again = "from machine import reset, reset_cause\nif reset_cause() == 1:\n    reset()\n"
    one, other = both("print(1 / 0)\n", again + AHEAD, (0.3, 0.65, 0.0))
    assert one.problem is not None and one.problem.kind == "ZeroDivisionError"
    assert [e.cause for e in other.of("reset")] and other.problem is None
    assert other.end[0] > 0.4


def test_an_empty_battery_stops_its_own_tug_alone() -> None:
    hard = AHEAD.replace("30000", "65535")
    weak = both(hard, AHEAD + "print('done')\n", (0.3, 0.65, 0.0), seconds=3.0, charge=0.0)
    causes = [[e.cause for e in made.of("reset")] for made in weak]
    assert set(causes[0]) == {"brown-out"} and causes[1] == []
    assert weak[1].printed and weak[1].end[0] > 0.4
    assert weak == both(hard, AHEAD + "print('done')\n", (0.3, 0.65, 0.0), seconds=3.0, charge=0.0)


def test_the_float_is_one_for_both() -> None:
    one, other = both(AHEAD, STAND, (1.0, 0.2, 0.0), table="dock", start=(0.35, 0.3, 0.0))
    assert one.tracks["float_x"] == other.tracks["float_x"]


@pytest.mark.parametrize(
    ("words", "mate"),
    [
        ("cannot both have the number 7", ("other.py", 7)),
        ("in each other's place", ("other.py", 12, (0.3, 0.4, 0.0))),
        ("three numbers", ("other.py", 12, (0.3, "x", 0.0))),
        ("a program and a number", ("other.py",)),
        ("a program and a number", ("other.py", "12")),
        ("a program and a number", "other.py"),
    ],
)
def test_what_cannot_be_is_told(words: str, mate: Any) -> None:
    files = {"one.py": STAND, "other.py": STAND}
    with pytest.raises(KitError, match=words):
        run("one.py", beside=mate, files=files, serial=7, picture=False, whose=Whose.OWN)


def test_two_tugs_are_run_once_and_both_programs_must_be_there() -> None:
    with pytest.raises(KitError, match="run once"):
        run("one.py", beside=("other.py", 12), runs=3, files={"one.py": STAND, "other.py": STAND})
    with pytest.raises(UnknownNameError, match=r"other\.py"):
        run("one.py", beside=("other.py", 12), files={"one.py": STAND})


def test_in_a_notebook_both_are_shown_and_can_be_replayed(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    shown: list[dict[str, str]] = []
    monkeypatch.setattr("IPython.display.display", lambda data, **_: shown.append(data))
    files = {"one.py": UNTIL_IT_BUMPS, "other.py": STAND}
    order = {"beside": ("other.py", 12, FACING), "serial": 7, "files": files, "whose": Whose.OWN}
    made = run("one.py", **order, seconds=3.5)  # type: ignore[arg-type]
    told = capsys.readouterr().out
    assert "one.py on tug 7:" in told and "other.py on tug 12:" in told and "stood" in told
    assert "bumped" in told and "tug 12" in shown[0]["text/plain"]
    made = run("one.py", **order, replay=True)  # type: ignore[arg-type]
    assert isinstance(made, tuple) and all(one.lines for one in made)
    replay(*made, labels=("mine", "theirs"))
    assert "theirs" in shown[-1]["text/plain"] and len(shown) == 3
    assert "first time" in repr(ask(made[0], "within 20 cm of 0.45, 0.4"))


@pytest.mark.parametrize("name", ["basin", "quay", "channel", "dock", "harbour"])
def test_every_table_has_room_beside_the_first(name: str) -> None:
    table = make_table(name)
    x, y, _ = place_beside(table, table.start)
    assert math.dist((x, y), table.start[:2]) > 0.116
    assert 0.058 < x < table.width - 0.058 and 0.058 < y < table.height - 0.058
    with pytest.raises(KitError, match="no room"):
        place_beside(make_table("basin"), (5.0, 5.0, 0.0))


def test_each_program_has_pins_of_its_own() -> None:
    one, other = both(AHEAD, STAND, (0.25, 0.65, math.pi))
    assert list(one.of("pwm", pin=PINS["left_ahead"])) and not list(other.of("pwm"))


def test_who_took_turns_at_a_place_is_told(capsys: pytest.CaptureFixture[str]) -> None:
    made = both(AHEAD, "import time\ntime.sleep(2)\n" + AHEAD, (0.25, 0.6, 0.0), seconds=4.0)
    turns(made, "within 15 cm of 0.45, 0.5")
    told = capsys.readouterr().out
    assert "Tug 7 was within" in told and "Never both at once" in told
    turns(made, "within 40 cm of 0.45, 0.5")
    assert "Both at once, first at 0.00 s" in capsys.readouterr().out
    alone = run_trial(STAND, seconds=0.1, whose=Whose.OWN)
    for wrong in (alone, (alone, alone)):
        with pytest.raises(KitError, match="two tugs on one table"):
            turns(wrong, "within 5 cm of the start")  # type: ignore[arg-type]


@pytest.mark.filterwarnings("ignore::pytest.PytestUnraisableExceptionWarning")  # a lost press
def test_an_interrupt_ends_both_and_leaves_nothing_behind() -> None:
    running = threading.active_count()
    heard = threading.Event()

    def press() -> None:
        """Like a person: Python may lose one (it clears up an object just then), so once more."""
        time.sleep(1.0)
        while not heard.is_set():
            _thread.interrupt_main()
            heard.wait(5.0)

    # Whatever a shell starts in its background ignores interrupts unless it says otherwise.
    before = signal.signal(signal.SIGINT, signal.default_int_handler)
    pressing = threading.Thread(target=press, daemon=True)
    pressing.start()
    try:
        with pytest.raises(KeyboardInterrupt):
            both(ENDLESS, ENDLESS, seconds=600.0)
    finally:
        heard.set()
        pressing.join()
        signal.signal(signal.SIGINT, before)
    assert "second tug" not in [one.name for one in threading.enumerate()]
    assert threading.active_count() <= running


def test_what_cannot_be_confined_runs_neither(monkeypatch: pytest.MonkeyPatch) -> None:
    """A stranger's programs go through the one door there is, each for itself."""

    def refuse(*_: Any, **__: Any) -> None:
        raise KitError("nothing keeps programs in here")

    monkeypatch.setattr("robotsim.board.link.confined_start", refuse)
    with pytest.raises(KitError, match="keeps programs in"):
        both(STAND, STAND, whose=Whose.STRANGER)
