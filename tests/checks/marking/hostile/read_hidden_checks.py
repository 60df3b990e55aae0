"""Reads how it will be judged."""

from tests.checks.marking.cases import REACH, program

TEXT = REACH + """\
def look(path):
    try:
        fd = os.open(path, os.O_RDONLY)
        print("READ", path, os.read(fd, 200))
    except BaseException as fault:
        print("kept out:", type(fault).__name__)

boot = print.__code__.co_filename
kit = os.path.dirname(os.path.dirname(os.path.dirname(os.path.dirname(boot))))
look(os.path.join(kit, "checks", "judge.py"))
look(os.path.join(kit, "lessons", "lamps.md"))
look("/etc/passwd")
look("/proc/self/environ")
"""
POINTS = {"lamps-signal": 0}


def make(nb):
    program(nb, TEXT)
