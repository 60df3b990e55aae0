"""A broker with two seats and a guest: ours, and a real Mosquitto with the files that we write."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from robotsim.live.office import open_office
from tests.robotsim.live.clients import ACCESS, written
from tests.robotsim.radio.real import RealBroker


@pytest.fixture(scope="module", params=["our broker", "Mosquitto"])
def port(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Iterator[int]:
    """The port of a broker with two seats."""
    if request.param == "our broker":
        office = open_office(
            port=RealBroker.free_port(), password=ACCESS.password, seats=ACCESS.seats,
            guest=ACCESS.guest,
        )  # fmt: skip
        yield office.address.port
        office.close()
        return
    folder = tmp_path_factory.mktemp("seats")
    with RealBroker(request.getfixturevalue("mosquitto"), folder, written(folder)) as running:
        yield running.port
