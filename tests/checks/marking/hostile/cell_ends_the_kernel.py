"""A cell ends the kernel; the programs are right."""

from tests.checks.marking.cases import free

TEXT = """\
import os
os._exit(1)
"""


def make(nb):
    free(nb, TEXT)
