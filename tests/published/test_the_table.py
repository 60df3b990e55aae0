"""The table that the checks print says what is off, and by how much."""

from __future__ import annotations

import pytest

from tests.published.table import Between, difference, lines, row


@pytest.mark.parametrize(
    ("published", "ours", "words"),
    [
        (0.1, 0.1, "none"), (0.1, 0.0999, "-0.0001 (-0.1 %)"), (0, 2e-4, "+0.0002"),
        (0.3, 0.1 + 0.2, "none"),
        (-2.0, -2.1, "-0.1 (-5 %)"), ("80 FF 01", "80 FF 01", "none"), ("5000", "4000", "differs"),
        ((-10, -2), (-9.99, -2.0025), "-0.0025 (-0.12 %)"),
        (Between(250, 950), 950.0, "within"), (Between(250, 950), 249.9, "outside"),
        (Between(None, 20), 21, "outside"), (Between(50, None), 51, "within"),
    ],
)  # fmt: skip
def test_a_difference_is_told(published: object, ours: object, words: str) -> None:
    assert difference([(published, ours)]) == words


def test_values_that_cannot_be_paired_are_not_compared() -> None:
    with pytest.raises(ValueError):
        difference([((1, 2), (1, 2, 3))])


def test_the_lines_are_a_table_of_markdown() -> None:
    made = lines([row("servo", "dead band, us", [(5, 5.0)], "sheet (T)")])
    assert len({len(line) for line in made}) == 1 and len(made) == 3
    assert made[2].replace(" ", "") == "|servo|deadband,us|5|5|none|sheet(T)|"


def test_what_is_told_under_one_name_stands_in_one_row() -> None:
    made = row("servo", "60 degrees, s", [(0.12, 0.121), (0.10, 0.102)], "sheet (T)")
    assert made[2:5] == ("0.12, 0.1", "0.121, 0.102", "+0.002 (+2 %)")
    noise = row("motion", "noise", [(Between(0, 5), 4), (Between(0, 5), 6)], "sheet (R)")
    assert noise[2:5] == ("0 to 5", "4, 6", "outside")
