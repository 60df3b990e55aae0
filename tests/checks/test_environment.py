"""The kit's environment: made once, mended when broken, never worse after a failure."""

from __future__ import annotations

import errno
import json
import os
import shutil
import sys
import textwrap
import venv
from collections.abc import Callable, Sequence
from contextlib import nullcontext
from importlib.metadata import PackageNotFoundError
from pathlib import Path
from typing import Any

import pytest

from checks import environment
from checks.environment import Environment, SetupError, State, explain

PROJECT = """\
[build-system]
requires = []
build-backend = "backend"
backend-path = ["."]
[project]
name = "quayside"
version = "0.1.0"
dependencies = ["harbour>=1"]
optional-dependencies.test = ["lighthouse>=1"]
[tool.ruff]
line-length = 100
"""


class Installer:
    """Stands in for the commands that make environments and fetch packages.

    Args:
        fails: What pip says instead of installing; nothing means that it succeeds.
        at: What happens once pip says that it is installing.
        compiling: What happens while the packages are compiled, and gives the exit code.
    """

    def __init__(
        self,
        *fails: str,
        at: Callable[[], object] = lambda: None,
        compiling: Callable[[], int] = lambda: 0,
    ) -> None:
        self.fails, self.at, self.compiling = list(fails), at, compiling
        self.calls = list[str]()

    def __call__(
        self, command: Sequence[str], *, log: Path, seen: Callable[[str], None], **_: Any
    ) -> int:
        self.calls.append(command[2])
        with log.open("a") as file:
            file.write("said\n")
        if command[2] == "venv":
            make(Path(command[-1]))
            return 0
        if command[2] == "compileall":
            assert site(log.parent).is_relative_to(command[-1])
            return self.compiling()
        for line in self.fails:
            seen(line)
        if self.fails and not self.fails[-1].startswith("Installing"):
            return 1
        seen("Collecting harbour>=1")
        seen("Installing collected packages: harbour, quayside")
        self.at()
        names = ["quayside", "harbour", *(["lighthouse"] if "test" in command[-1] else [])]
        for name in names:
            add(log.parent, name)
        return 0


def make(folder: Path) -> None:
    """Make a real environment, with an empty file in the place of pip."""
    venv.EnvBuilder(symlinks=os.name != "nt").create(folder)
    (site(folder) / "pip.py").touch()


def site(folder: Path) -> Path:
    """The folder of an environment's packages."""
    return next(folder.glob("lib/python3*/site-packages"), folder / "Lib" / "site-packages")


def add(folder: Path, name: str) -> None:
    """Put a package's description into an environment."""
    info = site(folder) / f"{name}-1.0.dist-info"
    info.mkdir(exist_ok=True)
    (info / "METADATA").write_text(f"Metadata-Version: 2.1\nName: {name}\nVersion: 1.0\n")


@pytest.fixture
def kit(tmp_path: Path) -> Environment:
    (tmp_path / "pyproject.toml").write_text(PROJECT)
    return Environment(tmp_path)


@pytest.fixture
def install(monkeypatch: pytest.MonkeyPatch) -> Callable[..., Installer]:
    def use(*fails: str, **named: Callable[[], Any]) -> Installer:
        installer = Installer(*fails, **named)
        monkeypatch.setattr(environment, "stream", installer)
        return installer

    return use


Install = Callable[..., Installer]
NO_NETWORK = "ERROR: Could not find a version that satisfies harbour>=1 (from versions: none)"


def test_the_first_start_makes_it_and_the_second_runs_nothing(
    kit: Environment, install: Install
) -> None:
    assert kit.state() is State.MISSING
    made = install()
    kit.ensure()
    assert made.calls == ["venv", "pip", "compileall"]
    assert kit.state() is State.READY
    again = install()
    kit.ensure()
    assert again.calls == []


def test_the_marker_says_ready_only_after_everything_is_installed(
    kit: Environment, install: Install
) -> None:
    seen: list[State] = []
    install(at=lambda: seen.append(kit.state()))
    kit.ensure()
    assert seen == [State.HALF_MADE]


