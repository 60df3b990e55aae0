"""Controls: sliders and choices below a picture, each with its name, for hand, keys and ear."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import anywidget
import traitlets

__all__ = ["Choice", "Controls", "Knob", "Span"]

_HERE = Path(__file__).parent


@dataclass(frozen=True)
class Span:
    """A slider over numbers.

    Attributes:
        name: The argument of the drawing that it sets.
        label: What stands beside it, with its unit.
        value, low, high, step: Where it stands at first, its ends, and its steps.
        places: Digits after the point; 0 for whole numbers.
    """

    name: str
    label: str
    value: float
    low: float
    high: float
    step: float
    places: int = 0

    def told(self) -> dict[str, Any]:
        """Give what the page needs to know of it."""
        names = ("name", "label", "value", "low", "high", "step", "places")
        return {name: getattr(self, name) for name in names}

    def read(self, value: float) -> Any:
        """Give the number that is set, within its ends and free of a slider's crumbs."""
        within = min(max(value, self.low), self.high)
        return round(within, self.places) if self.places else int(within)


@dataclass(frozen=True)
class Choice:
    """A choice of one from a few.

    Attributes:
        name: The argument of the drawing that it sets.
        label: What stands beside it.
        value: What is chosen at first.
        options: What can be chosen, or (words, value) of each.
    """

    name: str
    label: str
    value: Any
    options: Sequence[Any]

    @property
    def _pairs(self) -> list[tuple[str, Any]]:
        return [one if isinstance(one, tuple) else (str(one), one) for one in self.options]

    def told(self) -> dict[str, Any]:
        """Give what the page needs to know of it: its options' words, and which is chosen."""
        first = [value for _, value in self._pairs].index(self.value)
        words = [words for words, _ in self._pairs]
        return {"name": self.name, "label": self.label, "value": first, "options": words}

    def read(self, value: float) -> Any:
        """Give what is chosen, from its place in the row."""
        return self._pairs[min(max(int(value), 0), len(self.options) - 1)][1]


Knob = Span | Choice


class Controls(anywidget.AnyWidget):
    """Sliders and choices that call back whenever one is moved.

    The page asks for one picture at a time, always for where the controls stand by then: so the
    picture follows the finger as fast as it can be drawn, and never lags behind.

    Args:
        knobs: What can be set.
        moved: Is called with all that is set, by name.
    """

    _esm = _HERE / "controls.js"
    _css = _HERE / "controls.css"
    knobs: traitlets.List[Any] = traitlets.List().tag(sync=True)
    asked = traitlets.Dict().tag(sync=True)
    drawn = traitlets.Int(0).tag(sync=True)

    def __init__(self, knobs: Sequence[Knob], moved: Callable[..., None]) -> None:
        self._knobs, self._moved = knobs, moved
        super().__init__(knobs=[knob.told() for knob in knobs])

    @traitlets.observe("asked")
    def _follow(self, change: dict[str, Any]) -> None:
        asked = change["new"]
        try:
            self._moved(**{knob.name: knob.read(asked[knob.name]) for knob in self._knobs})
        finally:
            self.drawn += 1
