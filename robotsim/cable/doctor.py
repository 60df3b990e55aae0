"""Doctor: is there a board, what stands in the way, and what is on it."""

from __future__ import annotations

import platform
import sys
from collections.abc import Iterator
from dataclasses import dataclass

from ..errors import KitError, pip_words, unreadable
from .client import Client
from .ports import HELD, Port, ports

__all__ = ["Finding", "examine", "firmware_words", "flash_firmware"]

_ROOM = 64 * 1024
"""Less room than that on the flash is told, in bytes."""
_OLD = (1, 20)
"""Before that version some modules of the lessons were called otherwise (from memory)."""
_FAR_S = 300
_IMAGE = b"\xe9"
"""With it every image for these chips begins (maker's documentation of its tool, from memory)."""
_PYTHON = sys.executable
_ESPTOOL = f"{pip_words('esptool')} fetches it"
_ABOUT = (
    "(lambda s, o, t: (s.implementation.name, tuple(s.implementation.version)[:3], "
    "getattr(s.implementation, '_machine', s.platform), o.statvfs('/'), t.localtime()[:6]))"
    "(__import__('sys'), __import__('os'), __import__('time'))"
)
_CURES = {
    "Linux": "Is a port there when the cable is in, and gone when it is out? `dmesg` names it. May "
    "you use it? `ls -l` shows its group, often dialout: `sudo usermod -aG dialout $USER`, log out "
    "and in. Where a service takes hold of modems, wait ten seconds.",
    "Darwin": "The port's name begins with /dev/cu. Newer systems have the drivers; for an older "
    "one the maker of the serial chip (CP210x, CH34x) has it: install it and allow it in the "
    "privacy settings.",
    "Windows": "Look into the device manager under ports: a yellow mark means that the driver of "
    "the serial chip (CP210x, CH34x) is missing; its maker has it. COM numbers change with the "
    "socket.",
}


@dataclass(frozen=True)
class Finding:
    """One line of what was found.

    Attributes:
        good: Whether it is as it should be.
        what: What was looked at, and what was found.
        cure: What to do where it is not.
    """

    good: bool
    what: str
    cure: str = ""

    def __str__(self) -> str:
        """Say it in a line or two."""
        cure = f"\n      {self.cure[:1].upper()}{self.cure[1:]}" if self.cure else ""
        return ("ok    " if self.good else "mend  ") + self.what + cure


def examine(port: str | None = None) -> Iterator[Finding]:
    """Look for boards, and at the boards that are found.

    Args:
        port: Look at this port alone.
    """
    found = [p for p in ports() if port in (None, p.name)]
    if port and not found:
        yield from _board(Port(port, "asked for", True))
        return
    for one in found:
        if not one.likely:
            yield Finding(True, f"{one.name}: {one.what}; no chip that boards have, left alone")
            continue
        yield Finding(True, f"{one.name}: {one.what}")
        yield from _board(one)
    if not any(one.likely for one in found):
        cable = "try another cable first: many only charge, they have no data wires. "
        without = " Without a board: `python3 robotsim plug` plugs in the simulated tug."
        cure = cable + _CURES.get(platform.system(), "") + without
        yield Finding(False, "no board was found", cure)


def _board(port: Port) -> Iterator[Finding]:
    """Look at one board; its program is stopped by it, and nothing moves."""
    try:
        with Client(port.name) as client:
            name, version, machine, room, clock = client.ask(_ABOUT)
            files = client.files()
    except KitError as fault:
        more = "" if fault.what == HELD else f" {firmware_words(short=True)}"
        yield Finding(False, f"{port.name}: {fault.what}", f"{fault.hint}{more}")
        return
    number = ".".join(map(str, version))
    known = name == "micropython" and tuple(version)[:2] >= _OLD
    yield Finding(known, f"firmware: {name} {number} on {machine}", "" if known else
                  f"the lessons need MicroPython {'.'.join(map(str, _OLD))} or later. "
                  + firmware_words(short=True))  # fmt: skip
    free = room[0] * room[3]
    yield Finding(free >= _ROOM, f"flash: {free // 1024} KiB free, {len(files)} files",
                  "" if free >= _ROOM else "remove what the programs have written.")  # fmt: skip
    yield _clock(clock)


