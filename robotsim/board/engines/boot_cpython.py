"""Boot file for the CPython engine: run a learner's program as the board would.

It runs alone in a fresh process (`python -I -S`), which has nothing of the kit
but the shims.  Learners' modules get builtins of their own, so that what they
import is the board's, while the standard library goes on as it is.
"""

import builtins
import json
import os
import sys
from importlib.machinery import SourceFileLoader
from types import ModuleType

import _link  # a shim: its folder is on the path, as is this one
import board_flash
from boot_dialect import compiled, sliced
from boot_guard import guard
from boot_modules import restricted
from boot_operators import HOOKS
from boot_sets import gathered
from boot_tables import table
from boot_text import formatted, numbered, percent, represent, rounded, text, with_spec
from boot_values import CHANGED, like_the_boards
from offered import ALIASES, BUILTINS, FIXED, NAMES

_SHIMS = sys.argv[1]
_MEMORY = 512 * 1024 * 1024
_DEPTH = 195
"""So deep calls may go: under the real interpreter plain functions end after 188 (run), others
after 78 to 247, by what they do."""
_reserve = [bytes(4 * 1024 * 1024)]


def main() -> None:
    """Read the program, run it, and tell the host how it ended."""
    order = json.loads(_link.receive_program())
    _end_with_host()
    files, name = order["files"], order["program"]
    counted = {**files, **order["counted"]}
    _link.seed, _link.cause = order["seed"], order["cause"]
    for file, content in files.items():
        board_flash.files[file] = content.encode("utf-8", "backslashreplace")
    for file, data in order["flash"].items():
        board_flash.files[file] = bytes.fromhex(data)
    sys.stdout = sys.stderr = _Console()
    sys.stdin = _Nobody()
    sys.print_exception = lambda fault, file=None: _print_exception(fault, file, files)
    modules = _Modules(counted)
    _link.on_fault = lambda fault: _report(fault, files)
    if order.get("lines"):
        from boot_lines import follow_lines

        follow_lines(files)
    guard(files, _MEMORY)
    space = {"__name__": "__main__"}
    try:
        _link.begin()
        if "boot.py" in files and name != "boot.py":
            modules.run_boot(space)
        modules.run_file(name, space)
        _link.live_on()
        _last("q")
    except _link.Gone:
        pass
    except SystemExit:
        _last("q")
    except MemoryError as fault:
        modules.loaded.clear()
        _reserve.clear()  # room to tell it in
        _last("x " + _report(fault, files))
    except BaseException as fault:
        _last("x " + _report(fault, files))
    os._exit(0)


def _end_with_host() -> None:
    """End this process when its host is gone, whatever the program is about.

    A program that never speaks would not notice.  A confined one is ended by the system, and may
    start no thread.
    """

    def wait() -> None:
        import select

        ends = select.poll()
        ends.register(0, 0)  # only that nobody is left at the other end
        ends.poll()
        os._exit(1)

    if hasattr(os, "fork"):  # where pipes can be waited for so
        import _thread

        try:
            _thread.start_new_thread(wait, ())
        except RuntimeError:
            pass


def _last(word: str) -> None:
    """Close what the program left open, as the board does, and send the last word."""
    try:
        board_flash.close_all()
        _link.tell_last(word)
    except _link.Gone:
        pass


