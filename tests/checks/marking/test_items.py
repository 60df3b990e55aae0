"""What a report works out of scores: item statistics, groups of like programs, a page to read."""

from __future__ import annotations

import csv
import json
import random
import re
from dataclasses import replace

import pytest
from scipy import stats

from checks.course.scores import Score
from checks.marking.alike import groups_alike, offered
from checks.marking.class_results import ClassResults, CriterionScore, Person, TaskView
from checks.marking.items import FEWEST, discrimination, items
from checks.marking.looks import Look
from checks.marking.report import _as_csv, _criterion_rows, _item_rows
from checks.marking.report_page import page

LESSONS = {"lamps": 4, "drive": 5, "arm": 4, "line": 5, "turn": 4, "radio": 5, "powerup": 4,
           "harbour": 3, "board": 2}  # fmt: skip
PEOPLE = 28


def a_class(seed: int = 1) -> ClassResults:
    """Make a class up: everybody has handed in everything, and many things deserve a look."""
    chance = random.Random(seed)
    people = tuple(Person(f"l{k}", f"Learner {k}") for k in range(PEOPLE))
    scores, views, looks, criteria = [], [], [], []
    for lesson, count in LESSONS.items():
        for k in range(count):
            cell = f"{lesson}-task{k}"
            own = [Score(p.id, lesson, cell, float(chance.randint(0, 10)), 10.0, False, True)
                   for p in people]  # fmt: skip
            scores += own
            shares = tuple(s.points / s.most for s in own)
            causes = (("no sleep in the loop", "give each round a `sleep`.", 9),)
            views.append(TaskView(lesson, cell, cell, 10.0, shares, ("keeps time", 12), causes))
            looks += [Look(p.id, lesson, cell, "error", "NameError: name 'x' is not defined")
                      for p in people[:3]]  # fmt: skip
            criteria += [CriterionScore(p.id, lesson, cell, "keeps time", 1.0, 2.0, "=0.2 s",
                                        "0.1 s") for p in people]  # fmt: skip
    return ClassResults("class", people, tuple(LESSONS), tuple(scores), {}, {}, tuple(views),
                    tuple(looks), (), tuple(criteria))  # fmt: skip


def test_discrimination_is_pearsons_r_of_a_task_with_the_rest() -> None:
    """Against scipy.stats.pearsonr."""
    chance = random.Random(4)
    rows = [{"a": (skill := chance.random()) + chance.random(), "b": 2 * skill,
             "c": chance.random()} for _ in range(40)]  # fmt: skip
    for name in "abc":
        mine = [row[name] for row in rows]
        rest = [sum(row.values()) - row[name] for row in rows]
        found = discrimination(rows, name)
        assert found == pytest.approx(stats.pearsonr(mine, rest).statistic, abs=1e-12)


def test_what_a_correlation_cannot_tell_is_not_told() -> None:
    rows = [{"a": float(k), "b": float(-k)} for k in range(FEWEST)]
    assert discrimination(rows, "a") == pytest.approx(-1.0)
    assert discrimination(rows[:-1], "a") is None
    assert discrimination([{**row, "a": 1.0} for row in rows], "a") is None
    assert discrimination([{"a": row["a"]} for row in rows], "a") is None
    assert discrimination([{**row, "b": None} for row in rows], "a") is None


def test_answers_that_wait_and_work_not_handed_in_count_for_nothing() -> None:
    scores = [Score("a", "lamps", "lamps-x", 5.0, 10.0, False, True),
              Score("b", "lamps", "lamps-x", 0.0, 10.0, True, True),
              Score("c", "lamps", "lamps-x", 0.0, 10.0, False, False)]  # fmt: skip
    (one,) = items(scores)
    assert (one.marked, one.mean, one.full) == (1, 0.5, 0.0)


PROGRAM = """
import time
from machine import Pin, PWM
left, right = PWM(Pin(25), freq=100), PWM(Pin(27), freq=100)
def drive(a, b, ms):
    left.duty_u16(int(65535 * a))
    right.duty_u16(int(65535 * b))
    time.sleep_ms(ms)
for k in range(4):
    drive(0.5, 0.48, 2100)
    drive(0.3, 0, 700 + 13 * k)
drive(0, 0, 10)
"""
OTHER = """
import time
from machine import Pin, PWM, Timer
class Side:
    def __init__(self, pin):
        self.pwm = PWM(Pin(pin), freq=50)
    def go(self, share):
        self.pwm.duty_u16(round(share * 65535) & 65535)
sides = [Side(pin) for pin in (25, 27)]
state = {"step": 0}
def tick(timer):
    state["step"] += 1
    for side, share in zip(sides, ((0.4, 0.5), (0.2, 0.6))[state["step"] % 2]):
        side.go(share)
Timer(0).init(period=350, callback=tick)
while state["step"] < 8:
    time.sleep(0.1)
"""


def test_like_programs_are_one_group_however_many_they_are() -> None:
    texts = {f"l{k}": PROGRAM.replace("drive", f"go{k}") for k in range(15)}
    texts |= {"near": PROGRAM + "print()\n", "other": OTHER}
    (group,) = groups_alike(texts, frozenset())
    assert {*group.learners} == {*texts} - {"other"} and 0.8 < group.share < 1.0


def test_what_the_lesson_offers_makes_no_two_alike() -> None:
    def cell(kind: str, text: str) -> dict[str, object]:
        return {"cell_type": kind, "source": text}

    code = cell("code", f"%%program x.py\n{PROGRAM}")
    hint = cell("markdown", f"<details>\n\n```python\n{PROGRAM}```\n\n</details>")
    texts = {"a": PROGRAM, "b": PROGRAM + "\nprint('done')", "c": PROGRAM}
    for given in (code, hint):
        assert not groups_alike(texts, offered(json.dumps({"cells": [given]}).encode()))
    assert groups_alike(texts, offered(json.dumps({"cells": []}).encode()))


def test_what_stands_open_on_the_page_is_read_in_five_minutes() -> None:
    """At 238 words a minute (M. Brysbaert, J. Memory and Language 109, 2019; from memory)."""
    text = page(a_class())
    body = re.sub(r"<details>.*?</details>|<style>.*?</style>", "", text, flags=re.S)
    words = re.sub(r"<[^>]+>", " ", body).split()
    assert "Hard:" in body and "NameError" not in body and "NameError" in text
    assert len(words) <= 5 * 238, len(words)


def test_criteria_and_items_are_rows_of_their_own() -> None:
    told = a_class()
    rows = list(csv.DictReader(_as_csv(_criterion_rows(told)).removeprefix("\ufeff").splitlines()))
    assert len(rows) == len(told.criteria)
    assert (rows[0]["id"], rows[0]["criterion"], rows[0]["points"]) == ("l0", "keeps time", "1")
    assert rows[0]["measured"] == "'=0.2 s", "no formula"
    heads, *found = _item_rows(told)
    assert len(found) == sum(LESSONS.values()) and {len(row) for row in found} == {len(heads)}
    assert found[0][heads.index("cause_1")] == "no sleep in the loop"
    assert found[0][heads.index("minutes_median")] == ""


def test_the_time_on_a_task_is_told_where_the_room_was_used() -> None:
    told = replace(a_class(), minutes={"lamps-task0": (4.0, 11.0, 40.0)})
    heads, *found = _item_rows(told)
    assert found[0][heads.index("minutes_median") :] == ["11.0", "3"]
    assert found[1][heads.index("minutes_median") :] == ["", ""]
    text = page(told)
    assert text.count("minutes from the first check") == 1
    assert "11 minutes from the first check to the last (median of 3 laptops in the room)" in text
