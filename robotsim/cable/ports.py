"""Ports: where boards may be, and what stands in the way of one."""

from __future__ import annotations

import errno
import os
import sys
from dataclasses import dataclass

from ..errors import KitError
from .register import plugged_in

__all__ = ["HELD", "Port", "busy", "choose", "ports", "refused"]

HELD = "Another program holds this port."

_BRIDGES = {
    0x10C4: "a CP210x serial chip", 0x1A86: "a CH34x serial chip", 0x0403: "an FTDI serial chip",
    0x303A: "an Espressif chip's own USB", 0x2E8A: "a Raspberry Pi chip's own USB",
    0xF055: "MicroPython's own USB",
}  # fmt: skip
"""Makers' numbers on USB, and what a board with such a chip has (from memory)."""


@dataclass(frozen=True)
class Port:
    """A place at which a board may be.

    Attributes:
        name: What programs open.
        what: What is known of it, in words.
        likely: Whether a board is likely to be there.
        plugged: Whether it is the simulated tug of `plug`.
    """

    name: str
    what: str
    likely: bool
    plugged: bool = False


def ports() -> list[Port]:
    """Give the ports of this computer and the tugs that are plugged in, the likely ones first."""
    from serial.tools import list_ports

    found = [
        Port(tug.port, f"tug-{tug.serial}, plugged in (its flash: {tug.flash})", True, True)
        for tug in plugged_in()
    ]
    for one in list_ports.comports():
        chip = _BRIDGES.get(one.vid or 0, "")
        words = chip or one.description or "a serial port"
        found.append(Port(one.device, words, bool(chip)))
    return sorted(found, key=lambda port: (not port.likely, not port.plugged, port.name))


def choose(asked: str | None) -> str:
    """Give the port that is meant: the one asked for, or the only likely one.

    Raises:
        KitError: There is none, or more than one.
    """
    if asked:
        return asked
    likely = [port for port in ports() if port.likely]
    if not likely:
        raise KitError(
            "No board is to be found on this computer.",
            hint="`python3 robotsim cable --doctor` says what may stand in the way; without a "
            "board, `python3 robotsim plug` plugs in the simulated tug.",
        )
    if len(likely) > 1:
        names = "; ".join(f"{port.name} ({port.what})" for port in likely)
        raise KitError(f"There is more than one board: {names}.",
                       hint=f"say which: port={likely[0].name!r}")  # fmt: skip
    return likely[0].name


def refused(port: str, fault: BaseException) -> KitError:
    """Give in words why a port cannot be opened, and the cure on this system."""
    number = getattr(fault, "errno", None) or getattr(fault.__cause__, "errno", None)
    text = str(fault)
    if number == errno.ENOENT or "FileNotFound" in text or "No such file" in text:
        there = "; ".join(f"{one.name} ({one.what})" for one in ports() if one.likely)
        return KitError(
            "There is no such port on this computer.", where=port,
            hint=f"there is {there}." if there else "is the cable in? Many cables only charge: try "
            "another. `python3 robotsim cable --doctor` lists the ports.",
        )  # fmt: skip
    if number == errno.EACCES or "PermissionError" in text and not busy(text):
        return KitError("This port may not be used by you.", where=port, hint=_permission(port))
    if busy(text) or number in (errno.EBUSY, errno.EAGAIN):
        return KitError(
            HELD, where=port,
            hint="close the editor, the monitor, the notebook or the power-up that has it open.",
        )  # fmt: skip
    return KitError(f"The port cannot be opened: {fault}.", where=port,
                    hint="pull the cable, put it in again, and try once more.")  # fmt: skip


def busy(text: str) -> bool:
    """Tell whether an error's words say that another program has the port."""
    return any(word in text for word in ("exclusively lock", "Access is denied", "busy", "in use"))


def _permission(port: str) -> str:
    """Give the cure for a port that may not be used, on this system."""
    if sys.platform != "linux":
        return "install the driver of the board's serial chip from its maker; then a restart."
    import grp

    group = "dialout"
    try:
        group = grp.getgrgid(os.stat(port).st_gid).gr_name
    except (OSError, KeyError):
        pass
    return f"`sudo usermod -aG {group} $USER`, then log out and in again."
