"""A kernel that was left ends sooner than one at which a learner sits and reads."""

from __future__ import annotations

import asyncio
from datetime import timedelta
from types import SimpleNamespace
from typing import Any

import pytest
from jupyter_server._tz import utcnow

from checks.hub import resting
from checks.hub.resting import Kernels

STARTING = -1.0


def ended(rested_s: dict[str, float], *, busy: str = "") -> set[str]:
    """Give which of some kernels end, by how long each has rested."""
    keeper = Kernels(cull_idle_timeout=2400, cull_connected=True, left_timeout=600)
    keeper._kernel_connections = dict.fromkeys(rested_s, 1)
    now, gone = utcnow(), set[str]()
    keeper._kernels = {
        name: SimpleNamespace(
            last_activity=now - timedelta(seconds=rest), kernel_name="python3",
            kernel_spec=SimpleNamespace(metadata={}),
            execution_state="busy" if name == busy else "idle",
        ) for name, rest in rested_s.items()
    }  # fmt: skip

    for name, rest in rested_s.items():
        if rest == STARTING:
            del keeper._kernels[name].last_activity

    async def shutdown(kernel_id: str, **_: Any) -> None:
        gone.add(kernel_id)

    keeper.shutdown_kernel = shutdown
    asyncio.run(keeper.cull_kernels())
    return gone


@pytest.mark.parametrize(
    ("rested_s", "wanted"),
    [
        ({"lamps": 700}, set()),  # whoever reads for twelve minutes has left nothing
        ({"lamps": 700, "drive": 60}, {"lamps"}),
        ({"lamps": 500, "drive": 60}, set()),
        ({"lamps": 900, "drive": 800}, {"lamps"}),  # the last one worked in stays
        ({"lamps": 2500}, {"lamps"}),
        ({"lamps": 2600, "drive": 2500}, {"lamps", "drive"}),
    ],
)
def test_a_kernel_ends_that_was_left_or_has_rested_long(
    rested_s: dict[str, float], wanted: set[str]
) -> None:
    assert ended(rested_s) == wanted


def test_a_kernel_that_is_just_starting_is_no_trouble() -> None:
    assert ended({"lamps": 2500, "drive": STARTING}) == {"lamps"}


def test_a_server_with_kernels_gives_back_memory(monkeypatch: pytest.MonkeyPatch) -> None:
    given: list[str] = []
    monkeypatch.setattr(resting, "giver_back", lambda: lambda: given.append("back"))
    monkeypatch.setattr(resting, "_GIVE_BACK_MS", 5)

    async def wait() -> None:
        Kernels(cull_idle_timeout=2400).initialize_culler()
        while len(given) < 2:
            await asyncio.sleep(0.01)

    asyncio.run(asyncio.wait_for(wait(), 60))


def test_a_kernel_that_runs_a_cell_stays() -> None:
    assert ended({"lamps": 900, "drive": 10}, busy="lamps") == set()
