"""Numbers on a card."""

from __future__ import annotations

import pytest

from checks.words import amount, counted, late_by, listed, told_apart, typed


def test_nothing_has_no_sign() -> None:
    assert (amount(-0.2, 0), amount(-0.0), amount(-1.5, 1)) == ("0", "0.00", "-1.5")


@pytest.mark.parametrize(
    ("value", "limit", "shown"),
    [(0.0404, 0.04, "0.0404"), (0.05, 0.04, "0.05"), (0.04, 0.04, "0.04")],
)
def test_what_is_past_its_limit_is_seen_to_be(value: float, limit: float, shown: str) -> None:
    assert told_apart(value, limit) == shown


def test_things_are_counted_and_listed() -> None:
    assert [counted(n, what) for n, what in ((1, "step"), (2, "step"), (3, "flash"))] == [
        "1 step", "2 steps", "3 flashes",
    ]  # fmt: skip
    assert listed(["a"]) == "a" and listed(["a", "b", "c"]) == "a, b and c"


def test_a_path_in_a_command_to_copy_stands_in_quotation_marks_where_it_needs_them() -> None:
    assert typed("/home/my-class/../a_b") == "/home/my-class/../a_b"
    assert typed("/home/my class") == '"/home/my class"' and typed("a;b") == '"a;b"'
    assert typed("/home/Übung") == "/home/Übung"


@pytest.mark.parametrize(
    ("seconds", "words"),
    [(1, "1 second"), (59.6, "1 minute"), (3600, "1 hour"), (7384, "2 hours 3 minutes"),
     (86400 + 60, "1 day"), (3 * 86400 + 14 * 3600 + 59, "3 days 14 hours")],
)  # fmt: skip
def test_how_late_something_came_is_told_as_it_is(seconds: float, words: str) -> None:
    """One second was told as 0.1 hours, three days and a half as four days."""
    assert late_by(seconds / 3600) == words
