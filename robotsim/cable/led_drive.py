"""What the led power-up does with lamps, motors and arm."""

from __future__ import annotations

from functools import partial

from .bench import Bench
from .card import IN_SETTINGS, Card
from .person import Person, watched

__all__ = ["MOTORS", "lead_arm", "lead_lamps", "lead_motors", "lead_start", "starts_known"]

_START_DUTY = "start duty, "

MOTORS = ("left_ahead", "left_back", "right_ahead", "right_back")
_TEST_DUTY, _TEST_S = 0.6, 0.4
_LOW, _HIGH, _STEPS = 0.05, 0.45, 6
"""Between these duties a wheel begins to turn, and so often the span is halved."""
_US_A_DEGREE = 1000.0 / 90.0
_TOOTH_DEG = 10.0
"""A horn that stands off by more than this was put on a tooth too far (invented)."""

# -- lamps ---------------------------------------------------------------------


def lead_lamps(bench: Bench, person: Person, card: Card) -> None:
    """Light one lamp: colour and place."""
    pin = card.pins["lamps"]
    names = card.build.lamp_names
    first, ends = names[0], (names[0], names[-1], "another")
    dark, lit = (0, 0, 0), (0, 40, 0)  # the second byte: red in GRB, green in RGB
    bench.lamps(pin, [lit, *[dark] * (len(names) - 1)])
    seen = person.choose("One lamp is lit. In which colour?", ("red", "green", "none"))
    if seen == "none":
        card.mend("lamps", f"no lamp lights on pin {pin}", "the data cable goes into the end of "
                  "the chain marked IN; plus and ground of the chain; the pin")  # fmt: skip
        return
    where = person.choose("Which lamp is it?", tuple(dict.fromkeys(ends)))
    bench.lamps(pin, [dark] * len(names))
    card.lamp_order = "GRB" if seen == "red" else "RGB"
    card.well(f"lamps: they take the colours as {card.lamp_order}")
    if where != first:
        card.mend("lamps", f"the first lamp of the chain is at {where}, not at {first}",
                  "turn the chain round")  # fmt: skip


# -- motors --------------------------------------------------------------------


def lead_motors(bench: Bench, person: Person, card: Card) -> None:
    """Drive each pin for a moment: which wheel, which way?"""
    seen: dict[str, str] = {}
    twice = False
    choices = ("left ahead", "left back", "right ahead", "right back", "none")
    todo = list(MOTORS)
    while todo:
        role = todo.pop(0)
        pin = card.pins[role]
        answer = watched(
            person, f"Press Enter, and one wheel turns for a moment (pin {pin}).",
            partial(bench.pulse, [pin], _TEST_DUTY, _TEST_S, card.pins["battery"]),
            "Which wheel turned, and which way?", choices,
        )  # fmt: skip
        same = [other for other, told in seen.items() if told == answer != "none"]
        if same and not twice:
            person.tell(f"You said that of pin {card.pins[same[0]]}, too, and no two pins do the "
                        "same: both once more.")  # fmt: skip
            todo[:0], twice = [same[0], role], True
            del seen[same[0]]
        else:
            seen[role] = answer
    _judge_motors(card, {role: seen[role] for role in MOTORS})


