"""Lab: JupyterLab as the launcher starts it: without what the kit has left out by now."""

from __future__ import annotations

import sys

from jupyterlab.labapp import main  # type: ignore[import-untyped,unused-ignore]

__all__ = ["main"]

if __name__ == "__main__":
    sys.exit(main())
