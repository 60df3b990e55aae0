"""Simulated time never runs ahead of the wall's clock, and never rushes after it."""

from __future__ import annotations

import pytest

from robotsim.board.faults import TimeUp
from robotsim.live import pace
from robotsim.live.pace import Pace
from robotsim.units import MS, SECOND


class Wall:
    """A clock on the wall that goes on by itself only while someone waits."""

    def __init__(self) -> None:
        self.now_ns = 1_000 * SECOND
        self.waited: list[float] = []

    def monotonic_ns(self) -> int:
        return self.now_ns

    def wait(self, seconds: float) -> bool:
        self.waited.append(seconds)
        self.now_ns += round(seconds * SECOND)
        return False


@pytest.fixture
def wall(monkeypatch: pytest.MonkeyPatch) -> Wall:
    made = Wall()
    monkeypatch.setattr(pace.time, "monotonic_ns", made.monotonic_ns)
    return made


def paced(wall: Wall, monkeypatch: pytest.MonkeyPatch) -> tuple[Pace, list[int]]:
    ticks: list[int] = []
    made = Pace(ticks.append)
    monkeypatch.setattr(made._stop, "wait", wall.wait)
    return made, ticks


def test_a_second_of_simulated_time_takes_a_second(
    wall: Wall, monkeypatch: pytest.MonkeyPatch
) -> None:
    made, _ = paced(wall, monkeypatch)
    begin = wall.now_ns
    for k in range(1, 51):
        made.hold(k * 20 * MS)
        assert wall.now_ns - begin == k * 20 * MS
    assert made.lost_ns == 0


def test_the_world_is_brought_along_while_the_board_sleeps(
    wall: Wall, monkeypatch: pytest.MonkeyPatch
) -> None:
    made, ticks = paced(wall, monkeypatch)
    made.hold(500 * MS)
    assert ticks == sorted(ticks) and ticks[-1] == 500 * MS
    assert max(b - a for a, b in zip(ticks, ticks[1:], strict=False)) <= 20 * MS
    assert max(wall.waited) <= 0.01, "it looks up often, so that Stop is heard"


def test_a_computer_that_slept_for_an_hour_does_not_make_the_tug_rush(
    wall: Wall, monkeypatch: pytest.MonkeyPatch
) -> None:
    made, _ = paced(wall, monkeypatch)
    made.hold(SECOND)
    wall.now_ns += 3600 * SECOND
    made.hold(SECOND + MS)
    wall.waited.clear()
    made.hold(2 * SECOND)
    assert sum(wall.waited) == pytest.approx(1.0 - 0.25 - 0.001)
    assert made.lost_ns == pytest.approx(3600 * SECOND, abs=SECOND)


def test_a_stop_ends_the_wait_and_a_run_that_is_over_waits_no_more(wall: Wall) -> None:
    made = Pace(lambda now_ns: None)
    made.stop()
    with pytest.raises(TimeUp):
        made.hold(10 * SECOND)
    made.let_go()
    made.hold(3600 * SECOND)
