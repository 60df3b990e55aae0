"""Onto a real board: is a program ready for it (`ready`), and the folder to copy (`export`)."""

from __future__ import annotations

from .advice import Advice, Report
from .advise import ready, review
from .compiler import compiler, compiles
from .folder import Exported, export

__all__ = ["Advice", "Exported", "Report", "compiler", "compiles", "export", "ready", "review"]
