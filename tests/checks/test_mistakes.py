"""The likeliest cause: an error's card says what helps against that very error."""

from __future__ import annotations

import pytest

from checks import check
from checks.mistakes import COMMON

HEAD = "from machine import Pin\nfrom neopixel import NeoPixel\nnp = NeoPixel(Pin(13), 5)\n"
USUAL = next(m.hint for m in COMMON if m.name == "the program stopped with an error")


@pytest.mark.parametrize(
    ("line", "helps"),
    [
        ("np[5] = (90, 0, 0)", "count from 0"),
        ("np[4] = (90, 0.4 * 90, 0)", "whole number"),
        ("np.wirte()", "after the dot"),
        ("nq.write()", "spelled as where it was made"),
        ("import numpy", "not all of Python"),
        ("  np.write()", "begin under each other"),
        ("np.write(", "bracket"),
        ("Pin(100)", "table of pins"),
        ("np[0] = (None, 0, 0)", "return"),
    ],
)
def test_a_usual_error_has_its_line_and_its_own_advice(line: str, helps: str) -> None:
    card = check("lamps.side", files={"side.py": HEAD + line + "\n"}, serial=0)
    assert card.cause is not None and card.points == 0
    assert "side.py, line 4" in card.cause.evidence
    assert card.cause.hint.startswith(USUAL) and helps in card.cause.hint


def test_an_error_of_another_kind_has_the_usual_advice_alone() -> None:
    card = check("lamps.side", files={"side.py": HEAD + "raise OSError(5)\n"}, serial=0)
    assert card.cause is not None and card.cause.hint == USUAL


def test_what_is_met_but_does_not_count_yet_is_not_shown_as_missed() -> None:
    still = check("drive.straight", files={"straight.py": "print('all well')\n"}, serial=0)
    row = next(row for row in still.rows if row.criterion.title == "It stops by itself")
    assert row.waits and row.points == 0
    html = still._repr_html_()
    assert "· 0/1" in html and "counts as soon as the first line does" in html
    assert not any(row.waits for row in still.rows if row.finding.share == 0)
