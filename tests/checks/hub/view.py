"""View: a way to Python for the school's accounts, where it lies in somebody's own folder.

Accounts of a school cannot run a Python that lies in a home that is closed to them, as on some
machines on which tests run.  There the school's processes get a view of the file system of their
own (a mount namespace, mount_namespaces(7)), in which that folder holds nothing but what they need.
"""

from __future__ import annotations

import shlex
import stat
import subprocess
import sys
import sysconfig
from pathlib import Path

ROOT = Path(__file__).resolve().parents[3]


def closed(path: Path) -> Path | None:
    """Give the outermost folder on a way that not everybody may go through, or None."""
    for place in [*reversed(path.parents), path]:
        if not place.stat().st_mode & stat.S_IXOTH:
            return place
    return None


def needed() -> list[Path]:
    """Give the folders that everybody needs: Python, what is installed, the checkout."""
    places = [sys.base_prefix, sys.prefix, sysconfig.get_paths()["purelib"], ROOT]
    return sorted({Path(place).resolve() for place in places})


def within(command: list[str]) -> list[str]:
    """Give a command that runs another one in such a view; the same one where none is needed."""
    doors = sorted({door for path in needed() if (door := closed(path))})
    if not doors:
        return command
    rows = ["set -e", "keep=$(mktemp -d)", "mount -t tmpfs -o mode=700 keep $keep"]
    inside = [path for path in needed() if closed(path)]
    for k, path in enumerate(inside):
        rows += [f"mkdir $keep/{k}", f"mount --bind {shlex.quote(str(path))} $keep/{k}"]
    rows += [f"mount -t tmpfs -o mode=755 view {shlex.quote(str(door))}" for door in doors]
    for k, path in enumerate(inside):
        rows += [f"mkdir -p {shlex.quote(str(path))}",
                 f"mount --move $keep/{k} {shlex.quote(str(path))}"]  # fmt: skip
    rows += ["umount -l $keep", "rmdir $keep", f"exec {shlex.join(command)}"]
    return ["unshare", "--mount", "--propagation", "private", "sh", "-c", "\n".join(rows)]


def trouble(account: str) -> str:
    """Say why an account cannot run the kit here; "" if it can."""
    command = ["setpriv", f"--reuid={account}", f"--regid={account}", "--clear-groups",
               sys.executable, "-P", "-c", "import jupyterhub"]  # fmt: skip
    try:
        done = subprocess.run(within(command), capture_output=True, text=True, check=False)
    except OSError as fault:
        return str(fault)
    return done.stderr[-300:] if done.returncode else ""
