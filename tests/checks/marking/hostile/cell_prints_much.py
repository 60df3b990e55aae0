"""A cell prints 30 MB; the programs are right."""

from tests.checks.marking.cases import free

TEXT = """\
for _ in range(300):
    print("ahoy " * 20000)
"""


def make(nb):
    free(nb, TEXT)