class _Modules:
    """What a program may import: its own files first, then the board's modules."""

    def __init__(self, files: dict) -> None:
        self.files = files
        self.loaded: dict[str, ModuleType] = {}
        self.shims: dict[str, ModuleType] = {}
        self.offered = {n: v for n, v in vars(builtins).items() if n in BUILTINS}
        self.offered.update(
            __import__=self.board_import, print=_print, input=_no_input, repr=represent,
            open=board_flash.open, __told__=_told, __sliced__=sliced, __text__=text,
            __percent__=percent, __formatted__=formatted, __with_spec__=with_spec, round=rounded,
            __spent__=_link.spent, __table__=table, __gathered__=gathered, **HOOKS, **CHANGED,
        )  # fmt: skip
        self.within = {**vars(builtins), "__import__": self.shim_import}

    def board_import(
        self, module: str, globals=None, locals=None, fromlist=(), level: int = 0
    ) -> ModuleType:
        """Import as the board does."""
        if level:
            raise ImportError("can't perform relative import")
        head, _, rest = module.partition(".")
        if head not in self.loaded:
            self.loaded[head] = self._find(head)
        if not rest:
            for name in fromlist or ():  # `from umqtt import simple`: a module within a folder
                if hasattr(self.loaded[head], "__path__") and not hasattr(self.loaded[head], name):
                    self._shim(head + "." + name)
            return self.loaded[head]
        inner = self._shim(module)
        return inner if fromlist else self.loaded[head]

    def _find(self, name: str) -> ModuleType:
        if name + ".py" in self.files and name not in FIXED:
            self.loaded[name] = module = ModuleType(name)
            module.__file__ = name + ".py"
            try:
                self.run_file(name + ".py", module.__dict__)
            except BaseException:
                del self.loaded[name]
                raise
            return module
        if name[:1] == "u" and name[1:] in ALIASES:
            return self.board_import(name[1:])
        if name in NAMES and not os.path.exists(os.path.join(_SHIMS, name + ".py")):
            return restricted(name)
        return self._shim(name)

    def _shim(self, name: str, inside: bool = False) -> ModuleType:
        """Load one of the board's modules that is a file of ours; `inside`: for another of them."""
        if name in self.shims:
            return self.shims[name]
        place = os.path.join(_SHIMS, *name.split("."))
        own = os.path.join(_SHIMS, "board_" + name + ".py")
        paths = [own, place + ".py", os.path.join(place, "__init__.py")]
        found = [path for path in paths if os.path.exists(path)]
        hidden = name.startswith(("_", "board_")) and not inside
        if hidden or not found and not os.path.isdir(place):
            raise ImportError("no module named '%s'" % name)
        module = self.shims[name] = ModuleType(name)
        if not found or found[0].endswith("__init__.py"):
            module.__path__ = [place]
        if found:
            module.__dict__["__builtins__"] = self.within
            code = SourceFileLoader(name, found[0]).get_code(name)
            exec(code, module.__dict__)
            for value in list(vars(module).values()):
                if isinstance(value, type) and value.__module__ == name:
                    like_the_boards(value)
        head, _, last = name.rpartition(".")
        if head:
            setattr(self._shim(head), last, module)
        return module

    def shim_import(
        self, module: str, globals=None, locals=None, fromlist=(), level: int = 0
    ) -> ModuleType:
        """Import for a shim: another shim by its plain name, or this computer's own."""
        own = os.path.exists(os.path.join(_SHIMS, "board_" + module + ".py"))
        if level or own or module == "_link" or module.startswith("board_"):
            return builtins.__import__(module, globals, locals, fromlist, level)
        try:
            inner = self._shim(module, inside=True)
        except ImportError:
            return builtins.__import__(module, globals, locals, fromlist, level)
        return inner if fromlist or "." not in module else self._shim(module.split(".")[0])

    def run_file(self, file: str, space: dict) -> None:
        """Run one of the learner's files."""
        space["__builtins__"] = self.offered
        sys.setrecursionlimit(1000)  # a program's text may be nested deeper than its calls
        code = compiled(self.files[file], file)
        sys.setrecursionlimit(_DEPTH)
        exec(code, space)

    def run_boot(self, space: dict) -> None:
        """Run boot.py; where it fails the board says so, and goes on to the program."""
        try:
            self.run_file("boot.py", space)
        except (SystemExit, _link.Gone):
            raise
        except Exception as fault:
            _link.tell("w " + _report(fault, self.files))


class _Console:
    """What programs find as sys.stdout."""

    def write(self, text: str) -> int:
        _link.write(numbered(text))
        return len(text)

    def flush(self) -> None:
        pass


class _Nobody:
    """What programs find as sys.stdin."""

    def read(self, *_) -> str:
        _no_input()

    readline = readlines = read


def _print(*values, sep=" ", end="\n", file=None, **more) -> None:
    if more:
        raise TypeError("extra keyword arguments given")
    line = (" " if sep is None else sep).join(map(text, values)) + ("\n" if end is None else end)
    (sys.stdout if file is None else file).write(line)


def _told(fault: BaseException) -> BaseException:
    """Give an exception that a program catches the board's words."""
    if getattr(builtins, type(fault).__name__, None) is not type(fault) or not fault.args:
        return fault
    if isinstance(fault, (UnicodeDecodeError, UnicodeEncodeError)):  # whose words cannot be changed
        return UnicodeError().with_traceback(fault.__traceback__)
    words = _words(fault)[1]
    if isinstance(fault, SyntaxError):
        fault.args, fault.msg, fault.filename, fault.lineno = (words,), words, None, None
    elif isinstance(fault, OSError) and isinstance(fault.args[0], int):
        fault.errno, fault.strerror = fault.args[0], words.partition("] ")[2]
    elif not isinstance(fault, KeyError) and len(fault.args) == 1:
        if isinstance(fault.args[0], str):
            fault.args = (words,)
    return fault


def _words(fault: BaseException):
    from boot_words import board_words

    return board_words(fault)


def _no_input(*_) -> str:
    raise OSError("nobody types at the tug's console: put the value into the program")


def _print_exception(fault, file, files) -> None:
    """Print an exception as the board does."""
    rows = ["Traceback (most recent call last):"]
    calls = _calls(fault.__traceback__, files)
    rows += ['  File "%s", line %d, in %s' % tuple(call) for call in calls]
    kind, message = _words(fault)
    rows.append(kind + ": " + message)
    _print("\n".join(rows), file=file)


def _calls(trace, files) -> list:
    """Give the way to where it went wrong: the learner's own files only."""
    calls = []
    while trace is not None:
        code = trace.tb_frame.f_code
        if code.co_filename in files:
            calls.append([code.co_filename, trace.tb_lineno, code.co_name])
        trace = trace.tb_next
    return calls[-50:]


def _report(fault: BaseException, files) -> str:
    """Tell an exception as JSON: its kind, its message, and the way to it."""
    calls = _calls(fault.__traceback__, files)
    kind, message = _words(fault)
    if isinstance(fault, SyntaxError) and fault.filename in files:
        # A syntax error's place is in the error, not in its traceback.
        calls.append([fault.filename, fault.lineno or 0, "<module>"])
    return json.dumps({"kind": kind, "message": message, "calls": calls})
