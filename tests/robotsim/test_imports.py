"""What `import robotsim` and `import checks` load: a notebook's first cell must not wait."""

from __future__ import annotations

import json
import subprocess
import sys

import pytest

HEAVY = {
    "matplotlib", "pymunk", "numpy", "scipy", "IPython", "ipywidgets", "anywidget", "nbgrader",
    "nbformat", "nbconvert", "jupytext", "traitlets", "asyncio", "multiprocessing", "unittest",
}  # fmt: skip
FEW = 320
"""Modules beyond those of a bare interpreter; the compiled core loads a few of its own.  Python
loads some 3000 a second from a warm disk."""


def loaded(statement: str) -> set[str]:
    """Give the names of the modules that a fresh interpreter has after a statement."""
    code = f"import sys, json\n{statement}\nprint(json.dumps(sorted(sys.modules)))"
    ran = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    return set(json.loads(ran.stdout))


BARE = loaded("pass")


@pytest.mark.parametrize("package", ["robotsim", "checks"])
def test_importing_loads_nothing_heavy(package: str) -> None:
    fresh = loaded(f"import {package}") - BARE
    assert not HEAVY & {name.split(".")[0] for name in fresh}
    assert len(fresh) < FEW, sorted(fresh)


def test_a_trial_needs_no_pictures() -> None:
    code = "import robotsim\nrobotsim.run_trial('print(1)', seconds=0.1)"
    assert not {"matplotlib", "IPython"} & loaded(code)


def test_what_is_heavy_comes_when_it_is_asked_for() -> None:
    assert "matplotlib" in loaded("from robotsim.show import figure")
    assert "robotsim.notebook" in loaded("from robotsim import run")


def test_a_name_that_is_not_there_is_an_attribute_error() -> None:
    import robotsim

    with pytest.raises(AttributeError, match="no attribute 'sail'"):
        robotsim.sail  # noqa: B018


def test_importing_says_nothing_and_starts_nothing() -> None:
    code = "import threading, robotsim, checks\nprint(threading.active_count())"
    ran = subprocess.run(
        [sys.executable, "-W", "error", "-c", code], capture_output=True, text=True
    )
    assert (ran.returncode, ran.stdout, ran.stderr) == (0, "1\n", "")
