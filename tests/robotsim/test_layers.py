"""Imports only point down, and nothing heavy is loaded before it is needed."""

from __future__ import annotations

import ast
import functools
import importlib
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
GROUND = {"calls", "chance", "colour_names", "converter", "core", "errors", "events", "kept",
          "origin", "outputs", "problem", "recording", "saved", "units", "wiring"}  # fmt: skip
STORIES = {"board", "parts", "table", "radio"}
"""They stand side by side: none may know another."""
JOINERS = {"company", "living", "outcome", "session", "trial", "tug", "world"}
TOP = {
    "arguments", "board_files", "cable", "catalogue", "completion", "first_line", "live", "locker",
    "meant", "notebook", "onto", "own_tug", "playground", "shell", "show", "twin", "versions",
}  # fmt: skip
CHECKS = (
    {"words", "shown", "whole", "alone", "environment", "serving", "doctor", "core_trial", "desk"},
    {"faults", "readings", "compile"},
    {"task"},
    {"mistakes"},
    {"scorecard", "tasks"},
    {"course"},
    {"room"},
    {"judge"},
    {"home", "kernel"},
    {"hub", "site"},
    {"marking"},
    {"demo"},
)
"""The floors of checks, from the ground up: each may know those below it."""
STARTED = ("board/shims", "board/engines/boot_", "jupyter/")
"""Files that another interpreter runs, or a server's or kernel's start, and nobody imports."""


def modules(package: str) -> list[Path]:
    return [
        path
        for path in sorted((ROOT / package).rglob("*.py"))
        if not any(place in path.as_posix() for place in STARTED)
    ]


ALL = [*modules("robotsim"), *modules("checks")]


@functools.cache
def imported(path: Path) -> list[str]:
    """Give every module that a file imports, also within its functions, by its full name."""
    return list(_imported(path))


def _imported(path: Path) -> Iterator[str]:
    parents = path.relative_to(ROOT).with_suffix("").parts
    package = parents if path.name == "__init__.py" else parents[:-1]
    package = tuple(part for part in package if part != "__init__")
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            base = package[: len(package) - node.level + 1] if node.level else ()
            head = ".".join([*base, *([node.module] if node.module else [])])
            for alias in node.names:
                inner = f"{head}.{alias.name}"
                found = ROOT.joinpath(*inner.split("."))
                is_module = found.is_dir() or found.with_suffix(".py").exists()
                yield inner if is_module else head


def story(name: str) -> str:
    """Give the floor of a module of robotsim: "robotsim.parts.drive" -> "parts"."""
    return (name.split(".") + [""])[1]


@pytest.mark.parametrize("path", ALL, ids=lambda path: str(path.relative_to(ROOT)))
def test_imports_only_point_down(path: Path) -> None:
    package, *inner = path.relative_to(ROOT).with_suffix("").parts
    mine = inner[0]
    for name in imported(path):
        other, floor = name.split(".")[0], story(name)
        assert other not in ("lessons", "tests"), f"{path} imports {name}"
        if package == "checks":
            continue
        assert other != "checks", f"{path} imports {name}"
        if other != "robotsim" or mine in ("__init__", "__main__") or floor == mine:
            continue
        if mine in GROUND:
            allowed = GROUND
        elif mine in STORIES:
            allowed = GROUND
        elif mine in JOINERS:
            allowed = GROUND | STORIES | JOINERS
        else:
            allowed = GROUND | STORIES | JOINERS | TOP
        assert floor in allowed, f"{path.relative_to(ROOT)} imports {name}"


def test_the_ground_floor_has_an_order_of_its_own() -> None:
    def below(name: str) -> set[str]:
        names = imported(ROOT / "robotsim" / f"{name}.py")
        return {story(n) for n in names if n.startswith("robotsim")}

    for name in ("core", "kept", "units", "wiring", "errors", "origin", "problem", "saved"):
        assert below(name) == set()
    assert below("chance") == set() and below("converter") <= {"chance"}
    assert below("outputs") <= {"units", "wiring"}
    assert below("events") <= {"units"}
    assert below("recording") <= GROUND - {"chance", "converter", "recording"}


def test_pictures_read_recordings_and_move_nothing() -> None:
    """The sliders run trials of their own; every other picture is of a recording."""
    pictures = [path for path in modules("robotsim/show") if not path.stem.endswith("_slider")]
    assert len(pictures) > 10
    for path in pictures:
        floors = {story(name) for name in imported(path) if name.startswith("robotsim")}
        assert not floors & {"board", "company", "living", "trial", "world"}, path


def test_checks_take_public_names_only() -> None:
    for path in modules("checks"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.ImportFrom) and (node.module or "").startswith("robotsim"):
                private = [alias.name for alias in node.names if alias.name.startswith("_")]
                assert not private, f"{path} imports {private} from {node.module}"


@pytest.mark.parametrize("path", modules("checks"), ids=lambda p: str(p.relative_to(ROOT)))
def test_within_checks_imports_only_point_down(path: Path) -> None:
    mine = path.relative_to(ROOT).with_suffix("").parts[1]
    if mine in ("__init__", "__main__", "arguments", "commands"):  # the doors
        return
    (floor,) = [k for k, names in enumerate(CHECKS) if mine in names]
    for name in imported(path):
        package, other, *_ = (*name.split("."), "")
        if package == "checks" and other and other != mine and other not in ("TASKS", "check"):
            assert other in set().union(*CHECKS[:floor]), f"{path} imports {name}"


@pytest.mark.parametrize("path", ALL, ids=lambda path: str(path.relative_to(ROOT)))
def test_public_names_are_sorted_and_exist(path: Path) -> None:
    tree = ast.parse(path.read_text(encoding="utf-8"))
    lists = [
        ast.literal_eval(node.value)
        for node in tree.body
        if isinstance(node, ast.Assign) and ast.unparse(node.targets[0]) == "__all__"
    ]
    if path.name == "__init__.py" and not lists:
        names = [node for node in tree.body if not isinstance(node, (ast.Expr, ast.ImportFrom))]
        assert not names, "what has names of its own says which are public"
        return
    if path.name == "__main__.py":
        return
    (public,) = lists
    assert public == _in_order(public), f"ruff's order: {_in_order(public)}"
    assert len(set(public)) == len(public)
    inner = path.relative_to(ROOT).with_suffix("").parts
    module = importlib.import_module(".".join(part for part in inner if part != "__init__"))
    for name in public:
        assert hasattr(module, name), name


def _in_order(names: list[str]) -> list[str]:
    """CONSTANTS, then Classes, then functions, each by the alphabet."""
    return sorted(names, key=lambda n: (not n.isupper(), not n[0].isupper(), n))


def test_the_rule_would_notice_an_import_that_points_up() -> None:
    found = set(imported(ROOT / "robotsim" / "session.py"))
    assert {"robotsim.board.board", "robotsim.recording", "robotsim.world"} <= found
    assert story("robotsim.board.board") == "board"
