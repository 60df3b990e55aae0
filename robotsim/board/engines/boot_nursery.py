"""Boot file of the nursery: forks a process for each program, and closes its doors behind it.

It has read the other boot files and never a program.  The walls that outlast a fork stand around
it already; what does not outlast one, or would keep the nursery itself from forking, each process
puts up for itself before it reads anything.  It tries the walls, and without them runs nothing.
"""

import gc
import json
import os
import sys
from struct import calcsize, pack, unpack

__all__ = ["births"]


def births():
    """Fork whenever the host asks for it; come back in each process that is born, and only there.

    What is needed for that are locals of this call, and gone with it: a program finds none.
    """
    import _socket
    import ctypes
    import resource

    door = _socket.socket(fileno=0)
    order = json.loads(door.recv(1 << 16))
    limits = [(getattr(resource, name), (most, most)) for name, most in order["limits"].items()]
    rows = ctypes.create_string_buffer(bytes.fromhex(order["filter"]))
    calls = pack("HxxxxxxP", (len(rows) - 1) // 8, ctypes.addressof(rows))
    prctl, syscall = ctypes.CDLL(None).prctl, ctypes.CDLL(None).syscall
    for name in [name for name in sys.modules if name.partition(".")[0] in ("ctypes", "_ctypes")]:
        del sys.modules[name]
    del sys.modules["_socket"]
    own, room = os.getpid(), _socket.CMSG_SPACE(calcsize("ii"))
    gc.collect()
    gc.freeze()  # what is there by now is shared by all, as long as nobody writes to it
    while True:
        word, given, _, _ = door.recvmsg(64, room)
        if not word:
            os._exit(0)  # the host is gone
        if word != b"born":
            os.waitpid(int(word), 0)  # the host has ended it: until now its number was its own
            door.send(b"gone")
            continue
        ends = unpack("ii", given[0][2])
        if os.fork() == 0:
            break
        for end in ends:
            os.close(end)
    try:
        os.setsid()
        if prctl(1, 9, 0, 0, 0) or os.getppid() != own:  # it ends with the nursery
            raise OSError("the nursery is gone")
        for kind, most in limits:
            resource.setrlimit(kind, most)
        if syscall(446, order["rules"], 0) or prctl(22, 2, calls, 0, 0):
            raise OSError("no Landlock, or no filter of system calls")
        os.close(order["rules"])
        _try_walls(order["secret"], own, limits, resource.getrlimit)
    except BaseException:
        os.write(0, b"0")
        os._exit(1)
    os.write(door.detach(), b"%d" % os.getpid())
    for number, end in enumerate(ends):
        os.dup2(end, number)
        os.close(end)


def _try_walls(secret, nursery, limits, limit_of):
    """See that files and calls are refused, and that the limits are set.

    Raises:
        OSError: They are not.
    """
    try:
        os.open(secret, os.O_RDONLY)
    except OSError:
        if os.getppid() != nursery and all(limit_of(kind) == most for kind, most in limits):
            return
    raise OSError("the walls do not hold")
