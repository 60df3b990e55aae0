# The board's MQTT client, with the calls of MicroPython's umqtt.simple.
#
# It speaks MQTT 3.1.1 over a socket and knows nothing of what is behind it.

import socket

_CONNACK = 0x20
_PUBLISH = 0x30
_PUBACK = 0x40
_SUBACK = 0x90
_UNSUBACK = 0xB0
_PINGRESP = 0xD0


class MQTTException(Exception):
    """The broker refuses: its one argument is the broker's code."""


class MQTTClient:
    """A connection to a broker."""

    def __init__(
        self, client_id, server, port=0, user=None, password=None, keepalive=0, ssl=None,
        ssl_params=None,
    ):  # fmt: skip
        if ssl:
            raise NotImplementedError("the tug's radio speaks without TLS")
        self.client_id = client_id
        self.sock = None
        self.server = server
        self.port = port or 1883
        self.pid = 0
        self.cb = None
        self.user = user
        self.pswd = password
        self.keepalive = keepalive
        self.lw_topic = self.lw_msg = None
        self.lw_qos, self.lw_retain = 0, False

    def set_callback(self, f):
        """Say what to call for each message: f(topic, msg), both bytes."""
        self.cb = f

    def set_last_will(self, topic, msg, retain=False, qos=0):
        """Say what the broker is to publish if this client is gone without a goodbye."""
        assert 0 <= qos <= 2
        assert topic
        self.lw_topic, self.lw_msg = topic, msg
        self.lw_qos, self.lw_retain = qos, retain

    # -- connecting

    def connect(self, clean_session=True, timeout=None):
        """Connect; give whether the broker still had a session of this client."""
        self.sock = socket.socket()
        self.sock.settimeout(timeout)
        self.sock.connect(socket.getaddrinfo(self.server, self.port)[0][-1])
        flags, tail = 2 if clean_session else 0, _field(self.client_id)
        if self.lw_topic:
            flags |= 4 | self.lw_qos << 3 | (32 if self.lw_retain else 0)
            tail += _field(self.lw_topic) + _field(self.lw_msg)
        if self.user is not None:
            flags |= 0xC0
            tail += _field(self.user) + _field(self.pswd or b"")
        assert 0 <= self.keepalive < 65536
        head = _field(b"MQTT") + bytes([4, flags, self.keepalive >> 8, self.keepalive & 255])
        self._send(0x10, head + tail)
        answer = self._read(4)
        assert answer[0] == _CONNACK and answer[1] == 2
        if answer[3]:
            raise MQTTException(answer[3])
        return answer[2] & 1

    def disconnect(self):
        """Say goodbye: the will is not sent."""
        self._send(0xE0, b"")
        self.sock.close()

    def ping(self):
        """Tell the broker that this client is there; the answer comes by check_msg."""
        self._send(0xC0, b"")

    # -- publishing and subscribing

    def publish(self, topic, msg, retain=False, qos=0):
        """Publish a message; at QoS 1 wait until the broker has it."""
        assert qos in (0, 1)
        head = _field(topic)
        if qos:
            head += self._next_pid()
        pid = self.pid
        self._send(_PUBLISH | qos << 1 | (1 if retain else 0), head + _bytes(msg))
        while qos:
            if self.wait_msg() == _PUBACK:
                answer = self._read(3)
                assert answer[0] == 2
                if answer[1] << 8 | answer[2] == pid:
                    return

    def subscribe(self, topic, qos=0):
        """Ask for the messages of a topic, and wait until the broker has said yes."""
        assert self.cb is not None, "Subscribe callback is not set"
        number = self._next_pid()
        self._send(0x82, number + _field(topic) + bytes([qos]))
        answer = self._answer(_SUBACK, 4)
        assert answer[1:3] == number
        if answer[3] == 0x80:
            raise MQTTException(answer[3])

    def unsubscribe(self, topic):
        """Ask for them no longer."""
        number = self._next_pid()
        self._send(0xA2, number + _field(topic))
        assert self._answer(_UNSUBACK, 3)[1:3] == number

    def _next_pid(self):
        self.pid = self.pid % 65535 + 1
        return bytes([self.pid >> 8, self.pid & 255])

    def _answer(self, kind, size):
        while self.wait_msg() != kind:
            pass
        return self._read(size)

    # -- receiving

    def check_msg(self):
        """Handle a message if one is there; never wait for one to begin."""
        self.sock.setblocking(False)
        return self.wait_msg()

    def wait_msg(self):
        """Wait for one message and handle it."""
        first = self.sock.read(1)
        self.sock.setblocking(True)
        if first is None:
            return None
        if first == b"":
            raise OSError(-1)
        kind = first[0]
        if kind == _PINGRESP:
            self._read(1)
            return None
        if kind & 0xF0 != _PUBLISH:
            return kind  # whoever waits for it reads the rest
        size = self._read_size()
        count = self._read(2)
        count = count[0] << 8 | count[1]
        topic = self._read(count)
        size -= 2 + count
        qos = kind >> 1 & 3
        if qos:
            number = self._read(2)
            size -= 2
        self.cb(topic, self._read(size))
        if qos == 1:
            self._send(_PUBACK, number)
        assert qos < 2
        return kind

    # -- bytes

    def _read(self, count):
        data = self.sock.read(count) if count else b""
        if data is None or len(data) < count:
            raise OSError(-1)
        return data

    def _read_size(self):
        size = shift = 0
        while True:
            byte = self._read(1)[0]
            size |= (byte & 127) << shift
            if byte < 128:
                return size
            shift += 7

    def _send(self, first, body):
        size, length = len(body), b""
        assert size < 268435456
        while True:
            low, size = size & 127, size >> 7
            length += bytes([low | 128 if size else low])
            if not size:
                break
        self.sock.write(bytes([first]) + length + body)


def _bytes(value):
    return value.encode() if isinstance(value, str) else bytes(value)


def _field(value):
    data = _bytes(value)
    return bytes([len(data) >> 8, len(data) & 255]) + data
