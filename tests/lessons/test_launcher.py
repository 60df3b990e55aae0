"""`python3 lessons` and `python3 tests`: on a bare Python, on an old one, and step by step."""

from __future__ import annotations

import ast
import contextlib
import importlib.util
import json
import os
import queue
import re
import runpy
import shutil
import socket
import subprocess
import sys
import threading
import time
import types
import urllib.error
import urllib.request
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

ROOT = Path(__file__).resolve().parents[2]
COMMANDS = [ROOT / "lessons" / "__main__.py", ROOT / "tests" / "__main__.py"]
INDEPENDENT = [
    "lessons/__main__.py", "checks/environment.py", "checks/doctor.py", "checks/serving.py",
    "pyproject.toml",
]  # fmt: skip


@pytest.fixture
def launcher(monkeypatch: pytest.MonkeyPatch) -> types.ModuleType:
    monkeypatch.setattr(sys, "dont_write_bytecode", True)
    spec = importlib.util.spec_from_file_location("launcher", COMMANDS[0])
    assert spec is not None and spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


class Recorder:
    """Notes what the launcher would run, and plays a JupyterLab that ends at once."""

    def __init__(self, launcher: types.ModuleType, patch: pytest.MonkeyPatch) -> None:
        self.steps: list[tuple[str, ...]] = []
        self.lab: dict[str, Any] = {}
        self.release_code = 0
        kit = launcher.environment.Environment
        patch.setattr(kit, "ensure", lambda kit, *a, **k: self.steps.append(("ensure",)))
        patch.setattr(launcher.subprocess, "call", self.call)
        patch.setattr(launcher.subprocess, "Popen", self.serve)
        patch.setattr(launcher.serving.signal, "signal", lambda *_: None)

    def call(self, command: list[str], **_: Any) -> int:
        self.steps.append(tuple(command[3:]))
        return self.release_code

    def serve(self, command: list[str], **given: Any) -> Any:
        self.steps.append(tuple(command[3:]))
        self.lab = given
        server = types.SimpleNamespace(wait=lambda: 0, terminate=lambda: None)
        return contextlib.nullcontext(server)


@pytest.fixture
def recorder(launcher: types.ModuleType, monkeypatch: pytest.MonkeyPatch) -> Recorder:
    return Recorder(launcher, monkeypatch)


