"""Serving: JupyterLab on this machine alone, until it is stopped.

The launcher loads this too, before anything is installed: it needs the standard library only.
"""

import os
import signal
import socket
import subprocess
import sys
from collections.abc import Mapping, Sequence
from pathlib import Path

__all__ = ["serve", "taken", "wait_for"]


def taken(port: int | None) -> dict[str, str] | None:
    """Say what, where and what to try if another program listens on a port; None if none does."""
    if port is None:
        return None
    with socket.socket() as door:
        if door.connect_ex(("127.0.0.1", port)) != 0:
            return None
    return {"what": f"Port {port} is taken by another program.", "where": f"--port {port}",
            "hint": "leave --port out: a free port is then found by itself."}  # fmt: skip


def serve(
    command: Sequence[str], folder: Path, variables: Mapping[str, str], port: int | None,
    browser: bool,
) -> int:  # fmt: skip
    """Run a server of JupyterLab's until it is stopped; give its exit code.

    Args:
        command: What starts it.
        folder: Where it works.
        variables: The system's variables for it.
        port: Its port; None for a free one.
        browser: Whether it opens a page; else it prints the address.
    """
    words = [*command, *([] if browser else ["--no-browser"])]
    words += [] if port is None else [f"--port={port}"]
    if os.name == "posix" and os.geteuid() == 0:
        words.append("--allow-root")
    # Being ended must end the server too.
    signal.signal(signal.SIGTERM, lambda *_: sys.exit(143))
    with subprocess.Popen(words, cwd=folder, env=variables) as server:
        try:
            return wait_for(server)
        finally:
            server.terminate()


def wait_for(process: "subprocess.Popen[bytes]") -> int:
    """Wait for a process's end: it hears of Ctrl-C itself, and has to clear up."""
    while True:
        try:
            return process.wait()
        except KeyboardInterrupt:
            continue
