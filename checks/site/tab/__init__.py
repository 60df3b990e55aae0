"""Tab: what runs in a browser's worker, beside Pyodide and the board's own interpreter."""

from .start import prepare, start

__all__ = ["prepare", "start"]
