"""Moving: a recording as an animated picture, and a recording in any kind of file by one call."""

from __future__ import annotations

import io
from collections import Counter
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from PIL import Image

from ..errors import KitError
from ..recording import Recording
from ..table import make_table
from .colours import INK, QUIET, RGB, lamp_hex
from .compose import figure
from .facts import glows
from .files import mapped, save
from .labels import Plan
from .lines import LINES
from .overlay import draw_targets
from .scene import Table, draw_float, draw_ghost, draw_table, draw_tug
from .style import SIZE, new_figure, styled
from .targets import Target
from .top import extent_of, plan_axes

__all__ = ["FLASHES", "calm_lamps", "gif", "keep"]

FLASHES = 3
"""Flashes in any one second, at most: WCAG 2.2, success criterion 2.3.1."""
_MOST_FRAMES = 300
_WIDE, _TOP = 5.6, 0.34


def calm_lamps(recording: Recording, time_s: float, speed: float = 1.0) -> tuple[RGB, ...]:
    """Give the lamps' colours for a picture that moves; one that would flash too often as its mean.

    Args:
        recording: What is shown.
        time_s: When, in s of simulated time.
        speed: How many of its seconds pass in one of the viewer's.
    """
    near = [glow.colours for glow in glows(recording)
            if glow.end > time_s - speed / 2 and glow.begin < time_s + speed / 2]  # fmt: skip
    shown = recording.lamps_at(time_s)
    calmed = list(shown)
    for lamp in range(len(shown)):
        seen = [colours[lamp] for colours in near if lamp < len(colours)]
        if _turns([max(rgb) / 255 for rgb in seen]) > 2 * FLASHES:
            red, green, blue = (round(sum(part) / len(seen)) for part in zip(*seen, strict=True))
            calmed[lamp] = (red, green, blue)
    return tuple(calmed)


def _turns(values: Sequence[float]) -> int:
    """Give how often values turn from rising to falling or back, by a tenth or more."""
    count, way = 0, 0
    edge = values[0] if values else 0.0
    for value in values:
        fresh = 1 if value > edge else -1
        if abs(value - edge) >= 0.1 and fresh != way:
            count, way, edge = count + 1, fresh, value
        elif (value - edge) * way > 0:
            edge = value
    return count


def gif(
    recording: Recording, *, table: Table | None = None, targets: Sequence[Target] = (),
    speed: float = 1.0, frames_per_second: float = 10.0,
) -> bytes:  # fmt: skip
    """Give a recording as the bytes of an animated GIF that plays once.

    Args:
        recording: What to show.
        table: The table it happened on.
        targets: Where the tug should have gone.
        speed: How many of its seconds pass in one of the viewer's.
        frames_per_second: Pictures in one of the viewer's seconds, at most 25.

    Raises:
        KitError: It would have no pictures, or more than 300.
    """
    if not (speed > 0 and 0 < frames_per_second <= 25):
        raise KitError(
            f"Speed {speed!r} with {frames_per_second!r} pictures a second cannot be shown.",
            hint="take a speed above 0, and 25 pictures a second at most.",
        )
    step = speed / frames_per_second
    count = int(recording.seconds / step + 1e-9) + 1
    if count > _MOST_FRAMES:
        raise KitError(
            f"The animation would have {count} pictures, at most {_MOST_FRAMES} are made.",
            hint=f"raise the speed to {recording.seconds * frames_per_second / _MOST_FRAMES:.1f}.",
        )
    with styled():
        drawn, axes = _stage(recording, table, targets)
        canvas = FigureCanvasAgg(drawn)
        canvas.draw()  # type: ignore[no-untyped-call]
        still = canvas.copy_from_bbox(drawn.bbox)  # type: ignore[no-untyped-call]
        pictures = []
        for k in range(count):
            canvas.restore_region(still)  # type: ignore[no-untyped-call]
            _frame(drawn, axes, recording, min(k * step, recording.seconds), speed)
            pixels = bytes(canvas.buffer_rgba())  # type: ignore[no-untyped-call]
            size = canvas.get_width_height()
            pictures.append(Image.frombytes("RGBA", size, pixels).convert("RGB"))
    palette = _palette(pictures, recording)
    flat = [mapped(picture, palette) for picture in pictures]
    kept = io.BytesIO()
    flat[0].save(kept, format="GIF", save_all=True, append_images=flat[1:],
                 duration=round(1000 / frames_per_second), optimize=False, disposal=1)  # fmt: skip
    return kept.getvalue()


