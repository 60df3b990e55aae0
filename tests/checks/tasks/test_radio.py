"""The tasks of the lesson `radio`: fair scripts, and criteria on recordings made by hand."""

from __future__ import annotations

import dataclasses
import json
from collections.abc import Callable, Sequence
from typing import Any

import pytest

import checks.tasks
from checks import TASKS, Finding, check
from checks.readings.radio import orders, published
from checks.tasks.radio.scripts import (
    GIVEAWAY,
    helm_script,
    lamp_script,
    lost_script,
    report_script,
)
from robotsim import Recording
from robotsim.radio import Airwaves, BadOrder, read_order
from robotsim.recording import Event
from robotsim.units import ns
from tests.checks.tasks.judging import findings
from tests.checks.tuning import tuned, worked
from tests.robotsim.show.recordings import motors, recording

RADIO = [task for task in TASKS if task.startswith("radio.")]
ORDER, LOG = "harbour/tug-0/order", "harbour/tug-0/log"


def message(at: float, stage: str, what: Any, qos: int = 1) -> Event:
    """Give one message at one stage of its way."""
    data = what if isinstance(what, bytes) else json.dumps(what).encode()
    topic = ORDER if stage in ("order", "arrived", "taken") else LOG
    return Event(ns(at), "message", (stage, topic, data.hex(), len(data), qos, False, False))


def came(at: float, what: Any) -> list[Event]:
    """Give an order that was sent, arrived and was taken."""
    return [message(at, "order", what), message(at + 0.01, "arrived", what),
            message(at + 0.02, "taken", what)]  # fmt: skip


def lit(at: float, colour: tuple[int, int, int], count: int = 5) -> Event:
    return Event(ns(at), "lamps", ((colour,) * count + ((0, 0, 0),) * (5 - count),))


def on_air(at: float, what: str, detail: str) -> Event:
    return Event(ns(at), "radio", (what, detail))


def named(task: str, made: Recording) -> list[str]:
    """Give the names of the mistakes that a recording gives away."""
    seen = TASKS[task].facts([made])
    return [mistake.name for mistake in TASKS[task].mistakes if mistake.evidence(seen)]


# -- scripts -------------------------------------------------------------------

SCRIPTS: dict[str, Callable[[int], Airwaves]] = {
    "radio.lamps": lamp_script, "radio.helm": helm_script,
    "radio.report": report_script, "radio.lost": lost_script,
}  # fmt: skip


@pytest.mark.parametrize("task", RADIO)
def test_every_script_has_good_orders_and_bad_ones_and_one_that_tells_if_it_is_run(
    task: str,
) -> None:
    for seed in range(30):
        good, bad = [], []
        for order in SCRIPTS[task](seed).orders:
            try:
                good.append(read_order(order.payload))
            except BadOrder:
                bad.append(order.payload)
        assert len(good) >= 4 and bad
        assert any(b"6 * 7" in payload for payload in bad)
        assert not any(GIVEAWAY.encode() in payload for payload in bad)


def test_the_same_seed_gives_the_same_script_and_another_one_another() -> None:
    for script in SCRIPTS.values():
        assert script(3) == script(3) != script(4)


def test_no_colour_of_a_script_depends_on_the_order_of_the_lamps_bytes() -> None:
    for seed in range(30):
        for air in (lamp_script(seed), report_script(seed)):
            for order in air.orders:
                if isinstance(order.what, dict):
                    red, green, _ = order.what["lamps"]
                    assert red == green