def interrupted() -> int:
    raise KeyboardInterrupt


def test_an_interrupted_installation_is_finished_by_the_next_start(
    kit: Environment, install: Install
) -> None:
    install(at=interrupted)
    with pytest.raises(KeyboardInterrupt):
        kit.ensure()
    assert kit.state() is State.HALF_MADE
    mending = install()
    kit.ensure()
    assert mending.calls == ["pip", "compileall"]
    assert kit.state() is State.READY


def disk_full() -> int:
    raise OSError(errno.ENOSPC, "No space left on device")


@pytest.mark.parametrize("compiling", [lambda: 1, disk_full, interrupted])
def test_whatever_becomes_of_compiling_the_environment_is_ready(
    kit: Environment, install: Install, compiling: Callable[[], int]
) -> None:
    made = install(compiling=compiling)
    with pytest.raises(KeyboardInterrupt) if compiling is interrupted else nullcontext():
        kit.ensure(strict=True)
    assert made.calls == ["venv", "pip", "compileall"]
    assert kit.state() is State.READY


def break_python(kit: Environment) -> None:
    kit.python.unlink()


def lose_package(kit: Environment) -> None:
    shutil.rmtree(site(kit.folder) / "harbour-1.0.dist-info")


def move_checkout(kit: Environment) -> None:
    marker = kit.folder / "quayside.json"
    marker.write_text(marker.read_text().replace(str(kit.folder), "elsewhere"))


def spoil_marker_and_python(kit: Environment) -> None:
    (kit.folder / "quayside.json").write_text("{half a ma")
    break_python(kit)


@pytest.mark.parametrize(
    "harm", [break_python, lose_package, move_checkout, spoil_marker_and_python]
)
def test_a_damaged_environment_is_made_anew(
    kit: Environment, install: Install, harm: Callable[[Environment], None]
) -> None:
    install()
    kit.ensure()
    (kit.folder / "leftover").touch()
    harm(kit)
    assert kit.state() is State.DAMAGED
    mending = install()
    kit.ensure()
    assert mending.calls == ["venv", "pip", "compileall"]
    assert kit.state() is State.READY
    assert not (kit.folder / "leftover").exists()
    assert [path.name for path in kit.root.glob(".venv*")] == [".venv"]


def test_only_what_concerns_installing_makes_it_outdated(
    kit: Environment, install: Install
) -> None:
    install()
    kit.ensure()
    project = kit.root / "pyproject.toml"
    project.write_text(PROJECT.replace("line-length = 100", "line-length = 99"))
    assert kit.state() is State.READY
    project.write_text(PROJECT.replace("harbour>=1", "harbour>=2"))
    assert kit.state() is State.OUTDATED
    update = install()
    kit.ensure()
    assert update.calls == ["pip", "compileall"]
    assert kit.state() is State.READY


def test_the_tests_packages_are_added_once_and_kept_by_later_updates(
    kit: Environment, install: Install
) -> None:
    install()
    kit.ensure()
    assert kit.state(["test"]) is State.OUTDATED
    kit.ensure(["test"], strict=True)
    assert kit.state(["test"]) is State.READY
    assert kit.state() is State.READY
    (kit.root / "pyproject.toml").write_text(PROJECT.replace("0.1.0", "0.2.0"))
    kit.ensure()
    assert kit.state(["test"]) is State.READY


def test_without_a_network_an_outdated_but_working_environment_is_used(
    kit: Environment, install: Install, capsys: pytest.CaptureFixture[str]
) -> None:
    install()
    kit.ensure()
    (kit.root / "pyproject.toml").write_text(PROJECT.replace("0.1.0", "0.2.0"))
    install(NO_NETWORK)
    kit.ensure()
    assert "Going on with the packages that are there." in capsys.readouterr().out
    assert kit.state() is State.OUTDATED
    with pytest.raises(SetupError, match="no way to the package index"):
        kit.ensure(strict=True)


