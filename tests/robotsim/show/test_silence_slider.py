"""The slider of silence: its times are the broker's, and its words say what is seen."""

from __future__ import annotations

import pytest

from robotsim import KitError
from robotsim.show.silence_slider import CUT_S, keep_silent, silence_figure
from tests.robotsim.show.legible import check_apart, check_within


@pytest.mark.parametrize(("keep_alive", "ping"), [(4, 2), (10, 3), (20, 10)])
def test_the_office_learns_one_and_a_half_keep_alives_after_the_last_sign(
    keep_alive: int, ping: int
) -> None:
    # OASIS MQTT 3.1.1, section 3.1.2.10 (transcription).
    seen = keep_silent(keep_alive, ping)
    assert seen.gone == pytest.approx(seen.pings[-1] + 1.5 * keep_alive, abs=0.01)
    after = seen.gone - CUT_S if seen.gone else 0.0
    assert 1.5 * keep_alive - ping - 0.1 <= after <= 1.5 * keep_alive
    assert f"{after:.1f} s after the cut" in silence_figure(keep_alive, ping).get_label()


def test_without_a_keep_alive_nobody_learns_it() -> None:
    assert keep_silent(0, 2).gone is None
    assert "never" in silence_figure(0, 2).get_label()


def test_pings_that_are_too_rare_end_a_connection_that_was_well() -> None:
    seen = keep_silent(4, 10)
    assert seen.gone is not None and seen.gone < CUT_S
    assert "too rare" in silence_figure(4, 10).get_label()


@pytest.mark.parametrize(("keep_alive", "ping"), [(4, 2), (0, 1), (4, 10), (20, 20)])
def test_texts_of_the_picture_neither_overlap_nor_leave_it(keep_alive: int, ping: int) -> None:
    drawn = silence_figure(keep_alive, ping)
    check_within(drawn)
    check_apart(drawn)


@pytest.mark.parametrize(("keep_alive", "ping"), [(-1, 2), (21, 2), (4, 0), (4, 21)])
def test_settings_beyond_the_sliders_are_refused(keep_alive: int, ping: int) -> None:
    with pytest.raises(KitError):
        silence_figure(keep_alive, ping)
