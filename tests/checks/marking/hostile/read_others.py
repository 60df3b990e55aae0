"""Looks for what others have handed in."""

from tests.checks.marking.cases import REACH, program

TEXT = REACH + """\
def look(path):
    try:
        fd = os.open(path, os.O_RDONLY)
        print("READ", path, os.read(fd, 200))
    except BaseException as fault:
        print("kept out:", type(fault).__name__)

for folder in ("/tmp", "/home", "/root", os.getcwd()):
    try:
        for name in os.listdir(folder):
            print("READ", folder, name)
    except BaseException as fault:
        print("kept out:", type(fault).__name__)
"""
POINTS = {"lamps-signal": 0}


def make(nb):
    program(nb, TEXT)
