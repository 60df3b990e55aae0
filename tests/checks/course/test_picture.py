from __future__ import annotations

from pathlib import Path

import numpy as np
from matplotlib.image import imread

from checks.course.scores import Score
from checks.demo.marked import table
from checks.demo.picture import draw_scores


def score(learner: str, points: float, *, by_hand: bool = False, handed_in: bool = True) -> Score:
    return Score(learner, "pier", "pier-hello", points, 4.0, by_hand, handed_in)


def blue(file: Path) -> int:
    """Count the pixels of the bars."""
    picture = np.asarray(imread(file))[..., :3]
    return int((np.abs(picture - (0x56 / 255, 0xB4 / 255, 0xE9 / 255)).max(axis=2) < 0.02).sum())


def test_bars_are_as_long_as_the_scores(tmp_path: Path) -> None:
    areas = [
        blue(draw_scores([score("alma", points)], tmp_path / "a.png", "Scores"))
        for points in (0.0, 1.0, 2.0, 4.0)
    ]
    assert areas[0] == 0
    assert 0.9 < areas[2] / (2 * areas[1]) < 1.1
    assert 0.9 < areas[3] / (2 * areas[2]) < 1.1


def test_the_table_tells_nothing_earned_from_not_handed_in_and_not_marked() -> None:
    rows = table([
        score("alma", 2.5), score("bruno", 0.0), score("cleo", 0.0, by_hand=True),
        score("dario", 0.0, handed_in=False),
    ]).splitlines()  # fmt: skip
    assert [row.split() for row in rows[1:6]] == [
        ["most", "4", "4"], ["alma", "2.5", "2.5"], ["bruno", "0", "0"], ["cleo", "*", "0"],
        ["dario", "-", "0"],
    ]  # fmt: skip
