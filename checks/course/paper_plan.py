"""Plan: a task's table as a picture, with the tug where it starts and what is asked drawn in."""

from __future__ import annotations

from robotsim import Whose, run_trial
from robotsim.show import bundle
from robotsim.show.style import new_figure, styled
from robotsim.show.top import draw_top, extent_of, plan_axes
from robotsim.table import make_table

from ..task import Task

__all__ = ["plan_of"]

_WIDTH, _HIGHEST = 6.0, 3.4
_LEFT, _EDGE = 0.45, 0.35


def plan_of(task: Task) -> str:
    """Give a task's first table from above as an `<img>`; "" where the table is an empty pen.

    Nothing has run on it: it shows what a learner is told, and nothing of what comes out.
    """
    run = task.runs[0]
    table = None if run.table == "basin" else make_table(run.table, run.seed)
    if table is None and not task.targets:
        return ""
    at_rest = run_trial({"main.py": ""}, table=run.table, seed=run.seed, start=run.start,
                        seconds=0.01, day="", whose=Whose.KIT)  # fmt: skip
    with styled():
        extent = extent_of([at_rest], table, task.targets)
        wide, high = extent[1] - extent[0], extent[3] - extent[2]
        scale = min((_WIDTH - 2 * _LEFT) / wide, _HIGHEST / high)
        drawn = new_figure(_WIDTH, high * scale + 2 * _EDGE)
        axes = plan_axes(drawn, extent, (_LEFT, _EDGE, wide * scale, high * scale))
        draw_top(axes, at_rest, table=table, targets=task.targets)
        drawn.set_label(f"The table {run.table} from above, with the tug where it starts, for the "
                        f"task: {task.title}. Lengths in m.")  # fmt: skip
        return str(bundle(drawn)["text/html"])
