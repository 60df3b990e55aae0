"""The slider for what is printed in each round: real runs, and words that tell what they cost."""

from __future__ import annotations

import pytest

from robotsim import KitError, make_table
from robotsim.show import figure
from robotsim.show.along import kept
from robotsim.show.print_slider import print_figure, printing, round_of
from tests.robotsim.show.legible import check_within

CHARACTER_MS = 10 / 115.2
"""Ten bits at 115200 baud: MicroPython quick reference (read)."""


def test_each_character_makes_a_round_longer_by_its_time_on_the_wire() -> None:
    rounds = [round_of(printing(n))[0] for n in (20, 120, 200)]
    assert rounds[1] - rounds[0] == pytest.approx(100 * CHARACTER_MS, abs=0.2)
    assert rounds[2] - rounds[1] == pytest.approx(80 * CHARACTER_MS, abs=0.2)


def test_a_little_print_does_nothing_and_a_long_one_makes_it_weave() -> None:
    weaving = [kept(printing(n)).weaving for n in (0, 40, 200, 300)]
    assert max(weaving[:2]) < 15 < 40 < weaving[2] < weaving[3]


@pytest.mark.parametrize("serial", [3, 7, 104])
def test_where_it_swerves_without_a_print_is_where_the_side_line_begins(serial: int) -> None:
    """The lesson says so: this program knows of no side line, and its outer eye meets it there."""
    side = next(stroke for stroke in make_table("channel").prints if stroke.name == "side line")
    begins = side.points[0][0] - side.width / 2
    way = kept(printing(0, serial))
    steps = zip(way.x[1:], way.off, way.off[1:], strict=False)
    before = [abs(b - a) for x, a, b in steps if x < begins and way.gone[way.x.index(x)] > 0.1]
    assert max(before) < 2.5 and way.x[-1] > begins, "in mm from one drawn moment to the next"
    far = max(zip(map(abs, way.under_way), way.x[-len(way.under_way) :], strict=True))
    assert far[1] > begins and far[0] > 8


def test_the_picture_says_how_long_a_round_is_and_how_busy_the_processor() -> None:
    label = print_figure(120).get_label()
    assert "A round takes 22 ms, 10 of it sleep: 46 rounds a second" in label
    assert "the processor busy for 54 %" in label
    drawn = print_figure(400)
    check_within(drawn)


def test_a_picture_of_a_run_shows_the_processor_when_asked() -> None:
    labels = [axes.get_label() for axes in figure(printing(120), processor=True).axes]
    assert "processor, busy in %" in labels


@pytest.mark.parametrize("characters", [-1, 401])
def test_so_many_cannot_be_tried(characters: int) -> None:
    with pytest.raises(KitError, match="cannot be tried"):
        printing(characters)
