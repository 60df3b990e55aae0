"""Address: where a broker is, and how one is let in."""

from __future__ import annotations

from dataclasses import dataclass

from ..errors import KitError
from ..radio import PORT

__all__ = ["LOOPBACK", "Address", "read_address"]

LOOPBACK = "127.0.0.1"
"""This computer alone."""


@dataclass(frozen=True)
class Address:
    """A broker's address.

    Attributes:
        host: Name or number of its computer.
        port: Its port.
        user: User name, "" for none.
        password: The password that goes with it.
    """

    host: str
    port: int = PORT
    user: str = ""
    password: str = ""

    def __str__(self) -> str:
        """Give host and port."""
        return f"[{self.host}]:{self.port}" if ":" in self.host else f"{self.host}:{self.port}"

    def __repr__(self) -> str:
        """Give everything but the password."""
        return f"Address({str(self)!r}, user={self.user!r})"


def read_address(text: str, user: str = "", password: str = "") -> Address:
    """Read an address such as `192.168.1.5`, `office.local:1883` or `[::1]:1883`.

    Raises:
        KitError: It is none.
    """
    host, port = text.strip(), str(PORT)
    if host.startswith("["):
        host, _, rest = host[1:].partition("]")
        port = rest[1:] if rest.startswith(":") else (rest or port)
    elif host.count(":") == 1:
        host, port = host.split(":")
    if not host or "/" in host or " " in host or not port.isascii() or not port.isdigit():
        raise _fault(text)
    if not 0 < int(port) < 65_536:
        raise _fault(text)
    return Address(host, int(port), user, password)


def _fault(text: str) -> KitError:
    return KitError(
        f"A broker's address is a host and, if it is not {PORT}, a port, not {text!r}.",
        hint='broker="192.168.1.5" or broker="192.168.1.5:1884".',
    )
