"""The tasks of the lesson `harbour`: fair scripts, fair reports, and the board's other files."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from checks import TASKS, Scorecard, check
from checks.course.lessons import LESSONS
from checks.tasks.harbour import Voyages, steps
from checks.tasks.harbour.scripts import leg_script, ready_script, run_script
from checks.tasks.harbour.voyage import Step, Voyage
from checks.tasks.radio.scripts import GIVEAWAY
from robotsim import PINS, Whose, run_trial
from robotsim.radio import Airwaves, BadOrder, Order, read_order
from robotsim.recording import Event
from robotsim.units import ns
from tests.checks.test_worked import solution
from tests.robotsim.show.recordings import recording

PROGRAMS = Path(__file__).parents[2] / "programs" / "harbour"
SCRIPTS: dict[str, Callable[[int], Airwaves]] = {
    "harbour.ready": ready_script, "harbour.leg": leg_script, "harbour.run": run_script,
}  # fmt: skip


def worked(task: str, *changes: tuple[str, str], serial: int = 7) -> Scorecard:
    """Check the worked solution of a task with some of its text changed."""
    files, program = dict(solution("harbour")), TASKS[task].program
    for old, new in changes:
        assert old in files[program]
        files[program] = files[program].replace(old, new)
    return check(task, files=files, serial=serial)


def kept(card: Scorecard) -> dict[str, float]:
    return {row.criterion.title: row.points / row.criterion.points for row in card.rows}


# -- what the office sends -------------------------------------------------------


def bad(order: Order) -> bool:
    try:
        read_order(order.payload)
    except BadOrder:
        return True
    return False


@pytest.mark.parametrize("task", SCRIPTS)
def test_a_script_has_good_and_bad_orders_and_one_for_another_tug(task: str) -> None:
    for seed in range(1, 20):
        script = SCRIPTS[task](seed)
        own = [order for order in script.orders if not order.to]
        assert any(not bad(order) for order in own)
        strangers = [order for order in script.orders if order.to]
        assert strangers and all("tug-1000" in order.to for order in strangers)
        # Somebody who obeys any tug's order must be caught before a good one has come.
        assert strangers[0].at < min(order.at for order in own if not bad(order))
    first = SCRIPTS[task](1)
    assert any(b"6 * 7" in order.payload for order in first.orders if bad(order))
    assert not any(GIVEAWAY.encode() in order.payload for order in first.orders)


def test_the_two_scripts_of_ready_send_each_kind_of_bad_order_once() -> None:
    payloads = [o.payload for seed in (1, 2) for o in ready_script(seed).orders if bad(o)]
    assert len(payloads) == len(set(payloads)) >= 7


def test_a_full_speed_tug_does_not_come_to_the_bar_before_its_last_order_to_go() -> None:
    """Free speed 0.5 m/s; the line is 1.3 m or more from the start to the bar."""
    good = [o for o in leg_script(1).orders if not o.to and not bad(o)]
    spells = [json.loads(order.payload) for order in good]
    first = good[1].at - good[0].at - 1.4
    assert spells[1]["speed"] == 0 and 0.5 * (first + spells[2]["seconds"]) < 1.3


# -- what is judged --------------------------------------------------------------


def test_who_creeps_along_the_line_has_the_time_that_the_lesson_promises() -> None:
    assert worked("harbour.leg", ("EFFORT = 0.5\n", "EFFORT = 0.4\n")).full


def test_a_slow_run_loses_only_for_its_time() -> None:
    card = worked("harbour.run", ("EFFORT = 0.55\n", "EFFORT = 0.3\n"))
    assert {title for title, part in kept(card).items() if part < 1} == {"It is quick"}
    assert kept(card)["It is quick"] > 0
    assert card.cause and card.cause.name == "slow on the line"


@pytest.mark.parametrize("efforts", ["-0.5, 0.5", "-0.5, -0.5", "0, 0.5"])
def test_only_straight_ahead_is_straight_ahead(efforts: str) -> None:
    card = worked("harbour.ready", ("drive(0.5, 0.5)", f"drive({efforts})"))
    assert kept(card)["It sets off on an order"] == 0.5
    assert card.cause and card.cause.name == "not straight ahead"


def test_a_weak_effort_is_straight_enough_on_an_unequal_tug() -> None:
    """Of 51 tugs number 76 is the most unequal at 0.3: one wheel rolls 0.59 of the other's way."""
    assert worked("harbour.ready", ("drive(0.5, 0.5)", "drive(0.3, 0.3)"), serial=76).full


