"""`python3 tests`: installs what the tests need and runs all of them.

Arguments, if any, go to pytest, and only pytest is run: `python3 tests tests/published -k motor`.
It needs nothing but Python itself, and uses the same environment as `python3 lessons`.
"""

# An older Python must be able to read this file as far as the launcher's message.
import os
import runpy
import subprocess
import sys
import time
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parent.parent
load = runpy.run_path(str(ROOT / "lessons" / "__main__.py"))["load"]

# A whole notebook, or the tests of one module, stay on one worker.  One worker more than cores: a
# test often waits, for a program or a page.
WORKERS = ["-n", str(min(os.cpu_count() or 1, 4) + 1), "--dist", "loadscope"]
# In the order of tests/conftest.py, where xdist itself would begin with the modules that have most
# tests, and end with the slowest.
SLOW_FIRST = ["--no-loadscope-reorder"]
DEAREST = ["--durations", "15"]
NBVAL = ["--nbval", "--nbval-sanitize-with", "tests/nbval_sanitize.cfg"]
NBVAL += ["--nbval-cell-timeout", "120"]
BESIDE = "mypy"
"""This stage keeps a single core busy, so it runs beside the others, and is told last."""


def stages(arguments: list[str]) -> dict[str, list[str]]:
    """Give the stages: title to the module to run with its arguments."""
    if arguments:
        return {"pytest": ["pytest", *arguments]}
    notebooks = sorted(str(path.relative_to(ROOT)) for path in ROOT.glob("lessons/*/*.ipynb"))
    return {
        "ruff": ["ruff", "check", "."],
        # A benchmark runs once here, as a test; two workers would spoil its timing.  And nbval
        # has nothing to do here.
        "unit tests and published values": [
            "pytest", *WORKERS, *SLOW_FIRST, *DEAREST, "--benchmark-disable", "-p", "no:nbval"
        ],
        # Without notebooks there would be nothing to compare: pytest then fails, as it should.
        "notebooks": ["pytest", *WORKERS, *NBVAL, *(notebooks or ["lessons/*/*.ipynb"])],
        BESIDE: ["mypy"],
    }


def surroundings(given: dict[str, str]) -> dict[str, str]:
    """Give a stage's environment variables.

    Where Python is told to keep nothing that it has compiled, each worker would compile all tests,
    and every process that a test starts the kit.
    """
    return {name: text for name, text in given.items() if name != "PYTHONDONTWRITEBYTECODE"}


def main(arguments: list[str]) -> int:
    """Run every stage, whatever became of the one before, and sum up."""
    environment = load("environment")
    kit = environment.Environment(ROOT)
    try:
        kit.ensure(["test"], strict=True)
    except environment.SetupError as trouble:
        print(f"\n{trouble}", file=sys.stderr)
        return 1

    def timed(command: list[str], **out: Any) -> tuple[int, str, float]:
        began, command = time.monotonic(), [str(kit.python), "-m", *command]
        env = surroundings(kit.variables())
        done = subprocess.run(command, cwd=ROOT, env=env, check=False, text=True, **out)
        return done.returncode, done.stdout or "", time.monotonic() - began

    summary, wanted = [], stages(arguments)
    with ThreadPoolExecutor(1) as pool:
        kept = {"stdout": subprocess.PIPE, "stderr": subprocess.STDOUT}
        beside = {BESIDE: pool.submit(timed, wanted[BESIDE], **kept)} if BESIDE in wanted else {}
        for title, command in wanted.items():
            print(f"\n== {title} ==", flush=True)
            code, said, seconds = beside[title].result() if title in beside else timed(command)
            summary.append((title, code, seconds))
            outcome = "ok" if code == 0 else "FAILED"
            print(f"{said}== {title}: {outcome} in {seconds:.0f} s ==", flush=True)
    print("\nSummary")
    for title, code, seconds in summary:
        outcome = "ok" if code == 0 else f"FAILED (exit code {code})"
        print(f"  {outcome:<22} {seconds:5.0f} s  {title}")
    failed = sum(code != 0 for _, code, _ in summary)
    print(f"{len(summary) - failed} stages ok, {failed} failed", flush=True)
    return 1 if failed else 0


if __name__ == "__main__":
    try:
        sys.exit(main(sys.argv[1:]))
    except KeyboardInterrupt:
        sys.exit("\nStopped.")
