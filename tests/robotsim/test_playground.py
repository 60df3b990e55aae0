"""The playground: tables in a few lines, looked at before they are believed; questions; ghosts."""

from __future__ import annotations

import json
import math
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from robotsim import KitError, Recording, UnknownNameError, Whose, make_table, run_trial
from robotsim.playground import TABLES_KEPT, ask, open_table, own_table, race
from robotsim.table import TABLES, stop_bars
from robotsim.table.own import table_of

LINE = [("straight", 0.5), ("bend", 0.2, 90)]
GO = """\
import time
from machine import PWM, Pin
left = PWM(Pin(25), freq=1000, duty_u16={duty})
right = PWM(Pin(27), freq=1000, duty_u16={duty})
time.sleep(5)
"""


@pytest.fixture(autouse=True)
def _somewhere(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    monkeypatch.chdir(tmp_path)
    before = dict(TABLES)
    yield
    TABLES.clear()
    TABLES.update(before)


def driven(duty: int, table: str = "pond") -> Recording:
    return run_trial(GO.format(duty=duty), table=table, seconds=2, whose=Whose.OWN)


def test_a_table_is_what_its_few_lines_say() -> None:
    own_table("pond", size=(1.4, 1.0), start=(0.2, 0.2, 0), line=LINE, bars=[0.4],
              float_at=(0.5, 0.6), dock=(0.5, 0.8, 90))  # fmt: skip
    pond = make_table("pond", 5)
    assert pond.line is not None
    assert pond.line.length == pytest.approx(0.5 + 0.2 * math.pi / 2)  # arithmetic
    assert pond.line.at(pond.line.length) == pytest.approx((0.9, 0.4, math.pi / 2))
    assert stop_bars(pond) == pytest.approx((0.4,))
    assert pond.floor(0.4, 0.2) < 0.1 < pond.floor(0.4, 0.5)
    assert pond.float_start == (0.5, 0.6) and pond.dock is not None


def test_its_file_lays_out_the_same_table_for_a_neighbour() -> None:
    own_table("pond", line=LINE, walls=False)
    mine = TABLES.pop("pond")(0)
    open_table("pond")
    assert make_table("pond") == mine
    with pytest.raises(UnknownNameError, match="pond"):
        open_table("pont")


@pytest.mark.parametrize(
    "plan",
    [{"size": (0.1, 1)}, {"size": (1e9, 1)}, {"size": (1, math.nan)}, {"size": "big"},
     {"start": (5, 0.4, 0)}, {"line": [("straight", 50)]}, {"line": [("straight", 0.5, 3)]},
     {"line": [("bend", 0.001, 90)]}, {"line": [["straight", 0.001]] * 1000}, {"bars": [0.3]},
     {"line": LINE, "bars": [9]}, {"float_at": (0, 0)}, {"dock": (9, 9, 0)}, {"sea": True},
     {"line": "straight"}, {"line": [None]}, {"start": (True, 0.4, 0)}],
)  # fmt: skip
def test_what_cannot_be_a_table_is_refused_with_what_can(plan: dict[str, Any]) -> None:
    with pytest.raises(KitError) as caught:
        own_table("pond", **plan)
    assert caught.value.hint
    assert "pond" not in TABLES and not Path(TABLES_KEPT).exists()


@pytest.mark.parametrize("name", ["basin", "harbour", "", "Pond", "../pond", "a b", 3])
def test_no_table_takes_a_name_that_it_may_not_have(name: Any) -> None:
    with pytest.raises(KitError):
        own_table(name)
    assert make_table("basin").name == "basin"


@pytest.mark.parametrize("text", ["", "[", "[]", '{"size": [9, 9]}', "[" * 100_000, '{"x": 1}'])
def test_a_neighbours_file_is_looked_at_before_it_is_believed(text: str) -> None:
    Path(TABLES_KEPT).mkdir()
    (Path(TABLES_KEPT) / "pond.json").write_text(text, encoding="utf-8")
    with pytest.raises(KitError):
        open_table("pond")
    assert "pond" not in TABLES


def test_an_answer_is_what_the_recording_says() -> None:
    own_table("pond", line=LINE)
    made = driven(40000)
    start = make_table("pond").start
    x, y, _ = made.end
    told = ask(made, "within 5 cm of the start")
    assert told.first == 0.0
    assert told.at_end == pytest.approx(math.dist((x, y), start[:2]), abs=1e-6)
    there = ask(made, f"within 20 mm of {x:.4f}, {y:.4f}")
    assert there.first is not None and there.first > 0.5 and repr(there).startswith("Yes")
    assert ask(made, "within 1 cm of the end of the line").first is None
    assert ask(made, "within 1 m of the line").first == 0.0
    for wrong in ("near the dock", "within 5 cm of the dock", "within 5 cm of the moon", ""):
        with pytest.raises(KitError):
            ask(made, wrong)


def test_a_race_is_against_the_best_so_far_and_on_the_same_table_only(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    laid_over: list[int] = []
    monkeypatch.setattr("robotsim.notebook.replay", lambda *made, **_: laid_over.append(len(made)))
    own_table("pond", line=LINE)
    aim = "within 5 cm of 0.5, 0.4"
    for duty in (40000, 60000, 35000):
        race(driven(duty), aim)
    first, faster, slower = [row for row in capsys.readouterr().out.splitlines() if " s" in row]
    assert "your first time" in first and "faster" in faster and "slower" in slower
    best = ask(driven(60000), aim).first
    assert f"({best:.2f} s)" in slower
    assert laid_over == [1, 2, 2]
    own_table("pond", line=[("straight", 0.6)])
    race(driven(30000), aim)
    assert "your first time" in capsys.readouterr().out
    assert json.loads((Path(TABLES_KEPT) / "pond.json").read_text())["line"] == [["straight", 0.6]]


def test_a_plan_needs_nothing_but_plain_data() -> None:
    plan = json.loads(json.dumps({"size": (1.4, 1.0), "line": LINE}))
    assert table_of("pond", plan).line == table_of("pond", {"size": (1.4, 1.0), "line": LINE}).line
