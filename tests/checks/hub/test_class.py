"""Thirty learners on one machine: cards, waits, memory, and seats that take what they can.

    QUAYSIDE_SEATS=30 python3 tests --long tests/checks/hub/test_class.py -s

Times and memory are told, not asserted: they are this machine's, and ratios of one run.
"""

from __future__ import annotations

import asyncio
import os
import statistics
import time
from collections.abc import Iterator
from contextlib import AsyncExitStack, suppress
from pathlib import Path
from typing import NamedTuple

import pytest

from tests.checks.hub.browser import Browser, Lesson
from tests.checks.hub.hogs import GROUPED, HOGS, can_group, take_away
from tests.checks.hub.school import FIRST_TUG, School, processes_of
from tests.checks.hub.work import at_once, full_marks, solved_for

pytestmark = [pytest.mark.npm, pytest.mark.long]
MEMORY_MB, TASKS = 2048, 200
"""What the hub's configuration gives a seat."""
PATIENT = "c.Spawner.start_timeout = c.Spawner.http_timeout = 600\n"
SEATS = int(os.environ.get("QUAYSIDE_SEATS", "30"))
FILE, SECOND = "1-lamps.ipynb", "2-drive.ipynb"
CHECK = 'check("lamps.signal")'


@pytest.fixture(scope="module")
def school(proxy: Path) -> Iterator[School]:
    grouped = can_group()
    made = School(SEATS, proxy, PATIENT + (GROUPED if grouped else ""))
    try:
        made.start()
        yield made
    finally:
        made.end()
        if grouped:
            take_away([one.user for one in made.passes])


def p95(times: list[float]) -> float:
    return sorted(times)[max(0, round(0.95 * len(times)) - 1)]


class Taken(NamedTuple):
    """What a seat takes: MB of memory by proc(5)'s smaps_rollup, and processes."""

    resident: float = 0.0
    proportional: float = 0.0
    server: float = 0.0
    """Of the proportional part, Jupyter's server; the rest are kernels and what they have run."""
    processes: int = 0


def taken(school: School, number: int) -> Taken:
    sums = dict.fromkeys(Taken._fields, 0.0)
    pids = processes_of(school.account(school.learners[number]).pw_uid)
    for pid in pids:
        with suppress(OSError):
            place = Path(f"/proc/{pid}")
            rows = [row.split() for row in (place / "smaps_rollup").read_text().splitlines()[1:]]
            found = {row[0]: int(row[1]) / 1024 for row in rows}
            sums["resident"] += found["Rss:"]
            sums["proportional"] += found["Pss:"]
            if b"checks.hub.serve" in (place / "cmdline").read_bytes():
                sums["server"] += found["Pss:"]
    return Taken(sums["resident"], sums["proportional"], sums["server"], len(pids))


async def timed(lesson: Lesson, code: str) -> float:
    began = time.monotonic()
    ran = await lesson.run(code, within=600)
    assert ran.status == "ok", ran
    return time.monotonic() - began


