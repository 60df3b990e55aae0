"""Commands: what `python3 robotsim` offers for the cable."""

from __future__ import annotations

import argparse
import secrets
import subprocess
import sys
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from threading import Thread
from typing import Any

from ..errors import KitError, UnknownNameError
from ..kept import put
from ..onto.files import program_files
from ..onto.folder import PAGE
from ..table import TABLES
from .hands import Hands, hand_words
from .miswired import FAULTS, pick
from .ports import choose
from .powerup import PARTS
from .refine import refine

__all__ = ["COMMANDS", "add_commands"]

_CAUTION = (
    "Nothing moves on a table while you practise here. On a real tug: wheels off the table,\n"
    "fingers out of wheels and arm, motor power off while you copy. Local rules come first:\n"
    "`python3 robotsim powerup`."
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
    plugged.add_argument("--miswired", default="", metavar="KIND",
                         help=f"with a fault: any, {', '.join(sorted(FAULTS))}")  # fmt: skip
    plugged.add_argument("--tug", type=Path, default=None, metavar="FILE",
                         help="the twin of a real one: its tug.json")  # fmt: skip
    plugged.add_argument("--no-page", action="store_true", help="show no page")
    _add_cable(commands)


def _add_cable(commands: Any) -> None:
    looked = commands.add_parser("cable", help="look for boards, and at what is on them")
    looked.add_argument("--doctor", action="store_true", help="say what stands in the way")
    looked.add_argument("--port", default=None, help="look at this port alone")
    looked.add_argument("--firmware", action="store_true", help="say which file belongs where")
    looked.add_argument("--flash", default=None, metavar="FILE", help="write this firmware")
    looked.add_argument("--address", default="0x1000", help="where it goes")
    led = commands.add_parser("powerup", help="the page on first power-up; with any option, led")
    led.add_argument("--port", default=None, help="lead through it with the board at this port")
    led.add_argument("--part", action="append", default=[], choices=list(PARTS),
                     help="this part only; may be given again")  # fmt: skip
    led.add_argument("--tug", type=Path, default=None, metavar="FILE",
                     help="a tug that is wired otherwise: its tug.json")  # fmt: skip
    led.add_argument("--to", type=Path, default=None, metavar="FOLDER",
                     help="where to write what comes of it, if not powerup-card")  # fmt: skip
    fitted = commands.add_parser("fit", help="refine tug.json by runs on the floor")
    fitted.add_argument("tug", type=Path, help="the file of the led power-up")
    fitted.add_argument("--run", action="append", default=[],
                        metavar="LEFT,RIGHT,SECONDS,AHEAD,ASIDE,TURNED",
                        help="a run: efforts, s, m, m to port, degrees; - is unknown; then, if "
                             "you like, of how many runs, and the battery's V")  # fmt: skip
    fitted.add_argument("--log", action="append", default=[], type=Path, metavar="FILE",
                        help="what a survey has printed on one day")  # fmt: skip
    fitted.add_argument("--survey", action="store_true",
                        help="print the board's program for the usual turns, or for such legs")
    fitted.add_argument("--leg", action="append", default=[], metavar="LEFT,RIGHT,SECONDS",
                        help="a leg for the survey to drive in place of the usual ones")
    fitted.add_argument("--to", type=Path, default=None, metavar="FILE",
                        help="write the survey's program there in place of printing it")
    put = commands.add_parser("aboard", help="copy a program to a board and run it there")
    put.add_argument("program", type=Path, help="the file that the board is to start")
    put.add_argument("--port", default=None, help="the board's port")
    put.add_argument("--seconds", type=float, default=10.0, help="how long it may run")
    put.add_argument("--only-copy", action="store_true", help="do not run it")
    put.add_argument("--secrets", type=Path, default=None, metavar="FILE",
                     help="copy this file as secrets.py, too")  # fmt: skip
    put.add_argument("--tug", type=Path, default=None, metavar="FILE",
                     help="the tug.json of this tug, which may be wired otherwise")  # fmt: skip
    put.add_argument("--take", type=Path, default=None, metavar="FOLDER",
                     help="put what the program has written on the board into this folder")
    put.add_argument("--anyway", action="store_true", help="even if it is not ready")
    put.add_argument("--programs-may-reach-this-computer", action="store_true",
                     help="you wrote it yourself: try it without keeping it in")  # fmt: skip


def _plug(given: argparse.Namespace) -> int:
    from ..board.engines import plugged

    if sys.platform != "linux":
        raise elsewhere()
    plugged()  # says what is missing
    from ..radio import tug_name
    from ..twin.tug_file import read_tug
    from .order import PlugOrder
    from .page import Page
    from .plug import Plug

    client = Path(sys.executable).with_name("mpremote")  # a fresh terminal does not know it
    flash = given.flash or Path(f"flash-of-{tug_name(given.serial)}")
    twin = read_tug(given.tug) if given.tug else None
    plug = Plug(PlugOrder(
        flash.absolute(), given.serial, given.table, given.seed, _address(given.listen),
        given.anyone, fault=_fault(given.miswired), twin=twin,
    )).start()  # fmt: skip
    print(f"{plug}.{f' {twin.words}' if twin else ''}\nIts flash is the folder {flash.absolute()}.")
    for port in plug.ports:
        print(f"  {client} connect {port} repl")
    page = None if given.no_page else Page(plug)
    if page:
        print(f"Watch it at {page.address}")
    print(f"{hand_words()}\nPull it with Ctrl-C.\n{_CAUTION}", flush=True)
    try:
        Thread(target=_use_hands, args=(plug.tug.hands,), daemon=True).start()
        plug.wait()
    except KeyboardInterrupt:
        print(f"\n{plug.name} is pulled. Its flash stays in {flash}.")
    finally:
        plug.pull()
        if page:
            page.close()
    return 0


def _use_hands(hands: Hands) -> None:
    """Do what is typed, and answer, for as long as anything may be typed."""
    for row in sys.stdin:
        try:
            told = hands.do(row)
        except KitError as fault:
            told = str(fault)
        if told:
            print(told, flush=True)


def _fault(kind: str) -> str:
    if kind == "any":
        return pick(secrets.randbelow(1 << 32))
    if kind and kind not in FAULTS:
        raise UnknownNameError("kind of fault", kind, ["any", *FAULTS])
    return kind


def elsewhere() -> KitError:
    """Say what there is where the real interpreter is not to be had."""
    return KitError(
        "The interpreter behind the plug is packaged for Linux alone: here is no tug to plug in.",
        hint="in WSL 2 or a Linux container: `python3 robotsim plug --listen 127.0.0.1:8266 "
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


def _cable(given: argparse.Namespace) -> int:
    from .doctor import examine, firmware_words, flash_firmware

    if given.firmware:
        print(firmware_words())
        return 0
    if given.flash:
        port = choose(given.port)
        commands = flash_firmware(port, given.flash, given.address)
        print(f"{firmware_words()}\n\n{given.flash} will be written to {port}, and everything on "
              "it erased.\nMotor power off? Then type the word erase: ", end="", flush=True)
        if sys.stdin.readline().strip().lower() != "erase":
            raise KitError("Nothing was written: it was not confirmed.",
                           hint="type the word erase.")  # fmt: skip
        for command in commands:
            if subprocess.run(command).returncode:
                raise KitError("The chip maker's tool could not do it.",
                               hint="see above; hold the button BOOT while it begins.")
        return 0
    good = True
    for finding in examine(given.port):
        print(finding, flush=True)
        good = good and finding.good
    return 0 if good else 1


def _aboard(given: argparse.Namespace) -> int:
    from ..origin import Whose
    from .aboard import aboard

    done = aboard(
        given.program.name, port=given.port, seconds=given.seconds, run=not given.only_copy,
        secrets=given.secrets, anyway=given.anyway, files=program_files(given.program),
        whose=Whose.OWN if given.programs_may_reach_this_computer else Whose.STRANGER,
        tug=given.tug,
    )  # fmt: skip
    print(replace(done, wrote={}))
    if given.take and not done.wrote:
        print(f"The program has written no file: nothing was taken to {given.take}.")
    for name, text in done.wrote.items():
        print(_taken(given.take, Path(name).name, text))
    return 1 if done.ended == "error" else 0


def _taken(folder: Path | None, name: str, text: str) -> str:
    """Put a file from the board into a folder; what is there already is kept."""
    told = f"It wrote {name}, {len(text)} characters"
    if folder is None:
        return f"{told}: --take FOLDER brings that back, or mpremote."
    try:
        folder.mkdir(parents=True, exist_ok=True)
        if (folder / name).is_file() and (folder / name).read_bytes() == text.encode():
            return f"{told}: the very same is in {folder.absolute()} already."
        old = put(folder / name, text)
    except OSError as fault:
        raise KitError(f"What the board wrote cannot be put there: {fault.strerror}.",
                       where=str(folder.absolute()), hint="it is on the board still; choose "
                       "another folder: --take FOLDER") from fault  # fmt: skip
    before = f" What was there is kept as {old.name}." if old else ""
    return f"{told}: it is in {folder.absolute()}.{before}"


def _powerup(given: argparse.Namespace) -> int:
    if not any((given.port, given.part, given.tug, given.to)):
        print(PAGE.read_text(encoding="utf-8"))
        return 0
    from .helm import USUAL_FOLDER, power_up

    folder = given.to or USUAL_FOLDER
    port = choose(given.port)
    if not given.port:
        print(f"The board at {port}.")
    return 1 if power_up(port, folder, given.part, given.tug).mends else 0


COMMANDS: dict[str, Callable[[argparse.Namespace], int]] = {
    "aboard": _aboard, "cable": _cable, "fit": refine, "plug": _plug, "powerup": _powerup,
}  # fmt: skip
"""Command to what carries it out."""