def test_a_crooked_start_is_one_that_unlike_efforts_made() -> None:
    """Two efforts for two unlike wheels are a straight start, and for two alike a crooked one."""
    start, asked = "It sets off on an order", "drive(0.5, 0.5)"
    crooked = worked("harbour.ready", (asked, "drive(0.5, 0.35)"), serial=0)
    assert 0.5 < kept(crooked)[start] < 1
    assert crooked.cause and crooked.cause.name == "not straight ahead"
    assert kept(worked("harbour.ready", (asked, "drive(0.5, 0.45)"), serial=0))[start] == 1


def test_one_report_of_a_refusal_does_not_stand_for_two_bad_orders() -> None:
    files = dict(solution("harbour"))
    files["wireless.py"] = (
        files["wireless.py"]
        .replace(
            '            report("refused", why=str(fault))',
            "            _heard.append(fault)\n            if len(_heard) % 2:\n"
            '                report("refused", why=str(fault))',
        )
        .replace("_waiting = []", "_waiting = []\n_heard = []")
    )
    card = check("harbour.ready", files=files, serial=7)
    assert 0.3 < kept(card)["It refuses bad orders"] < 0.8
    assert all(part == 1 for title, part in kept(card).items() if title != "It refuses bad orders")


def test_an_arm_that_brushes_the_float_in_the_middle_has_not_struck_yet() -> None:
    """With some degrees of trim it may, as the tug comes to the bar."""
    orders_us = [(0.0, 1500), (5.0, 1000), (6.0, 2000), (6.5, 1500)]
    told_arm = [
        Event(ns(at), "pwm", (PINS["arm"], 50, round(us / 20_000 * 65536))) for at, us in orders_us
    ]
    touches = [Event(ns(at), "touch", ("arm", "float", 0.1)) for at in (4.8, 6.1)]
    hit = day(*told_arm, *touches).hit
    assert hit is not None and hit.time == pytest.approx(6.1)
    assert day(*told_arm, touches[0]).hit is None


# -- reports ----------------------------------------------------------------------


def message(at: float, stage: str, what: Any) -> Event:
    topic = "harbour/tug-0/order" if stage in ("order", "arrived") else "harbour/tug-0/log"
    data = json.dumps(what).encode()
    return Event(ns(at), "message", (stage, topic, data.hex(), len(data), 1, False, False))


def day(*events: Event) -> Voyage:
    """Give a voyage of 12 s on the table of the harbour in which nothing moves."""
    made = recording(seconds=12.0, table="harbour", events=events)
    return Voyages([made]).trials[0]


def ordered(at: float, **what: Any) -> list[Event]:
    return [message(at, "order", what), message(at + 0.02, "arrived", what)]


GO = ordered(4.0, speed=0.2, seconds=2, number=31)
STOP = ordered(7.0, speed=0, number=32)
AGAIN = ordered(8.0, speed=0.2, seconds=2, number=33)


def test_the_steps_that_are_asked_for_follow_from_the_orders() -> None:
    made = day(*GO, *STOP, *AGAIN)
    assert len(made.goes) == 2 and len(made.orders) == 3
    assert steps.asked_steps(made) == [
        ("started", 31), ("stopped", 32), ("started", 33), ("done", 33),
    ]  # fmt: skip
    ran_out = day(*GO, *AGAIN)
    assert steps.asked_steps(ran_out, over="stopped")[1] == ("stopped", 31)
    assert steps.asked_steps(ran_out)[1] == ("done", 31)


@pytest.mark.parametrize(("at", "soon"), [(4.5, True), (5.5, True), (5.9, False), (6.3, False)])
def test_done_before_its_seconds_are_over_is_too_soon(at: float, soon: bool) -> None:
    assert bool(steps.done_in_time(day(*GO), Step("done", 31, at))) == soon
    assert not steps.done_in_time(day(*GO), Step("done", 30, at))


