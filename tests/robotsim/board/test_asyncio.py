"""Tasks on simulated time take their turns as under the real interpreter's own asyncio.

*Source*: the real asyncio, run by the real interpreter with the same programs (those in
tests/robotsim/board/tasks), in real time: their waits are short and far enough apart.
"""

from __future__ import annotations

import subprocess
from pathlib import Path

import pytest

from robotsim import run_trial
from robotsim.board.engines import ENGINES, command

FOLDER = Path(__file__).parent / "tasks"
PROGRAMS = sorted(FOLDER.glob("*.py"))
TRIES = 5
"""On a busy machine the real one may come too late for its own waits."""


@pytest.fixture(params=list(ENGINES))
def engine(request: pytest.FixtureRequest) -> str:
    return request.param


def under_the_real_one(path: Path) -> list[str]:
    """Give what a program prints under the real asyncio."""
    program = command("micropython")[0]
    ran = subprocess.run([program, str(path)], capture_output=True, text=True)
    assert ran.returncode == 0, ran.stderr + ran.stdout
    return ran.stdout.splitlines()


def test_what_the_real_one_refuses_ours_refuses_too(engine: str, need_engine: None) -> None:
    """A bare sleep is no coroutine there, so it cannot be a task (the real one, run)."""
    text = "import asyncio\nasyncio.create_task(asyncio.sleep(1))\n"
    problem = run_trial(text, seconds=1.0, engine=engine).problem
    assert problem is not None and problem.message == "coroutine expected"


@pytest.mark.parametrize("path", PROGRAMS, ids=lambda path: path.stem)
def test_tasks_take_their_turns_in_the_real_order(
    path: Path, engine: str, need_engine: None
) -> None:
    recording = run_trial(path.read_text(encoding="utf-8"), seconds=30.0, engine=engine)
    assert recording.ended == "finished", recording.problem
    ours = [line for _, line in recording.printed]
    for _ in range(TRIES):
        real = under_the_real_one(path)
        if ours == real:
            break
    assert ours == real


def test_sleeping_tasks_let_simulated_time_pass(engine: str, need_engine: None) -> None:
    text = (
        "import asyncio, time\n"
        "async def wait(s):\n"
        "    await asyncio.sleep(s)\n"
        "async def main():\n"
        "    await asyncio.gather(wait(1), wait(2))\n"
        "    print(time.ticks_ms())\n"
        "asyncio.run(main())\n"
    )
    recording = run_trial(text, seconds=5.0, engine=engine)
    assert 2000 <= int(recording.printed[0][1]) <= 2005


def test_a_flag_set_by_a_callback_wakes_its_task_at_once(engine: str, need_engine: None) -> None:
    text = (
        "import asyncio, time\n"
        "from machine import Timer\n"
        "flag = asyncio.ThreadSafeFlag()\n"
        "async def long():\n"
        "    await asyncio.sleep(3)\n"
        "async def main():\n"
        "    asyncio.create_task(long())\n"
        "    Timer(0, mode=Timer.ONE_SHOT, period=500, callback=lambda t: flag.set())\n"
        "    await flag.wait()\n"
        "    print(time.ticks_ms())\n"
        "    flag.set()\n"
        "    await flag.wait()\n"
        "    print(time.ticks_ms())\n"
        "asyncio.run(main())\n"
    )
    recording = run_trial(text, seconds=5.0, engine=engine)
    assert recording.problem is None
    first, second = (int(line) for _, line in recording.printed)
    assert 500 <= first <= 503 and second <= first + 3


def test_an_exception_that_no_task_asks_for_is_told_and_the_rest_goes_on(
    engine: str, need_engine: None
) -> None:
    text = (
        "import asyncio\n"
        "async def bad():\n"
        "    north\n"
        "async def main():\n"
        "    asyncio.create_task(bad())\n"
        "    await asyncio.sleep(1)\n"
        "    print('on')\n"
        "asyncio.run(main())\n"
    )
    recording = run_trial(text, seconds=5.0, engine=engine)
    assert recording.ended == "finished"
    assert [line for _, line in recording.printed] == [
        "Task exception wasn't retrieved", "future: <Task>",
        "Unhandled exception in callback: NameError: name 'north' isn't defined", "on",
    ]  # fmt: skip
    assert recording.problem is not None and recording.problem.line == 3
