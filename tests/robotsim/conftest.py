"""The engines that some tests need."""

from __future__ import annotations

import os

import pytest

from robotsim import KitError
from robotsim.board.engines import command


@pytest.fixture
def need_engine(engine: str) -> None:
    """Skip a test whose engine is not installed; under QUAYSIDE_CI=1 that is a failure."""
    try:
        command(engine)
    except KitError as missing:
        end = pytest.fail if os.environ.get("QUAYSIDE_CI") == "1" else pytest.skip
        end(str(missing))
