"""Trials in turn: the next program is started while one runs, which changes nothing, and ends."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest

from robotsim import KitError, Whose, run_trial
from robotsim.board import links
from robotsim.board.links import AnyLink
from robotsim.board.order import SILENCE_S
from robotsim.session import Session
from robotsim.trial import run_trials

DRIVES = """
import random, time
from machine import ADC, PWM, Pin
left, right = PWM(Pin(25), freq=1000, duty=700), PWM(Pin(27), freq=1000, duty=690)
for k in range(30):
    time.sleep_ms(5 + random.getrandbits(4))
    print(k, ADC(Pin(36)).read(), time.ticks_ms())
with open("log.txt", "w") as log:
    log.write("been here")
"""
RESETS = "import machine, time\nprint(machine.reset_cause())\ntime.sleep(0.3)\nmachine.reset()\n"
FALLS_SILENT = "exec('while True: pass')\n"


def asked(**more: Any) -> dict[str, Any]:
    return {"program": "main.py", "table": "quay", "serial": 5, "seed": 0, "seconds": 1.0,
            "whose": Whose.KIT, **more}  # fmt: skip


@pytest.fixture
def opened(monkeypatch: pytest.MonkeyPatch) -> Iterator[list[AnyLink]]:
    """All programs that were started; each must be gone in the end."""
    found: list[AnyLink] = []

    def kept(*given: Any, **named: Any) -> AnyLink:
        found.append(links.open_link(*given, **named))
        return found[-1]

    monkeypatch.setattr("robotsim.session.open_link", kept)
    yield found
    assert found and all(link._process.poll() is not None for link in found)  # type: ignore[attr-defined]


@pytest.mark.parametrize("text", [DRIVES, RESETS, "1 / 0", ""], ids=["drives", "resets", "fails",
                         "nothing"])  # fmt: skip
def test_each_recording_is_to_the_bit_that_of_a_trial_alone(
    text: str, opened: list[AnyLink]
) -> None:
    trials = [asked(seed=1), asked(seed=2, serial=9), asked(table="basin", start=(0.3, 0.3, 1.0)),
              asked(seed=1, seconds=0.4)]  # fmt: skip
    alone = [run_trial({"main.py": text}, **one).to_bytes() for one in trials]
    in_turn = [r.to_bytes() for r in run_trials({"main.py": text}, trials, lambda _: SILENCE_S)]
    assert in_turn == alone and len(set(alone)) == len(trials)


@pytest.mark.parametrize(
    ("plugged", "begun"), [(None, [2, 3, 4, 4]), (print, [0, 1, 2, 3])],
    ids=["processes", "one interpreter"],
)  # fmt: skip
def test_while_one_runs_the_next_is_started_and_no_more(
    plugged: object, begun: list[int], opened: list[AnyLink], monkeypatch: pytest.MonkeyPatch
) -> None:
    when_begun, run = list[int](), Session.run

    def watched(self: Session) -> None:
        when_begun.append(len(opened))
        run(self)

    monkeypatch.setattr(Session, "run", watched)
    monkeypatch.setattr("robotsim.trial.plugged_in", lambda: plugged)
    trials = [asked(seed=k, seconds=0.2) for k in range(4)]
    assert len(list(run_trials({"main.py": DRIVES}, trials, lambda _: SILENCE_S))) == 4
    assert when_begun == begun and len(opened) == 4


def test_an_interrupt_ends_the_one_that_waits_too(
    opened: list[AnyLink], monkeypatch: pytest.MonkeyPatch
) -> None:
    def interrupted(_: Session, message: bytes) -> bytes:
        raise KeyboardInterrupt

    monkeypatch.setattr(Session, "hear", interrupted)
    with pytest.raises(KeyboardInterrupt):
        list(run_trials({"main.py": DRIVES}, [asked(), asked(seed=1)], lambda _: SILENCE_S))
    assert len(opened) == 2


def test_whoever_stops_asking_ends_the_one_that_waits(opened: list[AnyLink]) -> None:
    trials = run_trials({"main.py": DRIVES}, [asked(), asked(seed=1), asked()], lambda _: SILENCE_S)
    next(trials)
    trials.close()  # type: ignore[attr-defined]
    assert len(opened) == 2


def test_a_trial_that_cannot_be_set_up_ends_the_one_that_runs(opened: list[AnyLink]) -> None:
    with pytest.raises(KitError, match="at most 600 seconds"):
        list(run_trials({"main.py": DRIVES}, [asked(), asked(seconds=601)], lambda _: SILENCE_S))
    assert len(opened) == 1


def test_how_long_one_is_waited_for_may_rest_on_those_before(opened: list[AnyLink]) -> None:
    waits = iter((2.0, 0.5))
    told = run_trials({"main.py": FALLS_SILENT}, [asked(), asked(seed=1)], lambda _: next(waits))
    first, second = (str(made.problem).splitlines()[0] for made in told)
    assert first.startswith("stopped: has run for 2 s") and "for 0.5 s" in second