def test_an_update_that_fails_half_way_is_an_error_and_is_finished_later(
    kit: Environment, install: Install
) -> None:
    install()
    kit.ensure()
    (kit.root / "pyproject.toml").write_text(PROJECT.replace("0.1.0", "0.2.0"))
    install("Installing collected packages: harbour", "ERROR: [Errno 28] No space left on device")
    with pytest.raises(SetupError, match="The disk is full"):
        kit.ensure()
    assert kit.state() is State.HALF_MADE


def test_a_known_failure_is_mended_and_an_unknown_one_makes_everything_anew(
    kit: Environment, install: Install
) -> None:
    install(NO_NETWORK)
    with pytest.raises(SetupError):
        kit.ensure()
    assert kit.state() is State.HALF_MADE
    install("the moon is in the wrong quarter")
    with pytest.raises(SetupError, match="moon"):
        kit.ensure()
    assert kit.state() is State.DAMAGED


# What pip 23.2 to 26.3 printed on Linux when each was brought about on purpose, except the lines
# marked "from memory".
@pytest.mark.parametrize(
    ("line", "told"),
    [
        ("ERROR: Could not install packages due to an OSError: [Errno 28] No space left on device",
         "disk is full"),
        ("ERROR: Could not install packages due to an OSError: [Errno 13] Permission denied: 'x'",
         "no permission"),
        ("ERROR: [WinError 5] Access is denied: 'x'", "no permission"),  # from memory
        ("WARNING: Retrying after connection broken by 'NewConnectionError(...: Failed to"
         " establish a new connection: [Errno -3] Temporary failure in name resolution')': /",
         "no way to the package index"),
        ("ERROR: No matching distribution found for x (from versions: none)",
         "no way to the package index"),
        ("SSLError(SSLCertVerificationError(1, '[SSL: CERTIFICATE_VERIFY_FAILED] certificate"
         " verify failed'))", "certificate"),  # from memory
        ("ERROR: Could not find a version that satisfies the requirement numpy>=99 (from versions:"
         " 1.3.0, 2.4.6)", "for this Python"),
        ("ERROR: Failed building wheel for pymunk", "for this Python"),
    ],
)  # fmt: skip
def test_pips_last_words_are_turned_into_what_where_and_what_to_try(line: str, told: str) -> None:
    message = str(explain(["Collecting x", line], Path("install.log"))).splitlines()
    assert told in message[0]
    assert message[1].startswith("Where: install.log")
    assert message[2].startswith("Try: ")


@pytest.mark.parametrize(
    ("code", "told"),
    [(errno.EACCES, "no permission"), (errno.ENOSPC, "disk is full"), (errno.EIO, "not be made")],
)
def test_trouble_with_the_folder_itself_gets_the_same_three_lines(
    kit: Environment, monkeypatch: pytest.MonkeyPatch, code: int, told: str
) -> None:
    def refuse(path: Path) -> None:
        raise OSError(code, "refused", str(path))

    monkeypatch.setattr(Path, "mkdir", refuse)
    with pytest.raises(SetupError, match=told) as caught:
        kit.ensure()
    assert f"Where: {kit.folder}" in str(caught.value)


