"""The rules of a room, without a clock: who is where, and who needs a visit."""

from __future__ import annotations

import pytest

from checks import TASKS
from checks.room.message import READY
from checks.room.model import MOST_LEARNERS, Room
from checks.room.view import View, ago, view
from tests.checks.room.classes import MINUTE, NOON, key, ready, tried

STUCK_S = 10 * MINUTE
TASK = "drive.straight"
CAUSE = "trim on the wrong side"


def shown(room: Room, now: float) -> View:
    return view(room, now, STUCK_S)


def reasons(room: Room, now: float) -> list[str]:
    return ["; ".join(visit.reasons) for visit in shown(room, now).visits]


@pytest.fixture
def room() -> Room:
    made = Room()
    made.hear(key(1), READY, ready(), NOON)
    return made


def test_who_joins_stands_there_and_is_not_known_until_the_doctor_has_looked() -> None:
    room = Room()
    room.hear(key(1), READY, ready(lacking=None), NOON)
    assert shown(room, NOON).ready == (0, 0, 1)
    room.hear(key(1), READY, ready(), NOON + 3)
    assert shown(room, NOON).ready == (1, 0, 0)
    room.hear(key(1), READY, ready(lacking=None), NOON + 9)  # joins once more
    assert shown(room, NOON).ready == (1, 0, 0)
    assert not shown(room, NOON).visits


def test_a_laptop_that_is_not_ready_is_named_first_with_its_lines(room: Room) -> None:
    room.hear(key(1), TASK, tried(tries=5), NOON)
    room.hear(key(2), READY, ready("Tern", ["kernel", "packages"]), NOON + 15 * MINUTE)
    visits = shown(room, NOON + 15 * MINUTE).visits
    assert [visit.name for visit in visits] == ["Tern", "Gull"]
    assert visits[0].reasons == ("not ready: packages, kernel",)


def test_a_laptop_on_which_checks_run_is_ready_enough(room: Room) -> None:
    room.hear(key(1), READY, ready(lacking=["browser"]), NOON)
    assert reasons(room, NOON) == ["not ready: browser"]
    room.hear(key(1), TASK, tried(), NOON + 5)
    assert reasons(room, NOON + 5) == []
    assert shown(room, NOON + 5).ready == (0, 1, 0)
    room.hear(key(1), READY, ready(lacking=["kernel"]), NOON + 9)
    assert reasons(room, NOON + 9) == ["not ready: kernel"]


def test_stuck_is_three_tries_and_ten_minutes_and_not_all_points(room: Room) -> None:
    for tries in (1, 2, 3):
        room.hear(key(1), TASK, tried(tries=tries, points=4, cause=CAUSE), NOON + tries * MINUTE)
    assert reasons(room, NOON + 10.9 * MINUTE) == []
    assert reasons(room, NOON + 11 * MINUTE) == [
        f"{TASK} for 10 minutes, 3 tries; likeliest: {CAUSE}"
    ]
    assert shown(room, NOON).held[0].cause == (CAUSE, 1)
    room.hear(key(1), TASK, tried(tries=4, points=10), NOON + 12 * MINUTE)
    assert reasons(room, NOON + 15 * MINUTE) == [] and not shown(room, NOON).held
    room.hear(key(1), TASK, tried(tries=5, points=2), NOON + 13 * MINUTE)
    assert shown(room, NOON).lessons["drive"]["straight"] == 1, "what is passed stays passed"


def test_two_tries_however_long_are_not_stuck(room: Room) -> None:
    room.hear(key(1), TASK, tried(tries=2), NOON)
    assert reasons(room, NOON + 19 * MINUTE) == []


def test_who_has_gone_on_to_another_task_is_not_stuck_at_the_one_before(room: Room) -> None:
    room.hear(key(1), TASK, tried(tries=4), NOON)
    room.hear(key(1), "drive.curve", tried(), NOON + 9 * MINUTE)
    assert reasons(room, NOON + 15 * MINUTE) == []
    assert shown(room, NOON).held[0].task == TASK, "but the task has held somebody up"


def test_silent_for_twenty_minutes_counts_only_with_work_left(room: Room) -> None:
    room.hear(key(2), READY, ready("Tern"), NOON)
    assert reasons(room, NOON + 60 * MINUTE) == [], "nobody has begun: a talk, not a silence"
    for task in (name for name, one in TASKS.items() if one.lesson == "drive"):
        room.hear(key(1), task, tried(points=TASKS[task].points), NOON)
    visits = shown(room, NOON + 20 * MINUTE).visits
    assert [(v.name, v.reasons) for v in visits] == [("Tern", ("nothing heard for 20 minutes",))]


