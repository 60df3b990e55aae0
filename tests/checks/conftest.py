"""Here programs are forked of a nursery, as in marking; elsewhere each is started, as at home."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from robotsim.board import nursery


@pytest.fixture(scope="module", autouse=True)
def _forked_programs() -> Iterator[None]:
    """Keep a nursery for as long as a module's tests run, if they need one."""
    nursery.keep_nursery()
    yield
    if nursery._Kept.nursery is not None:
        nursery._Kept.nursery.end()
    nursery._Kept.wanted, nursery._Kept.nursery = False, None
