"""Boot file for the CPython engine: run a learner's program as the board would.

It runs alone in a fresh process (`python -I -S`), which has nothing of the kit
but the shims.  Learners' modules get builtins of their own, so that what they
import is the board's, while the standard library goes on as it is.
"""

import builtins
import json
import os
import signal
import sys
from importlib.util import module_from_spec, spec_from_file_location
from types import FrameType, ModuleType

_SHIMS = sys.argv[1]
sys.path[:] = [_SHIMS, *sys.path]

import _link  # a shim: its folder has just been put on the path

_FROM_PYTHON = {
    "array", "binascii", "cmath", "collections", "errno", "gc", "hashlib", "heapq", "io", "json",
    "math", "re", "struct", "sys",
}  # fmt: skip
_MEMORY = 512 * 1024 * 1024
_reserve = [bytes(4 * 1024 * 1024)]


def main() -> None:
    """Read the program, run it, and tell the host how it ended."""
    order = json.loads(_link.receive_program())
    files, name = order["files"], order["program"]
    _link.seed = order["seed"]
    modules: dict[str, ModuleType] = {}
    offered = {}

    def board_import(
        module: str, globals=None, locals=None, fromlist=(), level: int = 0
    ) -> ModuleType:
        """Import as the board does: the learner's files, then the board's modules."""
        head = module.split(".")[0]
        if head not in modules:
            if head + ".py" in files:
                modules[head] = loaded = ModuleType(head)
                try:
                    run_file(head + ".py", loaded.__dict__)
                except BaseException:
                    del modules[head]
                    raise
            elif os.path.exists(os.path.join(_SHIMS, head + ".py")) and head[0] != "_":
                modules[head] = _shim(head)
            elif head in _FROM_PYTHON:
                modules[head] = builtins.__import__(head)
            else:
                raise ImportError("no module named '%s'" % module)
        if head != module:
            return builtins.__import__(module, globals, locals, fromlist, level)
        return modules[head]

    def run_file(file: str, space: dict) -> None:
        space["__builtins__"] = offered
        exec(compile(files[file], file, "exec", dont_inherit=True), space)

    offered.update(vars(builtins))
    offered.update(__import__=board_import, print=_print, input=_no_input, open=_no_open)
    sys.stdout = sys.stderr = _Console()
    sys.stdin = _Nobody()
    sys.print_exception = lambda fault, file=None: _print_exception(fault, file, files)
    _link.on_fault = lambda fault: _report(fault, files)
    if order.get("lines"):
        _follow_lines(files)
    _guard(files)
    try:
        run_file(name, {"__name__": "__main__"})
        _link.live_on()
        _link.tell_last("q")
    except _link.Gone:
        pass
    except SystemExit:
        _link.tell_last("q")
    except MemoryError as fault:
        modules.clear()
        _reserve.clear()  # room to tell it in
        _link.tell_last("x " + _report(fault, files))
    except BaseException as fault:
        _link.tell_last("x " + _report(fault, files))
    os._exit(0)


def _follow_lines(files) -> None:
    """From now on tell the host from which line a message comes, whenever that has changed."""
    places = {file: number for number, file in enumerate(files)}
    last = [None]

    def tell_line(here) -> None:
        if here is not None and here != last[0]:
            last[0] = here
            _link._waiting.append("l %d %d" % here)

    def noting(send):
        def noted(what):
            frame = sys._getframe(1)
            while frame is not None and frame.f_code.co_filename not in places:
                frame = frame.f_back
            if frame is not None:
                tell_line((places[frame.f_code.co_filename], frame.f_lineno))
            return send(what)

        return noted

    for name in ("tell", "ask", "sample"):
        setattr(_link, name, noting(getattr(_link, name)))
    arm = _link.arm

    def arm_and_come_back(source: str, number: int, handler) -> None:
        def run() -> None:
            before = last[0]
            try:
                handler()
            finally:
                tell_line(before)

        arm(source, number, run)

    _link.arm = arm_and_come_back


def _shim(name: str) -> ModuleType:
    """Load a shim, also one whose name the standard library has too."""
    spec = spec_from_file_location(name, os.path.join(_SHIMS, name + ".py"))
    module = module_from_spec(spec)
    if name not in sys.modules:
        sys.modules[name] = module  # shims import each other by their plain names
    spec.loader.exec_module(module)
    return module


class _Console:
    """What programs find as sys.stdout."""

    def write(self, text: str) -> int:
        for start in range(0, len(text), 256):
            _link.tell("t " + json.dumps(text[start : start + 256]))
        return len(text)

    def flush(self) -> None:
        pass


