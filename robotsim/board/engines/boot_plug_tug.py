# What the plugged tug's boot file loads before anything else, in the real MicroPython interpreter.
#
# The interpreter keeps its own console, prompt and files; only the tug's modules are ours.  They
# reach the host over two pipes of their own, in the language of ../LINK.md, with a few messages
# more that begin with an exclamation mark.  Everything is sent at once, for here the
# clock on the wall runs.

import builtins
import io
import json
import os
import sys
from collections import namedtuple

import micropython
import vfs
from boot_plug_files import Flash

_HIDDEN = ("VfsPosix", "errno", "getenv", "putenv", "system", "unsetenv")
_SHIMS = "/board"  # under this name the tug's modules are seen while they are loaded
_NAP_US = 20000  # a sleep is slept in pieces, so that Ctrl-C ends it soon
_UNASKED = 16  # so many messages may go out until one waits for the host

_in, _out = open(int(sys.argv[2]), "rb"), open(int(sys.argv[3]), "wb")
_kbd_intr = micropython.kbd_intr
_wanted = 3  # the character that interrupts, as programs have chosen it
_sent = 0
_stdout = sys.stdout


def _read_order():
    return json.loads(_in.readline())


def _tell_host(message):
    # Say something to the host that is none of the board's messages, and wait until it is done.
    _shut()
    _out.write(b"!" + message + b"\n")
    broken = _in.readline()[:1] == b"!"
    _kbd_intr(_wanted)
    if broken:
        raise KeyboardInterrupt


# -- the link ----------------------------------------------------------------------


def _shut():
    # Nothing breaks off what is said between us and the host; Ctrl-C waits until it is said.
    _kbd_intr(-1)


def _send(data):
    _out.write(data)


def _tell(message):
    global _sent
    _shut()
    _sent += 1
    if _link.armed or _sent >= _UNASKED:
        _link._say(message)
        _ask("Y")
    else:
        _link._say(message)
        _link.flush()
        _kbd_intr(_wanted)


def _ask(message):
    global _sent
    _shut()
    _sent, broken = 0, False
    _link._say(message)
    _link.flush()
    while True:
        answer = _in.readline()[:-1]
        if not answer:
            raise SystemExit  # the host has gone
        if answer[:1] == b"!":
            broken, answer = _wanted == 3, answer[1:]
        if answer[:1] != b">":
            break
        broken = _callback(answer[1:].decode().split(" ")) or broken
        _link.put(".")
        _link.flush()
    _kbd_intr(_wanted)
    if broken:
        raise KeyboardInterrupt
    if answer[:1] == b"=":
        return answer[1:].decode()
    kind, _, text = answer[1:].decode().partition(" ")
    if kind == "OSError":
        raise _link.os_error(int(text.split("]")[0].split(" ")[1]), text.split("] ")[1])
    raise getattr(builtins, kind)(text)


def _callback(place):
    # Run a callback; tell whether Ctrl-C has broken it off.
    try:
        try:
            _kbd_intr(_wanted)
            _link._call(place)
        finally:
            _shut()
    except KeyboardInterrupt:
        _shut()
        return True
    return False


def _sleep_us(duration):
    now = _now_us()
    end = now + duration
    while now < end:
        _ask("S %d" % min(end - now, _NAP_US))
        now = _now_us()


def _now_us():
    return int(_ask("T").split(" ")[0])


def _sample(pin):
    return int(_ask("A %d" % pin))


def _on_fault(fault):
    # An exception in a callback: the board prints it, and goes on.
    sys.print_exception(fault)
    return json.dumps({"kind": type(fault).__name__, "message": "", "calls": []})


# -- what programs find --------------------------------------------------------------


class _Raw:
    # sys.stdout.buffer: bytes go out as they are, where a text's newline goes out as two.
    def write(self, data, *place):
        data = bytes(data)
        if len(place) == 1:
            data = data[: place[0]]
        elif place:
            data = data[place[0] : place[0] + place[1]]
        for start in range(0, len(data), 4096):
            _tell_host(b"raw " + data[start : start + 4096].hex().encode())
        return len(data)


class _Console(io.IOBase):
    buffer = _Raw()

    def write(self, text):
        return _stdout.write(text)