def _judge_motors(card: Card, seen: dict[str, str]) -> None:
    pins, found = card.pins, dict(card.pins)
    for answer in sorted({*seen.values()} - {"none"}):
        same = [pins[role] for role in MOTORS if seen[role] == answer]
        if len(same) > 1:
            wheel, way = answer.split()
            card.mend("motors", f"pins {same[0]} and {same[1]} were both said to turn the {wheel} "
                      f"wheel {way}, and no two pins do the same",
                      "look at the motors once more")  # fmt: skip
            return
    for role in MOTORS:
        for asked, answer in seen.items():
            if answer.replace(" ", "_") == role:
                found[role] = pins[asked]
    swapped = sorted(found[role] for role in MOTORS) == sorted(pins[role] for role in MOTORS)
    la, lb, ra, rb = (pins[role] for role in MOTORS)
    sides = {role: seen[role].split()[0] for role in MOTORS}
    other = {"left": "right", "right": "left"}
    working = [role for role in MOTORS if sides[role] != "none"]
    crossed = bool(working) and all(sides[r] == other[r.split("_")[0]] for r in working)
    if crossed:
        card.mend("motors", "left and right exchanged",
                  f"swap pins {la}, {lb} with {ra}, {rb} {IN_SETTINGS}" if swapped else
                  "exchange the plugs of both motors")  # fmt: skip
    for side in ("left", "right"):
        own = [role for role in MOTORS if role.startswith(side)]
        there = {role: seen[role].split() for role in own}
        dead = [role for role in own if there[role] == ["none"]]
        wheel = other[side] if crossed else side
        if len(dead) == 2:
            card.forget(f"{_START_DUTY}{wheel}")
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
                      f"swap pins {pins[own[0]]} and {pins[own[1]]} {IN_SETTINGS}. Or swap the two "
                      "wires of its motor, and look at the motors once more" if swapped else
                      "swap the two wires of its motor")  # fmt: skip
        elif not crossed and any(there[role][0] != side for role in turned):
            card.mend("motors", f"pin {pins[turned[0]]} turns the other wheel",
                      "the four cables to the bridge, one by one")  # fmt: skip
    if swapped:
        card.pins = found
    if not any(mend.part == "motors" for mend in card.mends):
        card.well("motors: each pin turns its wheel, its way")


def lead_start(bench: Bench, person: Person, card: Card) -> None:
    """Find the duty at which each wheel begins to turn, by halving."""
    for side in _turning(card):
        low, high = _LOW, _HIGH
        pin = card.pins[f"{side}_ahead"]
        for _ in range(_STEPS):
            duty = 0.5 * (low + high)
            turned = watched(
                person, f"Press Enter: the {side} wheel gets {100 * duty:.1f} % for a moment.",
                partial(bench.pulse, [pin], duty, _TEST_S, card.pins["battery"],
                        [card.pins[f"{side}_back"]]),
                "Did it turn?", ("yes", "no"),
            )  # fmt: skip
            low, high = (low, duty) if turned == "yes" else (duty, high)
        card.start[side] = round(high, 4)
        card.well(f"{_START_DUTY}{side}: {100 * high:.1f} %")


def starts_known(card: Card) -> bool:
    """Tell whether the start duty of each wheel that turns stands on the card."""
    good = card.found.get("start", ())
    return all(any(str(row).startswith(f"{_START_DUTY}{side}") for row in good)
               for side in _turning(card))  # fmt: skip


def _turning(card: Card) -> list[str]:
    dead = [mend.what for mend in card.mends if mend.part == "motors"]
    return [side for side in ("left", "right")
            if not any(f"the {side} wheel turns on neither" in what for what in dead)]  # fmt: skip


# -- arm -----------------------------------------------------------------------


def lead_arm(bench: Bench, person: Person, card: Card) -> None:
    """Let the arm swing: does it move, and how far off does it stand?"""
    pin = card.pins["arm"]
    person.key("Press Enter, and the arm goes straight ahead.")
    bench.arm(pin, 1500)

    def swing() -> None:
        for pulse_us in (1500, 1800):
            bench.arm(pin, pulse_us)

    moved = watched(person, "Press Enter, and it swings to port and waits.", swing, "Did it move?",
                    ("yes", "no"))  # fmt: skip
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
    card.arm_trim_us = round(-off * _US_A_DEGREE, 1) + 0.0  # no -0.0
    if abs(off) > _TOOTH_DEG:
        card.mend("arm", f"at 1.5 ms it stands {abs(off):.0f} degrees off",
                  "its screw out, the horn off and on again, straight ahead")  # fmt: skip
    card.well(f"arm: trim {round(card.arm_trim_us)} us")