def test_all_cards_are_right_and_what_it_costs_is_told(
    school: School, capsys: pytest.CaptureFixture[str]
) -> None:
    numbers = range(SEATS)

    async def one(browser: Browser, number: int) -> tuple[float, float, dict[str, float]]:
        """Give the wait for the home page, the wait for a card, and the points shown."""
        await browser.enter()
        done = await asyncio.to_thread(solved_for, FIRST_TUG + number)
        lesson = await browser.open_lesson(FILE)
        shown = await lesson.run_all(done)
        wait = await timed(lesson, CHECK)
        assert "with your teacher since" in await browser.press("/quayside/hand-in")
        return browser.spawn_s, wait, {name: float(points) for name, points in shown.items()}

    async def all_of_it() -> list[str]:
        async with AsyncExitStack() as stack:
            browsers = [await stack.enter_async_context(Browser(school.address, who))
                        for who in school.learners]  # fmt: skip
            alone = await one(browsers[0], 0)
            found = await asyncio.gather(*(one(browsers[k], k) for k in numbers[1:]))
            assert [shown for *_, shown in (alone, *found)] == [full_marks("lamps")] * SEATS
            told = [
                f"{SEATS} seats: all cards right",
                f"spawn to page: alone {alone[0]:.1f} s; all at once, p95 as a ratio to it: "
                f"{p95([wait for wait, *_ in found]) / alone[0]:.1f}",
                f"run to card: alone {alone[1]:.1f} s; p95 as a ratio: "
                f"{p95([wait for _, wait, _ in found]) / alone[1]:.1f}",
                _memory(school, "with one lesson run to its end"),
            ]
            # Made before a line stands: a browser answers the server's pings all the while.
            done = [await asyncio.to_thread(solved_for, FIRST_TUG + k, "drive") for k in numbers]
            lessons = await asyncio.gather(*(b.open_lesson(SECOND) for b in browsers))
            shown = await asyncio.gather(
                *(one.run_all(book) for one, book in zip(lessons, done, strict=True))
            )
            points = [{name: float(n) for name, n in each.items()} for each in shown]
            assert points == [full_marks("drive")] * SEATS
            told.append(_memory(school, "with a second one run to its end"))
            # Its server, the second lesson's kernel, and of what that one's programs are forked.
            while any(taken(school, number).processes > 3 for number in numbers):
                await asyncio.sleep(5)
                for lesson in lessons:  # they sit at the second one meanwhile
                    await lesson.run("1")
            return [*told, _memory(school, "once the first one was left for a while")]

    (told,) = at_once(all_of_it())
    with capsys.disabled():
        print("\n" + "\n".join(told))


def _memory(school: School, words: str) -> str:
    seats = [taken(school, number) for number in range(SEATS)]
    middle = Taken(*map(statistics.median, zip(*seats, strict=True)))
    return (
        f"a seat {words}: {middle.resident:.0f} MB resident, {middle.proportional:.0f} proportional"
        f" (its server {middle.server:.0f}), {middle.processes:.0f} processes; all {SEATS}: "
        f"{sum(seat.proportional for seat in seats) / 1024:.2f} GB proportional"
    )


@pytest.mark.parametrize("kind", HOGS)
def test_a_seat_that_takes_what_it_can_leaves_the_others_theirs(
    school: School, kind: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """The others' cards come, and are right; by how much later is told."""
    hog, other = school.learners[0], school.learners[1]

    async def both() -> tuple[list[float], list[float], str]:
        async with Browser(school.address, hog) as bad, Browser(school.address, other) as good:
            await asyncio.gather(bad.enter(), good.enter())
            mine, theirs = await bad.open_lesson(FILE), await good.open_lesson(FILE)
            before, during = [], []
            ended = "still at it"
            for _ in range(5):  # by turns, since others may be at work on this machine
                before += [await timed(theirs, CHECK) for _ in range(3)]
                task = asyncio.create_task(mine.run(HOGS[kind], within=900))
                await asyncio.sleep(3)
                during += [await timed(theirs, CHECK) for _ in range(3)]
                held = taken(school, 0)
                assert held.proportional < MEMORY_MB and held.processes <= TASKS, held
                if task.done():
                    ended = task.result().error or task.result().status
                task.cancel()
                await bad.api("POST", f"kernels/{mine.kernel}/restart")
                await asyncio.sleep(1)
                mine = await bad.join(mine.notebook, FILE, mine.kernel)
            return before, during, ended

    ((before, during, ended),) = at_once(both())
    typical, best = (how(during) / how(before) for how in (statistics.median, min))
    with capsys.disabled():
        print(f"\na seat that {kind}: another's card takes {typical:.2f} times as long (the "
              f"quickest {best:.2f}); it: {ended[:60]}")  # fmt: skip
    assert best < 3, "the machine's limits hold nothing"