class _Nobody:
    """What programs find as sys.stdin."""

    def read(self, *_) -> str:
        _no_input()

    readline = readlines = read


def _print(*values, sep=" ", end="\n", file=None, flush=False) -> None:
    text = (" " if sep is None else sep).join(map(str, values)) + ("\n" if end is None else end)
    (sys.stdout if file is None else file).write(text)


def _no_input(*_) -> str:
    raise OSError("nobody types at the tug's console: put the value into the program")


def _no_open(*_, **__) -> None:
    raise OSError(2, "ENOENT")  # there are no files on the board but its programs


def _print_exception(fault, file, files) -> None:
    """Print an exception as the board does."""
    rows = ["Traceback (most recent call last):"]
    calls = _calls(fault.__traceback__, files)
    rows += ['  File "%s", line %d, in %s' % tuple(call) for call in calls]
    kind, message = _board_words(fault)
    rows.append(kind + (": " if message else "") + message)
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
    kind, message = _board_words(fault)
    if isinstance(fault, SyntaxError) and fault.filename in files:
        # A syntax error's place is in the error, not in its traceback.
        calls.append([fault.filename, fault.lineno or 0, "<module>"])
        message = fault.msg
    return json.dumps({"kind": kind, "message": message, "calls": calls})


def _board_words(fault: BaseException):
    """Give an exception's kind and message as the board words them."""
    if isinstance(fault, RecursionError):
        return "RuntimeError", "maximum recursion depth exceeded"
    if isinstance(fault, ZeroDivisionError):
        return "ZeroDivisionError", "divide by zero"
    try:
        plain = isinstance(fault, KeyError) and len(fault.args) == 1
        message = str(fault.args[0] if plain else fault)[:2000]
        if isinstance(fault, NameError):
            message = message.replace("is not defined", "isn't defined")
    except Exception:  # an exception of the learner's own that cannot tell itself
        message = ""
    # The board knows no finer kinds of these two.
    coarse = [kind for kind in (OSError, ImportError) if isinstance(fault, kind)]
    return (coarse or [type(fault)])[0].__name__, message


def _forbid(event: str, args) -> None:
    """Refuse what no board can do: an audit hook (PEP 578).

    The names are constants of the code, out of a program's reach.
    """
    head = event.partition(".")[0]
    if event == "open":
        if isinstance(args[2], int) and args[2] & 3:
            raise PermissionError("a program on the board cannot write files here")
    elif (
        head in {"ctypes", "fcntl", "ftplib", "pty", "shutil", "socket", "subprocess", "winreg"}
        or event in {
            "_thread.start_new_thread", "_winapi.CreateProcess", "_winapi.OpenProcess",
            "_winapi.TerminateProcess", "os.chmod", "os.chown", "os.exec", "os.fork", "os.forkpty",
            "os.kill", "os.killpg", "os.link", "os.mkdir", "os.posix_spawn", "os.remove",
            "os.rename", "os.rmdir", "os.spawn", "os.startfile", "os.symlink", "os.system",
            "os.truncate", "signal.pthread_kill",
        }
        or (event == "object.__setattr__" and args[1] in {"__code__", "__defaults__"})
    ):  # fmt: skip
        raise PermissionError("a program on the board cannot do this: " + event)


def _guard(files) -> None:
    """Limit memory where the system can, and stop with the line when the host says so.

    The hook keeps a program that finds its way to the interpreter's own modules from
    reaching other processes, files and the network.  It cannot be taken off again.
    """
    try:
        import resource

        resource.setrlimit(resource.RLIMIT_AS, (_MEMORY, _MEMORY))
        resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
    except (ImportError, ValueError, OSError):  # not on this system
        pass

    sys.addaudithook(_forbid)
    for module in map(sys.modules.get, ("_thread", "threading")):
        for name in ("start_new_thread", "start_new", "start_joinable_thread"):
            if hasattr(module, name):  # CPython 3.11 has no audit event for it
                setattr(module, name, lambda *_, **__: _forbid("_thread.start_new_thread", ()))

    def stop(_number: int, frame: FrameType | None) -> None:
        calls = []
        while frame is not None:
            if frame.f_code.co_filename in files:
                calls.insert(0, [frame.f_code.co_filename, frame.f_lineno, frame.f_code.co_name])
            frame = frame.f_back
        _link.tell_last("x " + json.dumps({"kind": "stopped", "message": "", "calls": calls[-50:]}))
        os._exit(0)

    signal.signal(signal.SIGINT, stop)
    if hasattr(signal, "SIGBREAK"):  # Windows has this one for process groups
        signal.signal(signal.SIGBREAK, stop)


main()
