"""The colour slider: what it draws agrees with the wire, the lamp and the data sheet."""

from __future__ import annotations

import pytest

from robotsim import UnknownNameError
from robotsim.parts.lamps import decode
from robotsim.show.colour_slider import Wire, colour_figure, slide_colour


def test_bytes_go_out_in_the_order_of_the_driver() -> None:
    # The official driver under the real interpreter: (255, 128, 1) in GRB is 80 FF 01.
    assert Wire((255, 128, 1), "GRB").data == bytes.fromhex("80ff01")
    assert Wire((255, 128, 1), "RGB").data == bytes.fromhex("ff8001")


@pytest.mark.parametrize(
    ("sends", "takes", "shown"),
    [
        ("GRB", "GRB", (120, 50, 7)),
        ("GRB", "RGB", (50, 120, 7)),
        ("RGB", "GRB", (50, 120, 7)),
        ("RGB", "RGB", (120, 50, 7)),
    ],
)
def test_red_and_green_change_places_where_the_orders_differ(
    sends: str, takes: str, shown: tuple[int, int, int]
) -> None:
    assert Wire((120, 50, 7), sends, takes).shown == shown


def test_current_is_that_of_one_lamp() -> None:
    # About 18.5 mA a channel at full and 0.7 mA at rest (transcription); tolerance +-25 %.
    assert Wire((255, 255, 255)).milliamps == pytest.approx(3 * 18.5 + 0.7, rel=0.25)
    assert Wire((0, 0, 0)).milliamps == pytest.approx(0.7, rel=0.25)
    assert Wire((120, 0, 0)).milliamps < Wire((120, 120, 0)).milliamps


def test_the_wave_that_is_drawn_can_be_read_back_by_the_data_sheet() -> None:
    wire = Wire((120, 50, 7))
    figure = colour_figure(wire)
    (line,) = (line for axes in figure.axes for line in axes.lines if line.get_gid() == "wire")
    times, levels = line.get_data()
    wave = [
        (int(levels[k]), round(1000 * (times[k + 1] - times[k])))
        for k in range(1, len(times) - 1, 2)
        if times[k + 1] > times[k]
    ]
    level, last = wave[-1]
    # The picture ends with the last bit; the pause that latches follows.
    assert decode([*wave[:-1], (level, last + 51_000)]) == wire.data
    # 24 bits of 1.25 us (WS2812B data sheet, transcription).
    assert times[-1] == pytest.approx(30.0)


def test_the_picture_tells_in_words_what_it_shows() -> None:
    figure = colour_figure(Wire((120, 0, 0), "GRB", "RGB"))
    for told in ("00 78 00", "green (0, 120, 0)", "9.4 mA"):
        assert told in figure.get_label()
    texts = [text.get_text() for axes in figure.axes for text in axes.texts]
    assert "9.4 mA" in texts
    assert any("120 = 0x78 is green" in text for text in texts)


def test_an_unknown_order_is_refused_with_those_that_are_known() -> None:
    with pytest.raises(UnknownNameError, match="GRB, RGB"):
        Wire((0, 0, 0), "BGR")


def test_the_sliders_ask_whether_their_first_colour_can_be() -> None:
    with pytest.raises(UnknownNameError, match="GRB, RGB"):
        slide_colour(0, 90, 0, takes="BGR")
