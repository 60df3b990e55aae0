"""Every slider: its picture is an output of its own, and moving a control changes it."""

from __future__ import annotations

import builtins
from collections.abc import Callable, Iterator
from typing import Any

import pytest

from robotsim import show
from robotsim.show import sliding
from robotsim.show.heading_slider import INTERVALS
from robotsim.show.sliding import Choice, Span
from tests.robotsim.show.test_scope import FULL

VIEW = "application/vnd.jupyter.widget-view+json"
SLIDERS: dict[str, tuple[Callable[[], None], list[tuple[int, Any, str]]]] = {
    "duty": (lambda: show.slide_duty(0.3, serial=7),
             [(0, 60, "In slow decay at 60 %"), (1, 20000, "at 20000 pulses a second")]),
    "decay": (lambda: show.slide_decay(0.3),
              [(0, 60, "At 60 % the motor gets"), (1, 20000, "20000 pulses a second")]),
    "pulse": (lambda: show.slide_pulse(1500),
              [(0, 2000, "45.0 degrees to port"), (0, 700, "presses on its starboard stop")]),
    "threshold": (lambda: show.slide_threshold(2048, serial=7),
                  [(0, 1100, "eyes 0 and 3 do not tell"), (1, 4, "seed 4")]),
    "gains": (lambda: show.slide_gains(0.03, where="straight", serial=7),
              [(0, 0.12, "weaves by"), (2, 20, "does not weave"), (1, 0.001, "does not weave")]),
    "print": (lambda: show.slide_print(0, serial=7),
              [(0, 300, "A round takes 37 ms, 10 of it sleep"), (0, 20, "busy for 23 %")]),
    "heading": (lambda: show.slide_heading(0.0, 10, serial=94),
                [(0, 4.4, "4.4 deg/s taken off"), (1, 200, "one every 200 ms")]),
    "scope": (lambda: show.slide_scope(FULL, "left_ahead"),
              [(1, 0.02, "1000 pulses a second"), (2, 50.0, "5 ms, once in that time is 200 Hz")]),
}  # fmt: skip


class Shown:
    """Stands for a notebook: what was shown, what took its place, and the controls."""

    def __init__(self) -> None:
        self.outputs: list[dict[str, Any]] = []
        self.boxes: list[Any] = []

    def display(self, data: dict[str, Any], raw: bool, display_id: bool = False) -> Shown:
        self.outputs.append(data)
        return self

    def update(self, data: dict[str, Any], raw: bool) -> None:
        self.outputs[0] = data


@pytest.fixture
def shown(monkeypatch: pytest.MonkeyPatch) -> Iterator[Shown]:
    notebook = Shown()
    make = sliding.controls

    def kept(*args: Any) -> Any:
        notebook.boxes.append(make(*args))
        return notebook.boxes[-1]

    monkeypatch.setattr("IPython.display.display", notebook.display)
    monkeypatch.setattr(sliding, "controls", kept)
    yield notebook
    for box in notebook.boxes:
        if box is not None:
            box.close()


@pytest.mark.parametrize("name", SLIDERS)
def test_the_picture_comes_first_and_stands_alone_and_the_controls_change_it(
    name: str, shown: Shown
) -> None:
    call, moves = SLIDERS[name]
    assert call() is None  # type: ignore[func-returns-value]
    picture, view = shown.outputs
    assert set(picture) == {"text/html", "text/plain"} and "<img alt=" in picture["text/html"]
    assert VIEW in view and "text/html" not in view and view["text/plain"].startswith("Sliders")
    (box,) = shown.boxes
    for place, value, words in moves:
        before = shown.outputs[0]
        box.children[place].value = value
        assert shown.outputs[0]["text/html"] != before["text/html"], (place, value)
        assert words in shown.outputs[0]["text/plain"]


@pytest.mark.parametrize("name", SLIDERS)
def test_without_ipywidgets_the_picture_is_all(
    name: str, shown: Shown, monkeypatch: pytest.MonkeyPatch
) -> None:
    real = builtins.__import__

    def without(name: str, *args: Any, **named: Any) -> Any:
        if name == "ipywidgets":
            raise ImportError(name)
        return real(name, *args, **named)

    monkeypatch.setattr(builtins, "__import__", without)
    SLIDERS[name][0]()
    assert [set(output) for output in shown.outputs] == [{"text/html", "text/plain"}]


def test_values_come_back_free_of_a_sliders_crumbs() -> None:
    assert Span("kp", "", 0.1, 0.0, 1.0, 0.1, 2).read(0.30000000000000004) == 0.3
    assert Span("us", "", 1500, 0, 3000, 10).read(1510.0) == 1510
    made: list[dict[str, Any]] = []
    box = sliding.controls(
        [Span("a", "a", 1, 0, 5, 1), Choice("every", "every", 10, INTERVALS)],
        lambda **settings: made.append(settings),
    )
    assert tuple(box.children[1].options) == INTERVALS
    box.children[0].value = 3
    assert made == [{"a": 3, "every": 10}]
    box.close()
