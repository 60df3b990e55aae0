"""Player: recordings as a page that plays them, with no kernel and no network.

The same script and style serve the widget (replay.py).  The page's output holds one copy of both,
the packed recordings, and the still picture: where scripts are not let run (a notebook that is
not trusted, a page that shows notebooks) the picture stays, where they are the replay takes its
place.
"""

from __future__ import annotations

import html
from collections.abc import Sequence
from functools import cache
from pathlib import Path
from typing import Any

from ..errors import KitError
from ..recording import Recording
from ..table import Table, make_table
from .lines import MOST_RUNS
from .pack import heading_of, packed, run_data
from .scene import ARM_PIVOT, BALL, HULL, LAMP_PLACES, PADDLE, TRACK, TYRE, WHEEL
from .targets import Target, points_along

__all__ = [
    "MARK",
    "Mark",
    "page",
    "plan_script",
    "replay_data",
    "script",
    "style",
    "table_data",
]

Mark = tuple[float, str]
"""A moment to point at: when (s of simulated time) and in a few words what is to be seen."""
MARK = "quay-player"
"""The class by which a page's replay is found."""
_HERE = Path(__file__).parent
_PARTS = ("replay_data.js", "replay_plan.js", "replay_strips.js", "replay_text.js", "replay.js")
_EXPORT = "export default { render };"
_EYES = ((0.044, 0.018), (0.044, 0.006), (0.044, -0.006), (0.044, -0.018))


@cache
def script() -> str:
    """Give the player's script as one module, without its comments."""
    return _joined(_PARTS)


@cache
def plan_script() -> str:
    """Give the part of it that draws tables and tugs, for another script to go on from."""
    return _joined(("replay_data.js", "replay_plan.js")) + "\n"


def _joined(names: Sequence[str]) -> str:
    rows: list[str] = []
    for name in names:
        text = (_HERE / name).read_text(encoding="utf-8")
        rows += [row.strip() for row in text.splitlines()]
    return "\n".join(row for row in rows if row and not row.startswith("//"))


@cache
def style() -> str:
    """Give the player's style sheet."""
    return (_HERE / "replay.css").read_text(encoding="utf-8")


def replay_data(
    recordings: Sequence[Recording], labels: Sequence[str] = (), *, at: float = 0.0,
    marks: Sequence[Mark] = (), targets: Sequence[Target] = (),
) -> dict[str, Any]:  # fmt: skip
    """Give all that the player shows.

    Args:
        recordings: One, or up to six of one table to lay over each other.
        labels: A short name for each.
        at: Where the replay begins, in s of simulated time.
        marks: Moments to point at.
        targets: Where the tug should have gone.

    Raises:
        KitError: There are none or too many, labels are missing, the tables differ.
    """
    _ask(recordings, labels)
    names = list(labels) or [recording.program for recording in recordings]
    return {
        "title": heading_of(recordings), "at": at,
        **table_data(make_table(recordings[0].table, recordings[0].seed)),
        "targets": [
            {"p": [[round(x, 4), round(y, 4)] for x, y in points_along(target)],
             "band": target.tolerance}
            for target in targets
        ],
        "marks": [[float(t), words, False] for t, words in marks],
        "runs": [run_data(r, name) for r, name in zip(recordings, names, strict=True)],
    }  # fmt: skip


def _ask(recordings: Sequence[Recording], labels: Sequence[str]) -> None:
    if not 1 <= len(recordings) <= MOST_RUNS:
        raise KitError(
            f"A replay shows one recording, or lays up to {MOST_RUNS} over each other, not"
            f" {len(recordings)}.",
            hint="replay(mine) or replay(mine, worked).",
        )
    if labels and len(labels) != len(recordings):
        raise KitError(
            f"There are {len(recordings)} recordings and {len(labels)} labels.",
            hint='give a label for each: labels=("mine", "worked").',
        )
    if len({(r.table, r.seed) for r in recordings}) > 1:
        raise KitError(
            "The recordings are of different tables.", hint="lay over runs of one table."
        )


def table_data(table: Table) -> dict[str, Any]:
    """Give what the scripts draw of a table, and the measures of a tug and its float."""
    geometry = {
        "hull": HULL, "track": TRACK, "wheel": WHEEL, "tyre": TYRE, "ball": BALL,
        "pivot": ARM_PIVOT, "paddle": PADDLE, "lamps": LAMP_PLACES, "eyes": _EYES,
    }  # fmt: skip
    return {"table": _drawn(table), "geometry": geometry}


def _drawn(table: Table) -> dict[str, Any]:
    prints = []
    for stroke in table.prints:
        level = round(255 * (0.1 + 0.6 * min(max(stroke.shade, 0.0), 1.0)))
        points = [[round(x, 4), round(y, 4)] for x, y in stroke.points]
        prints.append({"p": points, "w": stroke.width, "colour": f"rgb({level} {level} {level})"})
    dock = table.dock and {
        name: round(getattr(table.dock, name), 4)
        for name in ("x", "y", "heading", "width", "depth")
    }
    return {
        "name": table.name, "w": table.width, "h": table.height, "walls": table.walls,
        "prints": prints, "dock": dock,
    }  # fmt: skip


def page(data: dict[str, Any], picture: str = "") -> str:
    """Give the player as HTML that stands on its own.

    Args:
        data: What `replay_data` gave.
        picture: HTML of a still picture, for where no script runs.
    """
    words = " ".join(run["words"] for run in data["runs"])
    still = picture or f"<p>{html.escape(words)}</p>"
    body = script().replace(_EXPORT, "")
    start = (
        f"const root = document.currentScript.previousElementSibling;\n"
        f'startReplay(root, "data:application/zlib;base64,{packed(data)}");'
    )
    return (
        f'<style>{style()}</style><div class="{MARK}">{still}</div>'
        f"<script>(() => {{\n{body}\n{start}\n}})();</script>"
    )
