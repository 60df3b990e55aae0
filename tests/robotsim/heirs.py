"""Heirs: what the classes do that stand on the core and are never compiled, condensed to a line.

`python -m tests.robotsim.heirs` runs two tugs on one table, and a plugged tug with each fault.
"""

from __future__ import annotations

import hashlib
from pathlib import Path

from robotsim import Whose, core
from robotsim.cable.miswired import FAULTS
from robotsim.cable.tug import World
from robotsim.company import Mate, run_beside
from robotsim.parts import Quirks
from robotsim.table import make_table
from robotsim.wiring import PINS, Signal

FOLLOW = Path(__file__).parents[1] / "programs" / "speed" / "follow.py"


def _main() -> None:
    text, mark = FOLLOW.read_text(encoding="utf-8"), hashlib.sha256()
    beside = Mate("main.py", 12)
    for made in run_beside({"main.py": text}, beside=beside, serial=3, seconds=6, whose=Whose.KIT):
        mark.update(made.to_bytes())
    for fault in FAULTS.values():
        tug = World(make_table("basin", 0), Quirks.of(7), 0, None, fault=fault)
        tug.output(PINS["left_ahead"], Signal(1.0, 0.0), 1000)
        tug.output(PINS["right_ahead"], Signal(0.7, 1000.0), 1000)
        tug.advance_to(300_000_000)
        tug.held = True
        told = [tug.level(PINS["bumper"], 400_000_000)]
        tug.advance_to(3_000_000_000)
        told += [tug.volts(PINS["eye_0"], 3_000_100_000), tug.look(3.0, "none")]
        mark.update(repr(told).encode())
    print(core.state.value, mark.hexdigest())


if __name__ == "__main__":
    _main()
