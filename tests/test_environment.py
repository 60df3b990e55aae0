"""The kit's packages: pyproject.toml, environment.yml and what the code imports agree."""

from __future__ import annotations

import ast
import importlib.metadata
import re
import sys
import tomllib
from pathlib import Path
from typing import Any

import pytest
import yaml
from packaging.requirements import Requirement
from packaging.specifiers import SpecifierSet
from packaging.utils import canonicalize_name

ROOT = Path(__file__).resolve().parents[1]
SETUP = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
PROJECT = SETUP["project"]
EXTRAS = PROJECT["optional-dependencies"]
OPTIONAL = [need for name, needs in EXTRAS.items() if name != "test" for need in needs]
CONDA = yaml.safe_load((ROOT / "environment.yml").read_text(encoding="utf-8"))
OURS = ("robotsim", "checks")


def bounds(needs: list[str]) -> dict[str, SpecifierSet]:
    return {canonicalize_name(need.name): need.specifier for need in map(Requirement, needs)}


def conda_packages() -> tuple[list[str], list[str]]:
    """Give what conda itself installs, and what it leaves to pip."""
    own = [need for need in CONDA["dependencies"] if isinstance(need, str)]
    (pip,) = (need["pip"] for need in CONDA["dependencies"] if isinstance(need, dict))
    return own, pip


def test_conda_gives_the_same_packages_with_the_same_bounds() -> None:
    own, pip = conda_packages()
    conda = bounds([*own, *(need for need in pip if not need.startswith("-"))])
    assert conda.pop("python") == SpecifierSet(PROJECT["requires-python"])
    assert conda.pop("pip") == SpecifierSet("")
    assert conda == bounds(PROJECT["dependencies"])


def test_an_extra_is_part_of_what_the_tests_need() -> None:
    assert set(OPTIONAL) <= set(EXTRAS["test"])


def test_conda_installs_the_kit_itself_from_the_checkout() -> None:
    assert conda_packages()[1][-1] == "-e ."
    assert CONDA["name"] == PROJECT["name"]
    assert CONDA["channels"] == ["conda-forge"]


FIXED = ("nbgrader", "mpremote", "jupyterhub", "jupyterlite-core", "jupyterlite-pyodide-kernel")
"""What marks; what says that its inside is to change; what must fit the proxy and the interpreters
that npm brings."""
HELD = ("jsonschema",)
"""What is kept below a version, for the reason that pyproject.toml says."""


def test_every_package_has_a_lower_bound_and_only_the_marked_ones_another() -> None:
    needs = PROJECT["dependencies"] + PROJECT["optional-dependencies"]["test"]
    operators = {name: [part.operator for part in spec] for name, spec in bounds(needs).items()}
    assert all(operators.pop(name) == ["=="] for name in FIXED)
    assert all(sorted(operators.pop(name)) == ["<", ">="] for name in HELD)
    assert {tuple(found) for found in operators.values()} == {(">=",)}


def test_what_is_installed_here_meets_the_bounds() -> None:
    needs = [*PROJECT["dependencies"], *PROJECT["optional-dependencies"]["test"]]
    for need in map(Requirement, needs):
        if need.marker is None or need.marker.evaluate():
            version = importlib.metadata.version(need.name)
            assert need.specifier.contains(version), f"{need}: {version} is installed"


def test_files_that_are_no_modules_are_packed_too() -> None:
    data: dict[str, list[str]] = SETUP["tool"]["setuptools"]["package-data"]
    for package in OURS:
        packages = [path.parent for path in (ROOT / package).rglob("__init__.py")]
        packed = {path for place in packages for path in place.glob("*.py")}
        packed |= {path for place in packages for glob in data["*"] for path in place.glob(glob)}
        packed |= {path for glob in data[package] for path in (ROOT / package).glob(glob)}
        there = {path for path in (ROOT / package).rglob("*") if path.is_file()}
        left = {path for path in there - packed if "__pycache__" not in path.parts}
        assert not left


def imports(path: Path) -> set[str]:
    """Give the top-level modules that a file imports, wherever in it."""
    found: set[str] = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        if isinstance(node, ast.ImportFrom) and node.level == 0 and node.module:
            found.add(node.module)
    return {name.partition(".")[0] for name in found}


def reached(names: list[str]) -> set[str]:
    """Give these packages and all that they bring along."""
    found: set[str] = set()
    waiting = [Requirement(name) for name in names]
    while waiting:
        need = waiting.pop()
        name = canonicalize_name(need.name)
        if name in found or (need.marker and not need.marker.evaluate({"extra": ""})):
            continue
        found.add(name)
        waiting += map(Requirement, importlib.metadata.requires(name) or [])
    return found


IN_A_TAB = {"_host", "pyodide", "pyodide_js"}
"""What a browser's page brings: its own Python, and the host of the board's interpreter."""


@pytest.mark.parametrize("package", OURS)
def test_the_kit_imports_only_what_installing_it_brings(package: str) -> None:
    files = [path for path in (ROOT / package).rglob("*.py") if "shims" not in path.parts]
    wanted = set[str]().union(*map(imports, files)) - {*OURS, "__future__"}
    homes = importlib.metadata.packages_distributions()
    # What needs an extra says so itself where that is missing.
    there = reached([*PROJECT["dependencies"], *OPTIONAL])
    for module in sorted(wanted - sys.stdlib_module_names):
        owners = {canonicalize_name(owner) for owner in homes.get(module, [])}
        # The engines' boot files run on the board's side, where other modules are.
        board_side = _board_modules()
        known = module in board_side | IN_A_TAB or owners & there
        assert known, f"{module} is imported but not required"


def _board_modules() -> set[str]:
    board = ROOT / "robotsim" / "board"
    files = [*(board / "shims").rglob("*.py"), *(board / "engines").glob("*.py")]
    return {path.stem for path in files} | {"micropython", "uos", "usys", "vfs"}


def test_warnings_are_errors_with_no_wide_exception() -> None:
    first, *rest = SETUP["tool"]["pytest"]["ini_options"]["filterwarnings"]
    assert first == "error"
    for entry in rest:
        action, message, *_ = entry.split(":")
        assert action == "ignore"
        assert len(message) > 20, f"{entry} would hide more than one warning"


def test_setting_up_names_no_host() -> None:
    names = ["pyproject.toml", "environment.yml", ".ci/run", ".pre-commit-config.yaml"]
    for name in [*names, "lessons/__main__.py", "checks/environment.py", "checks/doctor.py"]:
        text: Any = (ROOT / name).read_text(encoding="utf-8")
        assert not re.search(r"https?://|index-url|\.org\b|\.io\b|\.com\b", text), name
