"""A figure as a file: exact colours, its words inside, the same bytes each time."""

from __future__ import annotations

import io
from pathlib import Path

import numpy as np
import pytest
from matplotlib.figure import Figure
from PIL import Image

from robotsim.errors import KitError
from robotsim.show.compose import figure
from robotsim.show.files import png, save, svg
from robotsim.show.words import alt_text
from tests.robotsim.show.recordings import Basin, drift


@pytest.fixture(scope="module")
def drawn() -> Figure:
    return figure(drift(), table=Basin())


def opened(data: bytes) -> Image.Image:
    return Image.open(io.BytesIO(data))


def test_the_palette_keeps_areas_exactly_and_edges_nearly(drawn: Figure) -> None:
    full = io.BytesIO()
    drawn.savefig(full, format="png", dpi=130)
    small = png(drawn)
    a = np.asarray(opened(full.getvalue()).convert("RGB")).astype(int)
    b = np.asarray(opened(small).convert("RGB")).astype(int)
    off = np.abs(a - b).max(axis=2)
    assert off.max() <= 48 and (off > 12).mean() < 0.005 and (off == 0).mean() > 0.95
    assert tuple(b[0, 0]) == (255, 255, 255)
    assert len(small) < 0.6 * len(full.getvalue()) and len(small) < 80_000
    for lamp in ((255, 0, 0), (0, 255, 0)):
        assert (b == lamp).all(axis=2).sum() > 1000


def test_the_picture_has_the_size_asked_for_and_its_words(drawn: Figure) -> None:
    shown = opened(png(drawn, dots_per_inch=60))
    assert shown.size[0] == 600
    assert shown.info["Description"] == alt_text(drift())


def test_the_same_figure_gives_the_same_bytes() -> None:
    one, other = (figure(drift(), table=Basin()) for _ in range(2))
    assert png(one) == png(other)
    assert svg(one) == svg(other)


def test_svg_has_its_words_as_title(drawn: Figure) -> None:
    assert f"<title>{alt_text(drift())}</title>" in svg(drawn)


@pytest.mark.parametrize("ending", [".png", ".svg", ".pdf"])
def test_figures_are_saved_by_the_ending_of_the_name(
    drawn: Figure, tmp_path: Path, ending: str
) -> None:
    path = save(drawn, tmp_path / f"run{ending}")
    begins = {".png": b"\x89PNG", ".svg": b"<?xml", ".pdf": b"%PDF"}[ending]
    assert path.read_bytes().startswith(begins)


def test_an_unknown_ending_is_refused(drawn: Figure, tmp_path: Path) -> None:
    with pytest.raises(KitError, match=r"\.jpeg") as caught:
        save(drawn, tmp_path / "run.jpeg")
    assert ".png, .svg or .pdf" in caught.value.hint
    assert not list(tmp_path.iterdir())
