"""Compile: the core of the simulator, made quicker from the very same sources.

`python3 lessons --compile` does it, `python3 lessons --plain` undoes it.  What is made lies in the
environment's folder and is used as `robotsim.core` says; nothing is ever written beside a source.
"""

from __future__ import annotations

import json
import os
import re
import shlex
import shutil
import subprocess
import sys
import sysconfig
import tempfile
from collections.abc import Sequence
from importlib.util import find_spec
from pathlib import Path

from robotsim import KitError, core

from .environment import Stages, stream

__all__ = ["MODULES", "build", "main", "remove"]

ROOT = Path(__file__).resolve().parent.parent
_BOARD = (
    "analog", "board", "callbacks", "costs", "diary", "flash", "link", "pins", "pwm", "radio",
    "unit", "wires", "words",
)  # fmt: skip
_TABLE = (
    "ball", "bodies", "contact", "floor", "room", "solids", "surfaces", "tally", "track",
)  # fmt: skip
_RADIO = ("agenda", "modem")
_JOINED = ("chance", "converter", "living", "outputs", "tug", "units", "world")
MODULES = (
    *(f"robotsim.{name}" for name in _JOINED),
    *(f"robotsim.board.{name}" for name in _BOARD),
    *(f"robotsim.parts.{path.stem}"
      for path in sorted(ROOT.joinpath("robotsim", "parts").glob("[!_]*.py"))
      if path.stem != "quirks"),
    *(f"robotsim.radio.{name}" for name in _RADIO),
    *(f"robotsim.table.{name}" for name in _TABLE),
)  # fmt: skip
"""What is compiled: where a trial's time goes.  What only checks what people say stays plain, and
so does what a recording keeps: a frozen class that is compiled cannot be packed and unpacked."""
_READ = (
    "robotsim.core", "robotsim.parts.__init__", "robotsim.parts.quirks", "robotsim.board.ports",
    "robotsim.table.table", "robotsim.wiring",
)  # fmt: skip
"""What the compiler has to read besides."""
_EXACT: list[str] = [] if os.name == "nt" else ["-ffp-contract=off"]
"""A product and a sum are rounded one after the other, as Python does, whatever the machine."""
_TUNED = ("SHORT_STEP", "SLIDE_STEP", "STEP_NS", "TOUCH_NS", "_MAX_EVENTS")
"""What only looks constant: tests make it smaller."""
_IN_C = "all of it is in C"
"""What the process that compiles says between its two halves."""
_READS = "1 of 3: turning the sources into C"
_COMPILES = "2 of 3: the C compiler, the longest (silent)"
_TRIES = "3 of 3: the same trials on it and on the sources"
_BEGINS = """\
Compiling the core of the simulator, needed once for each version: a minute or two of a computer
that does nothing else, and many of a busy or a small one. You may stop it at any time (Ctrl + C):
the kit goes on running from its sources."""
_AGAIN = "then give the same command again; without it the kit runs as well, only slower."


def build(
    folder: Path, modules: Sequence[str] = MODULES, effort: int = 2, stages: Stages | None = None
) -> None:
    """Compile some modules into a folder, whole or not at all.

    Args:
        folder: Where they go; what is there is replaced.
        modules: Their full names.
        effort: How hard the C compiler tries, 0 to 3.
        stages: Where it is told how far it is; None for nowhere.

    Raises:
        KitError: Something that this needs is not there, or the compiler failed.
    """
    _look_for_tools()
    folder.parent.mkdir(parents=True, exist_ok=True)
    work = Path(tempfile.mkdtemp(prefix=f".{folder.name}-", dir=folder.parent))
    # First: who edits a source while the compiler is at it gets a core that is not used.
    words = {"modules": list(modules), "sources": core.condensed(modules)}
    try:
        for name in (*modules, *_READ):
            source = Path(*name.split(".")).with_suffix(".py")
            (work / source).parent.mkdir(parents=True, exist_ok=True)
            text = (ROOT / source).read_text(encoding="utf-8")
            (work / source).write_text(_with_constants(text), encoding="utf-8")
        log = work / "log.txt"
        command = [sys.executable, "-P", "-m", "checks.compile", str(effort), *modules]

        def seen(line: str) -> None:
            if stages and line == _IN_C:
                stages.begin(_COMPILES)

        if stages:
            stages.begin(_READS)
        if stream(command, cwd=work, variables=os.environ, log=log, seen=seen):
            if stages:
                stages.end("failed")
            kept = shutil.copyfile(log, folder.with_name(f"{folder.name}.log"))
            raise KitError(
                f"The core could not be compiled: {_last_word(log)}",
                where=f"{kept} (all that was said)",
                hint="the kit goes on running from its sources; send that file to its makers.",
            )
        made = work / "made"
        (made / core.LIST).write_text(json.dumps(words, indent=1) + "\n", encoding="utf-8")
        remove(folder)
        made.rename(folder)
    finally:
        shutil.rmtree(work, ignore_errors=True)


def _with_constants(text: str) -> str:
    """Tell the compiler that what is written in capitals is constant; nothing else is changed.

    Not of a tuple: mypyc leaves out to set one whose items are all plain numbers.
    """
    told = re.sub(r"^(_?[A-Z][A-Z0-9_]+) = (?!\()", _constant, text, flags=re.M)
    return told.replace("import annotations\n", "import annotations\nimport typing as _t\n", 1)


