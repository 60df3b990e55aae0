"""Power-up, led: one part at a time, a key for each motion, and a card of what was found.

Each part is one function: it asks the board (`Bench`) and the person, and notes on the card what
is as it should be, what is to be mended, and what was measured.
"""

from __future__ import annotations

import contextlib
from collections.abc import Callable, Sequence
from typing import Protocol

from ..errors import KitError
from ..wiring import PINS
from .bench import Bench
from .card import Card

__all__ = ["CAUTIONS", "PARTS", "Person", "Stopped", "lead"]

CAUTIONS = (
    "Before anything is driven: the tug on a block, wheels and arm free, fingers, hair and cords "
    "away from wheels and arm (pinch points). A hand at the switch of the motor power. No cell "
    "charges meanwhile. Lamps: do not look into them from close by. The rules of this place and "
    "licensed practice come before this program. q stops at any time: then all motors are off."
)
MOTORS = ("left_ahead", "left_back", "right_ahead", "right_back")
EYES = ("eye_0", "eye_1", "eye_2", "eye_3")
_TEST_DUTY, _TEST_S = 0.6, 0.4
_LOW, _HIGH, _STEPS = 0.05, 0.45, 6
"""Between these duties a wheel begins to turn, and so often the span is halved."""
_US_A_DEGREE = 1000.0 / 90.0
_TOOTH_DEG = 10.0
"""A horn that stands off by more than this was put on a tooth too far (invented)."""
_SEES_V = 0.4
"""An eye whose volts change by less between white and black does not see (invented)."""
_LOW_V, _SAG_V = 4.4, 0.9
"""Four cells below that at rest are spent; a sag beyond that is a bad contact (invented)."""
_IDENTITY = 0x68
"""What the sensor calls itself (MPU-6050 register map, read)."""
_STILL = 0.05
_BIASED = 0.35
"""Rates at rest in rad/s: more spread than the one and it is not at rest, more mean than the
other and it is broken (sheet of the sensor: 20 degrees/s, read)."""


class Stopped(Exception):
    """The person has stopped it."""


class Person(Protocol):
    """Whoever sits before the tug."""

    def tell(self, text: str) -> None:
        """Read something."""

    def key(self, text: str) -> None:
        """Press a key when they are ready.

        Raises:
            Stopped: They will not.
        """

    def choose(self, text: str, choices: Sequence[str]) -> str:
        """Say which of some answers is right.

        Raises:
            Stopped: They will not go on.
        """

    def number(self, text: str) -> float | None:
        """Say a number, None for none.

        Raises:
            Stopped: They will not go on.
        """


def lead(bench: Bench, person: Person, parts: Sequence[str] = ()) -> Card:
    """Lead through the first power-up.

    Args:
        bench: The board.
        person: Who looks at it.
        parts: Which parts, in order; all of them if left out.

    Returns:
        The card; where the person has stopped, what was found until then.

    Raises:
        KitError: There is no such part, or the cable has been pulled.
    """
    unknown = [part for part in parts if part not in PARTS]
    if unknown:
        raise KitError(f"There is no part {unknown[0]!r}.", hint=f"parts: {', '.join(PARTS)}.")
    card, todo = Card(), list(parts or PARTS)
    motors = [PINS[role] for role in MOTORS]
    try:
        bench.off(motors)
        person.tell(CAUTIONS)
        person.key("Is the tug on its block, and is everybody away from wheels and arm?")
        while todo:
            person.tell(f"\n-- {todo[0]} --")
            PARTS[todo[0]](bench, person, card)
            todo.pop(0)
    except Stopped:
        card.left = todo
        person.tell("Stopped: all motors are off.")
    finally:
        with contextlib.suppress(KitError):  # with the cable out nothing can be said any more
            bench.off(motors)
    return card


# -- lamps ---------------------------------------------------------------------


