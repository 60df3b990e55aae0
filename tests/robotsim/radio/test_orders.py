"""Orders and reports: what is taken, and that anything else is refused with its reason."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import robotsim.radio
from robotsim.radio import BadOrder, Manoeuvre, Report, log_topic, order_topic, read_order
from robotsim.radio.orders import LONGEST_ORDER, read_report

PAGE = (Path(robotsim.radio.__file__).parent / "ORDERS.md").read_text(encoding="utf-8")


def examples(after: str) -> list[str]:
    """Give the indented lines of the page that follow a line."""
    rows = PAGE.split(f"\n{after}\n")[1].strip("\n").split("\n")
    end = next((k for k, row in enumerate(rows) if not row.startswith("    ")), len(rows))
    return [re.split(r"   +", row.strip())[0] for row in rows[:end]]


GOOD, BAD = examples("Good:"), examples("Bad, and why:")


@pytest.mark.parametrize("text", GOOD)
def test_every_good_example_of_the_page_is_taken(text: str) -> None:
    assert read_order(text.encode()) != Manoeuvre()


@pytest.mark.parametrize("text", BAD)
def test_every_bad_example_of_the_page_is_refused(text: str) -> None:
    with pytest.raises(BadOrder):
        read_order(text.encode())


def test_the_page_has_examples_of_both() -> None:
    assert len(GOOD) >= 5 and len(BAD) >= 12


@pytest.mark.parametrize(
    ("payload", "reason"),
    [
        (b"", "not JSON"), (b"\xff\xfe", "UTF-8"), (b"x" * 1_000_000, "1000000 bytes"),
        (b"[" * LONGEST_ORDER, "not JSON"), (b"null", "no object"), (b'"speed"', "no object"),
        (b"{}", "neither"), (b'{"number": 1}', "neither"), (b'{"seconds": 1}', "neither"),
        (b'{"lamps": [1,2,3], "seconds": 1}', "go with a speed"),
        (b'{"speed": 0.6, "seconds": 1}', "-0.5 to 0.5"), (b'{"speed": -1, "seconds": 1}', "-0.5"),
        (b'{"speed": NaN, "seconds": 1}', "NaN"), (b'{"speed": -Infinity}', "-Infinity"),
        (b'{"speed": 1e999, "seconds": 1}', "-0.5"), (b'{"speed": null, "seconds": 1}', "a number"),
        (b'{"speed": 0.1, "seconds": -1}', "0 to 60"),
        (b'{"speed": 0.1, "seconds": 61}', "0 to 60"),
        (b'{"speed": 0.1, "seconds": 0}', "for ever"), (b'{"speed": 0.1}', "for ever"),
        (b'{"speed": 0.1, "seconds": 1, "radius": 0.01}', "at least 0.05"),
        (b'{"speed": 0.1, "seconds": 1, "radius": 0}', "at least 0.05"),
        (b'{"speed": 0.1, "seconds": 1, "radius": 1e6}', "-100 to 100"),
        (b'{"speed": 0, "number": 1.5}', "whole"), (b'{"speed": 0, "number": true}', "whole"),
        (b'{"speed": 0, "number": -1}', "whole"), (b'{"speed": 0, "Speed": 1}', "unknown"),
        (b'{"speed": 0, "speed": 0}', "twice"), (b'{"lamps": []}', "three whole"),
        (b'{"lamps": [256, 0, 0]}', "0 to 255"), (b'{"lamps": [1.0, 0, 0]}', "three whole"),
        (b'{"lamps": [true, 0, 0]}', "three whole"), (b'{"lamps": "red"}', "one colour"),
        (b'{"lamps": [[0,0,0],[0,0,0]]}', "one colour"), (b'{"lamps": [[0,0,0],1,2,3,4]}', "three"),
        (b"print(1)", "not JSON"), (b"{'speed': 0}", "not JSON"), (b'{"speed": 0} {}', "not JSON"),
    ],
)  # fmt: skip
def test_what_is_malformed_is_refused_with_its_reason(payload: bytes, reason: str) -> None:
    with pytest.raises(BadOrder, match=re.escape(reason)):
        read_order(payload)


def test_an_order_is_read_as_it_was_meant() -> None:
    given = b'{"speed": -0.2, "radius": 0.4, "seconds": 3, "lamps": [1, 2, 3], "number": 12}'
    assert read_order(given) == Manoeuvre(-0.2, 0.4, 3.0, ((1, 2, 3),), 12)
    assert read_order(b'{"speed": 0}') == Manoeuvre(0.0)


anything = st.one_of(
    st.binary(max_size=600), st.text(max_size=100).map(lambda text: text.encode("utf-8", "ignore")),
    st.dictionaries(
        st.sampled_from(["speed", "radius", "seconds", "lamps", "number", "x"]),
        st.one_of(st.floats(), st.integers(), st.booleans(), st.none(), st.text(max_size=5),
                  st.lists(st.integers(-1, 256), max_size=6)),
    ).map(lambda given: json.dumps(given).encode()),
)  # fmt: skip


@given(anything)
def test_whatever_comes_is_either_refused_or_within_all_limits(payload: bytes) -> None:
    try:
        order = read_order(payload)
    except BadOrder as reason:
        assert str(reason)
        return
    assert order.speed is None or -0.5 <= order.speed <= 0.5
    assert 0 <= order.seconds <= 60 and (order.seconds or not order.speed)
    assert order.radius is None or 0.05 <= abs(order.radius) <= 100
    assert order.lamps is None or all(0 <= b <= 255 for lamp in order.lamps for b in lamp)


def near(low: float, high: float) -> st.SearchStrategy[float]:
    return st.floats(low, high, allow_nan=False) | st.sampled_from([low, high])


byte = st.integers(0, 255)
colour = st.lists(byte, min_size=3, max_size=3)
right = st.fixed_dictionaries(
    {"speed": near(-0.5, 0.5), "seconds": near(0.001, 60)},
    optional={
        "radius": near(0.05, 100) | near(-100, -0.05), "number": st.integers(0, 1_000_000_000),
        "lamps": colour | st.lists(colour, min_size=5, max_size=5),
    },
)  # fmt: skip


def what_is_right_is_read(given_order: dict[str, Any], indent: int | None) -> None:
    text = json.dumps(given_order, indent=indent).encode()
    if len(text) > LONGEST_ORDER:
        with pytest.raises(BadOrder, match="at most"):
            read_order(text)
        return
    order = read_order(text)
    for name in ("speed", "seconds", "radius", "number"):
        assert getattr(order, name) == given_order.get(name), name
    lamps = given_order.get("lamps")
    flat = [b for lamp in order.lamps or () for b in lamp]
    assert flat == (sum(lamps, []) if lamps and isinstance(lamps[0], list) else lamps or [])


@given(right, st.none() | st.integers(0, 8))
def test_whatever_is_within_the_limits_is_taken_as_it_was_meant(
    given_order: dict[str, Any], indent: int | None
) -> None:
    """The other half of what is refused: a guard that takes nothing would pass every other test."""
    what_is_right_is_read(given_order, indent)


def a_spoilt_order_is_refused_or_still_within_all_limits(
    given_order: dict[str, Any], place: int, new: bytes, gone: int
) -> None:
    text = json.dumps(given_order).encode()
    at = place % (len(text) + 1)
    try:
        order = read_order(text[:at] + new + text[at + gone :])
    except BadOrder as reason:
        assert str(reason).isprintable()
        return
    assert order.speed is None or -0.5 <= order.speed <= 0.5
    assert 0 <= order.seconds <= 60 and (order.seconds or not order.speed)
    assert order.radius is None or 0.05 <= abs(order.radius) <= 100
    assert order.number is None or 0 <= order.number <= 1_000_000_000


spoils = st.integers(0, 999), st.binary(max_size=4), st.integers(0, 4)


@given(right, *spoils)
def test_an_order_that_was_spoilt_on_its_way_moves_no_tug_beyond_its_limits(
    given_order: dict[str, Any], place: int, new: bytes, gone: int
) -> None:
    a_spoilt_order_is_refused_or_still_within_all_limits(given_order, place, new, gone)


@pytest.mark.long
@settings(max_examples=20_000)
@given(right, *spoils)
def test_orders_that_were_spoilt_for_long_move_no_tug_beyond_its_limits(
    given_order: dict[str, Any], place: int, new: bytes, gone: int
) -> None:
    a_spoilt_order_is_refused_or_still_within_all_limits(given_order, place, new, gone)


def test_reports_are_read_by_the_same_rules() -> None:
    assert read_report(b'{"did": "done", "number": 3}') == Report("done", 3)
    for bad in (b'{"did": "flew"}', b"{}", b'{"did": "done", "why": 1}', b'{"did": ["done"]}'):
        with pytest.raises(BadOrder):
            read_report(bad)


def test_each_tug_has_its_own_topics() -> None:
    assert (order_topic(7), log_topic(7)) == ("harbour/tug-7/order", "harbour/tug-7/log")
