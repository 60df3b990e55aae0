"""Joining a network: wrong password, weak signal, network gone, and back again."""

from __future__ import annotations

import pytest

from robotsim import Recording, run_trial
from robotsim.radio import KEY, AccessPoint, Airwaves

JOIN = """
import time, network
wlan = network.WLAN(network.WLAN.IF_STA)
wlan.active(True)
wlan.config(reconnects={retries})
wlan.connect({name!r}, {key!r})
last = None
for _ in range({rounds}):
    now = (wlan.status(), wlan.isconnected())
    if now != last:
        print(*now)
        last = now
    time.sleep_ms(100)
"""


def join(air: Airwaves, key: str = KEY, name: str = "harbour", retries: int = -1,
         seconds: float = 6.0) -> tuple[Recording, list[str]]:  # fmt: skip
    text = JOIN.format(name=name, key=key, retries=retries, rounds=int(seconds * 10) - 5)
    told = run_trial(text, seconds=seconds, air=air)
    assert told.problem is None
    return told, [line for _, line in told.printed]


def point(**what: object) -> Airwaves:
    return Airwaves(networks=[AccessPoint("harbour", KEY, **what)])  # type: ignore[arg-type]


def test_the_right_password_joins_within_two_seconds() -> None:
    told, lines = join(Airwaves())
    assert lines == ["1001 False", "1010 True"]
    assert told.printed[1][0] < 2.5


def test_a_wrong_password_goes_on_trying_and_with_few_tries_tells_why() -> None:
    assert join(Airwaves(), key="lighthorse")[1] == ["1001 False"]
    assert join(Airwaves(), key="lighthorse", retries=0)[1] == ["1001 False", "202 False"]


@pytest.mark.parametrize(
    ("air", "name", "status"),
    [(Airwaves(), "harbor", 201), (point(signal=-91.0), "harbour", 200),
     (point(signal=-99.0), "harbour", 201), (point(spells=((0, 9, None),)), "harbour", 201)],
)  # fmt: skip
def test_a_network_that_is_not_there_or_too_weak_tells_so(
    air: Airwaves, name: str, status: int
) -> None:
    assert join(air, name=name, retries=1)[1] == ["1001 False", f"{status} False"]


def test_a_network_that_is_switched_off_is_lost_at_once_and_joined_again_by_itself() -> None:
    told, lines = join(point(spells=((3.0, 5.0, None),)), seconds=9.0)
    assert lines == ["1001 False", "1010 True", "1001 False", "1010 True"]
    assert 3.0 <= told.printed[2][0] <= 3.2
    assert 5.0 <= told.printed[3][0] <= 8.5


def test_a_network_that_fades_is_missed_only_after_six_seconds() -> None:
    told, lines = join(point(spells=((3.0, 20.0, -93.0),)), seconds=12.0)
    assert lines == ["1001 False", "1010 True", "1001 False"]
    assert 9.0 <= told.printed[2][0] <= 9.2


def test_a_network_that_fades_for_a_moment_is_not_lost() -> None:
    assert join(point(spells=((3.0, 5.0, -93.0),)), seconds=12.0)[1][-1] == "1010 True"


def test_an_open_network_needs_no_password() -> None:
    air = Airwaves(networks=[AccessPoint("guest")])
    assert join(air, name="guest", key="")[1][-1] == "1010 True"


def outcome(body: str, air: Airwaves | None = None) -> list[str]:
    text = "import time, network\nwlan = network.WLAN(network.STA_IF)\n" + body
    told = run_trial(text, seconds=12.0, air=air)
    assert told.problem is None, told.problem
    return [line for _, line in told.printed]


def test_a_scan_lists_what_is_on_the_air_the_strongest_first() -> None:
    air = Airwaves(
        networks=[
            AccessPoint("far", "12345678", -80.0, channel=1),
            AccessPoint("near", "", -40.0),
            AccessPoint("deaf", "", -97.0),
        ]
    )
    body = "wlan.active(True)\nfor n in wlan.scan():\n    print(n[0], n[2], n[4], n[5], n[3] > -60)"
    assert outcome(body, air) == ["b'near' 6 0 False True", "b'far' 1 3 False False"]


CALLS = {
    "wlan.connect('harbour', 'lighthouse')": "Wifi Not Started",
    "wlan.scan()": "STA must be active",
    "wlan.active(True)\nwlan.connect('harbour', 'short')": "Wifi Invalid Argument",
    "wlan.active(True)\nfor _ in 'ab':\n    wlan.connect('harbour', 'lighthouse')":
        "Wifi Internal State Error",
    "wlan.status('rssi')": "Wifi Not Connected",
}  # fmt: skip


@pytest.mark.parametrize("call", CALLS)
def test_a_call_at_the_wrong_time_raises_as_the_board_does(call: str) -> None:
    indented = call.replace("\n", "\n    ")
    body = f"try:\n    {indented}\n    print('fine')\nexcept OSError as fault:\n    print(fault)"
    assert outcome(body) == [CALLS[call]]


def test_the_station_tells_its_addresses_and_settings() -> None:
    body = """
print(wlan is network.WLAN(network.WLAN.IF_STA), wlan.active(), wlan.ifconfig()[0])
wlan.active(True)
wlan.connect("harbour", "lighthouse")
while not wlan.isconnected():
    time.sleep_ms(50)
print(wlan.ifconfig()[0], wlan.config("ssid"), wlan.config("mac").hex(), wlan.status("rssi"))
wlan.disconnect()
print(wlan.isconnected(), wlan.status() == network.STAT_IDLE, wlan.ifconfig()[0])
"""
    assert outcome(body) == [
        "True False 0.0.0.0", "192.168.7.20 harbour 025100000000 -50", "False True 0.0.0.0",
    ]  # fmt: skip
