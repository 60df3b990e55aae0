"""Gains for the line, found on a tug's twin: do they work on the tug at the first try?

And a square by the gyro: does the tug end it as its twin does?

`python -m tests.robotsim.twin.gains 51 101` prints a line a tug, and the figure of CABLE.md.
"""

from __future__ import annotations

import itertools
import re
import sys
from pathlib import Path

from checks import check
from robotsim import Recording, Whose, run_trial
from robotsim.parts import Quirks
from robotsim.show.along import kept
from tests.robotsim.twin.gyro import off_by
from tests.robotsim.twin.unknown import twin_of

PROGRAM = Path(__file__).parents[2] / "programs" / "line" / "follow" / "right_plain.py"
EFFORTS, KPS, KDS = (1.0, 0.92, 0.85, 0.75), (0.02, 0.03, 0.05), (0.0005, 0.0015)
NEAR_MM, SMOOTH = 20.0, 20.0
"""On the twin it must keep closer and run smoother than the task asks of the tug, 25 and 25."""
DAYS = (1, 2, 3)
Gains = tuple[float, float, float]


def program(gains: Gains) -> str:
    """Give the program with such an effort, KP and KD."""
    text = PROGRAM.read_text(encoding="utf-8")
    for name, value in zip(("EFFORT", "KP", "KD"), gains, strict=True):
        text, changed = re.subn(rf"^{name} = .*$", f"{name} = {value}", text, flags=re.MULTILINE)
        assert changed == 1
    return text


def on_twin(quirks: Quirks, gains: Gains, day: int) -> Recording:
    """Run it on a twin, on a day of its own."""
    return run_trial(program(gains), table="channel", serial=7, seed=day, seconds=20, tug=quirks,
                     whose=Whose.OWN)  # fmt: skip


def holds(done: Recording) -> bool:
    """Tell whether it went all the way, near the line and smoothly."""
    way = kept(done)
    near = max(map(abs, way.under_way)) <= NEAR_MM
    return done.ended == "finished" and not way.lost and near and way.weaving <= SMOOTH


def search(quirks: Quirks) -> Gains | None:
    """Give the quickest gains that hold on all days of the twin, None if there are none."""
    for effort in EFFORTS:
        tried = {(effort, kp, kd): on_twin(quirks, (effort, kp, kd), DAYS[0])
                 for kp, kd in itertools.product(KPS, KDS)}  # fmt: skip
        held = [gains for gains, done in tried.items() if holds(done)]
        for gains in sorted(held, key=lambda gains: tried[gains].ended_ns):
            if all(holds(on_twin(quirks, gains, day)) for day in DAYS[1:]):
                return gains
    return None


def first_try(serial: int, gains: Gains) -> float:
    """Give the share of the task's points that the tug earns with them, at once."""
    card = check("line.follow", files={"follow.py": program(gains)}, serial=serial, whose=Whose.OWN)
    return card.points / card.max_points


def main(first: int, last: int) -> None:
    """Print for each tug the gains of its twin and what they earn, and those of a tug as drawn."""
    squares: list[float] = []
    drawn, worked, plain = search(Quirks.of(0)), 0, 0
    print("as drawn:", drawn, flush=True)
    for serial in range(first, last):
        gains = search(twin_of(serial).quirks)
        earned = first_try(serial, gains) if gains else 0.0
        of_drawn = first_try(serial, drawn) if drawn else 0.0
        worked, plain = worked + (earned == 1.0), plain + (of_drawn == 1.0)
        squares.append(off_by(twin_of(serial).quirks, serial, 4))
        told = f"{earned:.2f}; as drawn {of_drawn:.2f}; square by gyro off {squares[-1]:.1f}"
        print(serial, gains, told, flush=True)
    print(f"all points at the first try: {worked} of {last - first}; with the gains of a tug as "
          f"drawn {plain}; a square by the gyro within 4 degrees: "
          f"{sum(abs(off) <= 4 for off in squares)} of {len(squares)}, at most "
          f"{max(map(abs, squares)):.1f}")  # fmt: skip


if __name__ == "__main__":
    main(int(sys.argv[1]), int(sys.argv[2]))
