"""A cell has the notebook's later cells rewritten."""

from tests.checks.marking.cases import NOTHING, empty_work, free

TEXT = """\
ip = get_ipython()
ip.input_transformers_post.append(lambda lines: ["10\\n"] if "check(" in "".join(lines) else lines)
"""
POINTS = NOTHING


def make(nb):
    empty_work(nb)
    free(nb, TEXT)
