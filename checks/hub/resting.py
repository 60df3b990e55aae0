"""Resting: when a seat's kernels end, and when its server gives back memory that it has left."""

from __future__ import annotations

from typing import Any

from jupyter_server.services.kernels.kernelmanager import AsyncMappingKernelManager
from tornado.ioloop import PeriodicCallback
from traitlets import Integer

from ..kernel import giver_back

__all__ = ["Kernels"]

_GIVE_BACK_MS = 60_000


class Kernels(AsyncMappingKernelManager):
    """Jupyter's own keeper of kernels, to whom a lesson counts as left once another is worked in.

    A kernel that says something is at work, also without a cell: a live tug's picture, a slider.
    """

    left_timeout = Integer(
        180, help="So many seconds a kernel may rest while its learner works in another notebook."
    ).tag(config=True)

    def initialize_culler(self) -> None:
        """Look after kernels that rest, and after what the server itself needs no more."""
        jupyters: Any = super()
        jupyters.initialize_culler()
        if give_back := giver_back():
            PeriodicCallback(give_back, _GIVE_BACK_MS).start()

    async def cull_kernel_if_idle(self, kernel_id: str) -> None:
        """End a kernel that has rested too long; a shorter rest is too long if it was left."""
        # A kernel that is just starting has no such time yet.
        times = {key: getattr(one, "last_activity", None) for key, one in self._kernels.items()}
        last, usual = times[kernel_id], self.cull_idle_timeout
        if last and any(other and other > last for other in times.values()):
            self.cull_idle_timeout = min(usual, self.left_timeout)
        jupyters: Any = super()
        try:
            await jupyters.cull_kernel_if_idle(kernel_id)
        finally:
            self.cull_idle_timeout = usual