def _palette(pictures: Sequence[Image.Image], recording: Recording) -> np.ndarray[Any, Any]:
    """Give one palette for all pictures: the lamps' colours, and the commonest of the others."""
    lit = {rgb for glow in glows(recording) for rgb in glow.colours if any(rgb)}
    wanted = [tuple(bytes.fromhex(lamp_hex(rgb)[1:])) for rgb in sorted(lit)[:64]]
    counted: Counter[Any] = Counter()
    for picture in pictures[:: max(1, len(pictures) // 5)]:
        for count, colour in picture.getcolors(1 << 14) or ():
            counted[colour] += count
    common = [colour for colour, _ in counted.most_common(256) if colour not in wanted]
    return np.array((wanted + common)[:256])


def _stage(
    recording: Recording, table: Table | None, targets: Sequence[Target]
) -> tuple[Figure, Axes]:
    """Draw what does not move."""
    extent = extent_of([recording], table, targets)
    high = (_WIDE - 0.6) * (extent[3] - extent[2]) / (extent[1] - extent[0])
    drawn = new_figure(_WIDE, high + _TOP + 0.4)
    axes = plan_axes(drawn, extent, (0.45, _TOP, _WIDE - 0.6, high))
    if table is not None:
        draw_table(axes, table)
    draw_targets(Plan(axes), targets)
    tracks = recording.tracks
    draw_ghost(axes, (tracks["x"][0], tracks["y"][0], tracks["heading"][0]))
    drawn.text(0.45 / _WIDE, 1 - 0.2 / drawn.get_figheight(),
               f"{recording.program} on the {recording.table}, {recording.tug}",
               fontsize=SIZE, color=QUIET, va="baseline")  # fmt: skip
    return drawn, axes


def _frame(drawn: Figure, axes: Axes, recording: Recording, time_s: float, speed: float) -> None:
    """Draw what moves, as it is at a time, and take it off the axes again."""
    tracks = recording.tracks
    before = set(axes.get_children())
    until = min(int(time_s / max(tracks["t"][1], 1e-9) + 1e-6) + 1, len(tracks["x"]))
    axes.plot(tracks["x"][:until], tracks["y"][:until], color=LINES[0].colour, linewidth=1.8,
              zorder=2.5)  # fmt: skip
    if "float_x" in tracks:
        place = (recording.at("float_x", time_s), recording.at("float_y", time_s))
        draw_float(axes, place, place)
    pose = (recording.at("x", time_s), recording.at("y", time_s), recording.at("heading", time_s))
    arm = recording.at("arm", time_s) if "arm" in tracks else None
    draw_tug(axes, pose, calm_lamps(recording, time_s, speed), arm)
    clock = drawn.text(0.97, 1 - 0.2 / drawn.get_figheight(), f"{time_s:.1f} s", fontsize=SIZE,
                       color=INK, ha="right", va="baseline", fontweight="bold")  # fmt: skip
    fresh = [artist for artist in axes.get_children() if artist not in before]
    for artist in sorted(fresh, key=lambda a: a.get_zorder()):
        axes.draw_artist(artist)
    drawn.draw_artist(clock)
    for artist in (*fresh, clock):
        artist.remove()


def keep(
    recording: Recording, path: str | Path, *, table: Table | None = None,
    targets: Sequence[Target] = (), speed: float = 1.0,
) -> Path:  # fmt: skip
    """Write a recording as a picture: .png, .svg or .pdf, or moving as .gif.

    Args:
        recording: What to show.
        path: The file; its ending says of which kind.
        table: The table it happened on; without it the recording's own.
        targets: Where the tug should have gone.
        speed: Of a .gif: how many of its seconds pass in one of the viewer's.

    Returns:
        The file's path.

    Raises:
        KitError: No such kind of file, or a .gif would be too long.
    """
    path = Path(path)
    place = table if table is not None else make_table(recording.table, recording.seed)
    if path.suffix.lower() == ".gif":
        path.write_bytes(gif(recording, table=place, targets=targets, speed=speed))
        return path
    return save(figure(recording, table=place, targets=targets), path)
