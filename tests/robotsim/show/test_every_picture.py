"""What must hold of the picture of any recording: legible, whole, quick and told in words."""

from __future__ import annotations

import itertools
import warnings
from typing import Any

import pytest
from matplotlib.figure import Figure
from matplotlib.text import Text
from matplotlib.transforms import Bbox

from robotsim.show.colours import PAPER, contrast
from robotsim.show.compose import figure
from robotsim.show.files import png
from robotsim.show.lines import MOST_RUNS
from robotsim.show.repeats import repeats_figure
from robotsim.show.results import histogram
from robotsim.show.several import compare
from robotsim.show.style import styled
from robotsim.show.words import alt_text
from robotsim.table import TABLES, make_table
from tests.robotsim.show.recordings import Basin, drift, recording
from tests.robotsim.show.scenes import SCENES, TARGETS

OTHER = recording(legs=[(0.3, 0, 0), (3.9, 0.235, -0.01)])


def _pictures() -> dict[str, Any]:
    made: dict[str, Any] = {
        name: lambda r=r, t=t, g=g: figure(r, table=t, targets=g)
        for name, (r, t, g) in SCENES.items()
    }
    made["compared"] = lambda: compare(
        [drift(), OTHER], ["as it is", "trimmed"], table=Basin(), targets=TARGETS[:1],
        strip="aside",
    )  # fmt: skip
    for name in TABLES:
        made[f"at rest on the {name}"] = lambda name=name: _alike(name)
    made["moved by little"] = lambda: _alike("basin", (0.1, 0.02, -0.4))
    made["class"] = lambda: histogram([2, 5, 5, 7, 9, 10], limits=(0, 10), band=(6, 10))
    return made


def _alike(name: str, *legs: tuple[float, float, float]) -> Figure:
    """Give the picture of as many runs as may be, that all end in one place."""
    table = make_table(name)
    made = recording(legs=legs, start=table.start, table=name)
    return repeats_figure([made] * MOST_RUNS, table)


PICTURES = _pictures()


def written(drawn: Figure) -> list[tuple[Text, Bbox]]:
    """Give all visible texts of a figure with their boxes in dots."""
    with styled():
        drawn.canvas.draw()
    renderer = drawn.canvas.get_renderer()  # type: ignore[attr-defined]
    unseen = set()  # matplotlib keeps tick labels outside the limits, and does not draw them
    for axis in (axis for axes in drawn.axes for axis in (axes.xaxis, axes.yaxis)):
        low, high = sorted(axis.get_view_interval())
        pad = 1e-6 * (high - low)
        for tick in axis.get_major_ticks():
            if not axis.axes.axison or not low - pad <= tick.get_loc() <= high + pad:
                unseen |= {tick.label1, tick.label2}
    found = []
    for text in drawn.findobj(Text):
        if text.get_text().strip() and text.get_visible() and text not in unseen:
            found.append((text, text.get_window_extent(renderer)))
    return found


@pytest.mark.parametrize("name", PICTURES)
def test_no_two_texts_overlap(name: str) -> None:
    for (one, a), (other, b) in itertools.combinations(written(PICTURES[name]()), 2):
        wide = min(a.x1, b.x1) - max(a.x0, b.x0)
        high = min(a.y1, b.y1) - max(a.y0, b.y0)
        # a box reaches from the tallest to the deepest letter: let boxes touch, not letters
        assert wide < 1 or high < 2.5, f"{one.get_text()!r} and {other.get_text()!r} overlap"


@pytest.mark.parametrize("name", PICTURES)
def test_no_text_is_cut_off_at_the_edge(name: str) -> None:
    drawn = PICTURES[name]()
    width, height = drawn.get_size_inches() * drawn.dpi
    for text, box in written(drawn):
        assert box.x0 >= 2 and box.y0 >= 2, text.get_text()
        assert box.x1 <= width - 2 and box.y1 <= height - 2, text.get_text()


@pytest.mark.parametrize("name", PICTURES)
def test_every_text_is_at_least_eight_points_and_readable(name: str) -> None:
    from matplotlib.colors import to_hex

    for text, _ in written(PICTURES[name]()):
        assert text.get_fontsize() >= 8.0, text.get_text()
        if text.get_gid() == "lamp text":  # stands on its lamp's colour; see test_lanes
            continue
        assert contrast(to_hex(text.get_color()), PAPER) >= 4.5, text.get_text()


@pytest.mark.parametrize("name", SCENES)
def test_the_picture_carries_its_words(name: str) -> None:
    shown, table, targets = SCENES[name]
    drawn = figure(shown, table=table, targets=targets)
    assert drawn.get_label() == alt_text(shown)
    assert len(drawn.get_label()) > 30


@pytest.mark.parametrize("name", SCENES)
def test_the_picture_fits_a_notebook_cell(name: str) -> None:
    shown, table, targets = SCENES[name]
    width, height = figure(shown, table=table, targets=targets).get_size_inches()
    assert width == 10 and 1.0 <= height <= 7.5


@pytest.mark.parametrize("name", SCENES)
def test_drawing_warns_of_nothing(name: str) -> None:
    """How long it takes is told by tests/benchmarks."""
    shown, table, targets = SCENES[name]
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        png(figure(shown, table=table, targets=targets))


def test_no_window_system_is_touched() -> None:
    import subprocess
    import sys

    code = (
        "import sys, robotsim.show\n"
        "assert 'matplotlib' not in sys.modules and 'numpy' not in sys.modules\n"
        "robotsim.show.figure\n"
        "assert 'matplotlib.pyplot' not in sys.modules"
    )
    subprocess.run([sys.executable, "-W", "error", "-c", code], check=True, cwd=".")
