"""Prints what the benchmarks found as one small table, at the end of the run; forks programs."""

from __future__ import annotations

import pytest

FOUND = pytest.StashKey[dict[str, str]]()


@pytest.fixture(scope="module", autouse=True)
def _forked(forked_programs: None) -> None:
    """Fork programs, as in marking and in a notebook."""


@pytest.fixture
def found(request: pytest.FixtureRequest) -> dict[str, str]:
    """What to tell at the end: a line's head to its words."""
    return request.config.stash.setdefault(FOUND, {})


@pytest.hookimpl(trylast=True)
def pytest_terminal_summary(
    terminalreporter: pytest.TerminalReporter, config: pytest.Config
) -> None:
    """Print the table."""
    rows = config.stash.get(FOUND, {})
    if rows:
        terminalreporter.section("Speed")
        width = max(map(len, rows))
        for head, words in rows.items():
            terminalreporter.write_line(f"{head:<{width}}  {words}")
