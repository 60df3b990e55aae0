"""Tab: what runs in a browser's worker, beside Pyodide and the board's own interpreter."""

from .start import start

__all__ = ["start"]
