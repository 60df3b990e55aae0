"""What keeps a program to its board within its own process: refusals, limits, and a way to stop it.

They stand beside what the system keeps in (`confine.py`), for systems that have nothing such.
"""

import json
import os
import signal
import sys
from types import FrameType

import _link

__all__ = ["guard"]


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


def guard(files, memory: int) -> None:
    """Limit memory where the system can, and stop with the line when the host says so.

    The hook keeps a program that finds its way to the interpreter's own modules from
    reaching other processes, files and the network.  It cannot be taken off again.
    """
    try:
        import resource

        resource.setrlimit(resource.RLIMIT_AS, (memory, memory))
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