def _clock(clock: tuple[int, ...]) -> Finding:
    import calendar
    import time

    apart = abs(calendar.timegm((*clock, 0, 0, 0)) - calendar.timegm(time.localtime()))
    stamp = "{:04}-{:02}-{:02} {:02}:{:02}:{:02}".format(*clock)
    if apart <= _FAR_S:
        return Finding(True, f"clock: {stamp}")
    return Finding(True, f"clock: {stamp}: it is not set",
                   "no lesson needs it; with a network, `import ntptime; ntptime.settime()` sets "
                   "a real board's.")  # fmt: skip


def firmware_words(*, short: bool = False) -> str:
    """Say which firmware belongs on which board, and how the chip maker's tool writes it."""
    if short:
        return "`python3 robotsim cable --firmware` says how MicroPython comes onto a board."
    return (
        "Firmware. MicroPython's download page has a list of boards, and for each its file. Read "
        "the chip's name on its metal lid, not the shop's:\n"
        "  ESP32, ESP32-WROOM, -WROVER   ESP32_GENERIC-....bin       address 0x1000\n"
        "  ESP32-S2                      ESP32_GENERIC_S2-....bin    address 0x1000\n"
        "  ESP32-S3                      ESP32_GENERIC_S3-....bin    address 0\n"
        "  ESP32-C3                      ESP32_GENERIC_C3-....bin    address 0\n"
        "(from memory: the page of your very board has the last word). The tug's pins are those of "
        "the first row.\n"
        f"The chip maker's tool is not part of the kit: {_ESPTOOL}.\n"
        "Motor power off. Then either with it by hand,\n"
        f"  {_PYTHON} -m esptool --port PORT erase-flash\n"
        f"  {_PYTHON} -m esptool --port PORT write-flash ADDRESS FILE\n"
        "or, with the file that you have fetched,\n"
        "  python3 robotsim cable --flash FILE --address ADDRESS --port PORT\n"
        "which asks before it begins. Everything on the board is erased by it: take back what you "
        "want to keep."
    )


def flash_firmware(port: str, file: str, address: str) -> list[list[str]]:
    """Give the commands that write a firmware, if that can be done; nothing is done yet.

    Args:
        port: The board's port.
        file: The file, which the person has fetched.
        address: Where it goes.

    Raises:
        KitError: What is given is wrong, or the tool is not there.
    """
    from importlib.util import find_spec
    from pathlib import Path

    if any(one.name == port and one.plugged for one in ports()):
        raise KitError("There is the plugged tug: no firmware is written to it.", where=port,
                       hint="its interpreter is this computer's own; --port names a real board.")
    try:
        first = Path(file).read_bytes()[:1]
    except OSError as fault:
        hint = "fetch it from MicroPython's page for your board."
        raise unreadable("The firmware", Path(file), fault, hint) from fault
    if first != _IMAGE or Path(file).suffix != ".bin":
        raise KitError("That is no firmware of such a chip: its file ends with .bin and begins "
                       "with the byte 0xE9.", where=file,
                       hint="fetch it from MicroPython's page for your board.")  # fmt: skip
    try:
        int(address, 0)
    except ValueError as fault:
        raise KitError(
            f"An address is a number such as 0x1000, not {address!r}.",
            hint="`python3 robotsim cable --firmware` lists them.",
        ) from fault
    if find_spec("esptool") is None:
        raise KitError("The chip maker's tool is not installed here.",
                       hint=f"{_ESPTOOL}; then once more.")  # fmt: skip
    tool = [sys.executable, "-m", "esptool", "--port", port]
    return [[*tool, "erase-flash"], [*tool, "write-flash", address, file]]
