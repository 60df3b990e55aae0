"""The led power-up over tugs with faults: each fault is named, and what is measured is right."""

from __future__ import annotations

import ast
import json
import sys
import time
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import pytest

from robotsim import PINS, KitError
from robotsim.cable import helm
from robotsim.cable.bench import CableBench
from robotsim.cable.card import Card, to_mend
from robotsim.cable.client import Client
from robotsim.cable.eyes import Eyes
from robotsim.cable.hands import Hands, hand_words
from robotsim.cable.led_drive import MOTORS, starts_known
from robotsim.cable.miswired import FAULTS
from robotsim.cable.person import AGAIN, Stopped
from robotsim.cable.powerup import CAUTIONS, PARTS, lead
from robotsim.cable.tug import World
from robotsim.commands import main
from robotsim.onto import compiles
from robotsim.parts import Quirks
from tests.robotsim.cable.benches import SimBench, SimPerson
from tests.robotsim.cable.plugs import plugged

NAMED = {
    "motors-exchanged": ("motors", "left and right exchanged", "swap pins 25, 26 with 27, 14"),
    "left-backwards": ("motors", "the left wheel runs backwards", "swap pins 25 and 26"),
    "right-backwards": ("motors", "the right wheel runs backwards", "swap pins 27 and 14"),
    "left-loose": ("motors", "the left wheel turns on neither", "two wires"),
    "right-input-loose": ("motors", "nothing turns on pin 14 (right_back)", "cable"),
    "lamps-loose": ("lamps", "no lamp lights on pin 13", "IN"),
    "lamps-turned": ("lamps", "is at deck, not at port bow", "turn the chain"),
    "arm-loose": ("arm", "does not move on pin 18", "plug"),
    "horn-off": ("arm", "degrees off", "horn"),
    "eye-loose": ("eyes", "eye 2 on pin 34 does not tell white from black", "cable"),
    "eyes-turned": ("eyes", "the row is turned round", "swap pins 36 with 35 and 39 with 34"),
    "eyes-exchanged": ("eyes", "eye 0 is where eye 1", "swap pins 36 and 39"),
    "sensor-loose": ("motion sensor", "nothing answers at 0x68", "SDA and SCL"),
    "sensor-upside-down": ("motion sensor", "lies on its back", "turn it over"),
    "bumper-stuck": ("bumper", "at ground all the time", "closed at rest"),
    "bumper-loose": ("bumper", "feels nothing", "cable"),
    "battery-unread": ("battery", "pin 33 reads 0.", "divider"),
    "cells-spent": ("battery", "V at rest", "charge"),
}
"""Fault to the part, words of what is found, and words of the cure."""


def led(serial: int, fault: str = "", parts: tuple[str, ...] = ()) -> Card:
    bench = SimBench(serial, fault)
    card = lead(bench, SimPerson(bench.world), parts)
    assert not bench.driven & {PINS[role] for role in MOTORS}
    return card


def holds(card: Card, fault: str, serial: int) -> None:
    """A fault is named, with its cure, and nothing is named beside it."""
    part, what, cure = NAMED[fault]
    assert len(card.mends) == 1, (serial, fault, card.mends)
    (mend,) = card.mends
    assert mend.part == part and what in mend.what and cure in mend.cure, (serial, fault, mend)


def test_every_kind_of_fault_has_its_words() -> None:
    assert set(NAMED) == set(FAULTS) and len(FAULTS) >= 15


@pytest.mark.parametrize("fault", sorted(FAULTS))
def test_each_fault_is_named_and_no_other(fault: str) -> None:
    serial = 1 + sorted(FAULTS).index(fault)
    card = led(serial, fault)
    holds(card, fault, serial)
    # Who swaps what the settings beside the card have swapped has the fault again.
    assert ("beside this card has that done" in card.mends[0].cure) == (card.pins != PINS)