@pytest.mark.parametrize("task", RADIO)
@pytest.mark.parametrize(
    "seed", [11, *(pytest.param(s, marks=pytest.mark.long) for s in range(12, 24))]
)
def test_the_worked_solution_passes_on_scripts_that_nobody_has_seen(
    task: str, seed: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked = TASKS[task]
    # Two scripts of helm are mirror images, begun at two places.
    first = asked.runs[0 if seed % 2 or task != "radio.helm" else 1]
    run = dataclasses.replace(first, air=SCRIPTS[task](seed), seed=seed)
    changed = dataclasses.replace(asked, runs=(run,))
    monkeypatch.setitem(checks.tasks.TASKS, task, changed)
    card = check(task, files={asked.program: tuned(task, worked(task), 7)}, serial=7)
    assert card.full, str(card)


# -- orders and lamps --------------------------------------------------------------

YELLOW = {"lamps": [90, 90, 0]}


def test_an_order_is_found_with_its_way_to_the_tug() -> None:
    lost = [message(3.0, "order", {"speed": 0})]
    one, other = orders(recording(events=[*came(1.0, YELLOW), *lost]))
    assert (one.sent, one.at, one.why) == (1.0, 1.01, "") and one.order is not None
    assert other.at is None and other.since == 3.0


@pytest.mark.parametrize(
    ("shown", "share"),
    [([lit(1.3, (90, 90, 0))], 1.0), ([lit(1.6, (90, 90, 0))], 0.0), ([], 0.0),
     ([lit(1.3, (90, 90, 0), 1)], 0.2), ([lit(1.3, (90, 91, 0))], 0.0)],
    ids=["in time", "late", "never", "one lamp", "another colour"],
)  # fmt: skip
def test_a_good_order_is_to_be_seen_on_all_lamps_in_time(shown: list[Event], share: float) -> None:
    made = recording(events=[*came(1.0, YELLOW), *shown], ended="time is up")
    found = findings("radio.lamps", made)
    assert found["It shows what good orders ask"].share == pytest.approx(share)
    assert found["It goes on listening"].share == pytest.approx(share)


def test_a_bad_order_that_shows_is_found_and_named() -> None:
    events = [*came(1.0, YELLOW), lit(1.1, (90, 90, 0)), *came(2.0, b"[1, 2]"), lit(2.1, (1, 2, 0))]
    made = recording(events=events, ended="time is up")
    found = findings("radio.lamps", made)["It refuses bad orders"]
    assert found.share == 0.0 and "[1, 2]" in found.measured
    assert "a bad order was carried out" in named("radio.lamps", made)


def test_an_order_with_a_name_that_the_task_has_not_is_a_bad_one() -> None:
    more = {"lamps": [90, 90, 0], "number": 3}
    events = [*came(1.0, YELLOW), lit(1.1, (90, 90, 0)), *came(2.0, more | {"lamps": [5, 5, 0]})]
    for shown, share in (([], 1.0), ([lit(2.1, (5, 5, 0))], 0.0)):
        made = recording(events=[*events, *shown], ended="time is up")
        assert findings("radio.lamps", made)["It refuses bad orders"].share == share


def test_a_good_order_that_is_shown_late_is_no_bad_one_carried_out() -> None:
    events = [*came(1.0, YELLOW), *came(1.5, b"[1, 2]"), lit(1.6, (90, 90, 0))]
    assert "a bad order was carried out" not in named("radio.lamps", recording(events=events))


def test_who_shows_nothing_earns_nothing_for_leaving_bad_orders_alone() -> None:
    made = recording(events=[*came(1.0, YELLOW), *came(2.0, b"[1, 2]")], ended="time is up")
    assert findings("radio.lamps", made)["It refuses bad orders"].share == 0.0


def test_only_what_a_run_message_can_print_is_taken_for_evaluated() -> None:
    refused = 'refused: print(6 * 7, "times evaluated")'
    for text, bad in ((refused, False), (GIVEAWAY, True)):
        made = recording(events=[*came(1.0, YELLOW), Event(ns(2.0), "print", (text + "\n",))])
        assert ("what arrives is evaluated" in named("radio.lamps", made)) is bad


# -- reports ---------------------------------------------------------------------

TEN = {"lamps": [90, 90, 0], "number": 10}


@pytest.mark.parametrize(
    ("reports", "share"),
    [
        ([{"did": "done", "number": 10}], 1.0), ([], 0.0), ([{"did": "done"}], 0.0),
        ([{"did": "done", "number": 11}], 0.0), ([b"done"], 0.0), ([{"did": "refused"}], 0.0),
        ([{"did": "done", "number": 10}] * 2, 0.0),
    ],
)  # fmt: skip
def test_a_good_order_is_reported_done_once_with_its_number(
    reports: Sequence[Any], share: float
) -> None:
    told = [message(1.2 + 0.1 * k, "told", report) for k, report in enumerate(reports)]
    made = recording(events=[*came(1.0, TEN), *told])
    assert findings("radio.report", made)["It reports what it has done"].share == share


def test_an_answer_with_more_names_than_asked_is_none() -> None:
    for spare, share in (({}, 1.0), ({"why": "all well"}, 0.0)):
        answer = message(1.2, "told", {"did": "done", "number": 10, **spare})
        made = recording(events=[*came(1.0, TEN), answer])
        assert findings("radio.report", made)["It reports what it has done"].share == share
        assert ("more names than asked" in named("radio.report", made)) is (share == 0.0)


PAIR = [*came(1.0, TEN), *came(1.02, {"lamps": [50, 50, 0], "number": 11})]


@pytest.mark.parametrize(("numbers", "share"), [([10, 11], 1.0), ([10], 0.5), ([11], 0.5)])
def test_of_two_orders_at_once_both_are_answered(numbers: list[int], share: float) -> None:
    """Who keeps the last message only loses one of them."""
    answers = [message(1.2 + 0.1 * k, "told", {"did": "done", "number": number})
               for k, number in enumerate(numbers)]  # fmt: skip
    made = recording(events=[*PAIR, *answers])
    assert findings("radio.report", made)["It reports what it has done"].share == share
    assert ("one of two orders is lost" in named("radio.report", made)) is (share < 1.0)


def test_a_report_begun_before_the_last_was_acknowledged_gives_publishing_in_heard_away() -> None:
    one, other = ({"did": "done", "number": number} for number in (10, 11))
    for second, share in ((1.25, 1.0), (1.15, 0.5)):
        events = [message(1.1, "said", one), message(1.2, "told", one),
                  message(second, "said", other), message(1.3, "told", other)]  # fmt: skip
        made = recording(events=[*PAIR, *events])
        assert findings("radio.report", made)["Its reports come at least once"].share == share
        name = "published while another message was at work"
        assert (name in named("radio.report", made)) is (share < 1.0)


@pytest.mark.parametrize(("at", "share"), [(0.6, 1.0), (0.4, 0.5)])
def test_joined_is_said_once_it_can_hear_orders(at: float, share: float) -> None:
    events = [on_air(0.5, "subscribed", f"tug-0 {ORDER}"), message(at, "told", {"did": "joined"})]
    made = recording(events=[*events, *came(1.0, TEN)])
    assert findings("radio.report", made)["It says that it is there"].share == share
    assert ("said too soon that it is there" in named("radio.report", made)) is (share < 1.0)


def test_a_will_is_not_taken_for_a_report_of_the_tugs() -> None:
    will = [on_air(2.0, "will", f"tug-0 {LOG}"), message(2.0, "told", {"did": "gone"})]
    assert published(recording(events=will)) == []


# -- wheels ------------------------------------------------------------------------

GO = {"speed": 0.2, "seconds": 2}
STOPPED = [(1.0, 0.0, 0.0), (2.0, 0.2, 0.0)]


def helm(legs: Sequence[tuple[float, float, float]], *what: Any) -> dict[str, Finding]:
    return findings("radio.helm", recording(legs=legs, events=[e for w in what for e in came(*w)]))


def test_the_speed_is_measured_and_told() -> None:
    assert helm(STOPPED, (1.0, GO))["It keeps the speed"].share == pytest.approx(1.0, abs=0.02)
    slow = helm([(1.0, 0.0, 0.0), (2.0, 0.1, 0.0)], (1.0, GO))["It keeps the speed"]
    assert slow.share == pytest.approx(0.0, abs=0.02) and "0.10 m/s" in slow.measured


@pytest.mark.parametrize(("radius", "share"), [(0.4, 1.0), (0.3, 0.6), (-0.4, 0.0), (9.0, 0.0)])
def test_the_radius_is_measured_with_its_side(radius: float, share: float) -> None:
    asked = {"speed": 0.2, "seconds": 2, "radius": 0.4}
    found = helm([(1.0, 0.0, 0.0), (2.0, 0.2, 0.2 / radius)], (1.0, asked))
    assert found["It keeps the radius"].share == pytest.approx(share, abs=0.06)


def test_going_the_other_way_is_no_obeying() -> None:
    found = helm([(1.0, 0.0, 0.0), (2.0, -0.2, 0.0)], (1.0, GO))
    assert found["It obeys orders to move"].share == 0.0


def test_a_bad_order_that_moves_is_found() -> None:
    bad = {"speed": 0.2, "seconds": 1, "hurry": 1}
    legs = [*STOPPED, (1.05, 0.0, 0.0), (0.7, 0.2, 0.0)]
    found = helm(legs, (1.0, GO), (4.0, bad))["It refuses bad orders"]
    assert found.share == 0.0 and "hurry" in found.measured


def test_a_tug_that_goes_on_has_not_been_moved_by_a_bad_order() -> None:
    """What it does is no answer to what comes meanwhile: it may not even have been looked at."""
    bad = {"speed": 0.2, "seconds": 1, "hurry": 1}
    made = recording(
        seconds=8.0, legs=[(1.0, 0.0, 0.0), (7.0, 0.2, 0.0)],
        events=[*motors(1.0, (0.5, 0.0), (0.5, 0.0)), *came(1.0, GO), *came(5.0, bad)],
    )  # fmt: skip
    assert findings("radio.helm", made)["It refuses bad orders"].share == 1.0
    names = named("radio.helm", made)
    assert "motors left on" in names and "a bad order was carried out" not in names


@pytest.mark.parametrize(("faster", "share"), [(0.01, 1.0), (0.1, 0.0)])
def test_who_steers_all_the_time_has_not_been_moved_by_a_bad_order(
    faster: float, share: float
) -> None:
    """New duties alone are no answer to an order; another speed is."""
    bad = {"speed": 0.3, "seconds": 1, "hurry": 1}
    duties = [e for k in range(300) for e in motors(1.0 + 0.02 * k, (0.5 + 0.001 * (k % 7), 0.0),
                                                    (0.5 - 0.001 * (k % 7), 0.0))]  # fmt: skip
    made = recording(
        seconds=7.0, legs=[(1.0, 0.0, 0.0), (4.0, 0.2, 0.0), (2.0, 0.2 + faster, 0.0)],
        events=[*duties, *came(1.0, {"speed": 0.2, "seconds": 6}), *came(5.0, bad)],
    )  # fmt: skip
    assert findings("radio.helm", made)["It refuses bad orders"].share == share


def test_an_order_in_the_place_of_another_that_is_taken_late_was_slept_through() -> None:
    back = {"speed": -0.2, "seconds": 2}
    late = [
        message(2.0, "order", back),
        message(2.01, "arrived", back),
        message(3.1, "taken", back),
    ]
    legs = [(1.0, 0.0, 0.0), (2.0, 0.2, 0.0), (2.0, -0.2, 0.0)]
    made = recording(seconds=8.0, legs=legs, events=[*came(1.0, GO), *late])
    assert "slept through an order" in named("radio.helm", made)
    prompt = recording(
        seconds=8.0, legs=[(1.0, 0.0, 0.0), (1.05, 0.2, 0.0), (2.0, -0.2, 0.0)],
        events=[*came(1.0, GO), *came(2.0, back)],
    )  # fmt: skip
    assert "slept through an order" not in named("radio.helm", prompt)


# -- a lost link -------------------------------------------------------------------

FAR = {"speed": 0.1, "seconds": 30}


@pytest.mark.parametrize(("more_s", "share"), [(0.5, 1.0), (0.95, 1.0), (2.0, 0.5), (5.0, 0.0)])
def test_the_tug_must_stand_within_a_second_of_the_loss(more_s: float, share: float) -> None:
    made = recording(
        seconds=12.0, legs=[(1.0, 0.0, 0.0), (3.0 + more_s, 0.1, 0.0)],
        events=[*came(1.0, FAR), on_air(4.0, "lost", "harbour")],
    )  # fmt: skip
    found = findings("radio.lost", made)
    assert found["It stops when the network is lost"].share == pytest.approx(share, abs=0.03)
    assert found["It stops when the broker is gone"].share == 0.0, "that was not tried"
    assert ("goes on driving without a link" in named("radio.lost", made)) is (share < 1.0)


def test_a_tug_that_stood_anyway_earns_nothing_for_standing() -> None:
    made = recording(seconds=12.0, events=[*came(1.0, FAR), on_air(4.0, "lost", "harbour")])
    assert findings("radio.lost", made)["It stops when the network is lost"].share == 0.0


@pytest.mark.parametrize(
    ("at", "what", "share"),
    [(9.0, {"did": "gone"}, 1.0), (14.5, {"did": "gone"}, 0.0), (9.0, b"gone", 0.0)],
)
def test_the_office_must_learn_of_the_silence_in_time(at: float, what: Any, share: float) -> None:
    events = [on_air(1.0, "connected", "tug-0"), on_air(4.0, "cut", "begins"),
              on_air(at, "will", f"tug-0 {LOG}"), message(at, "told", what)]  # fmt: skip
    made = recording(seconds=16.0, events=events)
    assert findings("radio.lost", made)["The office learns that it is gone"].share == share


def test_motors_left_driven_at_the_end_are_found() -> None:
    made = recording(events=[*came(1.0, FAR), *motors(1.1, (0.5, 0.0), (0.5, 0.0))])
    found = findings("radio.lost", made)["It refuses bad orders"]
    assert "both motors still driven at the end" in found.measured