def _lamps(bench: Bench, person: Person, card: Card) -> None:
    pin = card.pins["lamps"]
    dark, lit = (0, 0, 0), (0, 40, 0)  # the second byte: red in GRB, green in RGB
    bench.lamps(pin, [lit, dark, dark, dark, dark])
    seen = person.choose("One lamp is lit. In which colour?", ("red", "green", "none"))
    if seen == "none":
        card.mend("lamps", f"no lamp lights on pin {pin}", "the data cable goes into the end of "
                  "the chain marked IN; plus and ground of the chain; the pin")  # fmt: skip
        return
    where = person.choose("Which lamp is it?", ("port bow", "deck", "another"))
    bench.lamps(pin, [dark] * 5)
    card.lamp_order = "GRB" if seen == "red" else "RGB"
    card.good.append(f"lamps: they take the colours as {card.lamp_order}")
    if where != "port bow":
        card.mend("lamps", f"the first lamp of the chain is at {where}, not at port bow",
                  "turn the chain round")  # fmt: skip


# -- motors --------------------------------------------------------------------


def _motors(bench: Bench, person: Person, card: Card) -> None:
    seen: dict[str, str] = {}
    choices = ("left ahead", "left back", "right ahead", "right back", "none")
    for role in MOTORS:
        pin = card.pins[role]
        person.key(f"Press a key, and one wheel turns for a moment (pin {pin}).")
        bench.pulse([pin], _TEST_DUTY, _TEST_S, card.pins["battery"])
        seen[role] = person.choose("Which wheel turned, and which way?", choices)
    _judge_motors(card, seen)


def _judge_motors(card: Card, seen: dict[str, str]) -> None:
    pins, found = card.pins, dict(card.pins)
    for role in MOTORS:
        for asked, answer in seen.items():
            if answer.replace(" ", "_") == role:
                found[role] = pins[asked]
    la, lb, ra, rb = (pins[role] for role in MOTORS)
    sides = {role: seen[role].split()[0] for role in MOTORS}
    other = {"left": "right", "right": "left"}
    working = [role for role in MOTORS if sides[role] != "none"]
    crossed = bool(working) and all(sides[r] == other[r.split("_")[0]] for r in working)
    if crossed:
        card.mend("motors", "left and right exchanged",
                  f"swap pins {la}, {lb} with {ra}, {rb} in settings.py")  # fmt: skip
    for side in ("left", "right"):
        own = [role for role in MOTORS if role.startswith(side)]
        there = {role: seen[role].split() for role in own}
        dead = [role for role in own if there[role] == ["none"]]
        wheel = other[side] if crossed else side
        if len(dead) == 2:
            card.mend("motors", f"the {wheel} wheel turns on neither pin {pins[own[0]]} nor "
                      f"{pins[own[1]]}", "its two wires, its plug, the cables to the bridge, the "
                      "motor power")  # fmt: skip
            continue
        if dead:
            card.mend("motors", f"nothing turns on pin {pins[dead[0]]} ({dead[0]})",
                      "the cable from this pin to the bridge")  # fmt: skip
        turned = [role for role in own if role not in dead]
        if all(there[role][1] != role.split("_")[1] for role in turned):
            card.mend("motors", f"the {wheel} wheel runs backwards",
                      f"swap pins {pins[own[0]]} and {pins[own[1]]} in settings.py, or the two "
                      "wires of its motor")  # fmt: skip
        elif not crossed and any(there[role][0] != side for role in turned):
            card.mend("motors", f"pin {pins[turned[0]]} turns the other wheel",
                      "the four cables to the bridge, one by one")  # fmt: skip
    if sorted(found[role] for role in MOTORS) == sorted(pins[role] for role in MOTORS):
        card.pins = found
    if not any(mend.part == "motors" for mend in card.mends):
        card.good.append("motors: each pin turns its wheel, its way")


def _start(bench: Bench, person: Person, card: Card) -> None:
    dead = {mend.what for mend in card.mends if mend.part == "motors"}
    for side in ("left", "right"):
        if any(f"the {side} wheel turns on neither" in what for what in dead):
            continue
        low, high = _LOW, _HIGH
        pin = card.pins[f"{side}_ahead"]
        for _ in range(_STEPS):
            duty = 0.5 * (low + high)
            person.key(f"Press a key: the {side} wheel gets {100 * duty:.0f} % for a moment.")
            bench.pulse([pin], duty, _TEST_S, card.pins["battery"], [card.pins[f"{side}_back"]])
            turned = person.choose("Did it turn?", ("yes", "no")) == "yes"
            low, high = (low, duty) if turned else (duty, high)
        card.start[side] = round(high, 4)
        card.good.append(f"start duty, {side}: {100 * high:.1f} %")


