"""Sliding: a picture and the controls that choose what it shows.

The picture is an output of its own, which the controls replace.  So it stays in the notebook with
the last setting, and can be read wherever no kernel runs: in JupyterLab opened again, in a page
that nbconvert wrote, with or without a network.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from matplotlib.figure import Figure

from .display import bundle

__all__ = ["Choice", "Span", "controls", "slide"]

_QUICK = 100
"""Dots an inch while the controls are moved: a coarser picture is there sooner."""
_BARE = "Sliders: run this cell to move them."
_ASLEEP = "<small>If moving them changes nothing, run this cell again.</small>"


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

    def widget(self, kit: Any, look: Mapping[str, Any]) -> Any:
        """Make the slider."""
        ends = {"min": self.low, "max": self.high, "step": self.step, "value": self.value}
        if not self.places:
            ends = {name: round(value) for name, value in ends.items()}
            return kit.IntSlider(description=self.label, **ends, **look)
        shown = f".{self.places}f"
        return kit.FloatSlider(description=self.label, readout_format=shown, **ends, **look)

    def read(self, value: Any) -> Any:
        """Give the number that is set, free of a slider's crumbs."""
        return round(value, self.places) if self.places else int(value)


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

    def widget(self, kit: Any, look: Mapping[str, Any]) -> Any:
        """Make the choice."""
        plain = {name: part for name, part in look.items() if name != "continuous_update"}
        return kit.Dropdown(
            description=self.label, options=list(self.options), value=self.value, **plain
        )

    def read(self, value: Any) -> Any:
        """Give what is chosen."""
        return value


Knob = Span | Choice


def controls(knobs: Sequence[Knob], moved: Callable[..., None]) -> Any:
    """Give the controls, or None where ipywidgets is not installed.

    Args:
        knobs: What can be set.
        moved: Is called with all that is set, by name, whenever something was moved.
    """
    try:
        import ipywidgets as kit
    except ImportError:
        return None
    look = {
        "style": {"description_width": "13em"}, "layout": {"width": "38em"},
        "continuous_update": False,
    }  # fmt: skip
    made = [knob.widget(kit, look) for knob in knobs]

    def follow(change: object) -> None:
        pairs = zip(knobs, made, strict=True)
        moved(**{knob.name: knob.read(control.value) for knob, control in pairs})

    for control in made:
        control.observe(follow, names="value")
    return kit.VBox([*made, kit.HTML(_ASLEEP)])


def slide(draw: Callable[..., Figure], *knobs: Knob) -> None:
    """Show in the notebook what a drawing makes of some settings, with controls to move them.

    Args:
        draw: Makes the figure from the settings, given by name.
        knobs: What can be set.
    """
    from IPython.display import display

    first = bundle(draw(**{knob.name: knob.value for knob in knobs}))
    picture = display(first, raw=True, display_id=True)  # type: ignore[no-untyped-call]

    def moved(**settings: Any) -> None:
        picture.update(bundle(draw(**settings), dots_per_inch=_QUICK), raw=True)

    box = controls(knobs, moved)
    if box is not None:
        view = {**(box._repr_mimebundle_() or {}), "text/plain": _BARE}
        display(view, raw=True)  # type: ignore[no-untyped-call]
