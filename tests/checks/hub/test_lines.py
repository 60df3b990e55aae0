"""Kernels of a seat are spoken with over sockets of its own: no ports that another could take."""

from __future__ import annotations

import os
import shutil
import socket
import uuid
from collections.abc import Iterator
from pathlib import Path

import pytest
from jupyter_client.blocking.client import BlockingKernelClient
from jupyter_client.connect import LocalPortCache
from jupyter_client.manager import KernelManager
from jupyter_client.multikernelmanager import MultiKernelManager
from jupyter_core.paths import jupyter_runtime_dir
from traitlets.config.loader import KVArgParseConfigLoader

from checks.hub import serve
from checks.hub.codes import LONGEST
from checks.hub.serve import LINES, without_ports
from checks.hub.spawning import listeners

HERE = Path(serve.__file__).parent
HOMES = "/srv/quayside/homes"
"""Where install.sh lays them."""
LONGEST_PATH = 107
"""Bytes of a Unix socket's path on Linux, unix(7): 108 with the nought at its end."""


@pytest.fixture
def home(monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    """A home as short as a learner's; pytest's own folders are longer than that."""
    monkeypatch.setenv("JUPYTER_RUNTIME_DIR", "")  # so that it is put back
    place = Path(f"/tmp/lines-{os.getpid()}")
    place.mkdir()
    yield place
    shutil.rmtree(place)


def kernels_of(home: Path) -> MultiKernelManager:
    """Give a keeper of kernels as Jupyter's server has one, in a seat with this home."""
    config = KVArgParseConfigLoader(without_ports(home)).load_config()
    return MultiKernelManager(config=config, connection_dir=jupyter_runtime_dir())


def started(kernels: MultiKernelManager) -> tuple[KernelManager, BlockingKernelClient]:
    manager = kernels.get_kernel(kernels.start_kernel(kernel_name="python3"))
    assert isinstance(manager, KernelManager)
    client = manager.blocking_client()
    client.start_channels()
    client.wait_for_ready(timeout=60)
    return manager, client


def said(client: BlockingKernelClient, code: str) -> str:
    heard: list[str] = []
    client.execute_interactive(
        code, timeout=60, allow_stdin=False,
        output_hook=lambda message: heard.append(message["content"].get("text", "")),
    )  # fmt: skip
    return "".join(heard)


def test_a_kernel_whose_ports_somebody_else_holds_starts(
    home: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Jupyter draws a kernel's ports long before it binds them: here they are all taken by then."""
    with socket.create_server(("127.0.0.1", 0)) as taken:
        monkeypatch.setattr(LocalPortCache, "find_available_port",
                            lambda self, ip: taken.getsockname()[1])  # fmt: skip
        kernels = kernels_of(home)
        _, client = started(kernels)
        try:
            assert said(client, "print(6 * 7)") == "42\n"
        finally:
            client.stop_channels()
            kernels.shutdown_all(now=True)


def test_a_kernel_is_interrupted_and_started_anew_and_leaves_nothing_behind(home: Path) -> None:
    kernels = kernels_of(home)
    manager, client = started(kernels)
    try:
        asked = client.execute("import time\nprint(1)\nwhile True:\n    time.sleep(0.01)")
        while client.get_iopub_msg(timeout=60)["msg_type"] != "stream":
            pass
        manager.interrupt_kernel()
        while (reply := client.get_shell_msg(timeout=60))["parent_header"]["msg_id"] != asked:
            pass
        assert reply["content"]["ename"] == "KeyboardInterrupt"
        said(client, "kept = 1")
        manager.restart_kernel(now=True)
        client.wait_for_ready(timeout=60)
        assert said(client, "print('kept' in globals())") == "False\n"
        assert len([path for path in (home / LINES).iterdir() if path.is_socket()]) == 5
    finally:
        client.stop_channels()
        kernels.shutdown_all(now=True)
    assert not [*(home / LINES).iterdir()]


def test_what_a_crash_has_left_is_gone_when_the_seat_starts_anew(home: Path) -> None:
    without_ports(home)
    with socket.socket(socket.AF_UNIX) as left:
        left.bind(str(home / LINES / "kernel-1-ipc-1"))
    without_ports(home)
    assert not [*(home / LINES).iterdir()] and (home / LINES).stat().st_mode & 0o777 == 0o700


def test_the_longest_name_of_a_roster_leaves_room_for_a_sockets_path() -> None:
    install = (HERE / "machine" / "install.sh").read_text("utf-8")
    assert f"SRV={Path(HOMES).parent}\n" in install and "$SRV/homes/$user" in install
    place = Path(HOMES, "x" * LONGEST, LINES)
    manager = KernelManager(transport="ipc", connection_file=f"{place}/kernel-{uuid.uuid4()}.json")
    assert manager.ip.startswith(str(place)) and len(f"{manager.ip}-5".encode()) <= LONGEST_PATH


def test_who_listens_at_a_port_is_told_by_the_system_itself() -> None:
    with socket.socket() as door:
        door.bind(("127.0.0.1", 0))
        port = door.getsockname()[1]
        assert listeners(port) == set()
        door.listen()
        assert listeners(port) == {os.getuid()}
