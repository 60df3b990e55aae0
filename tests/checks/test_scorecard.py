"""The scorecard leads to the moment on which a row rests."""

from __future__ import annotations

import re

import pytest

from checks import TASKS, Scorecard, check
from checks.scorecard import texts_judged
from robotsim import KitError
from robotsim.notebook import FLASH, text_mark

PROGRAM = "from machine import Pin\nPin(25, Pin.OUT).on()\nPin(27, Pin.OUT).on()\n"


@pytest.fixture(scope="module")
def card() -> Scorecard:
    return check("drive.straight", files={TASKS["drive.straight"].program: PROGRAM}, serial=7)


def test_a_notebooks_card_bears_the_marks_of_the_texts_that_it_judged(
    card: Scorecard, monkeypatch: pytest.MonkeyPatch
) -> None:
    board = {"start_duty.py": "import eyes\n", "eyes.py": "import far\n", "far.py": "x = 'ö'\n",
             "other.py": "y = 2\n"}  # fmt: skip
    monkeypatch.setitem(board, TASKS["drive.start"].program, "import eyes\n")
    for name, text in board.items():
        monkeypatch.setitem(FLASH, name, text)
    used = {TASKS["drive.start"].program, "eyes.py", "far.py"}
    told = texts_judged(check("drive.start", serial=7)._repr_html_())
    assert told == {name: text_mark(board[name]) for name in used}
    assert texts_judged(card._repr_html_()) == {}, "handed in by other means"


def test_a_narrow_window_moves_the_table_within_the_cards_frame(card: Scorecard) -> None:
    html = card._repr_html_()
    assert html.count("<div") == html.count("</div>")
    assert re.search("<div style='overflow-x:auto'><table .*</table></div>", html)


def shown(card: Scorecard, *row: int) -> dict[str, object]:
    """Give what a card's replay was asked for."""
    asked: dict[str, object] = {}
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("robotsim.replay", lambda *made, **how: asked.update(how, made=made))
        card.replay(*row)
    return asked


def test_a_card_that_lacks_points_says_how_to_see_it(card: Scorecard) -> None:
    assert not card.full
    assert "check(&quot;drive.straight&quot;).replay()" in card._repr_html_()


def test_the_replay_opens_at_the_first_row_that_lacks_points(card: Scorecard) -> None:
    asked = shown(card)
    lacking = [row for row in card.rows if row.finding.at is not None and not row.full]
    assert asked["at"] == lacking[0].finding.at
    assert asked["made"] == (card.recordings[lacking[0].finding.trial],)


def test_the_replay_opens_at_the_row_that_was_asked_for(card: Scorecard) -> None:
    for number, row in enumerate(card.rows, start=1):
        assert shown(card, number)["at"] == (row.finding.at or 0.0)


@pytest.mark.parametrize("row", [0, 99, -1])
def test_a_row_that_is_not_there_is_told(card: Scorecard, row: int) -> None:
    with pytest.raises(KitError, match=re.escape(f"rows 1 to {len(card.rows)}, not {row}")):
        card.replay(row)


def test_a_card_without_a_program_has_nothing_to_replay() -> None:
    with pytest.raises(KitError, match="no recording"):
        Scorecard.without_program(TASKS["drive.straight"]).replay()


def test_the_replay_is_given_what_was_on_the_radio() -> None:
    task = TASKS["radio.lamps"]
    card = check(task.id, files={task.program: "print('ahoy')"}, serial=7)
    assert shown(card)["air"] is task.runs[0].air is not None


SIGNAL = TASKS["lamps.signal"]


def marks(program: str) -> dict[str, str]:
    """Give the sign before each row of a card, by the row's title."""
    card = check(SIGNAL.id, files={SIGNAL.program: program}, serial=7)
    signs = re.findall(r"nowrap'>(\S) ", card._repr_html_())
    return {row.criterion.title: sign for row, sign in zip(card.rows, signs, strict=True)}


def test_what_a_stopped_program_never_came_to_is_no_miss() -> None:
    """It has a sign and words of its own, so that no colour tells it from a cross."""
    assert {*marks("x = 1 / 0\n").values()} == {"○"}
    card = check(SIGNAL.id, files={SIGNAL.program: "x = 1 / 0\n"}, serial=7)
    assert "no lamp flashes; nothing to judge yet" in str(card)
    assert card.points == 0.0


def test_what_it_did_wrong_before_it_stopped_is_a_miss() -> None:
    wrong = ("import neopixel, time\nfrom machine import Pin\nnp = neopixel.NeoPixel(Pin(13), 5)\n"
             "for k in range(20):\n    np[0] = (90 * (k % 2), 0, 0)\n    np.write()\n"
             "    time.sleep_ms(50)\nx = 1 / 0\n")  # fmt: skip
    told = marks(wrong)
    assert told["No lamp flashes too fast"] == "✗"
    assert told["The stern lamp blinks by itself"] == "○"


def test_what_is_asked_has_no_signs_that_a_card_would_show_as_they_are() -> None:
    """A card knows code between backticks; a lesson's table would take an asterisk for more."""
    asked = [one.asks for task in TASKS.values() for one in task.criteria]
    assert asked and not [words for words in asked if "*" in words]
