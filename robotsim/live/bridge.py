"""Bridge: a tug's connection with a real broker, by paho-mqtt, in a thread of its own."""

from __future__ import annotations

import contextlib
import secrets
import threading
from queue import SimpleQueue
from typing import TYPE_CHECKING, Any

from ..errors import KitError
from ..radio import log_topic, order_topic, tug_name
from ..radio.packets import Publish
from .address import Address
from .air import News

if TYPE_CHECKING:
    import paho.mqtt.client as paho

__all__ = ["EVERYBODY", "KEEP_ALIVE_S", "SILENT_S", "Bridge"]

KEEP_ALIVE_S = 2
"""How often the real broker is asked for a sign of life if nothing else passes."""
SILENT_S = 2 * KEEP_ALIVE_S + 1
"""How long after a cut that nobody announced the link is known to be lost, at the most: one
keep-alive until the question, one for the answer, and paho looks once a second."""
EVERYBODY = "harbour/all/#"
"""What every tug hears besides its own orders."""
_PATIENCE_S = 10.0
_AGAIN_S = (0.5, 4)


class Bridge:
    """One tug's connection with a real broker; it comes back by itself.

    What is published at QoS 1 while the broker is away goes out when it is back.  The session at
    the broker outlasts a lost connection, but not the bridge.

    Args:
        address: The broker.
        serial: The tug's serial number.

    Raises:
        KitError: Nobody answers there, or the password is refused.
    """

    def __init__(self, address: Address, serial: int) -> None:
        self.address, self.serial = address, serial
        self.inbox: SimpleQueue[News] = SimpleQueue()
        self._answered = threading.Event()
        self._fault = ""
        self._client_id = f"{tug_name(serial)}-{secrets.token_hex(4)}"
        self._client = client = self._make(clean=False)
        client.will_set(log_topic(serial), '{"did": "gone"}', qos=1)
        client.reconnect_delay_set(*_AGAIN_S)  # type: ignore[arg-type]
        client.on_connect, client.on_disconnect = self._connected, self._disconnected
        client.on_message = self._message
        self._open()

    def _make(self, *, clean: bool) -> paho.Client:
        import paho.mqtt.client as paho
        from paho.mqtt.enums import CallbackAPIVersion

        client = paho.Client(
            CallbackAPIVersion.VERSION2, client_id=self._client_id, clean_session=clean
        )
        if self.address.user:
            client.username_pw_set(self.address.user, self.address.password)
        client.connect_timeout = _PATIENCE_S
        return client

    def _open(self) -> None:
        try:
            self._client.connect(self.address.host, self.address.port, KEEP_ALIVE_S)
        except OSError as fault:
            raise KitError(
                f"No broker answers at {self.address} ({fault}).",
                hint="is it running, is the address right? Without a broker: live(broker=None).",
            ) from fault
        self._client.loop_start()
        if not self._answered.wait(_PATIENCE_S) or self._fault:
            self._client.loop_stop()
            raise KitError(
                f"The broker at {self.address} did not let the tug in: "
                f"{self._fault or 'it did not answer'}.",
                hint="does it need a user and a password? live(..., user=..., password=...).",
            )

    # -- paho calls these from its own thread --------------------------------------

    def _connected(
        self, client: paho.Client, data: Any, flags: Any, reason: Any, properties: Any
    ) -> None:
        if reason.is_failure:
            self._fault = str(reason)
        else:
            self._fault = ""
            self.ask()
            self.inbox.put(News("up"))
        self._answered.set()

    def _disconnected(
        self, client: paho.Client, data: Any, flags: Any, reason: Any, properties: Any
    ) -> None:
        self.inbox.put(News("down", why=str(reason)))

    def _message(self, client: paho.Client, data: Any, message: paho.MQTTMessage) -> None:
        told = Publish(message.topic, bytes(message.payload), min(message.qos, 1), message.retain)
        self.inbox.put(News("message", told))

    # -- what the run asks for -------------------------------------------------------

    @property
    def up(self) -> bool:
        """Whether the connection stands."""
        return self._client.is_connected()

    def publish(self, message: Publish) -> None:
        """Publish for the tug; what cannot go out now at QoS 1 goes out later."""
        self._client.publish(message.topic, message.payload, message.qos, message.retain)

    def ask(self) -> None:
        """Subscribe, also anew: the broker then hands over what it has retained."""
        self._client.subscribe([(order_topic(self.serial), 1), (EVERYBODY, 1)])

    def order(self, payload: bytes, qos: int) -> None:
        """Publish an order for this tug: it comes back like anybody's."""
        self._client.publish(order_topic(self.serial), payload, qos)

    def close(self) -> None:
        """Leave, and let the broker forget the session."""
        with contextlib.suppress(ValueError, RuntimeError):
            last = self._client.publish(log_topic(self.serial), '{"did": "gone"}', 1)
            if self.up:
                last.wait_for_publish(_PATIENCE_S)
        was_up = self.up
        self._client.on_disconnect = None
        self._client.disconnect()
        self._client.loop_stop()
        if was_up:
            self._forget()

    def _forget(self) -> None:
        """A clean session of the same id ends the kept one: MQTT 3.1.1, 3.1.2.4."""
        client, done = self._make(clean=True), threading.Event()
        client.on_connect = lambda *_: done.set()
        with contextlib.suppress(OSError):
            client.connect(self.address.host, self.address.port, KEEP_ALIVE_S)
            client.loop_start()
            done.wait(1.0)
            client.disconnect()
            client.loop_stop()
