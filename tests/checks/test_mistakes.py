"""The likeliest cause: an error's card says what helps against that very error."""

from __future__ import annotations

from collections.abc import Sequence

import pytest

from checks import (
    TASKS,
    Clues,
    Criterion,
    Evidence,
    Facts,
    Finding,
    Mistake,
    Run,
    Scorecard,
    Task,
    check,
    mistake,
)
from checks.mistakes import COMMON, Cause, likeliest
from robotsim import run_trial
from tests.checks.written_in_lessons import untouched

HEAD = "from machine import Pin\nfrom neopixel import NeoPixel\nnp = NeoPixel(Pin(13), 5)\n"
USUAL = next(m.hint for m in COMMON if m.name == "the program stopped with an error")


@pytest.mark.parametrize("line", ["np[5] = (90, 0, 0)", "np.wirte()", "import numpy", "np.write("])
def test_an_error_has_its_line_and_the_advice_that_run_gives(line: str) -> None:
    text = HEAD + line + "\n"
    card = check("lamps.side", files={"side.py": text}, serial=0)
    problem = run_trial(text, program="side.py", serial=0, seconds=1.0).problem
    assert card.cause is not None and card.points == 0 and problem is not None
    assert "side.py, line 4" in card.cause.evidence
    assert problem.hint and card.cause.hint == problem.hint != USUAL


def test_a_loop_that_never_touches_the_board_is_told_to_sleep() -> None:
    made = run_trial("while True:\n    pass\n", serial=0, seconds=1.0)
    cause = likeliest(TASKS["lamps.side"], [made])
    assert cause is not None and "sleep" in cause.hint
    assert cause.name == "the program was stopped"  # it raised nothing, so it is no error
    assert cause.evidence == "it has run for 1 s without touching the board (main.py, line 2: pass)"


def test_a_board_that_starts_again_and_again_is_no_error_either() -> None:
    made = run_trial("import machine\nmachine.reset()\n", serial=0, seconds=60.0)
    cause = likeliest(TASKS["lamps.side"], [made])
    assert cause is not None and cause.name == "the program was stopped"
    assert cause.evidence.startswith("The board started anew too often.")


def test_an_error_on_which_the_board_has_no_advice_has_the_usual_one() -> None:
    card = check(
        "lamps.side",
        files={"side.py": HEAD + "next(iter([]))\n"},
        serial=0,
    )
    assert card.cause is not None and card.cause.hint == USUAL


def test_a_line_that_raises_as_it_should_is_not_told_to_be_mended() -> None:
    text = "def read(msg):\n    raise ValueError('no order')\n\n\nread(b'')\n"
    card = check("lamps.side", files={"side.py": HEAD + text}, serial=0)
    assert card.cause is not None and "except" in card.cause.hint and "catches" in card.cause.hint


def test_what_is_met_but_does_not_count_yet_is_not_shown_as_missed() -> None:
    still = check("drive.straight", files={"straight.py": "print('all well')\n"}, serial=0)
    row = next(row for row in still.rows if row.criterion.title == "It stops by itself")
    assert row.waits and row.points == 0
    html = still._repr_html_()
    assert "○ 0/1" in html and "does not count before this does: It makes way ahead" in html
    assert not any(row.waits for row in still.rows if row.finding.share == 0)


# -- the choice --------------------------------------------------------------

WIDE = Criterion("wide", 4.0, lambda seen: Finding(0.0, "narrow", "wide"))
TALL = Criterion("tall", 2.0, lambda seen: Finding(0.0, "low", "tall"))
FULL = Criterion("full", 2.0, lambda seen: Finding(1.0, "full", "full"))


def found(*looks: Mistake) -> Cause | None:
    """Choose among mistakes for a task that lost `wide` and `tall` and kept `full`."""
    made = run_trial("print('x')\n", seconds=0.1)
    task = Task("a.b", "b", "b.py", (Run(0.1),), (WIDE, TALL, FULL), looks, facts=Facts)
    return likeliest(task, [made])


def seen_as(name: str, sure: bool = True, **what: Sequence[Criterion]) -> Mistake:
    @mistake(name, f"mend {name}", sure=sure, **what)
    def look(seen: Facts) -> Clues:
        yield f"seen of {name}"

    return look