def _constant(found: re.Match[str]) -> str:
    return f"{found[1]}{'' if found[1] in _TUNED else ': _t.Final'} = "


def remove(folder: Path) -> bool:
    """Take away what was compiled; tell whether there was anything."""
    if not folder.exists():
        return False
    # First out of sight, in one stroke: nothing half deleted is ever taken for whole.
    old = Path(tempfile.mkdtemp(prefix=f".{folder.name}-old-", dir=folder.parent))
    folder.rename(old / folder.name)
    shutil.rmtree(old, ignore_errors=True)
    return True


def _look_for_tools() -> None:
    """See whether all is there that compiling needs.

    Raises:
        KitError: Something is not.
    """
    if find_spec("mypyc") is None or find_spec("setuptools") is None:
        raise KitError(
            "The package mypy, whose compiler makes the core, is not installed.",
            where=sys.prefix,
            hint="connect to the network and give `python3 lessons --compile`, which fetches it.",
        )
    if os.name == "nt":  # there it is found by the build itself
        return
    compiler = shlex.split(sysconfig.get_config_var("CC") or "cc")[0]
    if shutil.which(os.environ.get("CC", compiler)) is None:
        raise KitError(
            f"There is no C compiler: no program {compiler} was found.",
            where="the folders in PATH",
            hint=f"on Debian and Ubuntu: sudo apt install gcc; {_AGAIN}",
        )
    headers = Path(sysconfig.get_path("include"))
    if not (headers / "Python.h").is_file():
        raise KitError(
            "Python's headers, which the C compiler needs, are not installed.",
            where=str(headers / "Python.h"),
            hint=f"on Debian and Ubuntu: sudo apt install python3-dev; {_AGAIN}",
        )


def _last_word(log: Path) -> str:
    lines = log.read_text(encoding="utf-8", errors="replace").splitlines()
    errors = [line for line in lines if "error" in line.lower()]
    return (errors or lines or ["nothing was said"])[0].strip()


def _compile(effort: str, modules: Sequence[str]) -> None:
    """Compile into the folder `made`; runs in a process of its own, in the folder of the copies."""
    from mypyc.build import mypycify
    from setuptools import Distribution

    files = [str(Path(*name.split(".")).with_suffix(".py")) for name in modules]
    read = [str(path) for path in Path("robotsim").rglob("*.py")]
    extensions = mypycify(
        # No settings: those of a checkout around the folder are for its sources.
        ["--config-file=", "--follow-imports=skip", "--ignore-missing-imports",
         "--namespace-packages", "--explicit-package-bases", *read],
        only_compile_paths=files, opt_level=effort, debug_level="0", target_dir="c",
        group_name=core.GROUP.removesuffix("__mypyc"),
    )  # fmt: skip
    print(_IN_C, flush=True)
    for extension in extensions:
        extension.extra_compile_args += _EXACT
    told = Distribution({"name": "quayside-core", "ext_modules": extensions})
    command = told.get_command_obj("build_ext")
    command.build_lib, command.build_temp = "made", "objects"
    command.ensure_finalized()
    command.run()


def main(arguments: Sequence[str]) -> int:
    """Compile, try what was made, and say what came of it; or take it away."""
    if "--plain" in arguments:
        was = remove(core.FOLDER)
        print("Trials run from the sources again." if was else "Trials run from the sources.")
        return 0
    print(_BEGINS, flush=True)
    stages = Stages()
    try:
        build(core.FOLDER, stages=stages)
        stages.begin(_TRIES)
        told = _tried(core.FOLDER)
        stages.end()
    except KitError as trouble:
        stages.end("failed")
        print(f"\n{trouble}", file=sys.stderr)
        return 1
    except KeyboardInterrupt:
        stages.end("stopped")
        print("The kit runs without what was not finished.")
        return 130
    print(f"Tried: {told}.\nTrials run on it from the next start on.")
    print(f"To undo this, in {ROOT}: `python3 lessons --plain`.")
    return 0


def _tried(folder: Path) -> str:
    """Run the same trials with and without, and say how they compare.

    Raises:
        KitError: They differ, or do not run.  Then what was compiled is taken away.
    """
    told = []
    for which in (str(folder), "plain"):
        try:
            done = subprocess.run(
                [sys.executable, "-P", "-m", "checks.core_trial"], cwd=ROOT, text=True,
                env=os.environ | {core.WHICH: which}, capture_output=True, check=False,
            )  # fmt: skip
        except KeyboardInterrupt:
            remove(folder)  # nobody runs on what was not tried
            raise
        last = (done.stderr.strip().splitlines() or ["it died"])[-1]
        told.append(done.stdout.split() or [last, "", ""])
    (state, mark, spent), (_, other, plain) = told
    if state != core.Core.COMPILED.value or mark != other:
        remove(folder)
        raise KitError(
            "What was compiled does not do the same as the sources, and was taken away.",
            where=f"{state}: {mark[:8]} against {other[:8]}",
            hint="the kit goes on running from its sources; tell its makers of this computer.",
        )
    return f"recordings equal to the bit; {float(plain) / float(spent):.1f} times as fast"


if __name__ == "__main__":
    if sys.argv[1:2] and sys.argv[1].isdigit():
        _compile(sys.argv[1], sys.argv[2:])
    else:
        sys.exit(main(sys.argv[1:]))
