"""What a trial scripts of its radio is checked when it is written."""

from __future__ import annotations

import pytest

from robotsim import KitError
from robotsim.radio import AccessPoint, Airwaves, Order
from robotsim.units import SECOND


@pytest.mark.parametrize(
    "wrong",
    [{"loss": 1.0}, {"loss": -0.1}, {"latency_ms": -1}, {"jitter_ms": -1}, {"cuts": [(2, 1)]},
     {"cuts": [(-1, 1)]}, {"orders": [Order(1, "x", qos=2)]}, {"orders": [Order(-1, "x")]}],
)  # fmt: skip
def test_what_no_radio_can_do_is_refused_in_words(wrong: dict[str, object]) -> None:
    with pytest.raises(KitError, match="Try: "):
        Airwaves(**wrong)  # type: ignore[arg-type]


def test_an_order_is_json_unless_it_is_text_or_bytes() -> None:
    assert Order(1, {"speed": 0}).payload == b'{"speed": 0}'
    assert Order(1, "ahoy é").payload == b"ahoy \xc3\xa9"
    assert Order(1, b"\xff").payload == b"\xff"


def test_a_spell_changes_the_signal_from_its_first_moment_to_before_its_last() -> None:
    point = AccessPoint("harbour", spells=((1.0, 2.0, None), (3.0, 4.0, -80.0)))
    told = [point.signal_at(int(t * SECOND)) for t in (0.99, 1.0, 1.99, 2.0, 3.5, 4.0)]
    assert told == [-50.0, None, None, -50.0, -80.0, -50.0]
