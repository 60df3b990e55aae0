"""Execute: run a lesson's notebook in a clean place, and make its outputs the same every time."""

from __future__ import annotations

import json
import os
import re
import tempfile
from pathlib import Path
from typing import Any

from nbclient import NotebookClient
from nbclient.exceptions import CellExecutionError, CellTimeoutError, DeadKernelError
from nbformat import NotebookNode

from robotsim import KitError

from .lessons import ROOT

__all__ = ["CELL_SECONDS", "execute", "normalise"]

CELL_SECONDS = 120
"""Real time in s that one cell may take."""

_STATE = "application/vnd.jupyter.widget-state+json"
_VIEW = "application/vnd.jupyter.widget-view+json"
_ADDRESS = re.compile(r" at 0x[0-9a-fA-F]{6,}")
_COLOUR = re.compile(r"\x1b\[[0-9;]*m")


def execute(notebook: NotebookNode) -> None:
    """Run all cells in order, in a folder of their own, and keep what they put out.

    Args:
        notebook: Is changed in place.

    Raises:
        KitError: A cell failed; `where` is the cell's id.
    """
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        client = _Client(
            notebook,
            timeout=CELL_SECONDS,
            kernel_name=notebook.metadata["kernelspec"]["name"],
            resources={"metadata": {"path": name}},
            record_timing=False,
            coalesce_streams=True,
            # It would say at every start that it can be reached over TCP: from this machine only.
            extra_arguments=["--log-level=ERROR"],
        )
        try:
            client.execute(env=_variables(folder))
        except (CellExecutionError, CellTimeoutError, DeadKernelError) as fault:
            last = [line for line in _COLOUR.sub("", str(fault)).splitlines() if line.strip()]
            raise KitError(
                f"A cell failed: {last[-1] if last else type(fault).__name__}",
                where=client.at,
                hint="mend it, or tag a cell that is meant to fail `raises-exception`.",
            ) from fault
    metadata = notebook.metadata
    metadata["language_info"] = {
        key: metadata["language_info"][key] for key in ("file_extension", "mimetype", "name")
    }
    normalise(notebook)


def normalise(notebook: NotebookNode) -> None:
    """Take out of a notebook's outputs what differs from one run to the next.

    Times of execution, addresses of objects, and the random names of widgets, which are numbered
    instead so that a slider is still shown to someone who only reads.
    """
    for cell in notebook.cells:
        cell.metadata.pop("execution", None)
        for output in cell.get("outputs", ()):
            if "text" in output:
                output["text"] = _ADDRESS.sub(" at 0x0", output["text"])
            for kind, data in output.get("data", {}).items():
                if kind.startswith("text/") and isinstance(data, str):
                    output["data"][kind] = _ADDRESS.sub(" at 0x0", data)
    _number_widgets(notebook)


def _number_widgets(notebook: NotebookNode) -> None:
    widgets = notebook.metadata.get("widgets", {}).get(_STATE, {})
    state: dict[str, Any] = widgets.get("state", {})
    if not state:
        notebook.metadata.pop("widgets", None)
        return
    for model in state.values():
        inner = model.get("state", {})
        inner.pop("msg_id", None)
    names = {old: f"{count:032x}" for count, old in enumerate(state, 1)}
    pattern = re.compile("|".join(names))
    plain = pattern.sub(lambda found: names[found[0]], json.dumps(widgets))
    notebook.metadata["widgets"] = {_STATE: json.loads(plain)}
    for cell in notebook.cells:
        for output in cell.get("outputs", ()):
            view = output.get("data", {}).get(_VIEW)
            if view:
                view["model_id"] = names.get(view["model_id"], view["model_id"])


class _Client(NotebookClient):
    """Remembers the cell at which it is."""

    at = ""

    async def async_execute_cell(self, cell: NotebookNode, *args: Any, **kwargs: Any) -> Any:
        """Run one cell."""
        self.at = cell.id
        return await super().async_execute_cell(cell, *args, **kwargs)


def _variables(folder: Path) -> dict[str, str]:
    """Give the kernel's environment: nothing of the user's settings, nothing left to chance."""
    settings = folder / "matplotlibrc"
    settings.write_text("", encoding="utf-8")
    path = os.pathsep.join(filter(None, [str(ROOT), os.environ.get("PYTHONPATH", "")]))
    variables = {
        **os.environ,
        "IPYTHONDIR": str(folder / ".ipython"),
        "MATPLOTLIBRC": str(settings),
        "PYTHONHASHSEED": "0",
        "PYTHONPATH": path,
        # Whoever asks a picture or a file for its date gets this one.
        "SOURCE_DATE_EPOCH": "0",
    }
    variables.pop("MPLBACKEND", None)
    return variables
