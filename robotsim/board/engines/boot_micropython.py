# Boot file for the real MicroPython interpreter; its language is MicroPython.
#
# All that a program may import is loaded before it begins: our own modules, and the few built-in
# ones that reach nothing but values.  Then the interpreter's importer is put away, so that those
# which reach this computer (vfs, os, socket, machine ...) cannot be had, whatever files lie on the
# board and whoever asks.

import builtins
import json
import re
import sys
from collections import namedtuple
from io import IOBase as _Stream

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


_addresses = {}


def _address(number):
    # As under the other engine the addresses that are seen are given out by a counter: those of
    # this computer are others every time.
    if number not in _addresses:
        _addresses[number] = 0x3FFB0000 + 32 * (len(_addresses) + 1)
    return _addresses[number]


def _renumbered(found):
    digits = found.group(2)
    if len(digits) < 9:
        return found.group(0)
    return "%s%x%s" % (found.group(1), _address(int(digits, 16)), found.group(3))


_shown = re.compile("( at 0?x?|<bound_method )([0-9a-f]+)([> ])")


class _Console:
    # What programs find as sys.stdout.
    def write(self, text):
        if " at " in text or "<bound_method " in text:
            text = _shown.sub(_renumbered, text)
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
    modules = {}
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
        rows = [row for row in rows if not _ours(row)]
        _print("\n".join(rows), end="", file=file)


_sys = _Sys()


def _load():
    # Load everything that may be imported, each by the name under which it then is.
    found = {}
    for name in order["shims"]:
        __import__(name)
        found[name] = module = sys.modules[name]
        del module.__file__  # where it lies on this computer; the board has it built in
    for name in _BUILT_IN:
        if name not in found:
            found[name] = __import__(name)
    for name in list(found):
        if name[:6] == "board_":
            found[name[6:]] = module = found.pop(name)
            module.__name__ = name[6:]  # as exceptions are to call it
    found["sys"] = _sys
    for name in _ALIASES:
        found["u" + name] = found[name]
    return found


def _make_own():
    # Make a fresh module for each of the learner's files: that of an empty file, under a name
    # that nothing else has.
    own = {}
    if order["folder"]:
        sys.path.append(order["folder"])
        for file in files:
            if file[-3:] == ".py" and file[:-3] not in ("gc", "micropython", "sys"):
                own[file[:-3]] = __import__("own_" + file[:-3])
        sys.path.pop()
    return own


def _run_own(head):
    # Run a file of the learner's in its module, once.
    module = _own[head]
    if head not in _begun:
        _begun.add(head)
        module.__name__, module.__file__ = head, head + ".py"
        try:
            exec(compile(_counted[head + ".py"], head + ".py", "exec"), module.__dict__)
        except BaseException:
            _begun.discard(head)
            raise
    return module


def _offer(module, globals=None, locals=None, fromlist=None, level=0):
    # Import as the board does: the learner's files, then the board's modules.
    head = module.split(".")[0]
    if head in _own:
        found = _run_own(head)
        if head != module:
            raise ImportError("no module named '%s'" % module)
        return found
    if module not in _offered:
        raise ImportError("no module named '%s'" % (module if head in _offered else head))
    return _offered[module if fromlist else head]


def _print(*values, sep=" ", end="\n", file=None):
    text = (" " if sep is None else sep).join([str(value) for value in values])
    (_Sys.stdout if file is None else file).write(text + ("\n" if end is None else end))


def _nobody(*_):
    raise OSError("nobody types at the tug's console: put the value into the program")


def _ours(place):
    return sys.argv[1] in place or "boot_micropython.py" in place


class _Short(_Stream):
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


class _Errors:
    # The kinds of exception that the host can name; all that our own modules need of builtins.
    pass


def _no_file(*_):
    raise OSError(2)


_begun = set()
_own = _make_own()
_offered = _load()
for _name in dir(builtins):
    _value = getattr(builtins, _name)
    if isinstance(_value, type) and issubclass(_value, BaseException):
        setattr(_Errors, _name, _value)
builtins.print = _print
builtins.input = _nobody
builtins.__spent__, builtins.__line__ = _link.spent, _link.line
builtins.open = board_flash.open
_id = builtins.id
builtins.id = lambda value: _address(_id(value))
builtins.execfile = _no_file
builtins.__import__ = _offer
_link.builtins = _Errors
del builtins, _value
sys.modules.clear()
_link.on_fault = _report
_space = {"__name__": "__main__"}
try:
    _link.begin()
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
