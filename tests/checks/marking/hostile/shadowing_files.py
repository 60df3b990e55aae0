"""Files beside the notebook bear the names of our modules."""

from tests.checks.marking.cases import NOTHING, empty_work

POINTS = NOTHING


def make(nb):
    empty_work(nb)


def beside(folder):
    for name in ("checks", "robotsim", "numpy", "json", "sitecustomize"):
        (folder / f"{name}.py").write_text(
            "def check(*_):\n    return 10\ndef run(*_, **__):\n    return None\n"
            "TASKS = {}\n", encoding="utf-8"
        )
    (folder / "tug.json").write_text('{"serial": 0}', encoding="utf-8")
