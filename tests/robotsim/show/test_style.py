"""Placing text and ticks: nothing overlaps, nothing warns, nothing of the learner's is changed."""

from __future__ import annotations

import matplotlib
import pytest

from robotsim.show.style import drawable, fitted, spread, styled, text_inches, time_ticks


@pytest.mark.parametrize("wanted", [[0.0, 0.0, 0.0], [1, 0.95, 0.5, 0.51], [0.2], []])
def test_spread_labels_keep_apart_in_order_and_inside(wanted: list[float]) -> None:
    placed = spread(wanted, 0.1, 0.0, 1.0)
    ranks = sorted(range(len(wanted)), key=lambda k: wanted[k])
    ordered = [placed[k] for k in ranks]
    assert all(b - a >= 0.1 - 1e-9 for a, b in zip(ordered, ordered[1:], strict=False))
    assert all(0.0 <= p <= 1.0 for p in placed)


def test_labels_that_have_room_stay_where_they_are() -> None:
    assert spread([0.1, 0.9, 0.5], 0.1, 0.0, 1.0) == [0.1, 0.9, 0.5]


def test_more_labels_than_fit_are_spaced_evenly() -> None:
    assert spread([0.5] * 5, 0.5, 0.0, 1.0) == pytest.approx([0, 0.25, 0.5, 0.75, 1])


def test_fitted_text_is_no_wider_than_asked() -> None:
    long = "a rather long line of text " * 4
    for inches in (0.3, 1.0, 2.5):
        assert 0 < text_inches(fitted(long, inches)) <= inches
    assert fitted("short", 5.0) == "short"


def test_unknown_characters_become_a_box_and_controls_a_space() -> None:
    assert drawable("\u4f60\u597d") == "\u25a1\u25a1"
    assert drawable("a\tb\x07") == "a b "
    assert drawable("αβγ жзи °") == "αβγ жзи °"


@pytest.mark.parametrize("length", [0.02, 0.3, 1, 2.5, 5, 12, 60, 600])
def test_time_ticks_are_round_and_few(length: float) -> None:
    ticks = time_ticks(length)
    assert 3 <= len(ticks) <= 9 and ticks[0] == 0 and ticks[-1] <= length + 1e-9
    first = f"{ticks[1]:e}"[0]
    assert first in "125"


def test_our_style_leaves_the_learners_as_it_was() -> None:
    before = dict(matplotlib.rcParams)
    with styled():
        assert matplotlib.rcParams["text.parse_math"] is False
    assert dict(matplotlib.rcParams) == before
