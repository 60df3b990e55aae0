"""How soon a picture stands after a slider has moved, and how long a look at the floor takes.

Measured and told, never judged by a clock.
"""

from __future__ import annotations

import itertools
import math
import random
import statistics
import time
from collections.abc import Callable
from typing import Any

import pytest
from pytest_benchmark.fixture import BenchmarkFixture

from robotsim.show.bounce_slider import bounce_figure
from robotsim.show.compose import figure
from robotsim.show.display import bundle
from robotsim.show.duty_slider import duty_figure
from robotsim.show.files import png
from robotsim.show.gain_slider import gain_figure
from robotsim.show.heading_slider import heading_figure
from robotsim.show.pulse_slider import pulse_figure
from robotsim.show.stage import Stage, on_stage
from robotsim.show.threshold_slider import threshold_figure
from robotsim.table import make_table
from tests.benchmarks.test_speed import middle
from tests.robotsim.show.scenes import SCENES

SLIDERS: dict[str, Callable[[int], Any]] = {
    # Each position is a new one: some keep what they have drawn or run.
    "bounce": lambda k: bounce_figure(5 * k),
    "duty": lambda k: duty_figure(0.30 + 0.01 * k, 7),
    "gain, with its run": lambda k: gain_figure(0.03 + 0.001 * k, 0.001),
    "heading": lambda k: heading_figure(0.1 * k, 10, 94),
    "pulse": lambda k: pulse_figure(1500 + 10 * k),
    "threshold": lambda k: threshold_figure(2000 + 10 * k, 7),
}


@pytest.mark.parametrize("name", SLIDERS)
def test_moving_a_slider(name: str, benchmark: BenchmarkFixture, found: dict[str, str]) -> None:
    """In processor time of this process, as a slider's picture is drawn again and again."""
    positions, stages, spent = itertools.count(), list[Stage](), list[float]()

    def move() -> None:
        begun = time.process_time()
        with on_stage(stages):
            bundle(SLIDERS[name](next(positions)), quick=True)
        spent.append(time.process_time() - begun)

    move()  # fonts are looked up once, and the stage is set
    benchmark.pedantic(move, rounds=7, iterations=1)
    found[f"slider for the {name}"] = (
        f"{1000 * statistics.median(spent[1:]):.0f} ms of processor to a new picture (goal 50)"
    )
    assert len(stages) == 1


def test_drawing_a_recording(benchmark: BenchmarkFixture, found: dict[str, str]) -> None:
    def draw() -> list[bytes]:
        return [png(figure(shown, table=table, targets=aims)) for shown, table, aims in
                SCENES.values()]  # fmt: skip

    drawn, seconds = middle(benchmark, draw, rounds=3)
    found["drawing a recording"] = f"{seconds / len(drawn):.2f} s on average (goal 0.6)"
    assert all(picture.startswith(b"\x89PNG") for picture in drawn)


@pytest.mark.parametrize("name", ["quay", "channel"])
def test_a_look_at_the_floor(name: str, benchmark: BenchmarkFixture, found: dict[str, str]) -> None:
    table, draw, points = make_table(name), random.Random(1), []
    for k in range(4000):
        x, y, way = table.line.at(k / 4000 * table.line.length)
        aside = draw.uniform(-0.02, 0.02)
        points.append((x - aside * math.sin(way), y + aside * math.cos(way)))

    def look() -> float:
        floor = make_table(name).floor  # nothing looked up before
        return sum(floor(x, y) for x, y in points * 5)

    shades, seconds = middle(benchmark, look, rounds=5)
    found[f"a look at the floor of {name}"] = f"{1e6 * seconds / 20_000:.2f} us (goal 1.5)"
    assert 0.06 * 20_000 < shades < 0.9 * 20_000