@pytest.mark.parametrize("serial", [0, 7])
def test_a_tug_without_a_fault_has_nothing_to_mend_and_is_measured(serial: int) -> None:
    card, own = led(serial), Quirks.of(serial)
    assert not card.mends and card.pins == PINS
    assert card.lamp_order == own.lamp_order
    assert card.arm_trim_us == pytest.approx(own.arm_trim_us, abs=8)  # a degree is 11 us
    assert card.gyro_bias == pytest.approx(own.gyro_bias, abs=0.01)
    for side, duty in card.start.items():  # also by the day, and by how full the cells are
        assert duty == pytest.approx(getattr(own, f"{side}_start"), abs=0.06)
    assert all(b - w > 1 for w, b in zip(card.white, card.black, strict=True))


def test_what_is_swapped_stands_swapped_in_the_settings() -> None:
    """The settings of a miswired tug: every role has the pin on which it was seen."""
    card = led(3, "motors-exchanged")
    space: dict[str, object] = {}
    exec(card.settings, space)
    pins = space["PINS"]
    assert isinstance(pins, dict) and (pins["left_ahead"], pins["right_ahead"]) == (27, 25)
    assert compiles("settings.py", card.settings) is None
    assert json.loads(card.json)["pins"] == pins
    eyes = led(3, "eyes-turned").pins
    assert [eyes[f"eye_{k}"] for k in range(4)] == [35, 34, 39, 36]


def test_a_stop_at_any_key_leaves_the_motors_off_and_says_what_is_left() -> None:
    for stop in (0, 1, 3, 6, 12, 20, 26):
        bench = SimBench(2)
        person = SimPerson(bench.world, stops_at=stop)
        card = lead(bench, person)
        assert card.left and person.told[-1] == "Stopped: all motors are off."
        assert not bench.driven & {PINS[role] for role in MOTORS}


class Careless(SimPerson):
    """Gives a wrong answer, or forgets what they were to do, the first time."""

    def __init__(self, world: World, slip: str) -> None:
        super().__init__(world)
        self.slip = slip

    def key(self, text: str) -> None:
        if self.slip and self.slip in text:
            self.slip = ""
            text = "as it is"
        super().key(text)

    def _answer(self, text: str) -> str:
        if self.slip == "left ahead" and text.startswith("Which wheel") and self.keys == 3:
            self.slip = ""
            return "left ahead"
        return super()._answer(text)


@pytest.mark.parametrize(
    ("part", "slip", "words"),
    [
        ("motors", "left ahead", "You said that of pin 25, too"),
        ("eyes", "two port eyes", ""),
        ("eyes", "black under all", ""),
        ("bumper", "hold it", ""),
    ],
)
def test_a_slip_of_the_person_is_asked_about_at_once(part: str, slip: str, words: str) -> None:
    bench = SimBench(2)
    person = Careless(bench.world, slip)
    card = lead(bench, person, [part])
    assert not person.slip and not card.mends, card
    assert words in "\n".join(person.told)


class Absent(SimPerson):
    """Has looked away each first time that something moves."""

    def __init__(self, world: World) -> None:
        super().__init__(world)
        self.asked = 0

    def key(self, text: str) -> None:
        ahead = self.arm
        super().key(text)
        self.arm = min(ahead, self.arm)  # shown again it comes back first, and swings once more

    def choose(self, text: str, choices: Sequence[str]) -> str:
        if AGAIN not in choices:
            return super().choose(text, choices)
        self.asked += 1
        return AGAIN if self.asked % 2 else super().choose(text, choices)


def test_who_has_looked_away_sees_it_once_more_after_a_key_and_nothing_is_noted_wrong() -> None:
    """A motion is over when it is asked about, so every such question can be shown again."""
    bench, plain = SimBench(2), SimBench(2)
    person, attentive = Absent(bench.world), SimPerson(plain.world)
    card = lead(bench, person, ["motors", "start", "arm"])
    lead(plain, attentive, ["motors", "start", "arm"])
    assert not card.mends and starts_known(card) and card.arm_trim_us is not None
    assert person.asked == 2 * (4 + 12 + 1) and person.keys == attentive.keys + 17


