"""The embedded broker under a whole class: nothing is lost at QoS 1; how long it takes is told.

Sixty tugs, ten messages a second each, from a second process on the loopback.  No time is asserted.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
import time
from pathlib import Path

import pytest

from robotsim.live.access import make_password
from robotsim.live.office import open_office

ROOT = Path(__file__).parents[2]
TUGS = Path(__file__).parent / "tugs.py"


def load(seconds: float, tugs: int) -> dict[str, float]:
    """Give what the tugs told, and how much of one core the broker took."""
    office = open_office(password=make_password())
    try:
        before = time.process_time()
        told = subprocess.run(
            [sys.executable, str(TUGS), str(office.address.port), str(seconds), str(tugs),
             office.address.password],
            capture_output=True, text=True, check=True, cwd=ROOT,
            env={**os.environ, "PYTHONPATH": str(ROOT)},
        )  # fmt: skip
        core = time.process_time() - before
    finally:
        office.close()
    return {**json.loads(told.stdout), "core": core}


def judge(told: dict[str, float], tugs: int, seconds: float, found: dict[str, str]) -> None:
    assert told["sent"] == round(10 * seconds) * tugs
    assert told["acknowledged"] == told["sent"], "the broker took them all"
    assert told["heard"] == told["sent"], "and the office has them all"
    found[f"{tugs} tugs, 10 messages a second each, {seconds:g} s"] = (
        f"{told['sent']:.0f} sent, none lost, {told['twice']:.0f} twice; delay: half within "
        f"{1000 * told['half']:.0f} ms, 99 % within {1000 * told['most']:.0f} ms, the longest "
        f"{1000 * told['longest']:.0f} ms; broker {told['core'] / told['took']:.0%} of a core"
    )


def test_a_class_of_sixty_loses_nothing_in_a_second(found: dict[str, str]) -> None:
    judge(load(1.0, 60), 60, 1.0, found)


@pytest.mark.long
def test_a_class_of_sixty_loses_nothing_in_twenty_seconds(found: dict[str, str]) -> None:
    judge(load(20.0, 60), 60, 20.0, found)
