"""Host and program on one core, for a trial and no longer."""

from __future__ import annotations

import os
import sys
from collections.abc import Callable
from contextlib import suppress

import pytest

from robotsim.board.board import Board
from robotsim.board.faults import Ended
from robotsim.board.link import Link
from robotsim.origin import Whose
from robotsim.units import SECOND
from tests.robotsim.board.fakes import FakeWorld

pytestmark = pytest.mark.skipif(
    sys.platform != "linux" or len(os.sched_getaffinity(0)) < 2, reason="it needs two cores"
)


def cores_during(hear: Callable[[bytes], bytes]) -> tuple[set[int], set[int]]:
    """Give on which cores host and program may be while they speak."""
    seen: list[tuple[set[int], set[int]]] = []
    files = {"main.py": "from machine import Pin\nPin(2, Pin.OUT).on()\n"}
    with Link(files, "main.py", "cpython", whose=Whose.OWN) as link:

        def heard(message: bytes) -> bytes:
            seen.append((os.sched_getaffinity(0), os.sched_getaffinity(link._process.pid)))
            return hear(message)

        with suppress(Ended):
            link.talk(heard)
    return seen[0]


@pytest.mark.parametrize(("load", "shared"), [(0.3, True), (64.0, False)])
def test_they_share_a_core_where_another_is_free_and_only_for_the_trial(
    monkeypatch: pytest.MonkeyPatch, load: float, shared: bool
) -> None:
    monkeypatch.setattr(os, "getloadavg", lambda: (load, load, load))
    before = os.sched_getaffinity(0)
    host, program = cores_during(Board(FakeWorld(), SECOND).hear)
    assert (host == program and len(host) == 1) == shared
    assert shared or host == program == before
    assert os.sched_getaffinity(0) == before


def test_a_trial_that_breaks_off_gives_the_cores_back(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(os, "getloadavg", lambda: (0.0, 0.0, 0.0))
    before = os.sched_getaffinity(0)

    def breaks(message: bytes) -> bytes:
        assert len(os.sched_getaffinity(0)) == 1
        raise RuntimeError

    with pytest.raises(RuntimeError):
        cores_during(breaks)
    assert os.sched_getaffinity(0) == before
