"""Axes: a part of a figure with two scales, and what is drawn to them."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from typing import Any

from . import marks
from .letters import ASCENT, DESCENT
from .limits import limited
from .marks import Point
from .scale import RC, Scale, Spine
from .shapes import Shape
from .side import Side

__all__ = ["Axes"]

_GAP = 3.5
"""From a tick to its label, in points (matplotlib's `xtick.major.pad`)."""


@limited
class Axes:
    """Axes on a figure, by matplotlib's names; what they do here is told by its documentation.

    Args:
        place: Left, bottom, width and height in points.
        name: What no other axes of the figure are called.
        label: What they show.
    """

    def __init__(self, place: tuple[float, float, float, float], name: str, label: str) -> None:
        self._place, self._name, self._label = place, name, label
        self._box, self._ends = place, ((0.0, 1.0), (0.0, 1.0))
        self._x, self._y = Scale(RC["xtick.labelsize"]), Scale(RC["ytick.labelsize"])
        self._made: list[tuple[float, Callable[[], str]]] = []
        self._grid: list[tuple[str, dict[str, Any]]] = []
        self._off = self._equal = False
        self._xlabel = ""
        self.spines = {side: Spine(visible=RC.get(f"axes.spines.{side}", True))
                       for side in ("left", "bottom", "top", "right")}  # fmt: skip
        self.transAxes = self._share

    # places

    def _settle(self) -> None:
        """Settle where the axes are in points, with equal scales where that is asked."""
        left, low, wide, high = self._place
        xs, ys = self._x.ends(), self._y.ends()
        if self._equal:
            scale = min(wide / (xs[1] - xs[0]), high / (ys[1] - ys[0]))
            w, h = scale * (xs[1] - xs[0]), scale * (ys[1] - ys[0])
            left, low, wide, high = left + (wide - w) / 2, low + (high - h) / 2, w, h
        self._box, self._ends = (left, low, wide, high), (xs, ys)

    def _at(self, point: Point) -> Point:
        (x0, x1), (y0, y1) = self._ends
        return self._share(((point[0] - x0) / (x1 - x0), (point[1] - y0) / (y1 - y0)))

    def _share(self, point: Point) -> Point:
        left, low, wide, high = self._box
        return left + wide * point[0], low + high * point[1]

    def _draw(self, zorder: float, made: Callable[[], str]) -> None:
        self._made.append((zorder, made))

    def _clip(self, clip_on: bool = True) -> str | None:
        return f"url(#{self._name})" if clip_on else None

    # what is drawn

    def plot(
        self, xs: Iterable[float], ys: Iterable[float], kind: str = "", *, color: str,
        linewidth: float | None = None, linestyle: Any = None, marker: str = "",
        markersize: float = 6.0, markerfacecolor: str | None = None,
        markeredgecolor: str | None = None, solid_capstyle: str | None = None,
        solid_joinstyle: str = "round", drawstyle: str = "default",
        clip_on: bool = True, zorder: float = 2.0, gid: str | None = None,
    ) -> None:  # fmt: skip
        """Draw a line, or a marker at each point."""
        points = list(zip(xs, ys, strict=True))
        if drawstyle == "steps-post":
            points = marks.stepped(points, "post")
        self._x.seen += [x for x, _ in points]
        self._y.seen += [y for _, y in points]
        width = RC["lines.linewidth"] if linewidth is None else linewidth
        marker = marker or kind
        if not kind and linestyle != "none" and points:
            cap = solid_capstyle or RC["lines.solid_capstyle"]
            style = linestyle or "solid"
            self._draw(zorder, lambda: marks.line(
                [self._at(p) for p in points], color=color, linewidth=width, linestyle=style,
                capstyle=cap, joinstyle=solid_joinstyle, clip=self._clip(clip_on),
                gid=gid))  # fmt: skip
        if marker:
            self._draw(zorder, lambda: marks.markers(
                [self._at(p) for p in points], marker, size=markersize, gid=gid,
                face=color if markerfacecolor is None else markerfacecolor,
                edge=markeredgecolor or color, clip=self._clip(clip_on)))  # fmt: skip

    def step(self, xs: Sequence[float], ys: Sequence[float], *, where: str, **style: Any) -> None:
        """Draw a line of steps."""
        corners = marks.stepped(list(zip(xs, ys, strict=True)), where)
        self.plot([x for x, _ in corners], [y for _, y in corners], **style)

    def _area(self, zorder: float, corners: Callable[[], list[Point]], **style: Any) -> None:
        colour = style.pop("color", None)
        style = {"facecolor": colour, "edgecolor": colour or "none", **style}
        self._draw(zorder, lambda: marks.area(corners(), clip=self._clip(), **style))

    def axvspan(self, begin: float, end: float, **style: Any) -> None:
        """Fill from one place to another, over the whole height."""
        self._area(1.0, lambda: [
            (self._at((x, 0.0))[0], self._share((0.0, y))[1])
            for x, y in ((begin, 0.0), (end, 0.0), (end, 1.0), (begin, 1.0))], **style)  # fmt: skip

    def axhspan(self, begin: float, end: float, **style: Any) -> None:
        """Fill from one height to another, over the whole width."""
        self._area(1.0, lambda: [
            (self._share((x, 0.0))[0], self._at((0.0, y))[1])
            for x, y in ((0.0, begin), (1.0, begin), (1.0, end), (0.0, end))], **style)  # fmt: skip

    def fill_between(self, xs: Sequence[float], low: float, high: float, **style: Any) -> None:
        """Fill between two heights."""
        (a, b), (c, d) = (xs[0], low), (xs[-1], high)
        self._area(1.0, lambda: [self._at(p) for p in ((a, b), (c, b), (c, d), (a, d))], **style)

    def barh(self, y: float, width: float, height: float, left: float, **style: Any) -> None:
        """Draw a bar that lies, its middle at a height."""
        low, high = y - height / 2, y + height / 2
        self._area(1.0, lambda: [self._at(p) for p in (
            (left, low), (left + width, low), (left + width, high), (left, high))],
            **style)  # fmt: skip

    def axhline(self, y: float, *, zorder: float = 2.0, **style: Any) -> None:
        """Draw a line at a height, over the whole width."""
        self._draw(zorder, lambda: marks.line(
            [(self._share((x, 0.0))[0], self._at((0.0, y))[1]) for x in (0.0, 1.0)],
            clip=self._clip(), **style))  # fmt: skip

    def axvline(self, x: float, *, zorder: float = 2.0, **style: Any) -> None:
        """Draw a line at a place, over the whole height."""
        self._draw(zorder, lambda: marks.line(
            [(self._at((x, 0.0))[0], self._share((0.0, y))[1]) for y in (0.0, 1.0)],
            clip=self._clip(), **style))  # fmt: skip

    def add_artist(self, shape: Shape) -> None:
        """Draw a shape."""
        self._draw(shape.zorder, lambda: shape.drawn(self._at, self._clip()))

    def text(
        self, x: float, y: float, words: str, *, transform: Callable[[Point], Point] | None = None,
        clip_on: bool = False, **style: Any,
    ) -> None:  # fmt: skip
        """Write at a place; with `transform=axes.transAxes` at a share of the axes."""
        style = {"fontsize": RC["font.size"], "color": RC["text.color"], **style}
        place, clip = transform or self._at, self._clip() if clip_on else None
        self._draw(3.0, lambda: marks.text(*place((x, y)), words, clip=clip, **style))

    def get_xaxis_transform(self) -> Callable[[Point], Point]:
        """Give places whose x is drawn to scale, and whose y is a share of the axes."""
        return lambda point: (self._at((point[0], 0.0))[0], self._share((0.0, point[1]))[1])

    def secondary_yaxis(self, side: str, functions: tuple[Callable[[float], float], ...]) -> Side:
        """Give a second scale at the right; the second function leads back to the first scale."""
        return Side(self, functions[1])

    def annotate(
        self, words: str, xy: Point, *, xytext: Point, textcoords: str = "data",
        annotation_clip: bool | None = None, **style: Any,
    ) -> None:  # fmt: skip
        """Write at a place, or some points from one."""
        style = {"fontsize": RC["font.size"], "color": RC["text.color"], **style}

        def made() -> str:
            x, y = self._at(xytext if textcoords == "data" else xy)
            more = xytext if textcoords == "offset points" else (0.0, 0.0)
            return marks.text(x + more[0], y + more[1], words, **style)

        self._draw(3.0, made)

    def set_title(
        self, words: str, *, fontsize: float, color: str, loc: str, fontweight: str,
        pad: float = 6.0,
    ) -> None:  # fmt: skip
        """Write above the axes, at their left."""

        def made() -> str:
            x, y = self._share((0.0, 1.0))
            return marks.text(x, y + pad, words, fontsize=fontsize, color=color, ha=loc,
                              fontweight=fontweight)  # fmt: skip

        self._draw(3.0, made)

    # scales

    def set_xlim(self, low: float, high: float) -> None:
        """Set what the axes show from left to right."""
        self._x.limits = (low, high)

    def set_ylim(self, low: float, high: float) -> None:
        """Set what the axes show from bottom to top."""
        self._y.limits = (low, high)

    def set_xticks(self, ticks: Sequence[float], labels: Sequence[str] | None = None) -> None:
        """Set the ticks below, and what is written at them."""
        self._x.fixed, self._x.labels = list(ticks), None if labels is None else list(labels)

    def set_yticks(self, ticks: Sequence[float], labels: Sequence[str] | None = None) -> None:
        """Set the ticks at the left, and what is written at them."""
        self._y.fixed, self._y.labels = list(ticks), None if labels is None else list(labels)

    def set_xticklabels(self, labels: Sequence[str]) -> None:
        """Set what is written at the ticks below."""
        self._x.labels = list(labels)

    def set_xlabel(self, words: str) -> None:
        """Set what is written below the ticks."""
        self._xlabel = words

    def tick_params(self, *, axis: str, length: float, labelsize: float | None = None) -> None:
        """Set how long the ticks are, and how large their labels."""
        scale = {"x": self._x, "y": self._y}[axis]
        scale.length, scale.size = length, labelsize or scale.size

    def margins(self, share: float) -> None:
        """Leave room around what is drawn."""
        self._x.margin = self._y.margin = share

    def set_aspect(self, _: str) -> None:
        """Take the same scale in both directions."""
        self._equal = True

    def axis(self, _: str) -> None:
        """Leave out edges, ticks and labels."""
        self._off = True

    def grid(self, _: bool = True, *, axis: str = "both", **style: Any) -> None:
        """Draw a line at each tick."""
        usual = {"color": RC["grid.color"], "linewidth": float(RC["grid.linewidth"])}
        self._grid.append((axis, {**usual, **style}))

    # the picture

    def svg(self) -> str:
        """Give all of it as SVG."""
        self._settle()
        left, low, wide, high = self._box
        clip = marks.attributes(x=left, y=-low - high, width=wide, height=high)
        if not self._off:
            self._scales()
        drawn = "".join(made() for _, made in sorted(self._made, key=lambda one: one[0]))
        told = marks.attributes(data_axes=self._label)
        return f'<clipPath id="{self._name}"><rect{clip}/></clipPath><g{told}>{drawn}</g>'

    def _scales(self) -> None:
        left, low, wide, high = self._box
        (xs, below), (ys, beside) = self._x.ticks(wide, 3.0), self._y.ticks(high, 2.0)
        for axis, style in self._grid:
            for x in xs if axis != "y" else ():
                self.axvline(x, zorder=1.5, **style)
            for y in ys if axis != "x" else ():
                self.axhline(y, zorder=1.5, **style)
        width, size = float(RC["xtick.major.width"]), self._x.size
        down = low - self._x.length - _GAP
        for x, words in zip(xs, below, strict=True):
            at = self._at((x, 0.0))[0]
            self._bar([(at, low), (at, low - self._x.length)], width, RC["xtick.color"])
            self._write(at, down, words, size, RC["xtick.color"], "center", "top")
        side = left - self._y.length - _GAP
        for y, words in zip(ys, beside, strict=True):
            at = self._at((0.0, y))[1]
            self._bar([(left, at), (left - self._y.length, at)], width, RC["ytick.color"])
            self._write(side, at, words, self._y.size, RC["ytick.color"], "right", "center")
        if self._xlabel:
            under = down - ((ASCENT + DESCENT) * size if any(below) else 0.0) - 4.0
            self._write(left + wide / 2, under, self._xlabel, RC["axes.labelsize"],
                        RC["axes.labelcolor"], "center", "top")  # fmt: skip
        edge, width = RC["axes.edgecolor"], float(RC["axes.linewidth"])
        corners = {"left": (0, 0, 0, 1), "bottom": (0, 0, 1, 0), "top": (0, 1, 1, 1),
                   "right": (1, 0, 1, 1)}  # fmt: skip
        for name, (a, b, c, d) in corners.items():
            if self.spines[name].visible:
                self._bar([self._share((a, b)), self._share((c, d))], width, edge, 2.5)

    def _beside(self, ticks: Sequence[float], labels: Sequence[str]) -> None:
        """Draw ticks at the right, at heights of the scale, with what is written at them."""

        def made() -> str:
            drawn, long = "", self._y.length
            for y, words in zip(ticks, labels, strict=True):
                x, at = self._share((1.0, 0.0))[0], self._at((0.0, y))[1]
                drawn += marks.line([(x, at), (x + long, at)], color=RC["ytick.color"],
                                    linewidth=float(RC["xtick.major.width"]), capstyle="butt")
                drawn += marks.text(x + long + _GAP, at, words, fontsize=self._y.size,
                                    color=RC["ytick.color"], va="center")  # fmt: skip
            return drawn

        self._draw(3.0, made)

    def _bar(self, points: list[Point], width: float, colour: str, zorder: float = 2.01) -> None:
        self._draw(zorder, lambda: marks.line(points, color=colour, linewidth=width,
                                              capstyle="butt"))  # fmt: skip

    def _write(
        self, x: float, y: float, words: str, size: float, colour: str, ha: str, va: str
    ) -> None:
        self._draw(3.0, lambda: marks.text(x, y, words, fontsize=size, color=colour, ha=ha, va=va))