@pytest.mark.parametrize("path", COMMANDS, ids=["lessons", "tests"])
def test_an_old_python_can_read_the_command_and_is_told_what_is_needed(path: Path) -> None:
    ast.parse(path.read_text(encoding="utf-8"), feature_version=(3, 6))
    code = (
        "import runpy, sys; sys.version_info = (3, 10, 1, 'final', 0);"
        f"runpy.run_path({str(path)!r}, run_name='__main__')"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    lines = done.stderr.splitlines()
    assert done.returncode == 1
    assert lines[0].startswith("Quayside needs Python 3.11 or later; this is Python ")
    assert lines[1] == f"Where: {sys.executable}"
    assert lines[2].startswith("Try: install a newer Python")
    assert len(lines) == 3


@pytest.fixture
def bare(tmp_path: Path) -> Path:
    """A checkout in which nothing is installed, of the files that must do without packages."""
    for name in INDEPENDENT:
        (tmp_path / name).parent.mkdir(exist_ok=True)
        shutil.copy(ROOT / name, tmp_path / name)
    return tmp_path


def test_the_tests_keep_what_they_compile_wherever_they_run() -> None:
    surroundings = runpy.run_path(str(COMMANDS[1]))["surroundings"]
    assert surroundings({"PATH": "here", "PYTHONDONTWRITEBYTECODE": "1"}) == {"PATH": "here"}


def test_the_doctor_works_on_a_bare_python_and_says_what_is_missing(bare: Path) -> None:
    command = [sys.executable, "-I", "-S", "lessons", "--doctor", "--folder", str(bare / "mine")]
    done = subprocess.run(command, cwd=bare, capture_output=True, text=True, check=False)
    assert done.stderr == ""
    assert done.returncode == 1
    assert "is not ready: missing." in done.stdout
    assert re.search(r"MISSING +packages +lacking: .*jupyterlab", done.stdout)
    assert re.search(r"MISSING +kernel", done.stdout)
    assert re.search(r"ready +lessons folder", done.stdout)


def test_starting_leaves_no_folder_that_would_be_taken_for_a_lesson(bare: Path) -> None:
    subprocess.run([sys.executable, "lessons", "--help"], cwd=bare, capture_output=True, check=True)
    assert [path.name for path in (bare / "lessons").iterdir()] == ["__main__.py"]


def test_it_installs_then_lays_out_the_copies_then_opens_them(
    launcher: types.ModuleType, recorder: Recorder, tmp_path: Path
) -> None:
    folder = tmp_path / "deep" / "mine"
    assert launcher.main(["--folder", str(folder), "--no-browser"]) == 0
    ensure, release, lab = recorder.steps
    assert ensure == ("ensure",)
    assert release == ("checks", "release", str(folder))
    assert lab[:1] == ("jupyterlab",)
    assert "--no-browser" in lab
    assert recorder.lab["cwd"] == folder
    assert recorder.lab["env"]["PATH"].startswith(str(ROOT / ".venv"))
    assert list(folder.iterdir()) == []


def test_every_start_opens_the_home_page(
    launcher: types.ModuleType, recorder: Recorder, tmp_path: Path
) -> None:
    for _ in range(2):
        launcher.main(["--folder", str(tmp_path / "mine")])
        assert "--LabApp.default_url=/quayside" in recorder.steps[-1]
        assert "--no-browser" not in recorder.steps[-1]
    place = str(ROOT / "checks" / "jupyter")
    assert recorder.lab["env"]["JUPYTER_PATH"] == place, "where the kernel lies that knows the kit"


def test_lessons_that_could_not_be_laid_out_are_not_opened(
    launcher: types.ModuleType, recorder: Recorder, tmp_path: Path
) -> None:
    recorder.release_code = 3
    assert launcher.main(["--folder", str(tmp_path / "mine")]) == 3
    assert [step[0] for step in recorder.steps] == ["ensure", "checks"]


def test_the_demo_installs_and_marks_and_opens_nothing(
    launcher: types.ModuleType, recorder: Recorder
) -> None:
    assert launcher.main(["--demo"]) == 0
    assert recorder.steps == [("ensure",), ("checks", "demo")]


@pytest.mark.parametrize("module", ["checks", "robotsim"])
def test_each_command_goes_into_the_kits_environment_by_itself(
    launcher: types.ModuleType, recorder: Recorder, module: str
) -> None:
    """Started by a Python that lacks the kit's packages, as a new terminal's does."""
    text = (ROOT / module / "__main__.py").read_text(encoding="utf-8")
    ast.parse(text, feature_version=(3, 6))
    space = {"__name__": "__main__", "__package__": "", "__file__": f"{ROOT / module}/__main__.py"}
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(sys, "argv", [module, "--doctor"])
        patch.setattr("runpy.run_path", lambda path: {"move_in": launcher.move_in})
        with pytest.raises(SystemExit) as ended:
            exec(compile(text, module, "exec"), space)
    assert ended.value.code == 0
    assert recorder.steps == [("ensure",), (module, "--doctor")]


def test_ctrl_c_leaves_a_command_the_time_to_clear_up(
    launcher: types.ModuleType, recorder: Recorder, monkeypatch: pytest.MonkeyPatch
) -> None:
    presses = iter([KeyboardInterrupt, KeyboardInterrupt])

    def wait() -> int:
        if press := next(presses, None):
            raise press
        return 130

    process = types.SimpleNamespace(wait=wait)
    monkeypatch.setattr(launcher.subprocess, "Popen",
                        lambda *_, **__: contextlib.nullcontext(process))  # fmt: skip
    assert launcher.move_in("robotsim", ["powerup"]) == 130


def test_what_lies_in_the_folder_is_not_taken_for_pythons_own(tmp_path: Path) -> None:
    """An exported folder holds the board's secrets.py."""
    (tmp_path / "secrets.py").write_text("raise SystemExit('the wrong secrets')\n")
    done = subprocess.run([sys.executable, "-m", "robotsim", "powerup"], cwd=tmp_path,
                          capture_output=True, text=True, check=False)  # fmt: skip
    assert done.returncode == 0 and "First power-up" in done.stdout, done.stderr


def test_compiling_and_undoing_it_open_nothing(
    launcher: types.ModuleType, recorder: Recorder
) -> None:
    assert launcher.main(["--compile"]) == launcher.main(["--plain"]) == 0
    assert recorder.steps == [
        ("ensure",), ("checks.compile",), ("ensure",), ("checks.compile", "--plain"),
    ]  # fmt: skip
    with pytest.raises(SystemExit):
        launcher.main(["--compile", "--plain"])


def test_the_doctor_is_the_kits_own_where_it_is_installed(
    launcher: types.ModuleType, recorder: Recorder, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    ready = launcher.environment.State.READY
    monkeypatch.setattr(launcher.environment.Environment, "state", lambda kit: ready)
    assert launcher.main(["--doctor", "--folder", str(tmp_path)]) == 0
    assert recorder.steps == [("checks", "doctor", "--folder", str(tmp_path))]
    more = ("--room", "192.0.2.5", "--alias", "Gull", "--password", "word")
    assert launcher.main(["--doctor", "--folder", str(tmp_path), *more]) == 0
    assert recorder.steps[1] == ("checks", "doctor", "--folder", str(tmp_path), *more)


def test_the_room_is_the_doctors_to_tell(launcher: types.ModuleType, capsys: Any) -> None:
    for words in (["--room", "192.0.2.5"], ["--doctor", "--alias", "Gull"]):
        with pytest.raises(SystemExit):
            launcher.main(words)
        assert "--room with --doctor" in capsys.readouterr().err


def test_a_taken_port_is_said_before_anything_is_written(
    launcher: types.ModuleType, recorder: Recorder, tmp_path: Path, capsys: Any
) -> None:
    with socket.socket() as door:
        door.bind(("127.0.0.1", 0))
        door.listen()
        taken = str(door.getsockname()[1])
        assert launcher.main(["--folder", str(tmp_path / "mine"), "--port", taken]) == 1
    what, where, hint = capsys.readouterr().err.strip().splitlines()
    assert what == f"Port {taken} is taken by another program."
    assert where == f"Where: --port {taken}"
    assert hint.startswith("Try: leave --port out")
    assert not (tmp_path / "mine").exists()


@pytest.mark.parametrize("text", ["0", "65536", "eight", "-1", ""])
def test_a_port_that_is_no_port_is_refused(launcher: types.ModuleType, text: str) -> None:
    with pytest.raises(SystemExit) as caught:
        launcher.main([f"--port={text}"])
    assert caught.value.code == 2


@pytest.mark.parametrize("place", [ROOT, ROOT / "lessons", ROOT / "lessons" / "mine"])
def test_the_learners_folder_may_not_lie_in_the_kit(
    launcher: types.ModuleType, recorder: Recorder, place: Path, capsys: Any
) -> None:
    assert launcher.main(["--folder", str(place)]) == 1
    assert "must lie outside the kit" in capsys.readouterr().err


def test_a_folder_that_cannot_be_written_to_is_told_in_three_lines(
    launcher: types.ModuleType, recorder: Recorder, tmp_path: Path, capsys: Any
) -> None:
    (tmp_path / "file").touch()
    assert launcher.main(["--folder", str(tmp_path / "file" / "mine")]) == 1
    what, where, hint = capsys.readouterr().err.strip().splitlines()
    assert what.startswith("The learner's folder cannot be written to")
    assert where.startswith(f"Where: {tmp_path / 'file'}")
    assert "--folder PATH" in hint


def test_trouble_with_the_environment_is_told_without_a_traceback(
    launcher: types.ModuleType, recorder: Recorder, capsys: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fail(kit: object) -> None:
        raise launcher.environment.SetupError("It rains.", where="the quay", hint="wait.")

    monkeypatch.setattr(launcher.environment.Environment, "ensure", fail)
    assert launcher.main([]) == 1
    assert capsys.readouterr().err == "\nIt rains.\nWhere: the quay\nTry: wait.\n"

    def interrupt(kit: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(launcher.environment.Environment, "ensure", interrupt)
    assert launcher.main([]) == 130
    assert "the same command goes on" in capsys.readouterr().err


SERVE = """
import pathlib, runpy, sys, types, os
launcher = runpy.run_path(sys.argv[1])
kit = types.SimpleNamespace(python=sys.executable, variables=lambda: dict(os.environ))
folder, port = pathlib.Path(sys.argv[2]), int(sys.argv[3])
options = types.SimpleNamespace(folder=folder, port=port, no_browser=True)
sys.exit(launcher["serve"](kit, options, "/lab"))
"""


@pytest.fixture
def served(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[tuple[Any, str]]:
    """A real JupyterLab, started as the launcher starts it, and its address."""
    for name in ("JUPYTER_CONFIG_DIR", "JUPYTER_DATA_DIR", "JUPYTER_RUNTIME_DIR", "IPYTHONDIR"):
        monkeypatch.setenv(name, str(tmp_path / name))
    with socket.socket() as door:
        door.bind(("127.0.0.1", 0))
        port = str(door.getsockname()[1])
    (tmp_path / "mine").mkdir()
    command = [sys.executable, "-c", SERVE, str(COMMANDS[0]), str(tmp_path / "mine"), port]
    with subprocess.Popen(
        command, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, text=True
    ) as process:
        lines: queue.Queue[str] = queue.Queue()
        assert process.stderr is not None
        reader = threading.Thread(target=lambda: [lines.put(line) for line in process.stderr])
        reader.start()
        address, pattern = None, re.compile(rf"http://127\.0\.0\.1:{port}/lab\?token=\w+")
        while address is None:
            address = pattern.search(lines.get(timeout=60))
        yield process, address[0]
        process.terminate()
        reader.join()


def fetch(address: str, patience_s: float = 60.0) -> str:
    """Get a page; the server tells its address a moment before it listens there."""
    end = time.monotonic() + patience_s
    while True:
        try:
            with urllib.request.urlopen(address, timeout=30) as answer:
                return str(answer.read().decode())
        except urllib.error.URLError:
            if time.monotonic() > end:
                raise
            time.sleep(0.2)


def page_settings(address: str) -> dict[str, Any]:
    page = fetch(address)
    config = re.search(r'<script id="jupyter-config-data"[^>]*>(.*?)</script>', page, re.DOTALL)
    assert config is not None
    found: dict[str, Any] = json.loads(config[1])
    return found


@pytest.mark.skipif(os.name == "nt", reason="ends the server by a signal of POSIX")
def test_the_real_page_is_a_learners_page_and_ends_with_its_launcher(
    served: tuple[Any, str],
) -> None:
    process, address = served
    settings = page_settings(address)
    disabled = settings["disabledExtensions"]
    assert {"@jupyter/nbgrader", "jupyterlab-jupytext"} <= {*disabled}
    token = address.partition("?")[2]
    place = f"{address.partition('/lab')[0]}/lab/api/settings/"
    plugin = "@jupyterlab/apputils-extension:notification"
    defaults = json.loads(fetch(f"{place}{plugin}?{token}"))["schema"]["properties"]
    # Asking about news, or for them, would need the internet; the kit does without.
    assert defaults["fetchNews"]["default"] == "false"
    assert defaults["checkForUpdates"]["default"] is False
    process.terminate()
    assert process.wait(timeout=30) == 143
    with pytest.raises(OSError, match="refused"):
        fetch(address, patience_s=0)
