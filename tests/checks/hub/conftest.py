"""What the tests of a class on one server need: root, for accounts, and the proxy, through npm."""

from __future__ import annotations

import os
import shutil
import subprocess
import tempfile
from collections.abc import Iterator
from pathlib import Path

import pytest

from checks.hub import write
from tests.checks.hub.view import trouble

PROXY = Path(write.__file__).parent / "machine" / "proxy"


@pytest.fixture(scope="session")
def proxy(npm: str) -> Iterator[Path]:
    """The hub's proxy, as the installer fetches it."""
    _need_accounts()
    place = Path(tempfile.mkdtemp(prefix="proxy-", dir="/tmp"))
    place.chmod(0o755)
    for file in PROXY.iterdir():
        shutil.copy(file, place)
    command = [npm, "ci", "--ignore-scripts", "--no-audit", "--no-fund"]
    done = subprocess.run(command, cwd=place, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr[-2000:]
    yield place
    shutil.rmtree(place)


def _need_accounts() -> None:
    """End a test that needs accounts where none can be made."""
    missing = [name for name in ("useradd", "userdel", "unshare", "setpriv", "node")
               if shutil.which(name) is None]  # fmt: skip
    why = "only root can make accounts" if os.geteuid() else f"missing: {', '.join(missing)}"
    if os.geteuid() == 0 and not missing:
        why = trouble("games")  # an account that every Debian has, and that owns nothing
    if why and why != "missing: ":
        end = pytest.fail if os.environ.get("QUAYSIDE_CI") == "1" else pytest.skip
        end(f"a school of real accounts cannot be made here: {why}")
