"""Seats that take what they can, and a spawner that holds them by the kernel's control groups.

On a school's machine systemd sets these groups.  Where tests run there is no systemd, so the school
sets the same figures itself (Linux, Documentation/admin-guide/cgroup-v1).
"""

from __future__ import annotations

from pathlib import Path

PLACE = Path("/sys/fs/cgroup")

GROUPED = """
import os
from pathlib import Path
from checks.hub.spawning import LocalSeat

PLACE = Path("/sys/fs/cgroup")

class GroupedSeat(LocalSeat):
    def groups(self):
        figures = {
            "memory": {"memory.limit_in_bytes": self.mem_limit},
            "pids": {"pids.max": TASKS},
            "cpu": {"cpu.cfs_period_us": 100000, "cpu.cfs_quota_us": int(100000 * self.cpu_limit)},
        }
        for kind, rows in figures.items():
            place = PLACE / kind / f"quayside-{self.user.name}"
            place.mkdir(exist_ok=True)
            for name, figure in rows.items():
                (place / name).write_text(str(figure))
            yield place

    def make_preexec_fn(self, name):
        places, begin = [*self.groups()], super().make_preexec_fn(name)
        def join():
            for place in places:
                (place / "cgroup.procs").write_text(str(os.getpid()))
            begin()
        return join

c.JupyterHub.spawner_class = GroupedSeat
"""
"""To add to the hub's configuration."""

HOGS = {
    "fills memory": "kept = []\nwhile True:\n    kept.append(b'x' * (16 << 20))",
    "forks": """
import os, time
while True:
    try:
        if os.fork() == 0:
            while True:
                pass
    except OSError:
        time.sleep(0.01)
""",
    "never ends": "while True:\n    pass",
}


def can_group() -> bool:
    """Tell whether control groups can be made here."""
    try:
        for kind in ("memory", "pids", "cpu"):
            place = PLACE / kind / "quayside-trial"
            place.mkdir()
            place.rmdir()
    except OSError:
        return False
    return True


def take_away(users: list[str]) -> None:
    """Take the groups of a school away, once nothing runs in them."""
    for kind in ("memory", "pids", "cpu"):
        for user in users:
            place = PLACE / kind / f"quayside-{user}"
            if place.is_dir():
                place.rmdir()
