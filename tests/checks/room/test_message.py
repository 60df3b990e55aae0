"""What laptops tell is read strictly: only the alias is free text, nothing else gets through."""

from __future__ import annotations

import json
from collections.abc import Callable
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from checks import TASKS
from checks.doctor import examine
from checks.room.message import (
    LINES,
    READY,
    BadMessage,
    Ready,
    Tried,
    check_alias,
    read,
    read_topic,
    topic,
    write,
)
from checks.scorecard import Scorecard
from robotsim import KitError
from tests.checks.room.classes import key, ready, tried

TASK = "drive.straight"


@pytest.mark.parametrize(
    "told",
    [
        Ready("Gull", "2026-01-05", None),
        Ready("Möwe 2 🐦", "2026-01-05", ("packages", "kernel")),
        Tried("Gull", "2026-01-05", TASK, 7.5, 3, 840, TASKS[TASK].mistakes[0].name, "0a0b0c0d"),
        Tried("Gull", "2026-01-05", TASK, TASKS[TASK].points, 1, 0, None, "0a0b0c0d"),
    ],
)
def test_what_is_written_is_read_again(told: Ready | Tried) -> None:
    assert read(READY if isinstance(told, Ready) else told.task, write(told)) == told


def test_the_longest_that_we_write_is_still_read() -> None:
    alias = "\N{SAILBOAT}" * 20
    for task in TASKS.values():
        name = max((mistake.name for mistake in task.mistakes), key=len)
        told = Tried(alias, "2026-01-05", task.id, 3.25, 9999, 86_400, name, "ffffffff")
        assert read(task.id, write(told)) == told
    assert read(READY, write(Ready(alias, "2026-01-05", LINES))).alias == alias


def test_the_doctors_lines_are_known(tmp_path: Any) -> None:
    assert {finding.name for finding in examine(tmp_path)} == set(LINES) - {"environment"}


def test_the_cause_of_a_card_without_program_is_known() -> None:
    cause = Scorecard.without_program(TASKS[TASK]).cause
    assert cause is not None
    told = read(TASK, tried(cause=cause.name))
    assert isinstance(told, Tried) and told.cause == cause.name


@pytest.mark.parametrize(
    "alias", ["", " ", "x" * 21, "a\nb", "a\x00", "\u202egull", 7, None, ["a"]]
)
def test_an_alias_that_cannot_be_shown_is_refused(alias: Any) -> None:
    with pytest.raises(KitError, match="alias has 1 to 20"):
        check_alias(alias)
    with pytest.raises(BadMessage, match="no alias"):
        read(READY, ready(alias=alias))


@pytest.mark.parametrize(
    ("what", "payload", "reason"),
    [
        (READY, b"\xff", "not JSON"),
        (READY, b"[" * 500, "not JSON"),
        (READY, b"7", "other fields"),
        (READY, b"{}", "other fields"),
        (READY, ready(name="Ada Lovelace"), "other fields"),
        (READY, ready() + b" " * 600, "too long"),
        (READY, ready(lacking=["the kit of Ada"]), "a field's value"),
        (READY, ready(lacking="kernel"), "a field's value"),
        (READY, ready(lacking=[["kernel"]]), "a field's value"),
        (READY, ready(day="yesterday"), "a field's value"),
        (TASK, ready(), "other fields"),
        (TASK, tried(points=-1), "a field's value"),
        (TASK, tried(points=11), "a field's value"),
        (TASK, tried(points=True), "a field's value"),
        (TASK, tried(points="9"), "a field's value"),
        (TASK, tried(points=float("nan")), "a field's value"),
        (TASK, tried(points=float("inf")), "a field's value"),
        (TASK, tried(tries=0), "a field's value"),
        (TASK, tried(tries=2.5), "a field's value"),
        (TASK, tried(tries=10**40), "a field's value"),
        (TASK, tried(since=-1), "a field's value"),
        (TASK, tried(since=86_401), "a field's value"),
        (TASK, tried(cause=7), "a field's value"),
        (TASK, tried(run="../../etc"), "a field's value"),
    ],
)
def test_what_is_not_ours_is_refused_with_its_reason(
    what: str, payload: bytes, reason: str
) -> None:
    with pytest.raises(BadMessage, match=reason):
        read(what, payload)


def test_a_cause_in_words_of_ones_own_is_not_shown() -> None:
    told = read(TASK, tried(cause="Ada is slow"))
    assert isinstance(told, Tried) and told.cause is None


@pytest.mark.parametrize(
    "name",
    ["harbour/room/x/ready", f"harbour/room/{key(1)}/drive.sail", f"harbour/room/{key(1)}/",
     "harbour/room", f"harbour/room/{key(1)}/ready/more", f"harbour/tug-7/{key(1)}/ready"],
)  # fmt: skip
def test_a_topic_that_is_not_ours_is_refused(name: str) -> None:
    with pytest.raises(BadMessage):
        read_topic(name)


def test_a_topic_is_read_as_it_is_made() -> None:
    for what in (READY, *TASKS):
        assert read_topic(topic(key(3), what)) == (key(3), what)


@pytest.mark.parametrize("make", [ready, tried])
@given(data=st.data())
def test_whatever_a_field_holds_it_is_read_or_refused(
    make: Callable[..., bytes], data: st.DataObject
) -> None:
    plain = json.loads(make())
    name = data.draw(st.sampled_from(sorted(plain)))
    plain[name] = data.draw(st.recursive(
        st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=30),
        lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(), inner, max_size=3),
    ))  # fmt: skip
    what = READY if make is ready else TASK
    try:
        told = read(what, json.dumps(plain).encode())
    except BadMessage:
        return
    assert told.alias.isprintable() and read(what, write(told)) == told


@given(payload=st.binary(max_size=700))
def test_any_bytes_are_read_or_refused(payload: bytes) -> None:
    for what in (READY, TASK):
        with pytest.raises(BadMessage):
            read(what, payload)
