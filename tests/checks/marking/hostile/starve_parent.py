"""Takes time and memory away from the process that judges it."""

from tests.checks.marking.cases import REACH, program

TEXT = REACH + """\
resource = real("resource")
resource.prlimit(os.getppid(), resource.RLIMIT_AS, (1, 1))
os.setpriority(0, os.getppid(), 19)
"""
POINTS = {"lamps-signal": 0}


def make(nb):
    program(nb, TEXT)
