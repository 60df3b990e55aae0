"""A real Mosquitto on the loopback, and a second client beside it; a genuine client of the board.

*Source*: Mosquitto 2.0 as Debian ships it; paho-mqtt 2; `umqtt.simple` 1.3.4 of micropython-lib
as the package index has it.
"""

from __future__ import annotations

import os
import socket
import subprocess
import sys
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from types import TracebackType
from typing import Any

import paho.mqtt.client as paho

__all__ = ["Office", "RealBroker", "board", "genuine_client", "needed_user", "until"]

PATIENCE_S = 60.0
"""Until a test gives something up; no test takes it for a proof of anything."""


def until(done: Callable[[], bool], what: str) -> None:
    """Wait until something has happened.

    Raises:
        AssertionError: It did not.
    """
    end = time.monotonic() + PATIENCE_S
    while not done():
        assert time.monotonic() < end, f"waited {PATIENCE_S:g} s for {what}"
        time.sleep(0.01)


class RealBroker:
    """Mosquitto on a port of its own; it keeps its sessions on disk when it is asked to end.

    Args:
        program: Its path.
        folder: Where to put its files.
        conf: Makes its settings for a port, in place of the usual ones.
    """

    def __init__(
        self, program: str, folder: Path, conf: Callable[[int], str] | None = None
    ) -> None:
        self.port = self.free_port()
        self._program, self._conf = program, folder / "own.conf"
        usual = (
            f"listener {self.port} 127.0.0.1\nallow_anonymous true\n"
            f"persistence true\npersistence_location {folder}/\nset_tcp_nodelay true\n"
        )
        self._conf.write_text(conf(self.port) if conf else usual + needed_user(), encoding="utf-8")
        self._process: subprocess.Popen[bytes] | None = None

    @staticmethod
    def free_port() -> int:
        """Give a port on which nobody listens."""
        with socket.socket() as free:
            free.bind(("127.0.0.1", 0))
            return int(free.getsockname()[1])

    def start(self) -> None:
        """Start it and wait until it listens."""
        self._process = subprocess.Popen(
            [self._program, "-c", str(self._conf)],
            stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
        )  # fmt: skip
        until(self._listens, "Mosquitto")

    def _listens(self) -> bool:
        try:
            socket.create_connection(("127.0.0.1", self.port), timeout=1).close()
        except OSError:
            return False
        return True

    def stop(self) -> None:
        """End it."""
        if self._process:
            self._process.terminate()
            self._process.wait()
            self._process = None

    def __enter__(self) -> RealBroker:
        self.start()
        return self

    def __exit__(
        self, kind: type[BaseException] | None, fault: BaseException | None,
        trace: TracebackType | None,
    ) -> None:  # fmt: skip
        self.stop()


def needed_user() -> str:
    """Give a line for its settings: as root it would step down to a user who may not write."""
    return "user root\n" if hasattr(os, "geteuid") and os.geteuid() == 0 else ""


class Office:
    """The second client, paho: it notes what it hears, and publishes when told to."""

    def __init__(
        self, port: int, wanted: Sequence[str] = ("harbour/+/log",), password: str = ""
    ) -> None:
        self.heard: list[tuple[str, bytes, bool]] = []
        self.ready = False
        self._wanted = wanted
        self.client = paho.Client(
            paho.CallbackAPIVersion.VERSION2, client_id="office", clean_session=len(wanted) > 1
        )
        if password:
            self.client.username_pw_set("office", password)
        self.client.reconnect_delay_set(0.1, 0.2)
        self.client.on_connect = self._connected
        self.client.on_subscribe = lambda *_: setattr(self, "ready", True)
        self.client.on_message = self._message
        self.client.connect("127.0.0.1", port)
        self.client.loop_start()
        until(lambda: self.ready, "the office's subscription")

    def _connected(self, client: paho.Client, *_: Any) -> None:
        client.subscribe([(topic_filter, 1) for topic_filter in self._wanted])

    def _message(self, client: paho.Client, data: Any, message: paho.MQTTMessage) -> None:
        self.heard.append((message.topic, message.payload, message.dup))

    def publish(self, topic: str, payload: bytes | str, qos: int = 1, retain: bool = False) -> None:
        """Publish, and wait until the broker has it."""
        self.client.publish(topic, payload, qos, retain).wait_for_publish(PATIENCE_S)

    def close(self) -> None:
        """Leave."""
        self.client.disconnect()
        self.client.loop_stop()


def genuine_client(folder: Path) -> Path | None:
    """Give a folder with micropython-lib's own umqtt.simple, or None where it cannot be had.

    The package is a bare archive, which pip unpacks and then refuses to build; with `--no-clean`
    it leaves what it unpacked.
    """
    subprocess.run(
        [sys.executable, "-m", "pip", "download", "-q", "--no-clean", "--no-deps", "--no-cache-dir",
         "--disable-pip-version-check", "--retries", "0", "--timeout", "10",
         "-d", str(folder), "micropython-umqtt.simple==1.3.4"],
        env={**os.environ, **dict.fromkeys(("TMPDIR", "TEMP", "TMP"), str(folder))},
        stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, check=False,
    )  # fmt: skip
    found = next(iter(sorted(folder.rglob("umqtt/simple.py"))), None)
    return found.parent.parent if found else None


@contextmanager
def board(program: str, text: str, client: Path, folder: Path) -> Iterator[subprocess.Popen[str]]:
    """Run a program under the real interpreter, on this machine's own network.

    Args:
        program: The interpreter.
        text: The program.
        client: Folder with the umqtt to use.
        folder: Where to lay the program.
    """
    folder.joinpath("network.py").write_text(
        "STA_IF = 0\n\n\nclass WLAN:\n    IF_STA = 0\n\n"
        "    def __init__(self, *_):\n        pass\n\n"
        "    def active(self, *_):\n        return True\n\n"
        "    def connect(self, *_):\n        pass\n\n"
        "    def isconnected(self):\n        return True\n",
        encoding="utf-8",
    )
    folder.joinpath("main.py").write_text(text, encoding="utf-8")
    process = subprocess.Popen(
        [program, "main.py"], cwd=folder, text=True, stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE, stderr=subprocess.STDOUT,
        env={**os.environ, "MICROPYPATH": os.pathsep.join([str(folder), str(client), ".frozen"])},
    )  # fmt: skip
    try:
        yield process
    finally:
        process.kill()
        process.wait()
        if process.stdout:
            process.stdout.close()