def test_what_explains_more_is_named_before_what_stands_first() -> None:
    cause = found(seen_as("low", costs=[TALL]), seen_as("narrow", costs=[WIDE]))
    assert cause is not None and cause.name == "narrow" and cause.sure
    assert cause.second is not None and cause.second.name == "low", "it explains what is left"


def test_what_must_have_cost_a_criterion_that_was_met_is_never_named() -> None:
    cause = found(seen_as("empty", costs=[WIDE, FULL]), seen_as("low", costs=[TALL]))
    assert cause is not None and cause.name == "low"
    assert found(seen_as("empty", costs=[FULL])) is None


def test_what_may_cost_a_criterion_too_does_not_have_to() -> None:
    cause = found(seen_as("a", costs=[WIDE], explains=[TALL, FULL]), seen_as("b", costs=[WIDE]))
    assert cause is not None and cause.name == "a" and cause.second is None


def test_a_guess_is_told_as_one_with_the_next_likeliest() -> None:
    cause = found(seen_as("a", sure=False), seen_as("b"))
    assert cause is not None and not cause.sure and cause.second is not None
    findings = [one.judge(None) for one in (WIDE, TALL, FULL)]
    task = Task("a.b", "b", "b.py", (Run(0.1),), (WIDE, TALL, FULL))
    card = str(Scorecard.of(task, [], findings, cause))
    assert "the cause is not sure. Perhaps: a (seen of a)" in card and "Or: b (seen of b)" in card


def test_a_clue_may_bring_a_hint_of_its_own() -> None:
    @mistake("a", "the usual hint")
    def look(seen: Facts) -> Clues:
        yield Evidence("seen", "a better hint")

    cause = found(look)
    assert cause is not None and cause.hint == "a better hint"


@pytest.mark.parametrize("end", ["", "np.write\n"], ids=["left out", "without brackets"])
def test_whoever_noted_colours_and_sent_none_is_not_told_that_nothing_is_written(end: str) -> None:
    text = "from machine import Pin\nfrom neopixel import NeoPixel\n\nnp = NeoPixel(Pin(13), 5)\n"
    noted = "".join(f"np[{k}] = (100, 0, 0)\n" for k in range(5))
    cause = check("lamps.side", files={"side.py": text + noted + end}, serial=7).cause
    assert cause is not None and cause.name == "write() forgotten"
    assert "with its brackets" in cause.hint


@pytest.mark.parametrize("task", [name for name in TASKS if not name.startswith("line.")])
def test_a_starter_is_harmless_earns_nothing_and_is_told_that_nothing_is_written_yet(
    task: str,
) -> None:
    """What was handed out moves nothing, and accuses nobody of a slip."""
    card = check(task, files=untouched(task.split(".")[0]), serial=7)
    assert card.points == 0 and card.cause is not None
    assert card.cause.name == "the program does nothing yet"
    for made in card.recordings:
        assert made.problem is None
        assert not any(any(made.tracks[moved]) for moved in ("left", "right", "arm"))


def test_an_error_within_a_function_names_the_line_that_called_it() -> None:
    text = "from machine import PWM, Pin\np = PWM(Pin(25), freq=1000)\n\n\ndef go(duty):\n"
    text += "    p.duty_u16(duty)\n\n\ngo(1.5)\n"
    cause = check("drive.straight", files={"straight.py": text}, serial=0).cause
    assert cause is not None
    assert "straight.py, line 6: p.duty_u16(duty), called from line 9)" in cause.evidence
    assert "from 0, never, to 65535, always" in cause.hint, "the scale, not only a whole number"


def test_lamps_that_wait_for_a_slip_of_the_unit_are_not_said_to_lack_write_alone() -> None:
    files = {"side.py": HEAD + "import time\nwhile True:\n    time.sleep(40)\n"}
    cause = check("lamps.side", files=files, serial=7).cause
    assert cause is not None and "waits for 40 s at one go" in cause.evidence
    assert "sleep() takes seconds" in cause.hint and "np.write()" in cause.hint