@pytest.mark.parametrize(
    ("laid", "told"),
    [
        ("three eyes", "3 eyes see black, and 1 should."),
        ("white", "No eye has seen a change. Was the paper before white?"),
    ],
)
def test_of_paper_that_lies_otherwise_it_is_said_what_the_eyes_see(laid: str, told: str) -> None:
    class Hasty(SimPerson):
        said = ""

        def key(self, text: str) -> None:
            if "port eye alone" in text and not self.said:
                self.said = "-"
                text = f"Put {laid}"
            elif self.said == "-":
                self.said = text
            super().key(text)

    bench = SimBench(2)
    person = Hasty(bench.world)
    card = lead(bench, person, ["eyes"])
    assert person.said.startswith(f"{told} Put the black edge under the port eye alone")
    assert not card.mends


class Papers(SimPerson):
    """Lays black under all eyes in place of some papers."""

    def __init__(self, world: World, *instead: str) -> None:
        super().__init__(world)
        self.instead = list(instead)

    def key(self, text: str) -> None:
        found = next((words for words in self.instead if words in text), "")
        if found:
            self.instead.remove(found)
        super().key("Put black under all" if found else text)


def test_who_lays_black_for_white_begins_anew_and_wrong_papers_spoil_no_eye() -> None:
    bench = SimBench(2)
    person = Papers(bench.world, "white paper", "port eye alone")
    card = lead(bench, person, ["eyes"])
    assert not card.mends and card.white
    assert any("that was not white" in told for told in person.told)

    before = Card.of({**card.data, "board": bench.number()})
    card = lead(bench, Papers(bench.world, *9 * ["Put "]), ["eyes"], before)
    (mend,) = card.mends
    assert "none of them" in mend.what and "papers" in mend.cure
    assert "white_volts" not in card.data and "THRESHOLD_V" not in card.settings


def test_an_eye_that_is_to_be_mended_leaves_no_figures() -> None:
    card = led(3, "eye-loose", ("eyes",))
    assert card.mends and "white_volts" not in card.data and "THRESHOLD_V" not in card.settings


def test_what_the_card_has_to_mend_is_said_before_a_survey(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "tug.json").write_text(led(4, "bumper-loose", ("bumper",)).json)
    assert main(["fit", str(tmp_path / "tug.json"), "--survey"]) == 0
    shown = capsys.readouterr()
    assert "bumper: pin 19 feels nothing" in shown.err and "feels nothing" not in shown.out
    assert to_mend({}) == ""


def test_the_card_gives_the_whole_command_for_what_is_mended_and_what_is_left() -> None:
    bench = SimBench(3, "eye-loose")
    person = SimPerson(bench.world, stops_at=7)
    command = "python3 robotsim powerup --port P"
    card = lead(bench, person, ["eyes", "arm"], Card(command=command))
    for told in (str(card), card.page):
        assert f"look again: `{command} --part eyes`" in told
        assert f"Left out: arm. To look there: `{command} --part arm`" in told
    assert f"board {bench.number()}" in card.page


class Stubborn(SimPerson):
    """Says of every pin what they said of the first."""

    def _answer(self, text: str) -> str:
        return "left ahead" if text.startswith("Which wheel") else super()._answer(text)


def test_who_says_the_same_of_two_pins_again_is_not_believed() -> None:
    bench = SimBench(2)
    card = lead(bench, Stubborn(bench.world), ["motors"])
    (mend,) = card.mends
    assert "were both said to turn the left wheel ahead" in mend.what
    assert card.pins == PINS and not card.good


def test_a_start_duty_goes_with_its_wheel_and_is_left_out_until_it_is_looked_for() -> None:
    """First both wheels turn, then one does not, then it is mended."""
    bench = SimBench(2)
    card = lead(bench, SimPerson(bench.world), ["motors", "start"])
    assert "start duty, left" in str(card) and not card.left
    loose = SimBench(2, "left-loose")
    card.left = []
    lead(loose, SimPerson(loose.world), ["motors"], card)
    assert "turns on neither" in str(card) and "start duty, left" not in str(card)
    assert "start" not in card.left
    lead(bench, SimPerson(bench.world), ["motors"], card)
    assert not card.mends and card.left == ["start"] and "so far" in str(card)
    card.left = []
    lead(bench, SimPerson(bench.world), ["start"], card)
    assert not card.left and "start duty, left" in str(card)


