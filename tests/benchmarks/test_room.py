"""A class in the room: nothing is lost on the way to the page; how long it takes is told.

Sixty laptops from a second process on the loopback, a teacher's screen with the broker that it
starts in a third.  No time is asserted.
"""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
import threading
import time
from pathlib import Path

import pytest

from checks.room.card import CARD, make_card, write_card
from checks.room.view import FULL
from tests.checks.room.test_screen import running
from tests.robotsim.radio.real import RealBroker, until

ROOT = Path(__file__).parents[2]
LEARNERS = Path(__file__).parent / "learners.py"


class Reader(threading.Thread):
    """Looks at the page again and again, and notes when a learner's task first stood there."""

    def __init__(self, page: Path) -> None:
        super().__init__(daemon=True)
        self.page, self.seen, self.stop = page, dict[tuple[str, str], float](), threading.Event()

    def run(self) -> None:
        before = 0
        while not self.stop.wait(0.02):
            if (version := self.page.stat().st_mtime_ns) != before:
                before, now = version, time.time()
                text = self.page.read_text(encoding="utf-8")
                for row in re.findall(r"<th scope='row'>(.*?)</th>.*?</td><td>(.*?)</td>", text):
                    self.seen.setdefault(row, now)


def play(folder: Path, count: int, rounds: int) -> dict[str, float]:
    """Let a class tell its rounds; give figures."""
    teacher, port = folder / "teacher", RealBroker.free_port()
    with running(teacher, "--port", str(port)):
        said = teacher.with_suffix(".log").read_text()
        password = re.findall(r'password="(\w+)"', said)[0]
        reader = Reader(teacher / "room" / "room.html")
        reader.start()
        done = subprocess.run(
            [sys.executable, str(LEARNERS), str(port), password, str(count), str(rounds)],
            capture_output=True, text=True, check=True, cwd=ROOT,
            env={**os.environ, "PYTHONPATH": str(ROOT)},
        )  # fmt: skip
        told = {(alias, task): at for alias, task, at in json.loads(done.stdout)}
        (journal,) = (teacher / "room").glob("*.jsonl")
        wanted = count * (rounds + 1)
        until(lambda: len(journal.read_bytes().splitlines()) >= wanted, "all that was told")
        until(lambda: told.keys() <= reader.seen.keys(), "all of it on the page")
        reader.stop.set()
        reader.join()
        marks = reader.page.read_text(encoding="utf-8").count(FULL)
    delays = sorted(reader.seen[key] - at for key, at in told.items())
    return {
        "told": wanted, "noted": len(journal_entries(journal)), "marks": marks,
        "half": delays[len(delays) // 2], "most": delays[int(0.99 * (len(delays) - 1))],
        "longest": delays[-1],
    }  # fmt: skip


def journal_entries(journal: Path) -> set[tuple[str, str]]:
    """Give what was noted, each once."""
    entries = map(json.loads, journal.read_text(encoding="utf-8").splitlines())
    return {(entry["key"], entry["what"]) for entry in entries}


def judge(figures: dict[str, float], count: int, rounds: int, found: dict[str, str]) -> None:
    assert figures["noted"] == figures["told"] == count * (rounds + 1)
    # Each laptop's own mark and the legend's two stand there besides.
    assert figures["marks"] == count * rounds + count + 2
    found[f"room: {count} learners, {rounds} checks each"] = (
        f"{figures['told']:.0f} told, none lost; from check to page: half within "
        f"{figures['half']:.2f} s, 99 % within {figures['most']:.2f} s, "
        f"the longest {figures['longest']:.2f} s"
    )


def test_a_class_of_sixty_is_on_the_page(tmp_path: Path, found: dict[str, str]) -> None:
    judge(play(tmp_path, 60, 2), 60, 2, found)


@pytest.mark.long
def test_a_class_of_sixty_is_on_the_page_check_after_check(
    tmp_path: Path, found: dict[str, str]
) -> None:
    judge(play(tmp_path, 60, 20), 60, 20, found)


SIX_CHECKS = """
import time
from checks import check
from robotsim.notebook import FLASH
FLASH["straight.py"] = "from machine import Pin\\nPin(25, Pin.OUT).on()\\n"
check("drive.straight")
begin = time.perf_counter()
for _ in range(6):
    check("drive.straight")
print(time.perf_counter() - begin)
"""


def test_what_being_in_the_room_costs_a_check(
    tmp_path: Path, found: dict[str, str], pytestconfig: pytest.Config
) -> None:
    """In turn without a card and with one whose broker is away: the worse case."""
    turns = 1 if pytestconfig.getoption("benchmark_disable") else 3
    took: dict[bool, list[float]] = {False: [], True: []}
    whole: dict[bool, list[float]] = {False: [], True: []}
    for joined in (False, True) * turns:
        folder = tmp_path / str(joined)
        folder.mkdir(exist_ok=True)
        if joined:
            write_card(make_card("Gull", f"127.0.0.1:{RealBroker.free_port()}", "", folder), folder)
        begin = time.perf_counter()
        done = subprocess.run([sys.executable, "-c", SIX_CHECKS], cwd=folder, check=True,
                              capture_output=True, text=True,
                              env={**os.environ, "PYTHONPATH": str(ROOT)})  # fmt: skip
        whole[joined].append(time.perf_counter() - begin)
        took[joined].append(float(done.stdout))
        assert (folder / CARD).exists() is joined and not done.stderr
    found["room: six checks without and with a card"] = (
        f"{min(took[False]):.3f} s and {min(took[True]):.3f} s; the whole process "
        f"{min(whole[False]):.2f} s and {min(whole[True]):.2f} s"
    )
