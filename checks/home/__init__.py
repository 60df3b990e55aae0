"""Home: the page from which a learner goes on, served beside JupyterLab on this machine alone."""

from __future__ import annotations

__all__: list[str] = []


def _jupyter_server_extension_points() -> list[dict[str, str]]:
    """Tell Jupyter's server where to load the page from."""
    return [{"module": "checks.home.server"}]
