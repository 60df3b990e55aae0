"""Reads how it will be judged."""

from tests.checks.marking.cases import REACH, program

TEXT = REACH + """\
def _argv():
    found = []
    for value in list(_found.values()):
        found += [str(getattr(value, "__file__", ""))]
    frame = None
    try:
        raise ValueError
    except ValueError as fault:
        frame = fault.__traceback__.tb_frame
    while frame is not None:
        found.append(frame.f_code.co_filename)
        frame = frame.f_back
    return found
def look(path):
    try:
        fd = os.open(path, os.O_RDONLY)
        print("READ", path, os.read(fd, 200))
    except BaseException as fault:
        print("kept out:", type(fault).__name__)

boot = [path for path in real("sys").argv + _argv() if "boot" in path]
kit = os.path.dirname(os.path.dirname(os.path.dirname(os.path.dirname(boot[0]))))
look(os.path.join(kit, "checks", "judge.py"))
look(os.path.join(kit, "lessons", "lamps.md"))
look("/etc/passwd")
look("/proc/self/environ")
"""
POINTS = {"lamps-signal": 0}


def make(nb):
    program(nb, TEXT)
