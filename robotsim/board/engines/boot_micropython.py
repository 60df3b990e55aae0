# Boot file for the real MicroPython interpreter; its language is MicroPython.

import builtins
import io
import json
import sys

sys.path[:] = [sys.argv[1], ".frozen"]

import _link

_OFFERED = (
    "array", "binascii", "cmath", "collections", "errno", "gc", "hashlib", "heapq", "io", "json",
    "math", "re", "struct", "machine", "neopixel", "random", "time",
)  # fmt: skip

order = json.loads(_link.receive_program())
files = order["files"]
_link.seed = order["seed"]
if order["folder"]:
    sys.path.insert(0, order["folder"])


class _Console:
    # What programs find as sys.stdout.
    def write(self, text):
        for start in range(0, len(text), 256):
            _link.tell("t " + json.dumps(text[start : start + 256]))
        return len(text)


class _Sys:
    # What programs find as the module sys: its own output would go into the link.
    stdout = stderr = _Console()

    def __getattr__(self, name):
        if name == "stdin":
            _nobody()
        return getattr(sys, name)

    def print_exception(self, fault, file=None):
        rows = _told(fault).split("\n")
        rows = [row.replace(order["folder"] + "/", "") for row in rows if not _ours(row)]
        _print("\n".join(rows), end="", file=file)


_import = builtins.__import__
_sys = _Sys()


def _offer(module, *rest):
    # Import as the board does: the learner's files, then the board's modules.
    head = module.split(".")[0]
    if head == "sys":
        return _sys
    # What our own modules need is not the learner's affair.
    inside = rest and rest[0] and _ours(rest[0].get("__file__", ""))
    if head + ".py" in files or head in _OFFERED or inside:
        return _import(module, *rest)
    raise ImportError("no module named '%s'" % module)


def _print(*values, sep=" ", end="\n", file=None):
    text = (" " if sep is None else sep).join([str(value) for value in values])
    (_Sys.stdout if file is None else file).write(text + ("\n" if end is None else end))


def _nobody(*_):
    raise OSError("nobody types at the tug's console: put the value into the program")


def _no_open(*_, **__):
    raise OSError(2)


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
    if kind == "KeyboardInterrupt":
        kind, message = "stopped", ""
    return json.dumps({"kind": kind, "message": message, "calls": _calls(fault)})


builtins.print = _print
builtins.input = _nobody
builtins.open = _no_open
builtins.__import__ = _offer
_link.on_fault = _report
try:
    exec(compile(files[order["program"]], order["program"], "exec"), {"__name__": "__main__"})
    _link.live_on()
    _link.tell_last("q")
except _link.Gone:
    pass
except SystemExit:
    _link.tell_last("q")
except BaseException as fault:
    _link.tell_last("x " + _report(fault))
