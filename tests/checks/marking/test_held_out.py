"""A course is marked on tables of its own, which nobody knows, unless its roster says otherwise."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from checks import check
from checks.course.classroom import OWN, TABLES, marked_on
from robotsim import Whose, make_table, run_trial
from robotsim.table import TABLES as LAID_OUT
from robotsim.table import held_out


def test_a_course_draws_its_tables_once_and_keeps_them(tmp_path: Path) -> None:
    (tmp_path / "roster.csv").write_text("id,variant\nada,3\nben,\ncem,0\n", encoding="utf-8")
    first = marked_on(tmp_path)
    ada, ben, cem = first.students
    assert (ada.variant, cem.variant) == (3, 0)
    assert ben.variant == first.variant and ben.variant is not None and ben.variant > 0
    assert marked_on(tmp_path) == first
    assert json.loads((tmp_path / OWN / TABLES).read_text())["variant"] == ben.variant


def test_no_two_courses_have_the_same(tmp_path: Path) -> None:
    drawn = {marked_on(tmp_path / str(k)).variant for k in range(20)}
    assert len(drawn) == 20 and max(filter(None, drawn)) > 10**9  # not to be found by trying


def test_the_roster_may_say_which_for_everybody(tmp_path: Path) -> None:
    text = "id,variant\n*,0\nada,\nben,5\n"
    (tmp_path / "roster.csv").write_text(text, encoding="utf-8")
    found = marked_on(tmp_path)
    assert found.variant == 0 and [one.variant for one in found.students] == [0, 5]
    assert not (tmp_path / OWN / TABLES).exists()


@pytest.mark.parametrize("damage", ["", "5", '{"variant": -1}', '{"variant": "x"}', "[]"])
def test_a_damaged_note_is_drawn_anew(damage: str, tmp_path: Path) -> None:
    (tmp_path / OWN).mkdir()
    (tmp_path / OWN / TABLES).write_text(damage, encoding="ascii")
    found = marked_on(tmp_path).variant
    assert found is not None and found > 0 and marked_on(tmp_path).variant == found


@pytest.mark.parametrize("name", LAID_OUT)
def test_the_plain_table_has_another_day_and_no_other_shape(name: str) -> None:
    seed = held_out(name, 0, 12345)
    assert seed < 0 and held_out(name, 0, 0) == 0
    plain, other = make_table(name, 0), make_table(name, seed)
    assert (plain.start, plain.dock, plain.lots, plain.float_start, plain.prints) == (
        other.start, other.dock, other.lots, other.float_start, other.prints
    )  # fmt: skip


LOOKS = """\
from machine import ADC, Pin
import time
eye = ADC(Pin(36), atten=ADC.ATTN_11DB)
for k in range(20):
    print(eye.read())
    time.sleep_ms(5)
"""


def test_a_check_in_a_course_has_other_noise_in_every_trial_also_on_plain_tables() -> None:
    """What was recorded at home fits none of its trials."""

    def told(variant: int) -> list[object]:
        card = check("line.follow", files={"follow.py": LOOKS}, serial=7, variant=variant,
                     whose=Whose.KIT)  # fmt: skip
        assert len(card.recordings) == 2
        return [tuple(made.of("adc")) for made in card.recordings]

    home, course, another = told(0), told(10**11), told(10**11 + 1)
    for first, second, third in zip(home, course, another, strict=True):
        assert len({first, second, third}) == 3
    assert told(10**11) == course


def test_a_trial_below_nought_is_as_certain_as_any_other() -> None:
    runs = [run_trial(LOOKS, seed=-77, seconds=0.3, whose=Whose.KIT) for _ in range(2)]
    assert runs[0] == runs[1]
