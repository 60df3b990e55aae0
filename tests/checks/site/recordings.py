"""What is compared of the tab and the desk; this file runs in both.

It gives a mark of each trial's recording, whole: events, tracks, problem, kept files and all.
"""

import hashlib
import time
from dataclasses import fields
from pathlib import Path

from checks import TASKS
from robotsim import Recording, Whose, run_trial

ENDLESS = {
    "computes": "n = 0\nwhile True:\n    n += 1\n",
    "catches everything": "import time\nwhile True:\n    try:\n        time.sleep(1)\n"
    "    except BaseException:\n        pass\n",
    "js": "import js\n",
    "restarts": "import machine, time\nprint(machine.reset_cause())\ntime.sleep(1)\n"
    "machine.reset()\n",
    "modules": "import helper\nprint(helper.x)\n1 / 0\n",
}

LINES = """\
from machine import ADC, Pin, Timer
import time
def read():
    return ADC(Pin(36)).read()
Timer(0, period=300, callback=lambda timer: print("tick"))
while True:
    print(read())
    time.sleep_ms(70)
"""
"""Its running lines are compared, too."""


def mark(made: Recording) -> str:
    """Give the mark of a recording, but for which interpreter it was."""
    parts = [
        (f.name, {k: tuple(v) for k, v in made.tracks.items()} if f.name == "tracks"
         else getattr(made, f.name))
        for f in fields(made) if f.name not in ("engine", "whose")
    ]  # fmt: skip
    return hashlib.sha256(repr(parts).encode()).hexdigest()


def marks(folder: Path) -> dict[str, str]:
    """Run the programs `task-name.py` of a folder, and a few that are hard to end."""
    found = {}
    for path in sorted(folder.glob("*.*-*.py")):
        asked = TASKS[path.name.split("-")[0]]
        run = asked.runs[0]
        made = run_trial(
            {asked.program: path.read_text("utf-8")}, program=asked.program, table=run.table,
            seed=run.seed, seconds=min(run.seconds, 8.0), start=run.start, air=run.air,
            serial=7 if run.serial is None else run.serial, whose=Whose.KIT,
        )  # fmt: skip
        found[path.stem] = mark(made)
    for name, text in ENDLESS.items():
        files = {"main.py": text, "helper.py": "x = 5\n"}
        found[name] = mark(run_trial(files, seconds=4.0, whose=Whose.KIT))
    found["lines"] = mark(run_trial(LINES, seconds=4.0, lines=True, whose=Whose.KIT))
    return found


def paces(text: str) -> dict[str, float]:
    """Give how long some things take here, in s of real time."""
    from checks import check

    told = {}
    for name, deed in {
        "a run of 5 s": lambda: run_trial(text, table="quay", seconds=5.0, whose=Whose.KIT),
        "a run of 60 s": lambda: run_trial(text, table="quay", seconds=60.0, whose=Whose.KIT),
        "a check": lambda: check("lamps.side", files={"side.py": "import time\ntime.sleep(9)\n"},
                                 whose=Whose.KIT),
    }.items():  # fmt: skip
        began = time.perf_counter()
        deed()
        told[name] = round(time.perf_counter() - began, 2)
    return told
