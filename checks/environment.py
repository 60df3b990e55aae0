"""The kit's own environment: made, mended and described with the standard library alone.

Both commands (`python3 lessons`, `python3 tests`) load this file by its path before anything is
installed, so it imports nothing of ours. The environment is the folder `.venv` of the checkout. A
marker in it says how far the making came; it is written last, so that whatever was interrupted is
seen as half made at the next start and is finished or made anew.
"""

from __future__ import annotations

import contextlib
import enum
import errno
import hashlib
import json
import os
import re
import shutil
import subprocess
import sys
import time
import tomllib
from collections.abc import Callable, Iterable, Mapping, Sequence
from importlib.metadata import PackageNotFoundError, version
from importlib.util import find_spec
from pathlib import Path
from typing import Any, NamedTuple

__all__ = ["Environment", "SetupError", "Stages", "State", "explain", "stream"]

ROOM = "about 1 GB"


class SetupError(Exception):
    """What went wrong, where, and what to try: the form that all errors of the kit have.

    Args:
        what: What happened.
        where: The file or folder concerned.
        hint: What to try next.
        known: Whether the cause is understood; if not, the environment is made anew next time.
    """

    def __init__(self, what: str, *, where: str, hint: str, known: bool = True) -> None:
        super().__init__(f"{what}\nWhere: {where}\nTry: {hint}")
        self.known = known


class State(enum.Enum):
    """How the environment stands, with the words said when it has to be worked on."""

    READY = ""
    MISSING = f"First start: setting the kit up (needed once; some minutes, {ROOM} of disk)."
    HALF_MADE = "The kit's environment was left half made: finishing it."
    DAMAGED = "The kit's environment is damaged or was moved: making it anew."
    OUTDATED = "The kit needs other packages than before: bringing its environment up to date."


class _Cause(NamedTuple):
    """A failure that the installer's own last lines give away."""

    pattern: str
    what: str
    hint: str


_CAUSES = (
    _Cause(
        r"No space left|ENOSPC|not enough space on the disk",
        "The disk is full.",
        f"free {ROOM} and run the same command again.",
    ),
    _Cause(
        r"Permission denied|Access is denied|Read-only file system",
        "A file could not be written: no permission.",
        "put the kit into a folder of your own, close other programs that use it, and run again.",
    ),
    _Cause(
        r"CERTIFICATE_VERIFY_FAILED|SSLError",
        "The package index was reached, but its certificate was not accepted.",
        "check the computer's date, and ask whoever runs the network which certificate pip needs.",
    ),
    _Cause(
        r"name resolution|getaddrinfo|NewConnectionError|Network is unreachable|Max retries"
        r"|Connection (?:refused|reset|aborted|broken)|timed out|ProxyError|from versions: none",
        "The packages could not be fetched: no way to the package index.",
        "connect to the network (a proxy may have to be set for pip) and run the same command"
        " again.",
    ),
    _Cause(
        r"No matching distribution|Could not find a version|Failed (?:to build|building)"
        r"|Microsoft Visual C\+\+",
        "A package is not to be had ready-made for this Python.",
        "run the same command with Python 3.11, 3.12 or 3.13 (64 bit).",
    ),
)


def explain(lines: Sequence[str], log: Path) -> SetupError:
    """Turn the last lines of a failed installation into one clear message."""
    text = "\n".join(lines[-60:])
    last = "\n".join(f"    {line}" for line in lines[-4:])
    for cause in _CAUSES:
        if re.search(cause.pattern, text, re.IGNORECASE):
            return SetupError(cause.what, where=f"{log} (all that pip said)", hint=cause.hint)
    return SetupError(
        f"The packages could not be installed. pip's last words:\n{last}",
        where=f"{log} (all that pip said)",
        hint="run the same command again: it makes the environment anew.",
        known=False,
    )


def _explain_os_error(error: OSError, folder: Path) -> SetupError:
    where = str(error.filename or folder)
    if error.errno == errno.ENOSPC:
        return SetupError(_CAUSES[0].what, where=where, hint=_CAUSES[0].hint)
    if error.errno in (errno.EACCES, errno.EPERM, errno.EROFS):
        return SetupError(_CAUSES[1].what, where=where, hint=_CAUSES[1].hint)
    return SetupError(
        f"The environment could not be made: {error.strerror or error}.",
        where=where,
        hint="run the same command again; if that does not help, delete the folder .venv first.",
    )


def stream(
    command: Sequence[str],
    *,
    cwd: Path,
    variables: Mapping[str, str],
    log: Path,
    seen: Callable[[str], None],
) -> int:
    """Run a command, keep all that it prints in `log`, and show each line to `seen`.

    Returns:
        The exit code of the command.
    """
    with (
        log.open("a", encoding="utf-8") as file,
        subprocess.Popen(
            list(command),
            cwd=cwd,
            env=dict(variables),
            stdin=subprocess.DEVNULL,
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            encoding="utf-8",
            errors="replace",
        ) as process,
    ):
        for line in process.stdout or ():
            file.write(line)
            seen(line.rstrip())
    return process.returncode


