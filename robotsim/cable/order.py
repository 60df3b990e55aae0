"""Order: what is plugged in, and the folder that it takes for its flash."""

from __future__ import annotations

import os
from dataclasses import dataclass, field
from pathlib import Path

from ..errors import KitError
from ..twin.tug_file import Twin

__all__ = ["PlugOrder", "claim"]


@dataclass(frozen=True)
class PlugOrder:
    """What is plugged in, and where.

    Attributes:
        flash: The folder that is its flash.
        serial: The tug's serial number.
        table: The table's name.
        seed: Seed of all noise and of what varies on the table.
        listen: Host and port of the socket, None for none.
        anyone: Whether also other users of this computer may use the socket.
        terminal: Whether to offer a pseudo-terminal.
        fault: Name of what is wrong with its cables; "" for nothing.
        twin: What this tug is like and how it is put together; None for as its serial number says.
    """

    flash: Path
    serial: int = 0
    table: str = "basin"
    seed: int = 0
    listen: tuple[str, int] | None = None
    anyone: bool = False
    terminal: bool = field(default=os.name == "posix")
    fault: str = ""
    twin: Twin | None = None


def claim(flash: Path) -> int:
    """Take a folder for this plug alone; it is made if it is not there.

    Returns:
        The descriptor that holds it until it is closed.

    Raises:
        KitError: Another plug has it, or it cannot be used.
    """
    import fcntl

    try:
        flash.mkdir(parents=True, exist_ok=True)
        place = os.open(flash, os.O_RDONLY)
        fcntl.flock(place, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError as fault:
        raise KitError("This flash is plugged in already, by another plug.", where=str(flash),
                       hint="pull that one, or take another --flash.") from fault  # fmt: skip
    except OSError as fault:
        raise KitError(f"The folder for the flash cannot be used: {fault.strerror}.",
                       where=str(flash), hint="take another --flash.") from fault  # fmt: skip
    return place
