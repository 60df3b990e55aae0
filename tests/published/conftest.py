"""Prints what was published and what ours is as one table, at the end of the run.

`python3 tests tests/published` prints it; two workers of pytest-xdist, which share nothing, do not.
"""

from __future__ import annotations

import pytest

from tests.published.table import Tell, lines, row

ROWS = pytest.StashKey[dict[tuple[str, str], tuple[str, ...]]]()


@pytest.fixture
def tell(request: pytest.FixtureRequest) -> Tell:
    """What puts a value into the table, under the topic that is the file's name."""
    topic = request.path.stem.removeprefix("test_").replace("_", " ")
    rows = request.config.stash.setdefault(ROWS, {})

    def note(what: str, published: object, ours: object, source: str) -> object:
        rows[topic, what] = row(topic, what, published, ours, source)
        return ours

    return note


@pytest.hookimpl(trylast=True)
def pytest_terminal_summary(
    terminalreporter: pytest.TerminalReporter, config: pytest.Config
) -> None:
    """Print the table."""
    rows = config.stash.get(ROWS, {})
    if rows:
        terminalreporter.section("Published values")
        for line in lines(rows[key] for key in sorted(rows, key=lambda key: key[0])):
            terminalreporter.write_line(line)