def ends_too_soon(one: Voyage) -> bool:
    return steps.stopped_too_soon.evidence(Voyages([one.recording])) is not None


def test_an_order_that_another_one_ended_was_not_over_too_soon() -> None:
    stopped = message(4.5, "told", {"did": "stopped", "number": 31})
    assert ends_too_soon(day(*GO, stopped))
    ended = message(7.1, "told", {"did": "stopped", "number": 31})
    long = ordered(4.0, speed=0.2, seconds=60, number=31)
    assert not ends_too_soon(day(*long, *STOP, ended))


# -- the board's other files ---------------------------------------------------------


@pytest.mark.parametrize("task", SCRIPTS)
def test_the_programs_have_the_lessons_own_files_beside_them(task: str) -> None:
    for name in ("tug.py", "wireless.py"):
        beside = PROGRAMS / task.split(".")[1] / "with" / name
        assert beside.read_text(encoding="utf-8").strip() == solution("harbour")[name].strip()


def test_the_lessons_wireless_refuses_a_number_that_is_not_whole_or_below_0() -> None:
    numbers = 2.5, -1, 0, 12
    orders = [Order(4.0 + k, {"speed": 0, "number": n}) for k, n in enumerate(numbers)]
    made = run_trial(
        dict(solution("harbour")), program="ready.py", table="harbour", seconds=9.0,
        air=Airwaves(orders=orders), whose=Whose.KIT,
    )  # fmt: skip
    (one,) = Voyages([made]).trials
    assert [bad(order) for order in orders] == [True, True, False, False]
    assert len(one.did("refused")) == 2
    assert [step.number for step in one.steps] == [0, 12]


def test_the_office_sends_what_the_lesson_says_and_watches_for_as_long() -> None:
    text = LESSONS.joinpath("harbour.md").read_text(encoding="utf-8")
    assert "every good order of the check has one, and no bad order is bad by its number" in text
    for task in SCRIPTS:
        for run in TASKS[task].runs:
            assert run.air
            own = [order for order in run.air.orders if not order.to]
            good = [read_order(order.payload) for order in own if not bad(order)]
            assert all(order.number is not None for order in good)
            assert not any(b"number" in order.payload for order in own if bad(order))
            left = run.seconds - max(order.at for order in own)
            if task == "harbour.leg":
                assert left >= int(re.search(r"watches for (\d+) s or more", text)[1])
            if task == "harbour.run":
                assert "watches for half a minute" in text and left >= 30


def test_the_lesson_says_how_many_points_its_tasks_have() -> None:
    text = LESSONS.joinpath("harbour.md").read_text(encoding="utf-8")
    assert f"three tasks ({sum(TASKS[task].points for task in SCRIPTS):g} points)" in text


# -- what counts ------------------------------------------------------------------------


def test_a_run_that_never_uses_the_side_mark_loses_all_for_its_side() -> None:
    """On one of two tables a side chosen blindly is the right one."""
    card = worked("harbour.run", ("knock(side > 0)", "knock(True)"))
    assert kept(card)["It winds up on the far side"] == 0 and card.points <= 16
    assert card.cause and card.cause.name == "winds up on the float's side"


@pytest.mark.parametrize("task", ["harbour.leg", "harbour.run"])
def test_braked_at_the_bar_is_not_off(task: str) -> None:
    card = worked(task, ("            time.sleep_ms(300)\n            stop()\n", ""))
    assert 0.5 < kept(card)["It stops at the bar"] < 1
    assert card.cause and card.cause.name == "motors braked at the end, not off"


def test_a_wait_in_which_it_creeps_costs_by_how_far() -> None:
    """An end that comes a moment too late costs less than one that comes late by a second."""
    over = 'int(1000 * order["seconds"])'
    late = [
        kept(worked("harbour.ready", (over, f"{over} + {ms}")))
        for ms in (670, 1300)
    ]  # fmt: skip
    part = [one["It waits for its orders"] for one in late]
    assert part[1] < part[0] < 1
