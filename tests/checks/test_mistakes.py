"""The likeliest cause: an error's card says what helps against that very error."""

from __future__ import annotations

import pytest

from checks import TASKS, check
from checks.mistakes import COMMON, likeliest
from robotsim import run_trial

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


def test_an_error_on_which_the_board_has_no_advice_has_the_usual_one() -> None:
    card = check(
        "lamps.side",
        files={"side.py": HEAD + "class Fog(Exception):\n    pass\nraise Fog()\n"},
        serial=0,
    )
    assert card.cause is not None and card.cause.hint == USUAL


def test_what_is_met_but_does_not_count_yet_is_not_shown_as_missed() -> None:
    still = check("drive.straight", files={"straight.py": "print('all well')\n"}, serial=0)
    row = next(row for row in still.rows if row.criterion.title == "It stops by itself")
    assert row.waits and row.points == 0
    html = still._repr_html_()
    assert "· 0/1" in html and "counts as soon as the first line does" in html
    assert not any(row.waits for row in still.rows if row.finding.share == 0)
