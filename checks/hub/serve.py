"""Serve: a learner's own Jupyter server, as the hub starts it, without the hub's own code.

JupyterHub's server for one user loads the hub's pages, and with them its database, for the sake of
one class by which a line of the log is told from others.  That was a third of a seat's server and
of the time until its first page.  What would load them finds a stand-in here.
"""

from __future__ import annotations

import sys
from types import ModuleType

from tornado.web import RequestHandler

__all__ = ["leave_out_the_hub", "main"]


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


def main() -> None:
    """Serve, with the command line of `jupyterhub-singleuser`."""
    leave_out_the_hub()
    from jupyterhub.singleuser import main as serve

    serve()


if __name__ == "__main__":
    main()
