"""A recording in a file by one call: still or moving, to scale, in time, and without flashes."""

from __future__ import annotations

import io
import itertools
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from robotsim import KitError
from robotsim.show.moving import calm_lamps, gif, keep
from robotsim.show.scene import HULL
from tests.robotsim.show.recordings import OFF, Basin, lamps, recording

LEGS = [(2.0, 0.2, 0.4), (1.0, 0.0, 0.0)]
RUN = recording(seconds=3.0, legs=LEGS)


@pytest.fixture(scope="module")
def moving() -> Image.Image:
    return Image.open(io.BytesIO(gif(RUN, table=Basin())))


def middle(picture: Image.Image) -> tuple[float, float]:
    """Find the hull in a picture, in m, by the deck's colour between the walls."""
    pixels = np.asarray(picture.convert("RGB")).astype(int)

    def near(colour: tuple[int, int, int]) -> tuple[np.ndarray, np.ndarray]:
        """Give the columns and rows with more than a few pixels of a colour, letters' edges not."""
        found = np.abs(pixels - colour).sum(axis=2) < 4
        return np.nonzero(found.sum(axis=0) > 4)[0], np.nonzero(found.sum(axis=1) > 4)[0]

    floor, deck = near((250, 250, 247)), near((201, 209, 217))
    scale = (floor[0].max() - floor[0].min() + 1) / 1.2
    x, y = ((values.max() + values.min() + 1) / 2 for values in deck)
    assert (deck[0].max() - deck[0].min() + 1) / scale == pytest.approx(2 * HULL, abs=8 / scale)
    return (x - floor[0].min()) / scale, (floor[1].max() + 1 - y) / scale


def test_the_tug_is_where_the_recording_has_it_in_every_picture(moving: Image.Image) -> None:
    assert moving.n_frames == 31  # type: ignore[attr-defined]
    assert moving.info["duration"] == 100 and "loop" not in moving.info  # it plays once
    for k in (0, 7, 16, 30):
        moving.seek(k)
        x, y = middle(moving)
        assert (x, y) == pytest.approx((RUN.at("x", k / 10), RUN.at("y", k / 10)), abs=0.006)


def test_a_higher_speed_gives_fewer_pictures_and_too_many_are_refused() -> None:
    with Image.open(io.BytesIO(gif(RUN, speed=10))) as quick:
        assert quick.n_frames == 4  # type: ignore[attr-defined]
    with pytest.raises(KitError, match="raise the speed to 2.0"):
        gif(recording(seconds=60))
    for bad in ({"speed": 0}, {"frames_per_second": 60}):
        with pytest.raises(KitError, match="cannot be shown"):
            gif(RUN, **bad)


def test_a_lamp_that_flashes_too_often_for_a_moving_picture_is_shown_as_its_mean() -> None:
    """WCAG 2.2, 2.3.1: 2 Hz passes, 4 Hz fails (read)."""

    def shown(hertz: float, speed: float) -> list[int]:
        frames = [lamps(k / 2 / hertz, ((250 * (k % 2), 0, 0), *(OFF,) * 4))
                  for k in range(int(10 * hertz))]  # fmt: skip
        run = recording(seconds=5, events=frames)
        return [calm_lamps(run, 1 + k / 100 * speed, speed)[0][0] for k in range(100)]

    for hertz, speed in ((2, 1), (4, 0.5), (2.5, 1)):
        assert {0, 250} == {*shown(hertz, speed)}
    for hertz, speed in ((4, 1), (10, 1), (2, 2)):
        steady = shown(hertz, speed)
        assert max(abs(a - b) for a, b in itertools.pairwise(steady)) < 40
        assert sum(steady) / 100 == pytest.approx(125, abs=20)


def test_one_call_keeps_a_recording_in_any_kind_of_file(tmp_path: Path) -> None:
    begins = {".png": b"\x89PNG", ".svg": b"<?xml", ".pdf": b"%PDF", ".gif": b"GIF89a"}
    for ending, head in begins.items():
        path = keep(RUN, tmp_path / f"run{ending}", speed=4)
        assert path.read_bytes().startswith(head)
    with pytest.raises(KitError, match=r"\.png, \.svg or \.pdf"):
        keep(RUN, tmp_path / "run.bmp")


def test_the_same_recording_gives_the_same_bytes() -> None:
    assert gif(RUN, speed=5) == gif(RUN, speed=5)
