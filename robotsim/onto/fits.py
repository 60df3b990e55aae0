"""Fits: do a program and its settings go with the wiring of the tug that they are meant for?"""

from __future__ import annotations

import ast
from collections.abc import Iterator, Mapping

from ..recording import Recording
from ..twin.settings import SETTINGS
from ..wiring import DRAWN, Build
from .advice import Advice, source_line
from .files import parsed

__all__ = ["look_at_pins", "look_at_settings", "pin_table"]


def pin_table(text: str) -> Iterator[tuple[str, object, int]]:
    """Give of the table `PINS` of a settings.py each role, its pin and the line."""
    for node in ast.walk(parsed(text) or ast.Module([], [])):
        named = isinstance(node, ast.Assign) and any(
            isinstance(target, ast.Name) and target.id == "PINS" for target in node.targets
        )
        if not named or not isinstance(table := node.value, ast.Dict):  # type: ignore[attr-defined]
            continue
        for key, pin in zip(table.keys, table.values, strict=True):
            if isinstance(key, ast.Constant) and isinstance(pin, ast.Constant):
                yield str(key.value), pin.value, pin.lineno


def look_at_settings(files: Mapping[str, str], own: Build | None) -> Iterator[Advice]:
    """Hold the table `PINS` of the settings against a tug's own, or against the tug as drawn."""
    build = own or DRAWN
    text = files.get(SETTINGS, "")
    for role, pin, line in pin_table(text):
        there = build.pins.get(role)
        if there is not None and pin != there:
            cure = f'write "{role}": {there}.' if own else (
                "if your tug is wired so, say which it is: ready(..., tug=\"tug.json\")."
            )  # fmt: skip
            yield Advice(
                SETTINGS, line, f"it says that {role} is on pin {pin!r}; the tug on which it was "
                f"tried has it on pin {there}.", cure, own is not None, source_line(text, line),
            )  # fmt: skip


def look_at_pins(recording: Recording) -> Iterator[Advice]:
    """Name the pins that a program has used as the tug is drawn, where this one is not."""
    build = recording.build
    used = {told.pin for told in recording.outputs() if told.ordered}
    used |= {event.data[0] for event in recording.of("frame", "adc", "read")}
    for pin in sorted(used):
        if pin in DRAWN.roles and pin not in build.roles:
            role = DRAWN.roles[pin]
            yield Advice(
                recording.program, 0, f"it uses pin {pin}, on which this tug has nothing: {role} "
                f"is on pin {build.pins[role]}.", f'take it from settings: PINS["{role}"].',
            )  # fmt: skip
