"""Takes the place of `piplite`, for which the kernel asks: in a tab nothing is installed."""

from typing import Any

__all__ = ["install"]


async def install(*_: Any, **__: Any) -> None:
    """Say so.

    Raises:
        RuntimeError: Always.
    """
    raise RuntimeError(
        "Nothing can be installed in this page, and nothing has to be: it brings what the lessons"
        " need. Try: leave this line out."
    )
