"""Kernel: what a tab's kernel knows before the first cell: the kit's words, as on a computer."""

from __future__ import annotations

from importlib.util import find_spec
from typing import Any

from robotsim.notebook import register

from ...kernel import load_ipython_extension as load_kit
from .elsewhere import refuse_elsewhere
from .no_pictures import leave_out

__all__ = ["load_ipython_extension"]


def load_ipython_extension(shell: Any) -> None:
    """Give a shell the kit's words, and sentences in place of pictures where there are none."""
    if find_spec("matplotlib") is None:
        leave_out(shell)
    refuse_elsewhere()
    load_kit(shell)
    register()  # the simulator was there before this shell