def _installed(name: str) -> bool:
    try:
        return bool(version(name))
    except PackageNotFoundError:
        return False


class Stages:
    """Prints one short line a stage, with dots while it lasts and its seconds at the end."""

    def __init__(self) -> None:
        self.started, self.open, self.count = 0.0, False, 0

    def begin(self, title: str) -> None:
        """Say what is begun; what was under way is over."""
        self.end()
        print(f"  {title} ", end="", flush=True)
        self.started, self.open, self.count = time.monotonic(), True, 0

    def step(self) -> None:
        """Show that it goes on."""
        self.count += 1
        if self.count % 4 == 0:
            print(".", end="", flush=True)

    def end(self, outcome: str = "") -> None:
        """Say that it is over, or how it ended."""
        if self.open:
            print(f" {outcome or f'{time.monotonic() - self.started:.0f} s'}", flush=True)
        self.open = False


class Environment:
    """The environment of one checkout: its folder `.venv`.

    Who made one with conda from environment.yml and runs its Python gets that one instead; it is
    used as it is and never changed.

    Args:
        root: The checkout, the folder that holds pyproject.toml.
    """

    def __init__(self, root: Path) -> None:
        self.root = root
        self.conda = (Path(sys.prefix) / "conda-meta").is_dir() and _installed("quayside")
        self.folder = Path(sys.prefix) if self.conda else root / ".venv"
        self.programs = self.folder / ("Scripts" if os.name == "nt" else "bin")
        self.python = self.programs / ("python.exe" if os.name == "nt" else "python")
        if self.conda:
            self.python = Path(sys.executable)
        self.log = self.folder / "install.log"
        self._marker = self.folder / "quayside.json"

    def variables(self) -> dict[str, str]:
        """Give the environment variables of an activated environment (nbgrader needs its PATH)."""
        found = {k: v for k, v in os.environ.items() if k not in ("PYTHONHOME", "PYTHONPATH")}
        path = os.pathsep.join(filter(None, [str(self.programs), found.get("PATH", "")]))
        return found | {
            "PATH": path,
            "VIRTUAL_ENV": str(self.folder),
            # A setting of the user's could send packages or kernels elsewhere.
            "PIP_USER": "0",
            "PYTHONNOUSERSITE": "1",
            "JUPYTER_PREFER_ENV_PATH": "1",
        }

    def state(self, extras: Iterable[str] = ()) -> State:
        """Say how the environment stands; takes about 0.1 s when it is ready."""
        if self.conda:
            return State.READY if self._complete(extras) else State.OUTDATED
        if not self.folder.exists():
            return State.MISSING
        marker = self._read()
        if not marker:
            return State.HALF_MADE if self._runs() else State.DAMAGED
        if marker.get("folder") != str(self.folder) or marker.get("stage") == "spoilt":
            return State.DAMAGED
        if marker.get("stage") != "ready":
            return State.HALF_MADE if self._runs() else State.DAMAGED
        if marker.get("wants") != self._wants() or not {*extras} <= {*marker["extras"]}:
            return State.OUTDATED if self._runs() else State.DAMAGED
        return State.READY if self._complete(marker["extras"]) else State.DAMAGED

    def ensure(self, extras: Iterable[str] = (), *, strict: bool = False) -> None:
        """Make or mend the environment where needed, telling what is done.

        Args:
            extras: Names of the optional groups of packages wanted beside the kit's own.
            strict: Whether failing to update a working environment is an error. If not, it is
                said, and the environment is used as it was.

        Raises:
            SetupError: It cannot be made; running again goes on from there.
        """
        state = self.state(extras)
        if state is State.READY:
            return
        if self.conda:
            raise SetupError(
                "The conda environment lacks packages that the kit needs.",
                where=str(self.folder),
                hint="conda env update --file environment.yml (for the tests also:"
                " pip install -e '.[test]').",
            )
        print(state.value, flush=True)
        stages = Stages()
        wanted = {*extras, *self._read().get("extras", [])}
        try:
            if state in (State.MISSING, State.DAMAGED):
                self._make(stages)
            self._install(sorted(wanted), stages)
        except OSError as error:
            stages.end("failed")
            raise _explain_os_error(error, self.folder) from error
        except SetupError as trouble:
            stages.end("failed")
            if strict or self._read().get("stage") != "ready":
                raise
            print(f"{trouble}\nGoing on with the packages that are there.", flush=True)

    def _make(self, stages: Stages) -> None:
        for module in ("venv", "ensurepip"):
            if find_spec(module) is None:
                raise SetupError(
                    f"This Python has no module {module}, which makes environments.",
                    where=sys.executable,
                    hint="on Debian and Ubuntu: sudo apt install python3-venv; elsewhere install"
                    " Python 3.11 or later with all its modules.",
                )
        if self.folder.exists():
            self._clear()
        stages.begin("making the environment .venv")
        self.folder.mkdir()
        self._write("started", [])
        # When run from an environment, that one's own base must be the new one's base too.
        base = getattr(sys, "_base_executable", None) or sys.executable
        said: list[str] = []
        command = [base, "-m", "venv", "--prompt", "quayside", str(self.folder)]
        if self._stream(command, said.append):
            raise explain(said, self.log)

    def _clear(self) -> None:
        """Delete what is left of an environment of ours; never anything that is not."""
        plain = self.folder.is_dir() and not self.folder.is_symlink()
        if not (plain and (self._marker.exists() or not any(self.folder.iterdir()))):
            raise SetupError(
                "There is a .venv that this kit did not make and that does not work.",
                where=str(self.folder),
                hint="move it away or delete it, and run the same command again.",
            )
        # Renaming works wholly or not at all, so nothing is half deleted that may not be deleted.
        old = self.folder.with_name(f".venv-old-{os.getpid()}")
        self.folder.rename(old)
        shutil.rmtree(old, ignore_errors=True)

    def _install(self, extras: list[str], stages: Stages) -> None:
        said: list[str] = []

        def seen(line: str) -> None:
            said.append(line)
            if line.startswith("Collecting "):
                stages.step()
            if line.startswith("Installing collected packages:"):
                # Up to here nothing was changed; from here on it is half made until all is done.
                self._write("started", extras)
                count = line.count(",") + 1
                stages.begin(f"installing them: {count} (silent for a while)")

        stages.begin("fetching packages")
        kit = "." + (f"[{','.join(extras)}]" if extras else "")
        command = [str(self.python), "-m", "pip", "install", "--no-input", "--progress-bar=off"]
        command += ["--disable-pip-version-check", "--no-compile", "-e", kit]
        code = self._stream(command, seen)
        if code or not self._complete(extras):
            trouble = explain(said, self.log)
            if not trouble.known:
                self._write("spoilt", extras)
            raise trouble
        self._write("ready", extras)
        self._compile(stages)
        stages.end()

    def _compile(self, stages: Stages) -> None:
        """Compile the packages on all cores; pip would do it on one.

        Nothing hangs on it: what is left out, Python compiles at its first import.
        """
        stages.begin("compiling them (silent for a while)")
        packages = str(self.folder / ("Lib" if os.name == "nt" else "lib"))
        command = [str(self.python), "-m", "compileall", "-q", "-j", "0", packages]
        with contextlib.suppress(OSError):
            self._stream(command, lambda line: None)

    def _stream(self, command: Sequence[str], seen: Callable[[str], None]) -> int:
        return stream(command, cwd=self.root, variables=self.variables(), log=self.log, seen=seen)

    def _runs(self) -> bool:
        """Tell whether its Python starts, is young enough and has pip."""
        return self._asks("import sys, pip; assert sys.version_info >= (3, 11)")

    def _complete(self, extras: Iterable[str]) -> bool:
        """Tell whether its Python starts and every package that the kit names is there."""
        project = self._project()["project"]
        groups = [project.get("optional-dependencies", {}).get(extra, []) for extra in extras]
        needs = [*project.get("dependencies", []), *(need for group in groups for need in group)]
        # A requirement with a condition (after ";") may rightly be absent.
        names = [re.split(r"[^\w.-]", need)[0] for need in needs if ";" not in need]
        code = "from importlib.metadata import version\nfor name in {}: version(name)"
        return self._asks(code.format([project["name"], *names]))

    def _asks(self, code: str) -> bool:
        try:
            done = subprocess.run(
                [str(self.python), "-I", "-c", code], capture_output=True, timeout=60, check=False
            )
        except (OSError, subprocess.TimeoutExpired):
            return False
        return done.returncode == 0

    def _project(self) -> dict[str, Any]:
        return tomllib.loads((self.root / "pyproject.toml").read_text(encoding="utf-8"))

    def _wants(self) -> str:
        """Condense what pyproject.toml says of installing; other tools' settings do not count."""
        project = self._project()
        parts = [project.get(name) for name in ("build-system", "project")]
        parts.append(project.get("tool", {}).get("setuptools"))
        return hashlib.sha256(json.dumps(parts, sort_keys=True).encode()).hexdigest()

    def _read(self) -> dict[str, Any]:
        try:
            found = json.loads(self._marker.read_text(encoding="utf-8"))
        except (OSError, ValueError):
            return {}
        return found if isinstance(found, dict) else {}

    def _write(self, stage: str, extras: list[str]) -> None:
        marker = {"stage": stage, "extras": extras, "folder": str(self.folder),
                  "wants": self._wants()}  # fmt: skip
        fresh = self._marker.with_suffix(".new")
        fresh.write_text(json.dumps(marker, indent=1), encoding="utf-8")
        os.replace(fresh, self._marker)
