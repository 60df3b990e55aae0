"""A call whose brackets hold the wrong things is told what, where and what to try."""

from __future__ import annotations

import inspect
import pickle
from collections.abc import Callable
from typing import Any

import pytest

import robotsim
from checks import TASKS, Scorecard, check
from robotsim import KitError, aboard, back, earlier, export, ready, remove, replay, run, take
from robotsim.live import live
from robotsim.playground import ask, open_table, own_table, race, turns

CARD = Scorecard.without_program(TASKS["lamps.side"])
LEARNERS: list[Callable[..., Any]] = [
    aboard, ask, back, check, earlier, export, live, open_table, own_table, race, ready, remove,
    replay, run, take, turns, CARD.replay,
]  # fmt: skip


@pytest.mark.parametrize("call", LEARNERS, ids=lambda call: call.__name__)
def test_no_call_of_a_learner_ends_in_pythons_words_about_its_arguments(
    call: Callable[..., Any],
) -> None:
    many = [1] * 20
    wrong = [lambda: call(*many, sevral=1), lambda: call(3.5)]
    for attempt in wrong if call.__name__ != "replay" else wrong[1:]:
        with pytest.raises(KitError) as told:
            attempt()
        assert told.value.hint and call.__name__ in str(told.value)


@pytest.mark.parametrize(
    ("attempt", "what", "where", "hint"),
    [
        (lambda: run(), "run needs a program's name in quotes.", "run()", 'run("drive.py"'),
        (lambda: check(), "check needs a task's name in quotes.", "check()", 'check("lamps.side")'),
        (lambda: back(), "back needs a program's name", "back()", 'back("drive.py")'),
        (lambda: run("a.py", second=3), "run takes no second=.", "run('a.py', second=3)",
         "did you mean seconds=?"),
        (lambda: run("a.py", number=12), "run takes no number=.", "number=12",
         "did you mean serial=?"),
        (lambda: run("a.py", where="quay"), "run takes no where=.", "", "did you mean table=?"),
        (lambda: run("a.py", tug=12), "tug.json of a tug", "tug=12", "another number is serial=12"),
        (lambda: run("a.py", tug="12"), "tug.json of a tug", "tug='12'",
         "another number is serial=12"),
        (lambda: check("lamps.side", tug=12), "as drawn", "", "another number is serial=12"),
        (lambda: run("a.py", 3), "takes 1 value without a name, not 2", "run('a.py', 3)",
         "by their names"),
        (lambda: run("a.py", program="b.py"), "was given program twice", "run(", "run("),
        (lambda: run(test_what_is_told), "not test_what_is_told.", "run(test_what_is_told)",
         "run("),
        (lambda: ask("lap.py", "within 5 cm of the dock"), "ask takes what run gave, not 'lap.py'.",
         "ask('lap.py'", 'made = run("lap.py")'),
        (lambda: ask((1, 2), "within"), "ask takes what run gave", "ask((1, 2)", "made = run("),
        (lambda: replay("a.py"), "replay takes what run gave, not 'a.py'.", "", "made = run("),
        (lambda: CARD.replay("2"), "takes the number of a row, not '2'", "replay('2')", "replay("),
        (lambda: own_table(size=(1, 1)), "own_table needs a table's name", "own_table(size=(1, 1))",
         "own_table("),
        (lambda: ready(sead=3), "ready takes no sead=.", "ready(sead=3)", "did you mean seed=?"),
    ],
)  # fmt: skip
def test_what_is_told(attempt: Any, what: str, where: str, hint: str) -> None:
    with pytest.raises(KitError) as told:
        attempt()
    assert what in told.value.what and where in told.value.where and hint in told.value.hint
    assert pickle.loads(pickle.dumps(told.value)).hint == told.value.hint


@pytest.mark.parametrize(
    "attempt",
    [lambda: run("a.py", table=["quay"]), lambda: run("a.py", files="print(1)"),
     lambda: run("a.py", files={"a.py": ""}, tug=5), lambda: run("a.py", air=5),
     lambda: check("lamps.side", variant="x"), lambda: check("lamps.side", files="print(1)"),
     lambda: export("a.py", 5), lambda: live("a.py", broker=5), lambda: turns((1, 2), "x"),
     lambda: ready("a.py", table=None)],
)  # fmt: skip
def test_a_value_of_another_kind_is_told_before_the_kit_stumbles_over_it(attempt: Any) -> None:
    with pytest.raises(KitError) as told:
        attempt()
    assert told.value.hint and told.value.where


def test_what_shift_tab_shows_is_the_function_itself() -> None:
    assert list(inspect.signature(run).parameters)[:3] == ["program", "beside", "runs"]
    assert robotsim.run.__doc__ == inspect.unwrap(run).__doc__ != None  # noqa: E711
