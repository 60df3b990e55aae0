"""A cell never ends; the programs are right."""

from tests.checks.marking.cases import free

TEXT = """\
while True:
    pass
"""


def make(nb):
    free(nb, TEXT)
