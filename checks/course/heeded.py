"""Heeded: settings of a course that nothing would ever read, since a name in them is misspelt.

traitlets leaves out what it finds no class or option for.  What the classes that are loaded offer
is asked of traitlets; whether a class is anywhere at all, of the texts of the packages.
"""

from __future__ import annotations

import functools
import importlib
import re
import sys
from collections import defaultdict
from collections.abc import Iterator
from contextlib import suppress
from importlib.metadata import distributions
from itertools import chain
from pathlib import Path
from typing import Any

from traitlets.config import Config, Configurable

from robotsim.errors import nearest

__all__ = ["unknown_classes", "unknown_option"]

_MORE = ("nbgrader.apps", "nbgrader.server_extensions.formgrader", "jupyterlab.labapp")
"""What is loaded where a name is not known yet: with it comes all that nbgrader and Jupyter set."""
_NAMED = re.compile(r"""^\s*class (\w+)(?:\(([^)]*)\))?|['"](\w+)['"] in cfg\b""", re.MULTILINE)
"""A class in a text, or an old name of a setting, which nbgrader still reads and says so."""


def unknown_option(config: Config, course: Path) -> str:
    """Tell of a setting whose class has no such option, with the nearest that it has; "" if none.

    Args:
        config: The course's settings.
        course: Its folder, where classes of the teacher's own may lie.
    """
    for section, option in _unread(config):
        offered = _offered()
        old = {section, option} & _written(course)[1] if section in offered else {section}
        if not old and not _is_open(section, course):
            guess = nearest(option, offered[section])
            return (f"{section} has no option {option!r}"
                    f"{f'; did you mean c.{section}.{guess}?' if guess else ''}")  # fmt: skip
    return ""


def unknown_classes(config: Config, course: Path) -> Iterator[str]:
    """Tell of each setting whose class is nowhere, which may be a class of what is not installed.

    Args:
        config: The course's settings.
        course: Its folder, where classes of the teacher's own may lie.
    """
    for section, option in _unread(config):
        offered, named = _offered(), re.search(rf"\.{section}\b['\"]", repr(config))
        if section not in offered and not named and section not in chain(*_written(course)):
            guess = nearest(section, offered)
            setting = f"c.{section}.{option}".rstrip(".")
            yield (f"{setting} in nbgrader_config.py does nothing: no class here is called "
                   f"{section}{f'; did you mean {guess}?' if guess else ''}")  # fmt: skip


def _unread(config: Config) -> Iterator[tuple[str, str]]:
    """Give (class, option) of the settings that no class reads, having looked at all there are."""
    known = _offered()
    if any(option not in known.get(section, ()) for section, option in _set(config)):
        for module in _MORE:
            with suppress(ImportError):
                importlib.import_module(module)
        known = _offered()
    yield from ((section, option) for section, option in _set(config)
                if option not in known.get(section, ()))  # fmt: skip


def _set(config: Config) -> Iterator[tuple[str, str]]:
    """Give (class, option) of all that is set; a class's settings may stand within another's."""
    for section, options in config.items():
        if not isinstance(options, Config):  # c.exchange: a class's name begins with a capital
            own = getattr(options, "__dict__", {})
            yield section, next((name for name in own if not name.startswith("_")), "")
            continue
        within = {name: one for name, one in options.items() if isinstance(one, Config)}
        yield from ((section, option) for option in options if option not in within)
        yield from _set(Config(within))


def _offered() -> dict[str, set[str]]:
    """Give the options by class of all that is loaded; one set for a class holds for its heirs."""
    offered: defaultdict[str, set[str]] = defaultdict(set)
    todo: list[type[Any]] = [Configurable]
    seen = {Configurable}
    while todo:
        kind = todo.pop()
        for base in kind.mro():
            if issubclass(base, Configurable):
                offered[base.__name__] |= kind.class_traits(config=True).keys()
        todo += (new := {*kind.__subclasses__()} - seen)
        seen |= new
    return dict(offered)


@functools.cache
def _written(course: Path) -> tuple[dict[str, set[str]], set[str]]:
    """Read the packages that stand on traitlets, and the course's own texts.

    Returns:
        For each class the files that define it or, in so many words, an heir; and all old names.
    """
    classes: defaultdict[str, set[str]] = defaultdict(set)
    old: set[str] = set()
    for path in (*_sources(), *course.glob("*.py")):
        for kind, bases, name in _named_in(path):
            old |= {name} - {""}
            for one in (kind, *re.findall(r"\w+", bases)):
                classes[one].add(str(path))
    return dict(classes), old


@functools.cache
def _named_in(path: Path) -> list[tuple[str, str, str]]:
    with suppress(OSError):
        return _NAMED.findall(path.read_text("utf-8", "replace"))
    return []


def _is_open(section: str, course: Path) -> bool:
    """Tell whether a class of this name, or an heir, may be loaded yet, with options of its own."""
    loaded = {getattr(module, "__file__", None) for module in [*sys.modules.values()]}
    return not _written(course)[0].get(section, set()) <= loaded


@functools.cache
def _sources() -> list[Path]:
    """Give the texts of the packages that stand on traitlets, directly or by another."""
    there = {str(one.metadata["Name"]).lower().replace("_", "-"): one for one in distributions()}
    needs = {name: {re.split(r"[^\w-]", need)[0].lower().replace("_", "-")
                    for need in one.requires or ()} for name, one in there.items()}  # fmt: skip
    standing = {"traitlets"}
    while more := {name for name, on in needs.items() if on & standing} - standing:
        standing |= more
    files = (one for name in standing & there.keys() for one in there[name].files or ())
    return [Path(str(one.locate())) for one in files
            if one.suffix == ".py" and "tests" not in one.parts]  # fmt: skip
