"""What the package offers: every name is there, also after its module has been loaded."""

from __future__ import annotations

import importlib

import pytest

from robotsim import show


@pytest.mark.parametrize("name", show.__all__)
def test_a_public_name_stays_what_it_is(name: str) -> None:
    first = getattr(show, name)
    for module in set(show._LAZY.values()):
        importlib.import_module(f"robotsim.show.{module}")
    assert getattr(show, name) is first
    assert not isinstance(first, type(show)), "a module has taken the name"
