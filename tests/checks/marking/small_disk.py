"""A small file system that is gone when the test is, even one that is killed."""

from __future__ import annotations

import contextlib
import shutil
import subprocess
import tempfile
from collections.abc import Iterator
from pathlib import Path

import pytest

KEEPER = """
trap '' HUP INT TERM
mount -t tmpfs -o "size=$2" none "$1" || { rmdir "$1"; exit 1; }
echo mounted
cat >/dev/null
umount -l "$1" && rmdir "$1"
"""
"""Holds the file system until its input ends, which it also does when whoever asked is killed."""


@contextlib.contextmanager
def mounted(size: int) -> Iterator[Path]:
    """Give a real file system of so many bytes, in none of pytest's folders, where a mount left
    behind would stop every later pytest; only root can make one."""
    if not shutil.which("mount"):
        pytest.skip("this system lets nobody mount a small file system")
    place = tempfile.mkdtemp(prefix="small_disk_")
    with subprocess.Popen(
        ["sh", "-c", KEEPER, "keeper", place, str(size)], stdin=subprocess.PIPE,
        stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True, start_new_session=True,
    ) as keeper:  # fmt: skip
        assert keeper.stdin and keeper.stdout
        if keeper.stdout.readline() != "mounted\n":
            pytest.skip("this user lets nobody mount a small file system")
        try:
            yield Path(place)
        finally:
            keeper.stdin.close()
            assert keeper.wait(20) == 0, f"{place} is still mounted"
