"""How long a class was at each task, from the journals of its days."""

from __future__ import annotations

from pathlib import Path

import pytest

from checks import TASKS
from checks.room.message import topic
from checks.room.screen import Heard, Screen
from checks.room.spent import minutes_on_tasks
from tests.checks.room.classes import MINUTE, NOON, key, ready, tried

FULL = TASKS["drive.start"].points


def told(screen: Screen, number: int, minutes: float, points: float, tries: int) -> None:
    """Let a laptop tell a try, so many minutes after its first one at noon."""
    payload = tried("Gull", points, tries, since=int(minutes * MINUTE))
    screen.hear(Heard(topic(key(number), "drive.start"), payload, False), NOON + minutes * MINUTE)


def test_it_counts_to_the_first_full_points_or_to_the_last_try(tmp_path: Path) -> None:
    screen = Screen(tmp_path / "room", 600, NOON)
    for minutes, points, tries in ((0, 0, 1), (7, 4, 2), (12, FULL, 3), (30, FULL, 4)):
        told(screen, 1, minutes, points, tries)
    for minutes, tries in ((0, 1), (25, 2)):
        told(screen, 2, minutes, 4, tries)
    told(screen, 3, 0, FULL, 1)
    assert minutes_on_tasks(tmp_path) == {"drive.start": pytest.approx((0.0, 12.0, 25.0))}


def test_each_day_counts_by_itself_and_spoilt_lines_for_nothing(tmp_path: Path) -> None:
    screen = Screen(tmp_path / "room", 600, NOON)
    told(screen, 1, 0, 0, 1)
    told(screen, 1, 6, 0, 2)
    first = screen.journal.path
    first.with_name("2027-01-01.jsonl").write_bytes(first.read_bytes())
    with first.open("ab") as journal:
        journal.write(b'no json\n{"what": "drive.sail"}\n{"t": "x", "what": 3, "told": 4}\n[]\n')
    assert minutes_on_tasks(tmp_path) == {"drive.start": pytest.approx((6.0, 6.0))}


def test_who_takes_everything_back_is_not_counted(tmp_path: Path) -> None:
    screen = Screen(tmp_path / "room", 600, NOON)
    screen.hear(Heard(topic(key(1), "ready"), ready(), False), NOON)
    told(screen, 1, 0, 0, 1)
    screen.hear(Heard(topic(key(1), "ready"), b"", False), NOON + 1)
    assert minutes_on_tasks(tmp_path) == {} == minutes_on_tasks(tmp_path / "none")
