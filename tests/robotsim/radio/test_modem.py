"""The modem: naps hold back what is for the tug, sending wakes it; its history can wait."""

from __future__ import annotations

import itertools
import random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from robotsim import Recording, run_trial
from robotsim.radio import Airwaves, Order
from robotsim.radio.modem import (
    BEACON_NS,
    HEARING_A,
    PM_NONE,
    PM_PERFORMANCE,
    PM_POWERSAVE,
    SENDING_A,
    Modem,
)
from robotsim.units import MS, SECOND

LISTENS = """
import network, time
from umqtt.simple import MQTTClient
wlan = network.WLAN(network.WLAN.IF_STA)
wlan.active(True)
{power}
wlan.connect("harbour", "lighthouse")
while not wlan.isconnected():
    time.sleep_ms(20)
office = MQTTClient("tug-0", "office", keepalive=30)
office.set_callback(lambda topic, payload: print(payload.decode()))
office.connect()
office.subscribe(b"harbour/tug-0/order")
while True:
    office.check_msg()
    time.sleep_ms(5)
"""
TIMES = [4.0 + 0.537 * k for k in range(20)]


def listened(power: str) -> Recording:
    air = Airwaves(orders=[Order(at, str(k), qos=0) for k, at in enumerate(TIMES)])
    return run_trial(LISTENS.format(power=power), seconds=15.5, air=air)


def delays(told: Recording) -> list[float]:
    """Give how long each order took from the office to the board, in ms."""
    arrived = [e.seconds for e in told.of("message") if e.stage == "arrived"]
    assert len(arrived) == len(TIMES)
    return [1000 * (there - at) for there, at in zip(arrived, TIMES, strict=True)]


def test_orders_wait_for_a_beacon_unless_the_radio_is_kept_awake() -> None:
    naps, awake, deep = (
        delays(listened(power))
        for power in ("", "wlan.config(pm=wlan.PM_NONE)", "wlan.config(pm=wlan.PM_POWERSAVE)")
    )
    assert max(awake) < 16.0 and min(naps) > 8.0
    assert 60.0 < max(naps) < 16.0 + 102.4 + 4.0
    assert 180.0 < max(deep) < 16.0 + 307.2 + 4.0
    assert sum(awake) < sum(naps) < sum(deep)


def test_the_board_tells_how_its_radio_saves_power_and_takes_no_other_word() -> None:
    told = run_trial(
        "import network\nwlan = network.WLAN(network.WLAN.IF_STA)\nprint(wlan.config('pm'))\n"
        "wlan.config(pm=wlan.PM_NONE)\nprint(wlan.config('pm'))\n"
        "try:\n    wlan.config(pm=7)\nexcept OSError as fault:\n    print(fault)\n",
        seconds=1.0,
    )
    assert [line for _, line in told.printed] == ["1", "0", "Wifi Invalid Argument"]


# -- its history ---------------------------------------------------------------

acts = st.lists(
    st.tuples(
        st.integers(0, 900),
        st.sampled_from(["on", "off", "joined", "left", "send", "heard", "0", "1", "2"]),
    ),
    max_size=12,
)  # fmt: skip


def does(modem: Modem, what: str, now_ns: int) -> None:
    if what in ("on", "off"):
        modem.switch(what == "on", now_ns)
    elif what in ("joined", "left"):
        modem.join(what == "joined", now_ns)
    elif what == "send":
        modem.send(now_ns)
    elif what == "heard":
        modem.heard(now_ns)
    else:
        modem.save(int(what), now_ns)


