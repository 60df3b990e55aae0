"""The task of the lesson `board`: one program, many boards."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from checks import TASKS
from checks.readings.waking import first_drive
from checks.tasks.board.fit import BoardFacts
from checks.tasks.board.fleet import FLEET, REWIRED, Sailing
from robotsim import export, run_trial
from robotsim.onto import compiles
from robotsim.parts.quirks import Quirks
from tests.checks.slips import slips_of
from tests.checks.test_worked import solution

PROGRAMS = Path(__file__).parents[2] / "programs" / "board" / "fit"


@pytest.fixture(scope="module")
def own() -> BoardFacts:
    """The worked solution on the learner's own tug."""
    made = run_trial(solution("board"), serial=7, seconds=6.0, start=(0.2, 0.4, 0.0))
    return BoardFacts([made])


def test_the_fleets_settings_are_true(own: BoardFacts) -> None:
    for member, sailing in zip(FLEET, own.fleet, strict=True):
        assert Quirks.of(member.serial).lamp_order == member.order
        if member is not REWIRED:
            ahead, aside = sailing.way
            assert ahead > 0.25 and abs(aside) < 0.01, member.name
    orders = {member.order for member in FLEET}
    assert orders == {"GRB", "RGB"}, "a program that knows one order must meet the other"


def test_the_other_wiring_shares_no_motor_pin_with_the_drawn_one() -> None:
    motors = [f"{side}_{way}" for side in ("left", "right") for way in ("ahead", "back")]
    assert not {REWIRED.pins[m] for m in motors} & {FLEET[0].pins[m] for m in motors}


def test_pins_are_read_off_the_recording(own: BoardFacts) -> None:
    other = own.rewired
    assert other.strange_pins == []
    assert Sailing(FLEET[0], other.recording).strange_pins != []
    assert min(other.seconds_ahead.values()) == pytest.approx(2.0, abs=0.1)


def test_the_export_of_the_worked_solution_runs_on_the_real_compilers_word(tmp_path: Path) -> None:
    told = export("main.py", tmp_path, files=solution("board"))
    texts = {p.name: p.read_text(encoding="utf-8") for p in told.folder.glob("*.py")}
    assert {"main.py", "settings.py", "secrets.py"} == {*texts}
    assert [name for name, text in texts.items() if compiles(name, text)] == []
    made = run_trial(texts, serial=7, seconds=6.0, start=(0.2, 0.4, 0.0))
    assert made.problem is None and first_drive(made) == pytest.approx(2.0, abs=0.02)
    assert Sailing(FLEET[0], made).way[0] > 0.25


def test_every_known_mistake_has_a_program_that_makes_it() -> None:
    texts = [path.read_text(encoding="utf-8") for path in PROGRAMS.glob("wrong_*.py")]
    made = {m[1] for text in texts for m in re.finditer(r"^# mistake: (.*)$", text, re.M)}
    made |= {slip.cause for slip in slips_of("board.fit")}
    assert {m.name for m in TASKS["board.fit"].mistakes} <= made
