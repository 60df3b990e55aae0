# Boot file for the real MicroPython interpreter; its language is MicroPython.

import builtins
import io
import json
import sys
from collections import namedtuple

sys.path[:] = [sys.argv[1], ".frozen"]

import _link
import board_flash

_BUILT_IN = (
    "array", "binascii", "cmath", "collections", "errno", "hashlib", "heapq", "json", "math", "re",
    "struct",
)  # fmt: skip
_ALIASES = (
    "array", "asyncio", "binascii", "collections", "errno", "hashlib", "heapq", "io", "json",
    "machine", "os", "random", "re", "socket", "struct", "sys", "time",
)  # fmt: skip

order = json.loads(_link.receive_program())
files = order["files"]
_counted = dict(files)
_counted.update(order["counted"])
_link.seed, _link.cause = order["seed"], order["cause"]
for _name, _text in files.items():
    board_flash.files[_name] = _text.encode()
for _name, _data in order["flash"].items():
    board_flash.files[_name] = bytes.fromhex(_data)
if order["folder"]:
    sys.path.insert(0, order["folder"])


class _Console:
    # What programs find as sys.stdout.
    def write(self, text):
        _link.write(text)
        return len(text)


class _Sys:
    # What programs find as the module sys: its own output would go into the link.
    stdout = stderr = _Console()
    argv = []
    path = ["", ".frozen", "/lib"]
    platform = "esp32"
    maxsize = 0x7FFFFFFF
    version = "3.4.0; MicroPython v1.29.0 (simulated)"
    version_info = (3, 4, 0)
    byteorder = "little"
    modules = sys.modules
    _kind = namedtuple("Implementation", ("name", "version"))
    implementation = _kind("micropython", (1, 29, 0, ""))

    def exit(self, *status):
        sys.exit(*status)

    def __getattr__(self, name):
        if name == "stdin":
            _nobody()
        raise AttributeError("module 'sys' has no attribute '%s'" % name)

    def print_exception(self, fault, file=None):
        rows = _told(fault).split("\n")
        rows = [row.replace(order["folder"] + "/", "") for row in rows if not _ours(row)]
        _print("\n".join(rows), end="", file=file)


_import = builtins.__import__
_sys = _Sys()


def _offer(module, *rest):
    # Import as the board does: the learner's files, then the board's modules.
    if rest and rest[0] and _ours(rest[0].get("__file__", "")):
        return _import(module, *rest)  # what our own modules need is not the learner's affair
    head = module.split(".")[0]
    if head + ".py" not in files or head in ("gc", "micropython", "sys"):
        if head[0] == "u" and module[1:] in _ALIASES:
            module = head = module[1:]
        if head == "sys":
            return _sys
        if "board_" + head in order["shims"]:
            found = _import("board_" + head)
            found.__name__ = head  # as exceptions are to call it
            return found
        if head not in _BUILT_IN and (head not in order["shims"] or head[:6] == "board_"):
            raise ImportError("no module named '%s'" % head)
    return _import(module, *rest)


def _print(*values, sep=" ", end="\n", file=None):
    text = (" " if sep is None else sep).join([str(value) for value in values])
    (_Sys.stdout if file is None else file).write(text + ("\n" if end is None else end))


def _nobody(*_):
    raise OSError("nobody types at the tug's console: put the value into the program")


def _ours(place):
    return sys.argv[1] in place or "boot_micropython.py" in place


class _Short(io.IOBase):
    # Keeps the beginning of a text that may not fit into memory twice.
    def __init__(self):
        self.kept = b""

    def write(self, data):
        self.kept += bytes(data[: max(0, 20000 - len(self.kept))])
        return len(data)


def _told(fault):
    out = _Short()
    sys.print_exception(fault, out)
    return out.kept.decode()


def _calls(fault):
    calls = []
    for line in _told(fault).split("\n"):
        if line.startswith("  File ") and not _ours(line):
            place, _, function = line.partition(", in ")
            file = place.split('"')[1]
            number = place.rsplit(" ", 1)[1]
            file = file.rsplit("/", 1)[-1]
            if file in files:
                calls.append([file, int(number), function or "<module>"])
    return calls[-50:]


def _report(fault):
    kind, arguments = type(fault).__name__, fault.args
    try:
        if len(arguments) == 1 and isinstance(arguments[0], str):
            message = arguments[0][:2000]
        else:
            message = str(fault)[:2000]
    except Exception:  # an exception of the learner's own that cannot tell itself
        message = ""
    if kind == "MemoryError":  # the other engine cannot tell how much was asked for
        message = message.split(",")[0]
    if kind == "KeyboardInterrupt":
        kind, message = "stopped", ""
    return json.dumps({"kind": kind, "message": message, "calls": _calls(fault)})


def _last(word):
    # Close what the program left open, as the board does, and send the last word.
    try:
        board_flash.close_all()
        _link.tell_last(word)
    except _link.Gone:
        pass


def _run_boot(space):
    # Where boot.py fails the board says so, and goes on to the program.
    try:
        exec(compile(_counted["boot.py"], "boot.py", "exec"), space)
    except Exception as fault:
        _link.tell("w " + _report(fault))


builtins.print = _print
builtins.input = _nobody
builtins.__spent__ = _link.spent
builtins.open = board_flash.open
builtins.__import__ = _offer
_link.on_fault = _report
_space = {"__name__": "__main__"}
try:
    if "boot.py" in files and order["program"] != "boot.py":
        _run_boot(_space)
    exec(compile(_counted[order["program"]], order["program"], "exec"), _space)
    _link.live_on()
    _last("q")
except _link.Gone:
    pass
except SystemExit:
    _last("q")
except BaseException as fault:
    _last("x " + _report(fault))