@given(acts)
def test_what_it_drew_does_not_depend_on_when_that_is_asked(acts: list[tuple[int, str]]) -> None:
    early, late = Modem(random.Random(3)), Modem(random.Random(3))
    steps = list(itertools.pairwise(range(0, SECOND + 1, 10 * MS)))
    waiting, at_once = sorted(acts, key=lambda act: act[0]), []
    for begin, end in steps:
        while waiting and waiting[0][0] * MS < end:
            at, what = waiting.pop(0)
            does(early, what, at * MS)
            does(late, what, at * MS)
        at_once.append(early.draws(begin, end))
    assert at_once == [late.draws(begin, end) for begin, end in steps]
    for mean, highest in at_once:
        assert 0.0 <= mean <= highest <= SENDING_A


@given(acts, st.integers(0, 2000))
def test_nothing_that_is_heard_comes_early_or_later_than_it_naps(
    acts: list[tuple[int, str]], after: int
) -> None:
    modem = Modem(random.Random(5))
    for at, what in sorted(acts, key=lambda act: act[0]):
        does(modem, what, at * MS)
    at_ns = SECOND + after * MS
    assert 0 <= modem.hear(at_ns) - at_ns <= 3 * BEACON_NS + 3 * MS


def mean_amps(saving: int) -> float:
    modem = Modem(random.Random(1))
    modem.switch(True, 0)
    modem.save(saving, 0)
    modem.join(True, 0)
    modem.draws(0, SECOND)
    return modem.draws(SECOND, 11 * SECOND)[0]


def test_an_awake_radio_draws_all_the_time_and_a_napping_one_hardly() -> None:
    awake, naps, deep = (mean_amps(s) for s in (PM_NONE, PM_PERFORMANCE, PM_POWERSAVE))
    assert awake == pytest.approx(HEARING_A)
    assert naps == pytest.approx(HEARING_A * 3 / 102.4, rel=0.05)
    assert deep == pytest.approx(naps / 3, rel=0.1)


class Counting(Modem):
    """Counts how many stretches are looked at."""

    looks = 0

    def _hearing(self, naps: int, begin: int, end: int) -> int:
        self.looks += 1
        return super()._hearing(naps, begin, end)


def test_what_a_step_costs_does_not_grow_with_what_the_radio_has_noted_since() -> None:
    modem, every, many = Counting(random.Random(1)), 60 * MS, 400
    modem.switch(True, 0)
    modem.join(True, 0)
    for k in range(many):
        modem.send(k * every)
    for at in range(0, many * every, 10 * MS):
        modem.draws(at, at + 10 * MS)
    assert modem.looks < 2 * many * every / (10 * MS)  # a step meets one stretch, or two


# -- what it does to the supply ------------------------------------------------

PUSHES = """
import network, time
from machine import PWM, Pin
wlan = network.WLAN(network.WLAN.IF_STA)
time.sleep_ms(9)
{motors}
{radio}
time.sleep(0.2)
"""
MOTORS, RADIO = "[PWM(Pin(n), freq=1000, duty_u16=65535) for n in (25, 27)]", "wlan.active(True)"


def starts_anew(charge: float, motors: str, radio: str) -> bool:
    """Tell whether a tug that starts its motors, its radio or both gets through its first 0.2 s."""
    text = PUSHES.format(motors=motors, radio=radio)
    return any(run_trial(text, seconds=0.2, charge=charge).of("reset"))


def test_a_weak_battery_that_bears_the_motors_start_or_the_radio_s_does_not_bear_both() -> None:
    charge = next(k / 2000 for k in range(100) if not starts_anew(k / 2000, MOTORS, ""))
    assert charge > 0.0
    assert not starts_anew(charge, "", RADIO)
    assert starts_anew(charge, MOTORS, RADIO)
    assert not starts_anew(charge + 0.01, MOTORS, RADIO), "a little more charge bears both"


def test_the_tracks_show_what_the_radio_draws() -> None:
    told = run_trial("import network, time\ntime.sleep(0.5)\nnetwork.WLAN().active(True)\n",
                     seconds=1.0)  # fmt: skip
    before, after = told.at("amps", 0.4), told.at("amps", 0.9)
    assert after - before == pytest.approx(HEARING_A, abs=1e-6)
