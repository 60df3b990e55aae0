"""A cell never ends and swallows interrupts; the programs are right."""

from tests.checks.marking.cases import free

TEXT = """\
while True:
    try:
        while True:
            pass
    except BaseException:
        pass
"""


def make(nb):
    free(nb, TEXT)