def test_the_longest_stuck_comes_first(room: Room) -> None:
    room.hear(key(1), TASK, tried(tries=3), NOON + 5 * MINUTE)
    room.hear(key(2), TASK, tried("Tern", tries=3), NOON)
    room.hear(key(3), TASK, tried("Eider", tries=3), NOON + 9 * MINUTE)
    names = [visit.name for visit in shown(room, NOON + 19.5 * MINUTE).visits]
    assert names == ["Tern", "Gull", "Eider"]


def test_everyone_stands_by_name_not_by_speed(room: Room) -> None:
    room.hear(key(2), TASK, tried("tern", points=10), NOON)
    room.hear(key(3), READY, ready("Auk"), NOON)
    assert [person.name for person in shown(room, NOON).people] == ["Auk", "Gull", "tern"]


def test_two_of_one_alias_are_told_apart_and_keep_their_names(room: Room) -> None:
    room.hear(key(2), READY, ready("Gull"), NOON)
    room.hear(key(3), READY, ready("Gull 2"), NOON)
    assert list(room.names().values()) == ["Gull", "Gull 2", "Gull 2 2"]
    room.hear(key(2), TASK, tried("Gull"), NOON)
    where = {person.name: person.task for person in shown(room, NOON).people}
    assert where == {"Gull": "", "Gull 2": TASK, "Gull 2 2": ""}


def test_a_mark_reads_without_colour(room: Room) -> None:
    for task, points in (("start", 10), ("straight", 4), ("curve", 0)):
        room.hear(key(1), f"drive.{task}", tried(points=points), NOON)
    assert shown(room, NOON).people[0].marks == {"drive": "✓◐○–"}


def test_a_kernel_started_anew_counts_on(room: Room) -> None:
    room.hear(key(1), TASK, tried(tries=4, points=5), NOON)
    room.hear(key(1), TASK, tried(tries=1, run="0000000b"), NOON + 9 * MINUTE)
    room.hear(key(1), TASK, tried(tries=2, run="0000000b"), NOON + 11 * MINUTE)
    standing = room.learners[key(1)].tasks[TASK]
    assert (standing.tries, standing.points, standing.first) == (6, 5, NOON)


def test_what_is_told_twice_or_late_counts_once(room: Room) -> None:
    for tries in (1, 2, 2, 1):
        room.hear(key(1), TASK, tried(tries=tries), NOON)
    assert room.learners[key(1)].tasks[TASK].tries == 2


def test_a_screen_that_is_started_late_knows_since_when(room: Room) -> None:
    room.hear(key(1), TASK, tried(tries=6, since=840), NOON, kept=True)
    assert reasons(room, NOON) == [f"{TASK} for 14 minutes, 6 tries"]


def test_what_the_broker_had_kept_is_no_sign_of_life_the_second_time(room: Room) -> None:
    assert not room.hear(key(1), READY, ready(), NOON + MINUTE, kept=True)
    assert room.learners[key(1)].heard == NOON
    assert room.hear(key(1), READY, ready(), NOON + MINUTE)
    assert room.learners[key(1)].heard == NOON + MINUTE


def test_what_the_broker_has_kept_from_another_day_is_left_out() -> None:
    room = Room()
    assert not room.hear(key(1), READY, ready(day="2001-01-01"), NOON, kept=True)
    assert room.refused == {"of another day": 1}
    assert room.hear(key(1), READY, ready(day="2001-01-01"), NOON), "a laptop's clock may be wrong"


def test_what_is_taken_back_is_gone(room: Room) -> None:
    room.hear(key(1), TASK, tried(), NOON)
    assert room.hear(key(1), TASK, b"", NOON) and not room.learners[key(1)].tasks
    assert room.hear(key(1), READY, b"", NOON) and not room.learners
    assert not room.hear(key(1), READY, b"", NOON) and not room.refused


def test_a_flood_is_held_back_and_ends(room: Room) -> None:
    for number in range(500):
        room.hear(key(1), READY, ready(lacking=["port"] * (number % 2)), NOON + 1)
    assert room.refused["too many at once"] > 450
    assert room.hear(key(1), TASK, tried(), NOON + 30)


def test_invented_laptops_fill_no_memory(room: Room) -> None:
    for number in range(2 * MOST_LEARNERS):
        room.hear(key(number), READY, ready(), NOON)
    assert len(room.learners) == MOST_LEARNERS
    assert room.refused == {"the room is full": MOST_LEARNERS}
    assert room.hear(key(1), TASK, tried(), NOON), "who is in it is still heard"


@pytest.mark.parametrize(
    ("seconds", "words"), [(-5, "now"), (59, "now"), (60, "1 min"), (3700, "1 h 1 min")]
)
def test_a_time_is_told_in_words(seconds: float, words: str) -> None:
    assert ago(seconds) == words