_kind = namedtuple("Implementation", ("name", "version", "_machine", "_mpy"))


class _Sys:
    stdout = stderr = _Console()
    platform = "esp32"
    argv = []
    version = "3.4.0; MicroPython v1.29.0 (simulated)"
    implementation = _kind(
        "micropython", (1, 29, 0, ""), "Simulated harbour board with ESP32", sys.implementation._mpy
    )

    def __getattr__(self, name):
        return getattr(_real_sys, name)


class _Some:
    # A built-in module without what reaches this computer.
    def __init__(self, module):
        self._module = module

    def __getattr__(self, name):
        if name in _HIDDEN:
            raise AttributeError("module has no attribute '%s'" % name)
        return getattr(self._module, name)

    def __dir__(self):
        return [name for name in dir(self._module) if name not in _HIDDEN]


class _Os(_Some):
    _kind = namedtuple("uname", ("sysname", "nodename", "release", "version", "machine"))

    def uname(self):
        """Give the names of the system, as five texts."""
        where = "Simulated harbour board with ESP32"
        return self._kind("esp32", "esp32", "1.29.0", "v1.29.0 (simulated)", where)

    def sync(self):
        """Bring the flash up to date: it is, always."""


class _MicroPython(_Some):
    def kbd_intr(self, chr):
        """Choose the character that interrupts a program; -1 for none."""
        global _wanted
        _wanted = chr
        _tell_host(b"kbd %d" % chr)


def _load(shims):
    # Load the tug's modules, which then come before the interpreter's own of the same name.
    sys.path[:] = [_SHIMS]
    vfs.mount(vfs.VfsPosix(shims), _SHIMS)
    link = __import__("_link")
    link._wire.send, link.tell, link.ask, link.sleep_us = _send, _tell, _ask, _sleep_us
    link.now_us, link.sample, link.on_fault = _now_us, _sample, _on_fault
    return link


def _offer(names):
    import random as own_random

    real = sys.modules
    for name in names:
        if name[:6] != "board_" and name != "random":
            __import__(name)
    real["random"] = own_random
    real["os"], real["vfs"] = _Os(os), _Some(vfs)
    real["micropython"] = _MicroPython(micropython)
    real["machine"].soft_reset = _soft_reset
    for name in ("asyncio", "machine", "os", "random", "socket", "time"):
        real["u" + name] = real[name]
    for name in ("boot_plug_files", "boot_plug_tug"):
        real.pop(name, None)


def _soft_reset():
    """Start the program anew."""
    raise SystemExit


def _root(folder):
    # From here on nothing of this computer is seen but the flash.
    for place in (_SHIMS, "/tug", "/"):
        vfs.umount(place)
    vfs.mount(Flash(vfs.VfsPosix(folder)), "/")
    os.chdir("/")
    sys.path[:] = ["", ".frozen", "/lib"]
    sys.modules["sys"] = _Sys()


# -- boot.py and main.py -------------------------------------------------------------


def _run(name, space):
    try:
        with open(name) as file:
            text = file.read()
    except OSError:
        return
    try:
        exec(compile(text, name, "exec"), space)
    except SystemExit:
        _tell_host(b"again")
    except BaseException as fault:
        out = io.StringIO()
        _real_sys.print_exception(fault, out)
        rows = out.getvalue().split("\n")
        _stdout.write("\n".join([row for row in rows if "boot_plug" not in row]))


def _live_on():
    # Callbacks that are armed have their turn until somebody types.
    import select

    poll = select.poll()
    poll.register(_real_sys.stdin, select.POLLIN)
    while _link.armed and not poll.poll(0):
        _ask("S %d" % _NAP_US)


def start(space):
    """Make the tug's board of this interpreter, and run what starts by itself."""
    order = _read_order()
    _link.cause, _link.seed = order["cause"], order["seed"]
    _offer(order["shims"])
    _root(order["flash"])
    _tell_host(b"ready")
    _run("boot.py", space)
    if order["main"]:
        _run("main.py", space)
    try:
        _live_on()
    except KeyboardInterrupt:
        pass


_real_sys = sys
_link = _load(sys.argv[1])
