"""The ways between tug and broker: nothing is lost, doubled or out of order, only late."""

from __future__ import annotations

import random

from hypothesis import given
from hypothesis import strategies as st

from robotsim.radio.agenda import Agenda
from robotsim.radio.pipes import RESEND_NS, Way
from robotsim.units import MS, SECOND


@given(
    st.lists(st.tuples(st.integers(0, 3000), st.binary(min_size=1, max_size=9)), max_size=20),
    st.floats(0.0, 0.9), st.integers(0, 99),
)  # fmt: skip
def test_whatever_is_lost_on_the_way_the_bytes_arrive_whole_and_in_order(
    sent: list[tuple[int, bytes]], loss: float, seed: int
) -> None:
    agenda, rng = Agenda(), random.Random(seed)
    arrived = bytearray()
    way = Way(
        agenda, lambda: rng.random() >= loss, lambda: int(rng.random() * 20 * MS),
        lambda data, end: arrived.extend(data), lambda: None,
    )  # fmt: skip
    sent = sorted(sent, key=lambda pair: pair[0])
    for time_ms, data in sent:
        agenda.at(time_ms * MS, lambda data=data: way.push(data))  # type: ignore[misc]
    agenda.advance(3600 * SECOND)
    given_up = loss > 0 and len(arrived) < sum(len(data) for _, data in sent)
    whole = b"".join(data for _, data in sent)
    assert whole.startswith(bytes(arrived)) and (bytes(arrived) == whole or given_up)


def test_what_is_cut_comes_after_the_cut_with_all_that_waited_behind_it() -> None:
    agenda = Agenda()
    arrived: list[tuple[int, bytes]] = []
    way = Way(
        agenda, lambda: not SECOND <= agenda.now_ns < 3 * SECOND, lambda: 10 * MS,
        lambda data, end: arrived.append((agenda.now_ns, data)), lambda: None,
    )  # fmt: skip
    for time_ns in (0, SECOND, 2 * SECOND):
        agenda.at(time_ns, lambda: way.push(b"x"))
    agenda.advance(10 * SECOND)
    # Tries at 1, 1.25, 1.75, 2.75 and 4.75 s.
    assert arrived == [(10 * MS, b"x"), (SECOND + 15 * RESEND_NS + 10 * MS, b"xx")]


def test_a_way_that_nothing_passes_is_given_up_and_then_silent() -> None:
    agenda = Agenda()
    ends: list[int] = []
    way = Way(agenda, lambda: False, lambda: 0, lambda data, end: None,
              lambda: ends.append(agenda.now_ns))  # fmt: skip
    way.push(b"x")
    agenda.advance(600 * SECOND)
    assert len(ends) == 1 and 60 * SECOND <= ends[0] <= 70 * SECOND


def test_an_agenda_does_things_in_order_and_those_of_one_time_as_noted() -> None:
    agenda, done = Agenda(), []
    for time_ns, name in ((2, "c"), (1, "a"), (1, "b")):
        agenda.at(time_ns, lambda name=name: done.append((agenda.now_ns, name)))  # type: ignore[misc]
    assert agenda.next_ns == 1
    agenda.advance(1)
    agenda.at(0, lambda: done.append((agenda.now_ns, "late")))
    agenda.advance(5)
    assert done == [(1, "a"), (1, "b"), (1, "late"), (2, "c")] and agenda.next_ns is None