# -- arm -----------------------------------------------------------------------


def _arm(bench: Bench, person: Person, card: Card) -> None:
    pin = card.pins["arm"]
    person.key("Press a key, and the arm goes straight ahead.")
    bench.arm(pin, 1500)
    person.key("Press a key, and it swings to port and back.")
    bench.arm(pin, 1800)
    moved = person.choose("Did it move?", ("yes", "no"))
    if moved == "no":
        card.mend("arm", f"it does not move on pin {pin}", "its plug the right way round, its "
                  "supply, the pin")  # fmt: skip
        return
    bench.arm(pin, 1500)
    off = person.number("How many degrees to port of straight ahead does it stand now? "
                        "(to starboard: below 0)")  # fmt: skip
    if off is None:
        card.left.append("arm trim")
        return
    card.arm_trim_us = round(-off * _US_A_DEGREE, 1)
    if abs(off) > _TOOTH_DEG:
        card.mend("arm", f"at 1.5 ms it stands {abs(off):.0f} degrees off",
                  "its screw out, the horn off and on again, straight ahead")  # fmt: skip
    card.good.append(f"arm: trim {card.arm_trim_us:.0f} us")


# -- eyes ----------------------------------------------------------------------


def _eyes(bench: Bench, person: Person, card: Card) -> None:
    pins = [card.pins[role] for role in EYES]
    rows = []
    for covered in range(5):
        words = ("white paper under all four eyes", "the black edge under the port eye alone",
                 "the black edge under the two port eyes", "the black edge under three eyes",
                 "black under all four eyes")  # fmt: skip
        person.key(f"Put {words[covered]}, then press a key.")
        rows.append(bench.volts(pins))
    card.white, card.black = tuple(rows[0]), tuple(rows[4])
    half = [0.5 * (w + b) for w, b in zip(rows[0], rows[4], strict=True)]
    blind = [k for k in range(4) if rows[4][k] - rows[0][k] < _SEES_V]
    for k in blind:
        card.mend("eyes", f"eye {k} on pin {pins[k]} does not tell white from black",
                  "its cable and its plug; is it 2 to 4 mm above the paper?")  # fmt: skip
    # The first row in which an eye is over black says where it sits.
    place = {k: next(n for n in range(5) if rows[n][k] > half[k]) - 1
             for k in range(4) if k not in blind}  # fmt: skip
    if not blind and sorted(place.values()) == [0, 1, 2, 3]:
        card.pins |= {EYES[place[k]]: pins[k] for k in range(4)}
        card.white, card.black = (
            tuple(row[k] for _, k in sorted((place[k], k) for k in range(4)))
            for row in (rows[0], rows[4])
        )
    _judge_order(card, place, pins)


def _judge_order(card: Card, place: dict[int, int], pins: Sequence[int]) -> None:
    wrong = {k: there for k, there in place.items() if k != there}
    if not wrong:
        if len(place) == 4:
            card.good.append("eyes: all four see, in their order from port to starboard")
        return
    if len(place) == 4 and all(there == 3 - k for k, there in place.items()):
        swap = f"swap pins {pins[0]} with {pins[3]} and {pins[1]} with {pins[2]} in settings.py"
        card.mend("eyes", "the row is turned round", swap)
        return
    told = [f"eye {k} is where eye {there} should be" for k, there in sorted(wrong.items())]
    a, *rest = sorted(wrong)
    swap = f"swap pins {pins[a]} and {pins[wrong[a]]} in settings.py" if len(wrong) == 2 else \
        "their cables, one by one"  # fmt: skip
    card.mend("eyes", ", ".join(told), swap)


# -- sensors and supply --------------------------------------------------------


