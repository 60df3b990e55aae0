"""Asks, in a tab's kernel, for what a page has not, and for what it has."""

import robotsim
from checks import room
from robotsim import live
from robotsim.shell import _words


def asked() -> dict[str, str]:
    """Give what is said of each."""
    told = {}
    wanted = {"back": robotsim.back, "earlier": robotsim.earlier, "take": robotsim.take,
              "live": live.live, "join_room": room.join_room}  # fmt: skip
    for name, word in wanted.items():
        try:
            word("main.py")
        except robotsim.KitError as fault:
            told[name] = str(fault)
    try:
        exec(compile("back('main.py')", "<cell>", "exec"), {})
    except NameError as fault:
        told["named"] = "\n".join(_words(fault, fault.__traceback__, "%%program") or [])
    text = "from machine import Pin\nprint(Pin(13).value())\n"
    told["ready"] = str(robotsim.ready("main.py", files={"main.py": text}, seconds=1))
    told["export"] = str(robotsim.export("main.py", files={"main.py": text}))
    return told
