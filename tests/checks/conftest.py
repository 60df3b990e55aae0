"""Here programs are forked, as in marking and in a notebook; elsewhere each is started."""

from __future__ import annotations

import pytest


@pytest.fixture(scope="module", autouse=True)
def _forked(forked_programs: None) -> None:
    """Fork them."""