def _sensor(bench: Bench, person: Person, card: Card) -> None:
    person.key("Leave the tug level and still, then press a key.")
    sda, scl = card.pins["sda"], card.pins["scl"]
    found = bench.sensor(sda, scl)
    if found is None:
        card.mend("motion sensor", f"nothing answers at 0x68 on pins {sda}, {scl}", "are SDA and "
                  "SCL exchanged? Its plus and ground; pull-ups; AD0 to ground")  # fmt: skip
        return
    if found.identity != _IDENTITY:
        card.mend("motion sensor", f"it calls itself 0x{found.identity:02x}, not 0x68",
                  "it is another kind: its registers may differ; read its sheet")  # fmt: skip
    down = found.accel[2] < -0.5
    if down:
        card.mend("motion sensor", "it lies on its back: z reads down",
                  "turn it over; as it is every turn has the wrong sign")  # fmt: skip
    if found.spread > _STILL or max(map(abs, found.gyro)) > _BIASED:
        card.mend("motion sensor", "it shows a turn at rest", "was it still? Once more; else its "
                  "solder joints")  # fmt: skip
        return
    card.gyro_bias = tuple(round(value, 5) for value in found.gyro)
    level = (0.0, 0.0, -1.0 if down else 1.0)
    card.accel_bias = tuple(round(a - b, 5) for a, b in zip(found.accel, level, strict=True))
    bias = ", ".join(f"{value:+.4f}" for value in found.gyro)
    card.good.append(f"motion sensor: it calls itself 0x{found.identity:02x}, bias {bias} rad/s")


def _bumper(bench: Bench, person: Person, card: Card) -> None:
    pin = card.pins["bumper"]
    person.key("Hands off the bumper, then press a key.")
    free = bench.level(pin)
    person.key("Press the bumper and hold it, then press a key.")
    held = bench.level(pin)
    if (free, held) == (1, 0):
        card.good.append("bumper: open at rest, closed when it is pressed")
    elif free == held == 0:
        card.mend("bumper", f"pin {pin} is at ground all the time", "the cable is on the contact "
                  "that is closed at rest, or a bridge of solder")  # fmt: skip
    elif free == held == 1:
        card.mend("bumper", f"pin {pin} feels nothing", "its cable, its ground, its contact")
    else:
        card.mend("bumper", "it is closed at rest and open when pressed",
                  "put the cable on the other contact (normally open)")  # fmt: skip


def _battery(bench: Bench, person: Person, card: Card) -> None:
    pin = card.pins["battery"]
    (rest,) = (2 * volts for volts in bench.volts([pin]))
    person.key("Press a key, and both wheels turn for a moment.")
    ahead = [card.pins["left_ahead"], card.pins["right_ahead"]]
    load = 2 * bench.pulse(ahead, 0.9, 0.6, pin)
    card.battery = (round(rest, 3), round(load, 3))
    if rest < 1.0:
        card.mend("battery", f"pin {pin} reads {rest:.1f} V", "the two resistors of its divider, "
                  "and the cable to the pin")  # fmt: skip
    elif rest < _LOW_V:
        card.mend("battery", f"{rest:.2f} V at rest", "charge the cells, in a charger made for "
                  "them, never unattended")  # fmt: skip
    elif rest - load > _SAG_V:
        card.mend("battery", f"{rest:.2f} V at rest fall to {load:.2f} V under load", "a cell that "
                  "is old, a bad contact, thin cables")  # fmt: skip
    else:
        card.good.append(f"battery: {rest:.2f} V at rest, {load:.2f} V under load")


def _networks(bench: Bench, person: Person, card: Card) -> None:
    card.networks = tuple(dict.fromkeys(name for name in bench.networks() if name))
    if card.networks:
        card.good.append(f"networks heard: {', '.join(card.networks)}")
    else:
        card.mend("radio", "no network is heard", "nearer to one; some boards need their aerial "
                  "plugged in; only 2.4 GHz is heard")  # fmt: skip


PARTS: dict[str, Callable[[Bench, Person, Card], None]] = {
    "lamps": _lamps, "motors": _motors, "start": _start, "arm": _arm, "eyes": _eyes,
    "sensor": _sensor, "bumper": _bumper, "battery": _battery, "networks": _networks,
}  # fmt: skip
"""Part to what leads through it, in the order in which they come."""