def test_nothing_is_driven_before_a_key_and_cautions_come_first() -> None:
    bench = SimBench(2)
    person = SimPerson(bench.world, stops_at=0)
    lead(bench, person)
    assert person.told[0] == CAUTIONS and "block" in CAUTIONS
    assert bench.world.wheels.left_way == bench.world.wheels.right_way == 0.0
    keys = SimPerson(bench.world)
    lead(bench, keys, ["motors", "battery"])
    assert keys.keys == 1 + 4 + 1  # the block, each motor's pin, the load
    with pytest.raises(KitError, match="no part of a tug called 'wings'"):
        lead(bench, keys, ["wings"])


def test_the_card_prints_without_colour_and_says_who_goes_first() -> None:
    page = led(4, "bumper-stuck").page
    assert "at ground all the time" in page and "http" not in page and "lang='en'" in page
    assert "Local rules and licensed practice come first" in page
    assert "<script" not in Card(found={"lamps": ["<script>"]}).page


def test_the_boards_side_is_a_program_that_the_real_compiler_takes() -> None:
    from robotsim.cable import bench

    ast.parse(bench._BOARD)
    assert compiles("bench.py", bench._BOARD) is None


@pytest.mark.skipif(sys.platform != "linux", reason="the interpreter is packaged for Linux alone")
def test_against_the_plugged_tug_over_its_cable(tmp_path: Path) -> None:
    """The same judgement through the real interpreter, in real time: a fault, and a good part."""
    with plugged(tmp_path / "flash", serial=6, fault="left-backwards") as plug:
        with Client(plug.port) as client:
            bench = CableBench(client)
            card = lead(bench, SimPerson(plug.tug.world, time.sleep),
                        ["lamps", "motors", "sensor", "bumper"])  # fmt: skip
        holds(card, "left-backwards", 6)
        assert card.lamp_order == Quirks.of(6).lamp_order
        assert card.gyro_bias == pytest.approx(Quirks.of(6).gyro_bias, abs=0.01)
        assert len(bytes.fromhex(card.data["board"])) == 6


@pytest.mark.long
@pytest.mark.skipif(sys.platform != "linux", reason="the interpreter is packaged for Linux alone")
@pytest.mark.parametrize("fault", ["", *sorted(FAULTS)])
def test_every_fault_over_the_cable(tmp_path: Path, fault: str) -> None:
    with plugged(tmp_path / "flash", serial=9, fault=fault) as plug:
        with Client(plug.port) as client:
            card = lead(CableBench(client), SimPerson(plug.tug.world, time.sleep))
        if fault:
            holds(card, fault, 9)
        else:
            assert not card.mends


@pytest.mark.long
@pytest.mark.parametrize("fault", ["", *sorted(FAULTS)])
def test_every_fault_on_tugs_0_to_200(fault: str) -> None:
    for serial in range(201):
        parts = tuple(part for part in PARTS if part != "start" or not serial % 10)
        card = led(serial, fault, parts)
        if fault:
            holds(card, fault, serial)
        else:
            assert not card.mends, (serial, card.mends)


# -- at the keyboard ---------------------------------------------------------------------


class At:
    def __init__(self, port: str) -> None: ...
    def __enter__(self) -> At:
        return self

    def __exit__(self, *fault: object) -> None: ...


