"""Programs beside Python that some tests need, and what happens where one is missing.

A test that uses the fixture `chromium`, `mosquitto` or `npm` gets the program's path. Where it is
not installed the test is skipped, except under QUAYSIDE_CI=1, where that is a failure: a test that
CI skips protects nothing.
"""

from __future__ import annotations

import faulthandler
import gc
import os
import re
import shutil
from collections.abc import Iterator
from pathlib import PurePosixPath
from typing import Any

import pytest
from hypothesis import settings

# Unless told otherwise hypothesis fails a test whose example took more than 0.2 s: on a busy
# computer that is chance, and no test here is about time.
settings.register_profile("quayside", deadline=None)
settings.load_profile("quayside")

PROGRAMS = {
    "chromium": ("chromium", "chromium-browser"), "mosquitto": ("mosquitto",), "npm": ("npm",),
}  # fmt: skip
# Debian keeps servers where an ordinary user's PATH does not lead.
PATH = os.pathsep.join([os.environ.get("PATH", ""), "/usr/sbin", "/usr/local/sbin"])


def find_program(name: str) -> str | None:
    """Give the path of one of the programs, or None."""
    return next(filter(None, (shutil.which(n, path=PATH) for n in PROGRAMS[name])), None)


def need_program(name: str) -> str:
    """Give the path of a program; without it end the test, as CI or as anyone else would."""
    found = find_program(name)
    if found is None:
        end = pytest.fail if os.environ.get("QUAYSIDE_CI") == "1" else pytest.skip
        end(f"{name} is not installed (on Debian: sudo apt install {name})")
    return found


@pytest.fixture(scope="session")
def chromium() -> str:
    """The path of Chromium."""
    return need_program("chromium")


@pytest.fixture(scope="module")
def chrome(chromium: str) -> Iterator[Any]:
    """Chromium itself, as playwright's `Browser`."""
    from tests.robotsim.show.browser import browser

    with browser(chromium) as started:
        yield started


@pytest.fixture(scope="session")
def mosquitto() -> str:
    """The path of the broker mosquitto."""
    return need_program("mosquitto")


@pytest.fixture(scope="session")
def npm() -> str:
    """The path of npm, which fetches what a site is made of."""
    return need_program("npm")


@pytest.fixture
def need_engine(engine: str) -> None:
    """Skip a test whose engine is not installed; under QUAYSIDE_CI=1 that is a failure."""
    from robotsim import KitError
    from robotsim.board.engines import command

    try:
        command(engine)
    except KitError as missing:
        end = pytest.fail if os.environ.get("QUAYSIDE_CI") == "1" else pytest.skip
        end(str(missing))


def pytest_addoption(parser: pytest.Parser) -> None:
    """Add `--long`."""
    parser.addoption("--long", action="store_true", help="also the tests that take minutes")


@pytest.hookimpl(wrapper=True)
def pytest_collection() -> Iterator[None]:
    """Keep the collector of garbage from what collecting makes: none of it ever goes."""
    gc.disable()
    try:
        return (yield)
    finally:
        gc.freeze()
        gc.enable()


@pytest.hookimpl(tryfirst=True)
def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Mark the users of each fixture, so that `-m "not chromium"` leaves them out; slow ones first.

    A slow module that is begun last would leave the other worker without work.
    """
    if not config.getoption("--long"):
        long = [item for item in items if item.get_closest_marker("long")]
        items[:] = [item for item in items if item not in long]
        config.hook.pytest_deselected(items=long)
    for item in items:
        for name in PROGRAMS:
            if name in getattr(item, "fixturenames", ()):
                item.add_marker(name)
    slow = {unit_of(item.nodeid) for item in items if item.get_closest_marker("slow")}
    items.sort(key=lambda item: unit_of(item.nodeid) not in slow)


TOGETHER = {"test_grader_page.py": "test_hostile.py", "test_given_back.py": "test_deciding.py"}
"""Modules that use the same class, marked once for a worker."""


def unit_of(nodeid: str) -> str:
    """Give what a test shares its worker with: its module, or in it the tests of one task.

    A module that goes through all tasks (`test_programs.py`) is a large part of a whole run; kept
    on one worker it would leave the other without work.
    """
    path = PurePosixPath(nodeid.partition("::")[0])
    module = str(path.with_name(TOGETHER.get(path.name, path.name)))
    task = re.search(r"[\[-]([a-z]+\.[a-z]+)[-\]]", nodeid)
    return f"{module} {task[1]}" if task else module


@pytest.hookimpl(optionalhook=True)
def pytest_xdist_make_scheduler(config: pytest.Config, log: Any) -> Any:
    """Share the tests out by `unit_of`, where they would be shared out by module."""
    if config.getvalue("dist") != "loadscope":
        return None
    from xdist.scheduler import LoadScopeScheduling

    class ByUnit(LoadScopeScheduling):
        def _split_scope(self, nodeid: str) -> str:
            return unit_of(nodeid)

    return ByUnit(config, log)


def pytest_runtest_setup(item: pytest.Item) -> None:
    """Hold the tests that only carry the marker to the same rule; let a long test take its time."""
    if item.get_closest_marker("long"):
        faulthandler.cancel_dump_traceback_later()  # pytest has set it for this test already
    for name in PROGRAMS:
        if item.get_closest_marker(name):
            need_program(name)


@pytest.fixture(scope="module")
def forked_programs() -> Iterator[None]:
    """Keep a nursery for as long as a module's tests run, if they need one."""
    from robotsim.board import nursery

    nursery.keep_nursery()
    yield
    if nursery._Kept.nursery is not None:
        nursery._Kept.nursery.end()
    nursery._Kept.wanted, nursery._Kept.nursery = False, None


@pytest.fixture(scope="session", autouse=True)
def _own_programs_on_any_computer() -> None:
    """Let the tests' own programs run also where nothing could keep a stranger's in."""
    from robotsim.board.confine import let_programs_reach_this_computer, refusal

    if refusal() is not None:
        let_programs_reach_this_computer()
