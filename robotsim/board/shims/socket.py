# The board's sockets: connections over the wireless network.

import _link

AF_INET = 2
SOCK_STREAM = 1
SOCK_DGRAM = 2
IPPROTO_TCP = 6
SOL_SOCKET = 1
SO_REUSEADDR = 4

_CHUNK = 2048
_ROOM = 96 * 1024  # about what such a board has free in one piece (common practice, no source)


def getaddrinfo(host, port, af=0, type=0, proto=0, flags=0):
    """Give the addresses of a host; here never more than one."""
    address = _link.ask("C find " + _link.hexed(host))
    return [(AF_INET, SOCK_STREAM, 0, "", (address, port))]


class socket:
    """A stream over the network."""

    def __init__(self, af=AF_INET, type=SOCK_STREAM, proto=IPPROTO_TCP):
        if type != SOCK_STREAM:
            raise OSError(95, "EOPNOTSUPP")
        self._number = None
        self._wait = -1  # ms; -1 without end, 0 not at all
        self._kept = b""

    def connect(self, address):
        if self._number is not None:
            raise OSError(120, "EALREADY")
        host, port = address
        words = (_link.hexed(host), port, self._wait or -1)
        self._number = int(_link.ask("C open %s %d %d" % words))

    def settimeout(self, seconds):
        self._wait = -1 if seconds is None else int(seconds * 1000)

    def setblocking(self, flag):
        self._wait = -1 if flag else 0

    def setsockopt(self, level, option, value):
        pass

    def _open(self):
        if self._number is None:
            raise OSError(128, "ENOTCONN")
        return self._number

    # -- reading

    def _fill(self, wait):
        """Take what has arrived; None if there is nothing, b"" at the end."""
        answer = _link.ask("C take %d %d %d" % (self._open(), _CHUNK, wait))
        if answer == "-":
            return None
        data = _link.unhexed(answer)
        self._kept += data
        return data

    def _nothing(self):
        if self._wait:
            raise OSError(116, "ETIMEDOUT")
        return None

    def _give(self, count):
        data, self._kept = self._kept[:count], self._kept[count:]
        return data

    def recv(self, count):
        """Give up to so many bytes, as soon as there are any."""
        if not self._kept and self._fill(self._wait) is None:
            if not self._wait:
                raise OSError(11, "EAGAIN")
            self._nothing()
        return self._give(count)

    def read(self, count=-1):
        """Give so many bytes, fewer only at the end or when not blocking; None: nothing there."""
        if count > _ROOM:
            raise MemoryError("memory allocation failed, allocating %d bytes" % count)
        while count < 0 or len(self._kept) < count:
            data = self._fill(self._wait)
            if data is None:
                if self._kept and not self._wait:
                    break
                return self._nothing()
            if not data:
                break
        return self._give(len(self._kept) if count < 0 else count)

    def readinto(self, buffer, count=-1):
        data = self.read(len(buffer) if count < 0 else count)
        if data is None:
            return None
        buffer[: len(data)] = data
        return len(data)

    def readline(self):
        while b"\n" not in self._kept:
            data = self._fill(self._wait)
            if data is None:
                return self._nothing()
            if not data:
                break
        end = self._kept.find(b"\n")
        return self._give(len(self._kept) if end < 0 else end + 1)

    # -- writing

    def write(self, data, count=-1):
        data = data.encode() if isinstance(data, str) else bytes(data)
        if count >= 0:
            data = data[:count]
        for start in range(0, len(data), _CHUNK):
            piece = data[start : start + _CHUNK]
            _link.ask("C send %d %s" % (self._open(), _link.hexed(piece)[1:]))
        return len(data)

    def send(self, data):
        return self.write(data)

    def sendall(self, data):
        self.write(data)

    def makefile(self, *_):
        return self

    def close(self):
        if self._number is not None:
            _link.ask("C close %d" % self._number)
            self._number = None
