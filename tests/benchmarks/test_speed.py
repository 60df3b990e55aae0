"""How fast the kit is: measured and told, never judged by a clock.

`python3 tests tests/benchmarks` measures; in the ordinary run each benchmark runs once, as a test
that it still does what it measures (that the tug follows the line, say).
"""

from __future__ import annotations

import statistics
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from pytest_benchmark.fixture import BenchmarkFixture

from robotsim import KitError, Recording, Whose, run_trial
from robotsim.board.board import Board
from robotsim.board.engines import ENGINES, command
from robotsim.board.faults import Ended
from robotsim.board.link import Link
from robotsim.table import Table, distance_to_line, make_table
from robotsim.units import SECOND
from tests.benchmarks.rival import drive
from tests.benchmarks.spent import spent
from tests.robotsim.board.fakes import FakeWorld

ROOT = Path(__file__).parents[2]
FOLLOW = ROOT / "tests" / "programs" / "speed" / "follow.py"
PROGRAM = FOLLOW.read_text(encoding="utf-8")
SECONDS = 60.0
TRIPS = 5000


def middle(benchmark: BenchmarkFixture, task: Callable[[], Any], rounds: int) -> tuple[Any, float]:
    """Run a task a few times; give its last result and the median time in s."""
    times: list[float] = []

    def timed() -> Any:
        began = time.perf_counter()
        result = task()
        times.append(time.perf_counter() - began)
        return result

    result = benchmark.pedantic(timed, rounds=rounds, iterations=1)
    return result, statistics.median(times)


def off_the_line(table: Table, places: list[tuple[float, float]]) -> float:
    return max(abs(distance_to_line(table, x, y)) for x, y in places)


@pytest.fixture(scope="module")
def measured() -> dict[str, float]:
    """Times of this module's benchmarks, so that one can be told against another."""
    return {}


# -- sixty seconds of line following -------------------------------------------------


def test_sixty_seconds_of_line_following(
    benchmark: BenchmarkFixture, found: dict[str, str], measured: dict[str, float]
) -> None:
    table = make_table("quay")
    told: Recording
    told, seconds = middle(
        benchmark, lambda: run_trial(PROGRAM, table="quay", seconds=SECONDS), rounds=5
    )
    measured["ours"] = seconds
    before = spent()
    run_trial(PROGRAM, table="quay", seconds=SECONDS)
    host, program = (now - then for now, then in zip(spent(), before, strict=True))
    found["60 s of line following, process start included"] = (
        f"{seconds:.3f} s: {SECONDS / seconds:.0f} times real time "
        f"(processor: host {host:.2f} s, program {program:.2f} s)"
    )
    assert told.ended == "time is up" and told.problem is None
    places = list(zip(told.tracks["x"][::20], told.tracks["y"][::20], strict=True))
    assert off_the_line(table, places) < 0.01
    assert sum(told.tracks["left"]) / len(told.tracks["left"]) > 0.1
    rounds = sum(1 for _ in told.of("sleep"))
    assert 2800 < rounds <= 3000
    assert sum(1 for _ in told.of("adc")) >= 4 * rounds - 4
    assert sum(1 for _ in told.of("pwm")) >= 4 * rounds


def test_the_same_over_a_general_physics_engine_at_1_khz(
    benchmark: BenchmarkFixture, found: dict[str, str], measured: dict[str, float]
) -> None:
    table = make_table("quay")
    namespace: dict[str, Any] = {"__name__": "follow"}
    body = PROGRAM.replace("from machine import ADC, PWM, Pin\n", "")  # it has no board
    exec(compile(body, "follow.py", "exec"), namespace)
    places, seconds = middle(benchmark, lambda: drive(table, SECONDS, namespace["steer"]), rounds=3)
    words = f"{seconds:.3f} s: {SECONDS / seconds:.0f} times real time"
    if "ours" in measured:
        words += f"; ours is {seconds / measured['ours']:.1f} times as fast"
    found["the same, pymunk at 1 kHz, one process, no link"] = words
    assert off_the_line(table, places[::10]) < 0.01
    assert len(places) == SECONDS * 50


@pytest.mark.skipif(sys.platform != "linux", reason="reads /proc")
def test_the_memory_of_such_a_trial(found: dict[str, str]) -> None:
    """Issue text: under 150 MB."""
    code = (
        "import resource, robotsim\n"
        f"text = open({str(FOLLOW)!r}).read()\n"
        f"told = robotsim.run_trial(text, table='quay', seconds={SECONDS})\n"
        "assert len(told.events) > 20000\n"
        "status = open('/proc/self/status').read()\n"
        "print(status.split('VmHWM:')[1].split()[0])\n"
        "print(resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss)\n"
    )
    ran = subprocess.run(
        [sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=True
    )
    host, program = (int(line) / 1024 for line in ran.stdout.split())
    found["memory of such a trial"] = f"host {host:.0f} MB, program's process {program:.0f} MB"
    assert host + program < 150


# -- the link ------------------------------------------------------------------------


@pytest.mark.parametrize("engine", list(ENGINES))
def test_a_round_trip_over_the_link(
    engine: str, benchmark: BenchmarkFixture, found: dict[str, str]
) -> None:
    try:
        command(engine)
    except KitError as missing:
        pytest.skip(str(missing))
    text = f"import time\nfor _ in range({TRIPS}):\n    time.ticks_us()\nprint('done')\n"

    def bare() -> float:
        """Answer without looking: pipes and the program's end of the link alone."""
        with Link({"main.py": text}, "main.py", engine, whose=Whose.KIT) as link:
            assert link.next().endswith(b"T")
            began = time.perf_counter()
            for _ in range(TRIPS - 1):
                link.reply(b"=0")
                assert link.next().endswith(b"T")
            return (time.perf_counter() - began) / (TRIPS - 1)

    def served() -> float:
        with Link({"main.py": text}, "main.py", engine, whose=Whose.KIT) as link:
            began = time.perf_counter()
            with pytest.raises(Ended, match="finished"):
                link.talk(Board(FakeWorld(), 10 * SECOND).hear)
            return (time.perf_counter() - began) / TRIPS

    trip, _ = middle(benchmark, bare, rounds=3)
    found[f"round trip, {engine}"] = (
        f"{trip * 1e6:.1f} us, with the board's answer {served() * 1e6:.1f} us"
    )


# -- starting ------------------------------------------------------------------------


@pytest.mark.parametrize("package", ["robotsim", "checks"])
def test_importing(package: str, benchmark: BenchmarkFixture, found: dict[str, str]) -> None:
    def start(statement: str) -> None:
        subprocess.run([sys.executable, "-c", statement], cwd=ROOT, check=True)

    _, seconds = middle(benchmark, lambda: start(f"import {package}"), rounds=5)
    began = time.perf_counter()
    start("pass")
    bare = time.perf_counter() - began
    found[f"import {package}"] = f"{seconds - bare:.3f} s beyond the {bare:.3f} s of a bare Python"


@pytest.mark.parametrize("engine", list(ENGINES))
def test_starting_a_program(
    engine: str, benchmark: BenchmarkFixture, found: dict[str, str]
) -> None:
    try:
        command(engine)
    except KitError as missing:
        pytest.skip(str(missing))
    told, seconds = middle(
        benchmark, lambda: run_trial("print('ahoy')", seconds=0.01, engine=engine), rounds=10
    )
    found[f"start of a program, {engine}"] = f"{seconds * 1000:.0f} ms from run_trial to recording"
    assert [line for _, line in told.printed] == ["ahoy"]
