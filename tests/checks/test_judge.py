"""check(): the trials that it runs."""

from __future__ import annotations

import pytest

from checks import TASKS, check
from robotsim import UnknownNameError
from tests.checks.test_programs import beside


def test_a_program_that_had_to_be_stopped_is_waited_for_less_in_the_next_trials() -> None:
    files = {TASKS["arm.knock"].program: "exec('while True: pass')\n"}
    told = [str(made.problem) for made in check("arm.knock", files=files, serial=7).recordings]
    first, second = (text.splitlines()[0] for text in told)
    assert first == "stopped: has run for 5 s without touching the board"
    assert second == "stopped: has run for 1 s without touching the board"


@pytest.mark.slow
@pytest.mark.parametrize("task", [name for name in TASKS if name.startswith(("radio", "harbour"))])
@pytest.mark.parametrize("way", [(25, 27), (25, 14), (26, 14)], ids=["ahead", "spinning", "astern"])
def test_who_hears_no_order_earns_nothing_by_moving_all_the_time(
    task: str, way: tuple[int, int]
) -> None:
    text = f"import time\nfrom machine import Pin\nfor n in {way}:\n    Pin(n, Pin.OUT).on()\n"
    files = {**beside(task), TASKS[task].program: text + "time.sleep(40)\n"}
    card = check(task, files=files, serial=7)
    assert card.points == 0.0
    assert card.cause is not None and card.cause.name == "the network was not joined"


@pytest.mark.parametrize(
    ("asked", "known", "meant"),
    [("side", "lamps.fade, lamps.side, lamps.signal", "'lamps.side'"),
     ("lamps.sied", "lamps.fade, lamps.side, lamps.signal", "'lamps.side'"),
     ("lamp.side", "lamps.fade, lamps.side, lamps.signal", "'lamps.side'"),
     ("start", "drive.curve", "'drive.start' or 'powerup.start'"),
     ("onof", "line.calibrate", "'line.onoff'"), ("lamps", "lamps.fade", "choose one"),
     ("xyz", "arm.…, board.…", "check(")],
)  # fmt: skip
def test_an_unknown_task_is_told_with_those_near_it_alone(
    asked: str, known: str, meant: str
) -> None:
    with pytest.raises(UnknownNameError) as told:
        check(asked)
    assert known in told.value.what and meant in told.value.hint
    assert told.value.what.count(",") < 10
