"""Interrupted: tells of a cell that was running when its page was closed."""

from __future__ import annotations

from typing import Any

__all__ = ["watch_cells"]


def watch_cells(shell: Any, runs: Any) -> None:
    """Note each cell while it runs, and tell in the next one of those that were cut off.

    Args:
        shell: The kernel's shell.
        runs: What `openRuns` of runs.mjs gives.
    """

    def begins(info: Any) -> None:
        if cut_off := [str(text) for text in runs.before]:
            for text in cut_off:
                print("A page was closed, or its kernel ended, while this cell was running:", text)
            print("What it would have shown is lost, your programs are not. Run the cells above it,"
                  " and it again.")  # fmt: skip
            runs.told()
        rows = [row for row in str(info.raw_cell).strip().splitlines() if row.strip()]
        runs.note(rows[0][:80] if rows else "an empty cell")

    def ends(_: Any) -> None:
        runs.note("")

    shell.events.register("pre_run_cell", begins)
    shell.events.register("post_run_cell", ends)
