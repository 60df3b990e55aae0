"""A cell fails; the programs are right."""

from tests.checks.marking.cases import free

TEXT = """\
raise RuntimeError("on the way")
"""


def make(nb):
    free(nb, TEXT)
