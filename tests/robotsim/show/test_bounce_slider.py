"""The slider for a switch that bounces: counts that follow from the model, a picture with words."""

from __future__ import annotations

import itertools

import pytest

from robotsim import KitError
from robotsim.show.bounce_slider import PRESSES_MS, bounce_figure, counted, levels


def test_without_looking_away_each_bounce_is_counted() -> None:
    falls = sum(a == 1 and b == 0 for a, b in itertools.pairwise((1, *levels())))
    assert len(counted(0)[0]) == falls > 2


@pytest.mark.parametrize("away_ms", [4, 10, 20, 45])
def test_looking_away_longer_than_the_bounce_counts_one_for_one(away_ms: int) -> None:
    found, _ = counted(away_ms)
    assert len(found) == len(PRESSES_MS)
    assert all(abs(when - begin) < 1 for when, (begin, _) in zip(found, PRESSES_MS, strict=True))


def test_looking_away_for_too_long_misses_a_press() -> None:
    assert len(counted(100)[0]) == 1


@pytest.mark.parametrize("away_ms", [0, 20, 120])
def test_the_picture_says_in_words_what_it_shows(away_ms: int) -> None:
    words = bounce_figure(away_ms).get_label()
    many = len(counted(away_ms)[0])
    assert f"{away_ms} ms" in words and f"counts {many} press" in words


def test_a_time_that_cannot_be_is_refused() -> None:
    with pytest.raises(KitError, match="from 0 to 120 ms"):
        bounce_figure(-1)
