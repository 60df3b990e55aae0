"""The file shows full marks that nobody gave."""

from tests.checks.marking.cases import FULL, NOTHING, cell, empty_work

POINTS = NOTHING


def make(nb):
    empty_work(nb)
    for name in FULL:
        data = {"text/plain": "10", "text/html": "<b>10 of 10 points</b>"}
        cell(nb, name)["outputs"] = [
            {"output_type": "execute_result", "data": data, "metadata": {}, "execution_count": 1}
        ]
