"""Compose: a recording as one picture."""

from __future__ import annotations

from collections.abc import Sequence

from matplotlib.figure import Figure

from ..recording import Recording, tug_words
from .colours import INK, QUIET
from .detail import draw_detail
from .facts import SIDES, astray, drives, float_rolled, glows, journey
from .numbers import draw_numbers
from .scene import Table
from .strips import FOOT, GAP, HEAD, Strip, draw_strips, strips_of
from .style import SIZE, TITLE, fitted, new_figure, styled, text_inches
from .targets import Target
from .top import draw_top, extent_of, plan_axes
from .words import alt_text, headline, how_it_ended

__all__ = ["figure", "head"]

_WIDTH, _TALLEST = 10.0, 7.4
_LEFT, _TOP = 0.42, 0.72
_MARGINS = 0.3
_PLAN_WIDTH, _PLAN_GAP = 4.45, 0.28
_STRIPS_LEFT, _STRIPS_WIDTH = 5.42, 3.38
_DETAIL, _NUMBERS = 2.15, 1.55
_BOLD = 1.17
"""How much wider than the plain font the bold one is, at most."""


def figure(
    recording: Recording, *, table: Table | None = None, targets: Sequence[Target] = (),
    processor: bool = False,
) -> Figure:  # fmt: skip
    """Draw a recording: where the tug went, its lamps at the end, and its parts over time.

    Parts that did nothing take no room.  The figure's label (`get_label()`) tells in
    words what is to be seen.

    Args:
        recording: What to draw.
        table: The table it happened on; without one the plan shows only where the tug was.
        targets: Where it should have gone, drawn beneath the path.
        processor: Whether to show how busy the board's processor was.

    Returns:
        A matplotlib figure, 10 inches wide and as tall as its contents need.
    """
    with styled():
        driven = any(drives(recording, side) for side in SIDES)
        moving = journey(recording).moved or driven or float_rolled(recording)
        lit = bool(glows(recording))
        strips = strips_of(recording, tall=lit and not moving, processor=processor)
        if bool(recording.tracks.get("x")) and (moving or targets):
            drawn = _with_plan(recording, table, targets, strips, lit)
        elif lit:
            drawn = _with_lamps(recording, strips)
        else:
            drawn = _with_strips(recording, strips)
        drawn.set_label(alt_text(recording))
        return drawn


def _natural(strips: Sequence[Strip]) -> float:
    """Give the height in inches that strips would like to have."""
    return HEAD + FOOT + sum(s.inches + GAP for s in strips)


def _with_plan(
    recording: Recording, table: Table | None, targets: Sequence[Target],
    strips: Sequence[Strip], lit: bool,
) -> Figure:  # fmt: skip
    """Lay out a run with motion: plan at the top left, lamps or numbers below, strips right."""
    extent = extent_of([recording], table, targets)
    plan = min(_PLAN_WIDTH * (extent[3] - extent[2]) / (extent[1] - extent[0]), 3.7)
    went = journey(recording).moved
    below = _DETAIL if lit else _NUMBERS if went else 0.1
    body = min(max(_natural(strips), plan + _PLAN_GAP + below), _TALLEST - _TOP)
    drawn = new_figure(_WIDTH, body + _TOP)
    _head(drawn, recording)
    axes = plan_axes(drawn, extent, (_LEFT, _TOP, _PLAN_WIDTH, plan))
    draw_top(axes, recording, table=table, targets=targets)
    top, room = _TOP + plan + _PLAN_GAP, body - plan - _PLAN_GAP
    if lit:
        draw_detail(drawn, recording, (0.1, top, _LEFT + _PLAN_WIDTH, min(room, 2.6)))
    elif went:
        draw_numbers(drawn, recording, (_LEFT + 0.08, top + 0.1, _PLAN_WIDTH - 0.12))
    tall = min(body + 0.12, 1.3 * _natural(strips))
    draw_strips(drawn, recording, strips, (_STRIPS_LEFT, _TOP - 0.12, _STRIPS_WIDTH, tall))
    return drawn


def _with_lamps(recording: Recording, strips: Sequence[Strip]) -> Figure:
    """Lay out a run without motion: the tug's lamps large at the left, strips right."""
    body = min(max(_natural(strips), 2.5), _TALLEST - _TOP)
    drawn = new_figure(_WIDTH, body + _TOP)
    _head(drawn, recording)
    draw_detail(drawn, recording, (0.1, _TOP, _LEFT + _PLAN_WIDTH, min(body - 0.1, 3.2)))
    draw_strips(drawn, recording, strips, (_STRIPS_LEFT, _TOP - 0.12, _STRIPS_WIDTH, body))
    return drawn


def _with_strips(recording: Recording, strips: Sequence[Strip]) -> Figure:
    """Lay out a run in which only the console (or nothing) has something to show."""
    note = _note(recording, bool(strips))
    body = (_natural(strips) if strips else 0.1) + 0.2 * len(note)
    drawn = new_figure(_WIDTH, body + _TOP)
    _head(drawn, recording)
    high = drawn.get_figheight()
    for k, row in enumerate(note):
        drawn.text(0.15 / _WIDTH, 1 - (_TOP + 0.06 + 0.2 * k) / high, fitted(row, 9.6, SIZE),
                   fontsize=SIZE, color=INK, va="baseline", gid="note")  # fmt: skip
    if strips:
        box = (_LEFT, _TOP - 0.06 + 0.2 * len(note), 8.34, _natural(strips))
        draw_strips(drawn, recording, strips, box)
    return drawn


def _note(recording: Recording, anything: bool) -> list[str]:
    if recording.problem is not None and recording.ended in ("error", "stopped"):
        return str(recording.problem).splitlines()
    if anything:
        return []
    lit = "and no lamp lit" if astray(recording) else "no lamp was written to"
    return [f"No motor was driven, {lit}, nothing was printed."]


def _head(drawn: Figure, recording: Recording) -> None:
    ended, room = how_it_ended(recording), drawn.get_figwidth() - _MARGINS
    ran = f"{recording.program} on the {recording.table}"
    told = [f"{ran}, {tug}. {ended}" for tug in tug_words(recording)]
    fits = (row for row in told if text_inches(row, SIZE) <= room)
    head(drawn, headline(recording), next(fits, told[-1]))


def head(drawn: Figure, title: str, subtitle: str) -> None:
    """Write the finding and below it what was run, at the top left of a figure."""
    wide, high = drawn.get_figwidth(), drawn.get_figheight()
    room = wide - _MARGINS
    size = TITLE
    while size > 9.5 and text_inches(title, size) * _BOLD > room:
        size -= 0.5
    drawn.text(0.15 / wide, 1 - 0.26 / high, fitted(title, room / _BOLD, size),
               fontsize=size, fontweight="bold", color=INK, va="baseline", gid="title")  # fmt: skip
    drawn.text(0.15 / wide, 1 - 0.48 / high, fitted(subtitle, room, SIZE),
               fontsize=SIZE, color=QUIET, va="baseline", gid="subtitle")  # fmt: skip
