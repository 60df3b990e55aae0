"""A recording packed for a page: small, and true to less than a screen can show."""

from __future__ import annotations

import base64
import json
import re
import zlib
from itertools import accumulate
from typing import Any

import pytest

from robotsim import KitError
from robotsim.show.pack import STEPS, differences, packed, run_data
from robotsim.show.player import page, replay_data, script, style
from robotsim.show.replay import Replay, replay_bundle
from robotsim.wiring import PINS
from tests.robotsim.show.recordings import at, drift, lamps, motors, recording


def unpacked(text: str) -> Any:
    return json.loads(zlib.decompress(base64.b64decode(text)))


def busy() -> Any:
    """A minute in which everything happens fifty times a second."""
    events = []
    for k in range(3000):
        t = k / 50
        events += motors(t, (0.3 + k % 50 / 100, 0), (0.5, k % 3 / 10))
        events += [
            at(t, "adc", PINS[f"eye_{eye}"], (k * 37 + eye * 911) % 4096) for eye in range(4)
        ]
        events += [at(t, "print", f"round {k}\n"), at(t, "sleep", 20_000_000)]
        events.append(lamps(t, ((k % 256, 0, 0), (0, k % 7, 0), *((0, 0, 0),) * 3)))
    return recording(seconds=60, legs=[(60, 0.05, 0.3)], events=events, table="quay")


def test_differences_add_up_to_the_values_again() -> None:
    values = [0.12345, -0.5, 7.0, 7.0]
    back = [1e-4 * whole for whole in accumulate(differences(values, 1e-4))]
    assert back == pytest.approx(values, abs=5e-5)


def test_tracks_come_back_to_half_a_step() -> None:
    made = drift()
    for name, (step, *steps) in unpacked(packed(run_data(made, "")))["tracks"].items():
        back = [step * whole for whole in accumulate(steps)]
        assert step == STEPS[name]
        assert back == pytest.approx(list(made.tracks[name]), abs=0.51 * step)


def test_a_minute_in_which_much_happens_weighs_less_than_a_megabyte() -> None:
    picture = 250_000  # what a still picture takes at most
    assert len(page(replay_data([busy()]))) + picture < 1_000_000


def test_what_happens_too_often_is_thinned_and_told() -> None:
    events = [at(k / 10_000, "adc", PINS["eye_0"], k % 4096) for k in range(50_000)]
    data = run_data(recording(events=events), "")
    assert len(data["eyes"][0]["t"]) <= 6001
    told = data["commands"]
    assert len(told["t"]) + told["left_out"] == 50_000 and told["left_out"] > 0


def test_nothing_is_packed_that_no_script_reads() -> None:
    data = replay_data([drift()])
    (run,) = data.pop("runs")
    for name in (*data, *run, *data["table"], *data["geometry"]):
        assert re.search(rf"(\.|[{{ ]){name}\b", script()), name


def test_commands_are_told_in_words() -> None:
    events = [
        at(0.1, "pwm", PINS["left_ahead"], 1000, 39321), at(0.2, "pwm", PINS["arm"], 50, 4915),
        at(0.3, "frame", 13, 1, "0102"), at(0.4, "i2c", 0x68, "75", "68"), at(0.5, "pin", 4, 1),
        at(0.6, "adc", PINS["battery"], 3000), at(0.7, "sleep", 250_000_000), at(0.8, "nack", 80),
        at(0.9, "mode", 4, "out", ""), at(1.0, "call", "timer", 2), at(1.1, "pwm", 4, 0, 0),
    ]  # fmt: skip
    told = run_data(recording(events=events), "")["commands"]
    words = [
        told["kinds"][kind].replace("#", str(value))
        for kind, value in zip(told["k"], told["v"], strict=True)
    ]
    assert words == [
        "left ahead: 60 % at 1000 Hz", "arm: pulse of 1500 us, 50 a second", "lamps: 2 bytes",
        "I2C 0x68: wrote 75, read 1 bytes", "pin 4 set to 1", "battery reads 3000 counts",
        "sleeps 250 ms", "I2C: nobody answers at address 80", "pin 4 set up: out",
        "callback: timer 2", "pin 4: pulses off",
    ]  # fmt: skip


def test_the_page_holds_one_copy_of_the_script_and_nothing_from_elsewhere() -> None:
    stored = page(replay_data([drift()]))
    assert stored.count("class Replay") == stored.count("<script>") == stored.count("<style>") == 1
    assert "</script" not in script() and "http" not in script() + style()
    assert "export default" not in stored and len(script()) < 50_000


def test_words_with_marks_of_html_stay_words() -> None:
    made = recording(program="<script>.py", events=[at(0.1, "print", "</script><b>\n")])
    stored = replay_bundle(made)["text/html"]
    assert stored.count("<script>") == stored.count("</script>") == 1


def test_the_widget_is_led_from_python_and_carries_the_page_for_where_no_kernel_runs() -> None:
    widget = Replay(drift(), at=1.0)
    data, _ = widget._repr_mimebundle_()
    assert {"text/html", "text/plain", "application/vnd.jupyter.widget-view+json"} == set(data)
    assert unpacked(widget.packed)["runs"][0]["program"] == "drive.py"
    widget.at = 2.5
    assert widget.get_state("at") == {"at": 2.5}
    widget.close()


def test_what_cannot_be_laid_over_is_refused_with_what_can() -> None:
    one = drift()
    with pytest.raises(KitError, match=r"replay\(mine, worked\)"):
        replay_data([one] * 7)
    with pytest.raises(KitError, match='labels=\\("mine", "worked"\\)'):
        replay_data([one, one], ["mine"])
    with pytest.raises(KitError, match="one table"):
        replay_data([one, recording(table="quay")])
