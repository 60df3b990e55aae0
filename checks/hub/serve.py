"""Serve: a learner's own Jupyter server, as the hub starts it: lean, and without ports for kernels.

JupyterHub's server for one user loads the hub's pages, and with them its database, for the sake of
one class by which a line of the log is told from others.  That was a third of a seat's server and
of the time until its first page.  What would load them finds a stand-in here.

A kernel binds its ports long after Jupyter has drawn them, and on one loopback another seat may
have taken one meanwhile; and a port is everybody's to knock at.  So kernels are spoken with over
Unix sockets, which lie where their owner alone comes to.
"""

from __future__ import annotations

import os
import shutil
import sys
from pathlib import Path
from types import ModuleType

from tornado.web import RequestHandler

__all__ = ["LINES", "leave_out_the_hub", "main", "without_ports"]

LINES = ".run"
"""Where kernels' sockets lie in a home: a short name, for their paths have 107 bytes (unix(7))."""


class _HealthCheck(RequestHandler):
    """What the log leaves out; no server of one user has such a page."""


class _DatabaseError(Exception):
    """What nothing raises where there is no database."""


_STAND_INS: dict[str, dict[str, object]] = {
    "jupyterhub.handlers": {},
    "jupyterhub.handlers.pages": {"HealthCheckHandler": _HealthCheck},
    "jupyterhub.orm": {},
    "jupyterhub.roles": {},
    "sqlalchemy": {},
    "sqlalchemy.exc": {"SQLAlchemyError": _DatabaseError},
}
"""By module, what the rest names while it is loaded (JupyterHub 6.1.1, which the kit fixes)."""


def leave_out_the_hub() -> None:
    """Let nothing load the hub's pages and its database in this process."""
    for name, inside in _STAND_INS.items():
        module = ModuleType(name, "Left out of a seat, which needs less memory so.")
        vars(module).update(inside)
        sys.modules[name] = module


def without_ports(home: Path) -> list[str]:
    """Let kernels speak over sockets in a folder of the home's; what a crash has left there goes.

    Args:
        home: The learner's, which nobody else can enter.

    Returns:
        What to add to the command line of Jupyter's server.
    """
    shutil.rmtree(home / LINES, ignore_errors=True)
    (home / LINES).mkdir(mode=0o700, exist_ok=True)
    os.environ["JUPYTER_RUNTIME_DIR"] = str(home / LINES)
    return ["--KernelManager.transport=ipc"]


def main() -> None:
    """Serve, with the command line of `jupyterhub-singleuser`."""
    leave_out_the_hub()
    sys.argv += without_ports(Path.home())
    from jupyterhub.singleuser import main as serve

    serve()


if __name__ == "__main__":
    main()
