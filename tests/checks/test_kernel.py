"""Kernel: what the kit's own kernel knows, and what it gives back."""

import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from jupyter_client.manager import KernelManager

from robotsim.board.confine import refusal

ROOT = Path(__file__).parents[2]
RESIDENT = "int(open('/proc/self/statm').read().split()[1]) * 4096 // 2**20"


@pytest.fixture(scope="module")
def ask(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Any]:
    """A function that runs a cell in the kit's kernel and gives what it printed."""
    patch = pytest.MonkeyPatch()
    patch.setenv("JUPYTER_PATH", str(ROOT / "checks" / "jupyter"))
    manager = KernelManager(kernel_name="python3")
    manager.start_kernel(cwd=tmp_path_factory.mktemp("seat"))
    client = manager.blocking_client()
    client.start_channels()
    client.wait_for_ready(timeout=60)

    def run(source: str) -> str:
        told: list[str] = []

        def hook(message: dict[str, Any]) -> None:
            content = message["content"]
            told.append(content.get("text", "") or content.get("evalue", ""))

        client.execute_interactive(source, timeout=60, output_hook=hook)
        return "".join(told).strip()

    yield run
    client.stop_channels()
    manager.shutdown_kernel(now=True)
    patch.undo()


def test_the_kits_words_are_there_without_an_import(ask: Any) -> None:
    assert ask("print(check.__module__, run.__module__)") == "checks.judge robotsim.notebook"


def test_no_debugger_takes_room_and_nothing_is_imported_from_the_kernels_folder(ask: Any) -> None:
    assert ask("import sys; print(any('pydevd' in name for name in sys.modules))") == "False"
    assert "kernels" not in ask("print(sys.path)")


@pytest.mark.skipif(refusal() is not None, reason="here nothing is forked")
def test_a_notebooks_programs_are_forked_of_one_nursery(ask: Any) -> None:
    kept = "from robotsim.board import nursery; print(nursery._Kept.nursery._process.pid)"
    ask("%%program ahoy.py\nprint('ahoy')")
    assert "'ahoy'" in ask("print(run('ahoy.py', seconds=0.5, picture=False).printed)")
    first = ask(kept)
    assert Path(f"/proc/{first}").exists()
    ask("run('ahoy.py', seconds=0.5, picture=False)")
    assert ask(kept) == first


@pytest.mark.skipif(sys.platform != "linux", reason="only glibc gives back when asked")
def test_what_a_cell_needed_goes_back_to_the_system(ask: Any) -> None:
    before = int(ask(f"print({RESIDENT})"))
    ring = "ring = [[bytearray(1000)] for _ in range(60_000)]; ring.append(ring)"
    held = int(ask(f"{ring}; print({RESIDENT})"))
    assert held > before + 50
    ask("del ring")
    assert int(ask(f"print({RESIDENT})")) < before + 15