def test_a_python_without_ensurepip_is_told_what_to_install(
    kit: Environment, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(environment, "find_spec", lambda name: None if name == "ensurepip" else 1)
    with pytest.raises(SetupError, match="ensurepip.*\n.*\n.*apt install python3-venv"):
        kit.ensure()
    assert not kit.folder.exists()


def test_a_folder_that_the_kit_did_not_make_is_never_deleted(
    kit: Environment, install: Install
) -> None:
    install()
    kit.folder.mkdir()
    (kit.folder / "notes.txt").write_text("precious")
    with pytest.raises(SetupError, match="did not make"):
        kit.ensure()
    assert (kit.folder / "notes.txt").read_text() == "precious"


def test_someones_own_working_environment_is_used_and_kept(
    kit: Environment, install: Install
) -> None:
    make(kit.folder)
    (kit.folder / "notes.txt").write_text("precious")
    added = install()
    kit.ensure()
    assert added.calls == ["pip", "compileall"]
    assert kit.state() is State.READY
    assert (kit.folder / "notes.txt").exists()


def not_installed(name: str) -> str:
    raise PackageNotFoundError(name)


def test_a_conda_environment_with_the_kit_is_used_and_never_changed(
    tmp_path: Path, install: Install, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "pyproject.toml").write_text(PROJECT)
    (tmp_path / "conda-meta").mkdir()
    monkeypatch.setattr(sys, "prefix", str(tmp_path))
    monkeypatch.setattr(environment, "version", not_installed)
    assert Environment(tmp_path).folder == tmp_path / ".venv"
    monkeypatch.setattr(environment, "version", lambda name: "1.0")
    kit = Environment(tmp_path)
    assert (kit.folder, kit.python) == (tmp_path, Path(sys.executable))
    untouched = install()
    with pytest.raises(SetupError, match="conda env update"):
        kit.ensure()
    assert untouched.calls == []


def test_variables_put_the_environments_programs_first_and_shut_out_foreign_packages(
    kit: Environment, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("PYTHONPATH", "somewhere")
    monkeypatch.setenv("PATH", "usual")
    variables = kit.variables()
    assert variables["PATH"].startswith(str(kit.programs))
    assert variables["PATH"].endswith("usual")
    assert "PYTHONPATH" not in variables


BACKEND = '''
"""A build backend that needs nothing: a module beside one that no Python 3 can read."""
import tomllib, zipfile
NAME = "quayside-0.1.0"
with open("pyproject.toml", "rb") as file:
    needs = tomllib.load(file)["project"]["dependencies"]
META = "Metadata-Version: 2.1\\nName: quayside\\nVersion: 0.1.0\\n"
META += "".join(f"Requires-Dist: {need}\\n" for need in needs)
def build_editable(folder, config_settings=None, metadata_directory=None):
    name = f"{NAME}-py3-none-any.whl"
    with zipfile.ZipFile(f"{folder}/{name}", "w") as wheel:
        wheel.writestr("quay.py", "DEPTH_M = 4\\n")
        wheel.writestr("old.py", "print 4\\n")
        wheel.writestr(f"{NAME}.dist-info/METADATA", META)
        wheel.writestr(f"{NAME}.dist-info/WHEEL", "Wheel-Version: 1.0\\nGenerator: x\\n"
                       "Root-Is-Purelib: true\\nTag: py3-none-any\\n")
        wheel.writestr(f"{NAME}.dist-info/RECORD", "")
    return name
build_wheel = build_editable
'''


@pytest.mark.slow
def test_the_real_installer_fails_clearly_without_an_index_and_then_succeeds(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("PIP_NO_INDEX", "1")
    monkeypatch.setenv("PIP_FIND_LINKS", str(tmp_path))
    (tmp_path / "backend.py").write_text(textwrap.dedent(BACKEND))
    project = tmp_path / "pyproject.toml"
    project.write_text(PROJECT)
    kit = Environment(tmp_path)
    with pytest.raises(SetupError, match="no way to the package index"):
        kit.ensure()
    assert "harbour" in kit.log.read_text()
    project.write_text(PROJECT.replace('dependencies = ["harbour>=1"]', "dependencies = []"))
    kit.ensure()
    assert kit.state() is State.READY
    assert json.loads((kit.folder / "quayside.json").read_text())["stage"] == "ready"
    compiled = [path.name.partition(".")[0] for path in site(kit.folder).glob("__pycache__/*.pyc")]
    assert "quay" in compiled and "old" not in compiled
    said, err = capfd.readouterr()
    assert err == ""
    assert max(map(len, said.splitlines())) <= 100
    assert "Looking in links" not in said
