"""Client: has notebooks read and checks run by workers, and keeps what came of them.

A worker is a process (see `worker`).  One that hangs, dies or is worn out costs the order at which
it was, which is told, and is replaced; the others go on.
"""

from __future__ import annotations

import contextlib
import os
import shutil
import signal
import subprocess
import sys
import tempfile
import threading
from collections.abc import Sequence
from pathlib import Path
from typing import Any, NamedTuple

from robotsim import KitError

from .frames import Frame, read_frame, write_frame
from .requests import Request

__all__ = ["CHECK_S", "Result", "Worker"]

_ROOT = Path(__file__).resolve().parent.parent.parent
CHECK_S = 90.0
"""Real time in s for one check; honest ones take less than two, hanging ones are stopped before."""
_READ_S = 60.0
_START_S = 60.0


class Result(NamedTuple):
    """What came of a check.

    Attributes:
        about: Points, card, rows, cause and more, see `worker`.
        recordings: The recordings, one a trial, as bytes; none where all points were earned.
    """

    about: dict[str, Any]
    recordings: list[bytes]


class Worker:
    """A process that reads notebooks and runs checks; a context manager, started when needed.

    Args:
        unprotected: Whether it is to work also where programs cannot be kept in.
        without: Layers of protection to leave out, to see what the others hold.
    """

    def __init__(self, *, unprotected: bool = False, without: Sequence[str] = ()) -> None:
        self._more = ["--programs-may-reach-this-computer"] if unprotected else []
        self._more += ["--without", *without] if without else []
        self._process: subprocess.Popen[bytes] | None = None
        self._folder: tempfile.TemporaryDirectory[str] | None = None
        self.protections: list[tuple[str, bool, str]] = []

    def read(self, data: bytes, handed_out: bytes, lesson: str) -> Frame:
        """Bring a learner's file in order: its notes and what it shows, and the notebook's bytes.

        Raises:
            KitError: It is no notebook of this lesson, or the process failed.
        """
        return self._ask({"do": "read", "lesson": lesson}, [data, handed_out], _READ_S)

    def check(self, request: Request) -> Result:
        """Run one check.

        Raises:
            KitError: It could not be run; says why.
        """
        task, files, serial, variant = request
        head = {"do": "check", "task": task, "serial": serial, "variant": variant}
        return Result(*self._ask(head, [files.encode()], CHECK_S))

    def draw(self, task: str, recording: bytes) -> bytes:
        """Give the picture of a recording as HTML."""
        return self._ask({"do": "draw", "task": task}, [recording], _READ_S)[1][0]

    def harbour(self, notebook: bytes, serial: int | None, variant: int) -> dict[str, Any]:
        """Let the program of a notebook make its harbour runs; how they went, see `worker`."""
        head = {"do": "harbour", "serial": serial, "variant": variant}
        return self._ask(head, [notebook], CHECK_S)[0]

    def start(self) -> None:
        """Start the process, if it is not running.

        Raises:
            KitError: It could not be started, or this system cannot keep programs in.
        """
        if self._process is not None:
            return
        self._folder = tempfile.TemporaryDirectory(prefix="quayside-", ignore_cleanup_errors=True)
        _lend_fonts(Path(self._folder.name))
        group: dict[str, Any] = {"start_new_session": True} if os.name == "posix" else {}
        self._process = subprocess.Popen(
            [sys.executable, "-P", "-m", "checks.marking.worker", self._folder.name,
             *self._more],
            stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL,
            cwd=self._folder.name, env=_environment(self._folder.name), **group,
        )  # fmt: skip
        hello = self._wait(_START_S)
        if hello is None:
            self.stop()
            raise KitError(
                "The process that checks could not be started.",
                where="python -m checks.marking.worker", hint="`python3 checks doctor`",
            )  # fmt: skip
        self.protections = [(name, on, by) for name, on, by in hello[0]["protections"]]
        if "fault" in hello[0]:
            self.stop()
            what, where, hint = hello[0]["fault"]
            raise KitError(what, where=where, hint=hint)

    def stop(self) -> None:
        """End the process and the boards that it runs."""
        process, self._process = self._process, None
        if process is not None:
            for pipe in (process.stdin, process.stdout):
                if pipe:
                    with contextlib.suppress(OSError):
                        pipe.close()
            if os.name == "posix":
                with contextlib.suppress(OSError):
                    os.killpg(process.pid, signal.SIGKILL)
            process.kill()
            process.wait()
        if self._folder is not None:
            self._folder.cleanup()
            self._folder = None

    def __enter__(self) -> Worker:
        """Give the worker itself."""
        return self

    def __exit__(self, *_: object) -> None:
        """End the process."""
        self.stop()

    def _ask(self, head: dict[str, Any], parts: Sequence[bytes], seconds: float) -> Frame:
        self.start()
        assert self._process is not None and self._process.stdin is not None
        try:
            with contextlib.suppress(OSError):  # it went in the meantime: there is no answer
                write_frame(self._process.stdin, head, parts)
            answer = self._wait(seconds)
        except BaseException:
            self.stop()
            raise
        if answer is None:
            self.stop()
            raise KitError(
                f"The process that does this ended, or took more than {seconds:g} s.",
                where=str(head.get("task", "")),
                hint="look into the program: does it send without end, or wait for nothing?",
            )
        if answer[0].get("worn"):
            self.stop()
        if "fault" in answer[0]:
            what, where, hint = answer[0]["fault"]
            raise KitError(what, where=where, hint=hint)
        return answer

    def _wait(self, seconds: float) -> Frame | None:
        """Wait for an answer, for so long."""
        process = self._process
        assert process is not None and process.stdout is not None
        watch = threading.Timer(seconds, process.kill)
        watch.daemon = True
        watch.start()
        try:
            return read_frame(process.stdout)
        finally:
            watch.cancel()


def _environment(folder: str) -> dict[str, str]:
    kept = ("SYSTEMROOT", "PATH", "LD_LIBRARY_PATH", "LANG", "LC_ALL")
    own = {"PYTHONPATH": str(_ROOT), "MPLCONFIGDIR": folder, "HOME": folder, "MPLBACKEND": "agg"}
    return own | {name: os.environ[name] for name in kept if name in os.environ}


def _lend_fonts(folder: Path) -> None:
    """Give the process the list of fonts that matplotlib made, which takes long to make."""
    caches = (Path.home() / ".cache" / "matplotlib", Path.home() / ".matplotlib")
    for cache in caches:
        for fonts in cache.glob("fontlist-*.json"):
            with contextlib.suppress(OSError):
                shutil.copy(fonts, folder)
