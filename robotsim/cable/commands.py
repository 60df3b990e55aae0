"""Commands: what `python -m robotsim` offers for the cable."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

from ..errors import KitError
from ..table import TABLES

__all__ = ["COMMANDS", "add_commands"]

_CAUTION = (
    "Nothing moves on a table while you practise here. On a real tug: wheels off the table, fingers "
    "out of\nwheels and arm, motor power off while you copy. Local rules come first: "
    "`python -m robotsim powerup`."
)


def add_commands(commands: Any) -> None:
    """Add the commands to a parser's."""
    plugged = commands.add_parser("plug", help="plug in the simulated tug, as a serial port")
    plugged.add_argument("--serial", type=int, default=0, help="the tug's serial number")
    plugged.add_argument("--table", default="basin", choices=sorted(TABLES))
    plugged.add_argument("--seed", type=int, default=0, help="seed of noise and table")
    plugged.add_argument("--flash", type=Path, default=None, help="the folder that is its flash")
    plugged.add_argument("--listen", default=None, metavar="HOST:PORT",
                         help="also listen at an address, such as 127.0.0.1:8266")  # fmt: skip
    plugged.add_argument("--anyone", action="store_true",
                         help="let other users of this computer in at that address")  # fmt: skip
    plugged.add_argument("--no-page", action="store_true", help="show no page")


def _plug(given: argparse.Namespace) -> int:
    from ..board.engines import plugged

    if sys.platform != "linux":
        raise elsewhere()
    plugged()  # says what is missing
    from ..radio import tug_name
    from .page import Page
    from .plug import Plug, PlugOrder

    flash = given.flash or Path(f"flash-of-{tug_name(given.serial)}")
    plug = Plug(PlugOrder(
        flash.absolute(), given.serial, given.table, given.seed, _address(given.listen), given.anyone
    )).start()  # fmt: skip
    print(f"{plug}.\nIts flash is the folder {flash}.")
    for port in plug.ports:
        print(f"  mpremote connect {port} repl")
    page = None if given.no_page else Page(plug)
    if page:
        print(f"Watch it at {page.address}")
    print(f"Pull it with Ctrl-C.\n{_CAUTION}", flush=True)
    try:
        plug.wait()
    except KeyboardInterrupt:
        print(f"\n{plug.name} is pulled. Its flash stays in {flash}.")
    finally:
        plug.pull()
        if page:
            page.close()
    return 0


def elsewhere() -> KitError:
    """Say what there is where the real interpreter is not to be had."""
    return KitError(
        "The interpreter behind the plug is packaged for Linux alone, so here is no tug to plug in.",
        hint="in WSL 2 or a Linux container: `python -m robotsim plug --listen 127.0.0.1:8266 "
        "--anyone`; then from here `mpremote connect socket://127.0.0.1:8266`. Without either, "
        "ready() and run() try a program without a cable, and a real board works everywhere.",
    )


def _address(text: str | None) -> tuple[str, int] | None:
    if text is None:
        return None
    host, colon, port = text.rpartition(":")
    if not colon or not host or not port.isascii() or not port.isdigit() or int(port) > 65_535:
        raise KitError(f"An address to listen at is a host and a port, not {text!r}.",
                       hint="--listen 127.0.0.1:8266; port 0 takes any that is free.")  # fmt: skip
    return host, int(port)


COMMANDS: dict[str, Callable[[argparse.Namespace], int]] = {"plug": _plug}
"""Command to what carries it out."""
