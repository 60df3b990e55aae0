# Boot file for the real MicroPython interpreter; its language is MicroPython.

import builtins
import io
import json
import sys

sys.path[:] = [sys.argv[1], ".frozen"]

import _link

order = json.loads(_link.receive_program())
files = order["files"]
if order["folder"]:
    sys.path.insert(0, order["folder"])


def _write(text):
    for start in range(0, len(text), 256):
        _link.tell("t " + json.dumps(text[start : start + 256]))


def _print(*values, sep=" ", end="\n", file=None):
    text = sep.join([str(value) for value in values]) + end
    if file is None or file is sys.stdout:
        _write(text)
    else:
        file.write(text)


def _calls(fault):
    out = io.StringIO()
    sys.print_exception(fault, out)
    calls = []
    for line in out.getvalue().split("\n"):
        if line.startswith("  File "):
            place, _, function = line.partition(", in ")
            file = place.split('"')[1]
            number = place.rsplit(" ", 1)[1]
            file = file.rsplit("/", 1)[-1]
            if file in files:
                calls.append([file, int(number), function or "<module>"])
    return calls


def _report(fault):
    kind, message = type(fault).__name__, str(fault)
    if kind == "KeyboardInterrupt":
        kind, message = "stopped", ""
    return json.dumps({"kind": kind, "message": message, "calls": _calls(fault)})


builtins.print = _print
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