def test_who_stops_at_once_finds_the_last_card_as_it_was(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(helm, "Client", At)
    monkeypatch.setattr(helm, "CableBench", lambda _: SimBench(5))
    monkeypatch.setattr("builtins.input", lambda _: "q")
    (tmp_path / "tug.json").write_text("mine")
    assert main(["powerup", "--port", "P", "--to", str(tmp_path)]) == 0
    assert "Nothing was looked at." in capsys.readouterr().out
    assert [path.name for path in tmp_path.iterdir()] == ["tug.json"]


def test_the_command_leads_by_the_keyboard_and_writes_its_files(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    bench = SimBench(5, "bumper-loose")
    person = SimPerson(bench.world)

    def typed(text: str) -> str:
        question = text.split(" [")[0]
        if "[Enter" in text:
            person.key(question)
            return ""
        if "a number" in text:
            return f"{person.number(question)}"
        return person._answer(question)

    monkeypatch.setattr(helm, "Client", At)
    monkeypatch.setattr(helm, "CableBench", lambda _: bench)
    monkeypatch.setattr("builtins.input", typed)
    (tmp_path / "settings.py").write_text("mine")
    assert main(["powerup", "--port", "P", "--to", str(tmp_path)]) == 1
    shown = capsys.readouterr().out
    assert "bumper: pin 19 feels nothing" in shown and "settings.py for the board" in shown
    assert "twin of it. Measured on it: lamp order, start duties, arm trim, eyes, motion" in shown
    assert (tmp_path / "settings.1.py").read_text() == "mine"
    assert json.loads((tmp_path / "tug.json").read_text())["lamp_order"]
    assert "feels nothing" in (tmp_path / "card.html").read_text()


def test_a_part_looked_at_once_more_leaves_the_others_as_they_were(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Mended, one part is looked at again: what was measured of the others, and what is to be
    mended there, stays on the card and in the files."""
    person = SimPerson(SimBench(5).world)

    def typed(text: str) -> str:
        question = text.split(" [")[0]
        if "[Enter" in text:
            person.key(question)
            return ""
        return f"{person.number(question)}" if "a number" in text else person._answer(question)

    def led_by(fault: str, *parts: str) -> dict[str, Any]:
        bench = SimBench(5, fault)
        person.world, person.hands = bench.world, Hands(bench.world)
        monkeypatch.setattr(helm, "CableBench", lambda _: bench)
        words = [word for part in parts for word in ("--part", part)]
        main(["powerup", "--port", "P", "--to", str(tmp_path), *words])
        return dict(json.loads((tmp_path / "tug.json").read_text()))

    monkeypatch.setattr(helm, "Client", At)
    monkeypatch.setattr("builtins.input", typed)
    first = led_by("bumper-stuck", "lamps", "sensor", "bumper")
    capsys.readouterr()
    second = led_by("", "arm")
    shown = capsys.readouterr().out
    assert "bumper: pin 19 is at ground" in shown and "kept as tug.1.json" in shown
    assert second["gyro_bias"] == first["gyro_bias"] and "arm_trim_us" in second
    third = led_by("", "bumper")
    assert "Nothing is to be mended" in capsys.readouterr().out
    assert third["arm_trim_us"] == second["arm_trim_us"]
    assert "at ground" not in (tmp_path / "card.html").read_text()


def test_a_card_takes_in_nothing_of_another_board() -> None:
    card = lead(SimBench(5), SimPerson(SimBench(5).world), ["sensor"])
    again, other = SimBench(5), SimBench(6)
    lead(again, SimPerson(again.world), ["battery"], Card.of(json.loads(card.json)))
    person = SimPerson(other.world)
    with pytest.raises(KitError, match="another board's: 0+5; .* at the cable is 0+6") as told:
        lead(other, person, ["battery"], Card.of(json.loads(card.json)))
    assert "--to FOLDER" in str(told.value) and not person.keys


def test_a_cable_that_is_pulled_leaves_what_was_found_until_then(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    bench = SimBench(5)
    person = SimPerson(bench.world)

    def gone(*_: object) -> None:
        raise KitError("The board has gone.")

    def typed(text: str) -> str:
        question = text.split(" [")[0]
        if "[Enter" in text:
            person.key(question)
            return ""
        return person._answer(question)

    monkeypatch.setattr(helm, "Client", At)
    monkeypatch.setattr(helm, "CableBench", lambda _: bench)
    monkeypatch.setattr("builtins.input", typed)
    monkeypatch.setattr(bench, "sensor", gone)
    words = [word for part in ("lamps", "sensor", "bumper") for word in ("--part", part)]
    assert main(["powerup", "--port", "P", "--to", str(tmp_path), *words]) == 1
    shown = capsys.readouterr().err
    assert "motor power off" in shown
    again = f"`python3 robotsim powerup --port P --to {tmp_path} --part sensor --part bumper`"
    assert again in shown
    assert json.loads((tmp_path / "tug.json").read_text())["lamp_order"]


def test_nobody_is_asked_what_they_see_once_the_cable_is_out() -> None:
    """Pulled while they looked at the lamp: after that nothing is lit, and nothing will turn."""
    bench, asked = SimBench(5), list[str]()

    class Pulls(SimPerson):
        def choose(self, text: str, choices: Sequence[str]) -> str:
            asked.append(text)
            bench.number = gone  # type: ignore[method-assign]
            return super().choose(text, choices)

    def gone() -> str:
        raise KitError("The board has gone.")

    card = Card()
    with pytest.raises(KitError, match="gone"):
        lead(bench, Pulls(bench.world), ["lamps", "motors"], card)
    assert asked == ["One lamp is lit. In which colour?"]
    assert card.left == ["lamps", "motors"] and not card


def test_what_somebody_else_wrote_of_the_parts_is_refused() -> None:
    with pytest.raises(KitError, match="What was found of the parts"):
        Card.of({"found": {"lamps": [{"colour": "red"}]}})


def test_answers_that_are_none_are_asked_again_and_q_stops(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    typed = iter(["9", "perhaps", "2", "far", "1e9", "-3,5", "", "no", "wait", " Q ", "stop"])
    monkeypatch.setattr("builtins.input", lambda text: next(typed))
    person = helm.TerminalPerson()
    assert person.choose("Which?", ("yes", "no")) == "no"
    assert person.number("How far?") == -3.5
    assert person.number("How far?") is None
    for _ in range(2):  # a word that is none is asked about; q and stop do stop
        with pytest.raises(Stopped):
            person.key("Now?")
    assert not list(typed)
    typed = iter(["Again", "", "again", "yse", "yes", "again", "3", "again"])
    capsys.readouterr()
    person.key("Now?")
    assert person.choose("Which?", ("yes", "no")) == "yes" and person.number("How far?") == 3
    assert person.choose("Which?", ("yes", "no", AGAIN)) == AGAIN
    shown = capsys.readouterr().out
    assert shown.count("`again` shows a motion once more, as an answer") == 3
    assert "Did you mean yes?" in shown and "Nothing was done" not in shown
    monkeypatch.setattr("builtins.input", lambda text: (_ for _ in ()).throw(EOFError))
    with pytest.raises(Stopped):
        person.key("Now?")


def test_words_for_a_plugged_tugs_hands_are_told_where_they_belong(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    typed = iter(["paper  2", "press", "", "let go", "2", "home", "7"])
    monkeypatch.setattr("builtins.input", lambda text: next(typed))
    person = helm.TerminalPerson(plugged=True)
    person.key("Now?")
    assert person.choose("Which?", ("yes", "no")) == "no" and person.number("How far?") == 7
    shown = capsys.readouterr().out
    assert shown.count("in which the tug was plugged in") == 4 and "'paper  2'" in shown
    real = helm.TerminalPerson()  # a real tug has hands of flesh, and no such words
    typed = iter(["press", ""])
    real.key("Now?")
    assert "Only Enter" in capsys.readouterr().out


def test_without_a_port_the_command_prints_the_page(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["powerup"]) == 0
    assert "Cautions" in capsys.readouterr().out


def test_eyes_remember_which_wheel_turned_which_way() -> None:
    bench = SimBench(1)
    eyes = Eyes(bench.world)
    assert eyes.words(bench.now) == "Lamps: all dark. The arm stands straight ahead."
    bench.lamps(PINS["lamps"], [(0, 40, 0), *[(0, 0, 0)] * 4])
    for role in ("left_back", "right_ahead"):
        for _ in range(20):
            bench.pulse([PINS[role]], 0.6, 0.02, PINS["battery"])
            eyes.watch(bench.now)
    words = eyes.words(bench.now)
    assert "The left wheel turned back," in words and "The right wheel turned ahead," in words
    assert "port bow red" in words or "port bow green" in words
    bench.arm(PINS["arm"], 1800)
    assert "degrees to port" in eyes.words(bench.now)


def test_hands_do_what_is_typed_and_nothing_else() -> None:
    for place in ("here", "there"):
        assert hand_words(place).count("typed") == hand_words(place).count(f"typed {place}:") == 1
    assert "here" not in hand_words("elsewhere").replace("elsewhere", "")
    hands = Hands(SimBench(1).world)
    for words in ("paper 0", "paper 4", "paper away", "press", "let go", "home", ""):
        hands.do(words)
    for words in ("paper 5", "paper white", "kick"):
        with pytest.raises(KitError):
            hands.do(words)
