"""Probe: a program that is let in where a stranger's would run, and tries the doors.

What a system says that it offers and what holds there can differ: a container may forbid the call
that would have put a layer on, a kernel may take a limit and not heed it.  So it is tried.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
import tempfile
from collections.abc import Callable
from pathlib import Path

__all__ = ["ESCAPES", "probe"]

ESCAPES = {
    "read files": "files", "write files": "files", "start programs": "files",
    "start processes": "calls", "signal processes": "calls", "find processes": "calls",
    "set its own limits": "limits", "fill the memory": "limits",
    "ask how large files are": "sight", "open sockets": "network",
}  # fmt: skip
"""What a program may be able to do, in a few words, and which layer is to keep it from that."""

# Plain Python with nothing in its way but the system.
_PROGRAM = """
import json, os, sys
def memory():
    bytearray(700 * 1024 * 1024)
def limits():
    import resource
    resource.setrlimit(resource.RLIMIT_AS, (resource.RLIM_INFINITY, resource.RLIM_INFINITY))
def write():
    fd = os.open(sys.argv[2], os.O_WRONLY | os.O_CREAT, 0o600)
    os.close(fd)
    os.remove(sys.argv[2])
def socket():
    import _socket
    made = _socket.socket()
    if sys.platform == "linux":
        try:
            made.bind(("127.0.0.1", 0))
            made.listen(1)
        finally:
            made.close()
def fork():
    child = os.fork()
    if child == 0:
        os._exit(0)
    os.waitpid(child, 0)
def signal():
    os.kill(os.getppid(), 0)
def parent():
    assert os.getppid() > 1
def run():
    assert os.access("/bin/sh", os.X_OK)
    os.close(os.open("/bin/sh", os.O_RDONLY))
tries = {
    "read files": lambda: os.close(os.open(sys.argv[1], os.O_RDONLY)), "write files": write,
    "start programs": run, "start processes": fork, "signal processes": signal,
    "find processes": parent, "set its own limits": limits, "fill the memory": memory,
    "ask how large files are": lambda: os.stat(sys.argv[1]), "open sockets": socket,
}
found = []
for name, call in tries.items():
    try:
        call()
        found.append(name)
    except (OSError, MemoryError, ImportError, ValueError, AssertionError, AttributeError):
        pass
os.write(1, json.dumps(found).encode())
"""


def probe(secret: Path, start: Callable[[], object] | None) -> frozenset[str] | None:
    """Let the probe in and give what it could do; None if it could not even be started.

    Args:
        secret: A file that is none of a program's business.
        start: What its process does before it becomes Python.
    """
    written = Path(tempfile.gettempdir(), f"quayside-probe-{os.getpid()}")
    try:
        done = subprocess.run(
            [sys.executable, "-P", "-s", "-S", "-B", "-c", _PROGRAM, str(secret), str(written)],
            capture_output=True, check=False, cwd=written.parent, timeout=60.0, preexec_fn=start,
        )  # fmt: skip
        return frozenset(json.loads(done.stdout))
    except (OSError, subprocess.SubprocessError, ValueError):
        return None
