"""Prints what was published and what ours is as one table, at the end of the run.

`python3 tests tests/published` prints it; two workers of pytest-xdist, which share nothing, do not.
"""

from __future__ import annotations

import pytest

from tests.published.table import Pair, Tell, lines, row

TOLD = pytest.StashKey[dict[tuple[str, str, str], list[Pair]]]()


@pytest.fixture
def tell(request: pytest.FixtureRequest) -> Tell:
    """What puts values into the table, under the topic that is the file's name."""
    topic = request.path.stem.removeprefix("test_").replace("_", " ")
    told = request.config.stash.setdefault(TOLD, {})

    def note(what: str, published: object, ours: object, source: str) -> object:
        pairs = told.setdefault((topic, what, source), [])
        if (published, ours) not in pairs:
            pairs.append((published, ours))
        return ours

    return note


@pytest.hookimpl(trylast=True)
def pytest_terminal_summary(
    terminalreporter: pytest.TerminalReporter, config: pytest.Config
) -> None:
    """Print the table."""
    told = config.stash.get(TOLD, {})
    if told:
        terminalreporter.section("Published values")
        keys = sorted(told, key=lambda key: key[0])
        for line in lines(row(topic, what, told[topic, what, source], source)
                          for topic, what, source in keys):  # fmt: skip
            terminalreporter.write_line(line)
