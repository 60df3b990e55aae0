"""All tasks: a folder a lesson, which gives its `TASKS`; the folders are found by themselves."""

from __future__ import annotations

from importlib import import_module
from pkgutil import iter_modules

from ..task import Task

__all__ = ["TASKS"]

_ORDER = ("lamps", "drive", "arm", "line", "turn", "radio", "powerup", "harbour", "board")
"""The lessons that come first, in their order; others follow by their names."""


def _lessons() -> list[str]:
    found = [module.name for module in iter_modules(__path__) if module.ispkg]
    return sorted(found, key=lambda name: (name not in _ORDER, _place(name), name))


def _place(name: str) -> int:
    return _ORDER.index(name) if name in _ORDER else 0


TASKS: dict[str, Task] = {
    task.id: task
    for lesson in _lessons()
    for task in import_module(f"{__name__}.{lesson}").TASKS
}
"""Every task by its id."""
