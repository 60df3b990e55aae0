"""Every slider: its picture is an output of its own, and moving a control changes it."""

from __future__ import annotations

import io
from collections.abc import Callable, Iterator
from typing import Any

import numpy as np
import pytest
from matplotlib.figure import Figure
from PIL import Image

from robotsim import show
from robotsim.show import sliding
from robotsim.show.compose import figure
from robotsim.show.controls import Choice, Controls, Span
from robotsim.show.files import png
from robotsim.show.heading_slider import INTERVALS
from robotsim.show.stage import Stage, on_stage
from robotsim.show.style import new_figure
from tests.robotsim.show.scenes import SCENES
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
    "colour": (lambda: show.slide_colour(0, 90, 0, takes="RGB"),
               [(2, 7, "bytes 5A 00 07"), (4, "GRB", "chip takes GRB")]),
    "scope": (lambda: show.slide_scope(FULL, "left_ahead"),
              [(1, 0.02, "1000 pulses a second"), (2, 50.0, "5 ms, once in that time is 200 Hz")]),
}  # fmt: skip


class Shown:
    """Stands for a notebook: what was shown, what took its place, and the controls."""

    def __init__(self) -> None:
        self.outputs: list[dict[str, Any]] = []
        self.panels: list[Controls] = []
        self.drawings: list[Callable[..., Figure]] = []

    def display(self, data: dict[str, Any], raw: bool, display_id: bool = False) -> Shown:
        self.outputs.append(data)
        return self

    def update(self, data: dict[str, Any], raw: bool) -> None:
        self.outputs[0] = data

    def move(self, place: int, value: Any) -> None:
        """Do as the page does: send where all controls stand."""
        (panel,) = self.panels
        now = dict(panel.asked) or {k["name"]: k["value"] for k in panel.knobs}
        knob = panel.knobs[place]
        words = [words for words in knob.get("options", ())]
        choices = panel._knobs[place]
        if isinstance(choices, Choice):
            value = next(k for k in range(len(words)) if choices.read(k) == value)
        panel.asked = {**now, knob["name"]: value}


@pytest.fixture
def shown(monkeypatch: pytest.MonkeyPatch) -> Iterator[Shown]:
    notebook = Shown()

    def kept(*args: Any) -> Controls:
        notebook.panels.append(Controls(*args))
        return notebook.panels[-1]

    monkeypatch.setattr("IPython.display.display", notebook.display)
    monkeypatch.setattr(sliding, "Controls", kept)
    yield notebook
    for panel in notebook.panels:
        panel.close()


@pytest.mark.parametrize("name", SLIDERS)
def test_the_picture_comes_first_and_stands_alone_and_the_controls_change_it(
    name: str, shown: Shown
) -> None:
    call, moves = SLIDERS[name]
    assert call() is None  # type: ignore[func-returns-value]
    picture, view = shown.outputs
    assert set(picture) == {"text/html", "text/plain"} and "<img" in picture["text/html"]
    assert VIEW in view and "text/html" not in view and view["text/plain"].startswith("Sliders")
    for number, (place, value, words) in enumerate(moves, 1):
        before = shown.outputs[0]
        shown.move(place, value)
        assert shown.outputs[0]["text/html"] != before["text/html"], (place, value)
        assert words in shown.outputs[0]["text/plain"]
        assert shown.panels[0].drawn == number, "the page waits for this before it asks again"


@pytest.mark.parametrize("name", SLIDERS)
def test_what_is_drawn_on_the_stage_is_dot_for_dot_what_is_drawn_anew(
    name: str, shown: Shown, monkeypatch: pytest.MonkeyPatch
) -> None:
    drawings: list[tuple[Callable[..., Figure], tuple[Any, ...]]] = []
    for place in (sliding, show.colour_slider, *vars(show).values()):
        if hasattr(place, "slide"):
            monkeypatch.setattr(place, "slide", lambda draw, *k: drawings.append((draw, k)))
    call, moves = SLIDERS[name]
    call()
    ((draw, knobs),) = drawings
    settings = {knob.name: knob.value for knob in knobs}
    stages: list[Stage] = []
    anew: dict[str, Any] = {}
    walk = [(0, knobs[0].value), *((place, value) for place, value, _ in moves)]
    for place, value in (*walk, *walk[::-1]):
        settings[knobs[place].name] = value
        with on_stage(stages):
            staged = png(draw(**settings), dots_per_inch=100, small=False)
        assert len(stages) == 1
        if str(settings) not in anew:
            anew[str(settings)] = dots(png(draw(**settings), dots_per_inch=100, small=False))
        assert np.array_equal(dots(staged), anew[str(settings)])


@pytest.mark.slow
def test_recordings_are_drawn_on_one_stage_dot_for_dot_as_anew_and_few_axes_are_kept() -> None:
    stages: list[Stage] = []
    anew: dict[str, bytes] = {}
    for name in (*SCENES, *reversed(SCENES)):
        shown, table, aims = SCENES[name]
        with on_stage(stages):
            staged = png(figure(shown, table=table, targets=aims), small=False)
        if name not in anew:
            anew[name] = png(figure(shown, table=table, targets=aims), small=False)
        assert staged == anew[name], name
    assert len(stages) == 1 and 5 < len(stages[0].kept) <= Stage.most
    with on_stage(stages):
        for k in range(2 * Stage.most):
            new_figure(4, 3).add_axes((0.1, 0.1, 0.5 + k / 1000, 0.5))
    assert len(stages[0].kept) <= Stage.most


def dots(data: bytes) -> Any:
    return np.asarray(Image.open(io.BytesIO(data)).convert("RGB"))


def test_values_come_back_within_their_ends_and_free_of_a_sliders_crumbs() -> None:
    assert Span("kp", "", 0.1, 0.0, 1.0, 0.1, 2).read(0.30000000000000004) == 0.3
    assert Span("us", "", 1500, 0, 3000, 10).read(1510.0) == 1510
    assert Span("us", "", 1500, 0, 3000, 10).read(9999) == 3000
    made: list[dict[str, Any]] = []
    panel = Controls(
        [Span("a", "a", 1, 0, 5, 1), Choice("every", "every", 10, INTERVALS)],
        lambda **settings: made.append(settings),
    )
    assert panel.knobs[1]["options"] == [str(one) for one in INTERVALS]
    panel.asked = {"a": 3, "every": 1}
    assert made == [{"a": 3, "every": INTERVALS[1]}]
    panel.close()


def test_a_drawing_that_fails_does_not_leave_the_page_waiting() -> None:
    def fail(**settings: Any) -> None:
        raise ValueError(settings)

    panel = Controls([Span("a", "a", 1, 0, 5, 1)], fail)
    with pytest.raises(ValueError, match="'a': 2"):
        panel.asked = {"a": 2}
    assert panel.drawn == 1
    panel.close()
