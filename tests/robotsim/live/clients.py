"""Clients of a broker with two seats and a guest, as people at a computer would be."""

from __future__ import annotations

import threading
from pathlib import Path
from typing import Any

import paho.mqtt.client as paho
from paho.mqtt.enums import CallbackAPIVersion

from robotsim.live.access import Access, Seat, mosquitto_files
from tests.robotsim.radio.real import PATIENCE_S, needed_user, until

__all__ = ["ACCESS", "ADA", "BEN", "Guest", "written"]

ADA, BEN = Seat("ada", 12, "ada's word"), Seat("ben", 13, "ben's word")
ACCESS = Access("the office's word", (ADA, BEN), "the guest's word")


class Guest:
    """A client that joins under a name."""

    def __init__(
        self, port: int, user: str | None, password: str | None = None, *, client_id: str = "",
        clean: bool = True,
    ) -> None:  # fmt: skip
        self.heard: list[tuple[str, bytes]] = []
        self.granted: list[int] = []
        self.refused = False
        answered = threading.Event()
        self.client = client = paho.Client(
            CallbackAPIVersion.VERSION2, client_id=client_id, clean_session=clean
        )
        client.reconnect_delay_set(0.05, 0.1)  # type: ignore[arg-type]
        if user is not None:
            client.username_pw_set(user, password)

        def connected(client: paho.Client, data: Any, flags: Any, reason: Any, more: Any) -> None:
            self.refused = reason.is_failure
            answered.set()

        client.on_connect = connected
        client.on_message = lambda _c, _d, m: self.heard.append((m.topic, m.payload))
        client.on_subscribe = lambda _c, _d, _n, codes, _p: self.granted.append(codes[0].value)
        client.connect("127.0.0.1", port)
        client.loop_start()
        assert answered.wait(PATIENCE_S)

    def subscribe(self, wanted: str) -> int:
        before = len(self.granted)
        self.client.subscribe(wanted, 1)
        until(lambda: len(self.granted) > before, "an answer")
        return self.granted[-1]

    def publish(self, topic: str, payload: str) -> None:
        self.client.publish(topic, payload, 1).wait_for_publish(PATIENCE_S)

    def close(self) -> None:
        self.client.disconnect()
        self.client.loop_stop()


def written(folder: Path) -> Any:
    """Lay the files of the access list in a folder; Mosquitto is not started in it."""

    def conf(port: int) -> str:
        files = mosquitto_files(ACCESS, port, "127.0.0.1")
        for name, text in files.items():
            (folder / name).write_text(text, encoding="utf-8")
        lines = files["mosquitto.conf"].replace("_file ", f"_file {folder.as_posix()}/")
        return lines + needed_user()

    return conf
