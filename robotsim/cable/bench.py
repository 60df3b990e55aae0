"""Bench: what the led power-up asks of a board, one part at a time, and the board's side of it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple, Protocol

from .client import Client

__all__ = ["Bench", "CableBench", "Sensed", "sensed"]


class Sensed(NamedTuple):
    """What the motion sensor says at rest.

    Attributes:
        identity: What it calls itself.
        accel: Mean acceleration in g, x y z.
        gyro: Mean rate in rad/s, x y z.
        spread: Spread of the rate about z in rad/s.
    """

    identity: int
    accel: tuple[float, float, float]
    gyro: tuple[float, float, float]
    spread: float


class Bench(Protocol):
    """A board on the bench; every motion ends by itself, with the motors off."""

    def lamps(self, pin: int, colours: Sequence[tuple[int, int, int]]) -> None:
        """Send three bytes to each lamp, as they go over the wire."""

    def pulse(
        self, pins: Sequence[int], duty: float, seconds: float, watched: int,
        against: Sequence[int] = (),
    ) -> float:  # fmt: skip
        """Drive some pins for a moment, then stop; give the volts on another pin meanwhile.

        With pins `against` them, those on the other side of the bridges, the decay is slow.
        """

    def arm(self, pin: int, pulse_us: float) -> None:
        """Let the arm go to where a pulse asks it to, then let go of it."""

    def volts(self, pins: Sequence[int]) -> list[float]:
        """Give the mean volts on some pins."""

    def level(self, pin: int) -> int:
        """Give the level on a pin that is pulled up."""

    def sensor(self, sda: int, scl: int) -> Sensed | None:
        """Wake the motion sensor and listen to it at rest; None if nothing answers."""

    def networks(self) -> list[str]:
        """Give the names of the networks that are heard."""

    def off(self, pins: Sequence[int]) -> None:
        """Take the drive off some pins."""

    def number(self) -> str:
        """Give the number that the board alone has, hexadecimal."""


_BOARD = """
import math, time
from machine import ADC, I2C, PWM, Pin, unique_id
import neopixel
_motors = {}
def _number():
    return "".join(["%02x" % byte for byte in unique_id()])
def _pwm(pin):
    if pin not in _motors:
        _motors[pin] = PWM(Pin(pin), freq=1000, duty_u16=0)
    return _motors[pin]
def _off(pins):
    for pin in pins:
        _pwm(pin).duty_u16(0)
def _volts(pins):
    found = []
    for pin in pins:
        adc = ADC(Pin(pin), atten=ADC.ATTN_11DB)
        found.append(sum([adc.read_uv() for _ in range(16)]) / 16e6)
    return found
def _pulse(pins, duty, ms, watched, against):
    try:
        for pin in against:
            _pwm(pin).duty_u16(65535 - duty)
        for pin in pins:
            _pwm(pin).duty_u16(65535 if against else duty)
        time.sleep_ms(ms // 2)
        seen = _volts([watched])[0]
        time.sleep_ms(ms // 2)
    finally:
        _off(pins + against)
    return seen
def _arm(pin, us):
    p = PWM(Pin(pin), freq=50, duty_ns=us * 1000)
    time.sleep_ms(700)
    p.deinit()
def _lamps(pin, data):
    n = neopixel.NeoPixel(Pin(pin), len(data) // 3)
    n.buf[:] = data
    n.write()
def _level(pin):
    p = Pin(pin, Pin.IN, Pin.PULL_UP)
    time.sleep_ms(30)
    return p.value()
def _word(b, k):
    v = b[k] << 8 | b[k + 1]
    return v - 65536 if v > 32767 else v
def _sensor(sda, scl):
    bus = I2C(0, sda=Pin(sda), scl=Pin(scl), freq=400000)
    try:
        who = bus.readfrom_mem(0x68, 0x75, 1)[0]
        bus.writeto_mem(0x68, 0x6B, b"\\x00")
        bus.writeto_mem(0x68, 0x1A, b"\\x03")
    except OSError:
        return None
    time.sleep_ms(120)
    rows = []
    for _ in range(100):
        b = bus.readfrom_mem(0x68, 0x3B, 14)
        rows.append([_word(b, k) for k in (0, 2, 4, 8, 10, 12)])
        time.sleep_ms(4)
    mean = [sum([row[k] for row in rows]) / len(rows) for k in range(6)]
    z = math.sqrt(sum([(row[5] - mean[5]) ** 2 for row in rows]) / len(rows))
    return who, mean, z
def _networks():
    import network
    station = network.WLAN(network.STA_IF)
    was = station.active()
    station.active(True)
    found = [row[0] for row in station.scan()]
    station.active(was)
    return found
"""
_ACCEL, _GYRO = 16384.0, 131.0 * 57.29577951308232
"""Counts for one g and for one rad/s in the ranges after a reset (MPU-6050 register map, read)."""


class CableBench:
    """A board at the end of a cable.

    Args:
        client: The board.
    """

    def __init__(self, client: Client) -> None:
        self._client = client
        client.do(_BOARD)

    def lamps(self, pin: int, colours: Sequence[tuple[int, int, int]]) -> None:
        """Send three bytes to each lamp."""
        data = bytes(byte for colour in colours for byte in colour)
        self._client.do(f"_lamps({pin}, {data!r})")

    def pulse(
        self, pins: Sequence[int], duty: float, seconds: float, watched: int,
        against: Sequence[int] = (),
    ) -> float:  # fmt: skip
        """Drive some pins for a moment, then stop; give the volts on another pin meanwhile."""
        words = f"{list(pins)}, {round(duty * 65535)}, {round(seconds * 1000)}, {watched}, "
        words += str(list(against))
        return float(self._client.ask(f"_pulse({words})"))

    def arm(self, pin: int, pulse_us: float) -> None:
        """Let the arm go to where a pulse asks it to, then let go of it."""
        self._client.do(f"_arm({pin}, {round(pulse_us)})")

    def volts(self, pins: Sequence[int]) -> list[float]:
        """Give the mean volts on some pins."""
        return [float(value) for value in self._client.ask(f"_volts({list(pins)})")]

    def level(self, pin: int) -> int:
        """Give the level on a pin that is pulled up."""
        return int(self._client.ask(f"_level({pin})"))

    def sensor(self, sda: int, scl: int) -> Sensed | None:
        """Wake the motion sensor and listen to it at rest; None if nothing answers."""
        told = self._client.ask(f"_sensor({sda}, {scl})")
        return None if told is None else sensed(*told)

    def networks(self) -> list[str]:
        """Give the names of the networks that are heard."""
        names = self._client.ask("_networks()")
        return [bytes(name).decode("utf-8", "replace") for name in names]

    def off(self, pins: Sequence[int]) -> None:
        """Take the drive off some pins."""
        self._client.do(f"_off({list(pins)})")

    def number(self) -> str:
        """Give the number that the board alone has, hexadecimal."""
        return str(self._client.ask("_number()"))


def sensed(identity: int, mean: Sequence[float], spread: float) -> Sensed:
    """Give counts of the motion sensor in g and rad/s."""
    ax, ay, az, gx, gy, gz = mean
    return Sensed(
        identity, (ax / _ACCEL, ay / _ACCEL, az / _ACCEL), (gx / _GYRO, gy / _GYRO, gz / _GYRO),
        spread / _GYRO,
    )  # fmt: skip
