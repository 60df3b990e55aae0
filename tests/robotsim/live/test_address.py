"""A broker's address is read as people write it; a password is never shown."""

from __future__ import annotations

import pytest

from robotsim import KitError
from robotsim.live.address import Address, read_address


@pytest.mark.parametrize(
    ("text", "host", "port"),
    [
        ("192.168.1.5", "192.168.1.5", 1883),
        ("office.local:1884", "office.local", 1884),
        (" 10.0.0.1:8883 ", "10.0.0.1", 8883),
        ("[::1]:1884", "::1", 1884),
        ("fe80::1", "fe80::1", 1883),
    ],
)
def test_what_people_write_is_read(text: str, host: str, port: int) -> None:
    read = read_address(text, "ada", "secret")
    assert (read.host, read.port, read.user, read.password) == (host, port, "ada", "secret")


@pytest.mark.parametrize("text", ["", "mqtt://x", "a b", "x:0", "x:65536", "x:\u0663", "x:-1"])
def test_what_is_no_address_is_told(text: str) -> None:
    with pytest.raises(KitError, match="address is a host"):
        read_address(text)


def test_no_text_of_an_address_holds_its_password() -> None:
    made = Address("::1", 1883, "ada", "secret")
    assert str(made) == "[::1]:1883"
    assert "secret" not in f"{made} {made!r}"
