"""What must hold of the picture of any recording: legible, whole, quick and told in words."""

from __future__ import annotations

import warnings
from typing import Any

import pytest
from matplotlib.figure import Figure

from robotsim.show.colours import PAPER, contrast
from robotsim.show.compose import figure
from robotsim.show.files import png
from robotsim.show.lines import MOST_RUNS
from robotsim.show.repeats import repeats_figure
from robotsim.show.results import histogram
from robotsim.show.several import compare
from robotsim.show.words import alt_text
from robotsim.table import TABLES, make_table
from tests.robotsim.show.legible import check_apart, check_within, written
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


@pytest.fixture(scope="module", params=PICTURES)
def drawn(request: pytest.FixtureRequest) -> Figure:
    """Each picture in turn, made once for those who only look at it."""
    made: Figure = PICTURES[request.param]()
    return made


def test_no_two_texts_overlap(drawn: Figure) -> None:
    check_apart(drawn)


def test_no_text_is_cut_off_at_the_edge(drawn: Figure) -> None:
    check_within(drawn, margin=2)


def test_every_text_is_at_least_eight_points_and_readable(drawn: Figure) -> None:
    from matplotlib.colors import to_hex

    for text, _ in written(drawn):
        assert text.get_fontsize() >= 8.0, text.get_text()
        if text.get_gid() == "lamp text":  # stands on its lamp's colour; see test_lanes
            continue
        assert contrast(to_hex(text.get_color()), PAPER) >= 4.5, text.get_text()


@pytest.mark.parametrize("drawn", SCENES, indirect=True)
def test_the_picture_carries_its_words(drawn: Figure, request: pytest.FixtureRequest) -> None:
    shown, _, _ = SCENES[request.node.callspec.params["drawn"]]
    assert drawn.get_label() == alt_text(shown)
    assert len(drawn.get_label()) > 30


@pytest.mark.parametrize("drawn", SCENES, indirect=True)
def test_the_picture_fits_a_notebook_cell(drawn: Figure) -> None:
    width, height = drawn.get_size_inches()
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
