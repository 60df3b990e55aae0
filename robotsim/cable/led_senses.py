"""What the led power-up does with eyes, sensors and supply."""

from __future__ import annotations

from collections.abc import Sequence

from .bench import Bench
from .card import IN_SETTINGS, Card
from .person import Person

__all__ = ["EYES", "lead_battery", "lead_bumper", "lead_eyes", "lead_networks", "lead_sensor"]

EYES = ("eye_0", "eye_1", "eye_2", "eye_3")
_PAPERS = (
    "white paper under all four eyes", "the black edge under the port eye alone",
    "the black edge under the two port eyes", "the black edge under three eyes",
    "black under all four eyes",
)  # fmt: skip
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

# -- eyes ----------------------------------------------------------------------


def lead_eyes(bench: Bench, person: Person, card: Card) -> None:
    """Put white and black under the eyes: do they see, and in which order?"""
    pins = [card.pins[role] for role in EYES]
    rows = _looks(bench, person, pins)
    if _lighter(rows):
        person.tell("Some eyes have more light now than over the first paper: that was not white. "
                    "The eyes begin anew.")  # fmt: skip
        rows = _looks(bench, person, pins)
    card.known = {k: v for k, v in card.known.items() if k not in ("white_volts", "black_volts")}
    if _lighter(rows):
        card.mend("eyes", "some have more light over black than over white",
                  "white under all, black under one alone, and look once more")  # fmt: skip
        return
    half = [0.5 * (w + b) for w, b in zip(rows[0], rows[4], strict=True)]
    blind = [k for k in range(4) if rows[4][k] - rows[0][k] < _SEES_V]
    if len(blind) == 4:
        card.mend("eyes", "none of them tells white from black", "were the papers under them as "
                  "was asked? Then what all four share: plus, ground, their cable")  # fmt: skip
        return
    for k in blind:
        card.mend("eyes", f"eye {k} on pin {pins[k]} does not tell white from black",
                  "its cable and its plug; is it 2 to 4 mm above the paper?")  # fmt: skip
    if not blind:
        card.white, card.black = tuple(rows[0]), tuple(rows[4])
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


def _looks(bench: Bench, person: Person, pins: Sequence[int]) -> list[list[float]]:
    """Give the eyes' volts over white, then with black under one, two ...

    It ends early where an eye shows that the first paper was not white.
    """
    rows: list[list[float]] = []
    for words in _PAPERS:
        person.key(f"Put {words}, then press Enter.")
        rows.append(bench.volts(pins))
        if told := _not_so(rows):
            person.key(f"{told} Put {words}, then press Enter.")
            rows[-1] = bench.volts(pins)
        if _lighter(rows):
            break
    return rows


def _lighter(rows: Sequence[Sequence[float]]) -> bool:
    """Tell whether an eye has more light now than over the first paper."""
    return any(white - volts >= _SEES_V for white, volts in zip(rows[0], rows[-1], strict=True))


def _not_so(rows: Sequence[Sequence[float]]) -> str:
    """Say what the eyes have seen of the last paper that cannot be meant; "" for nothing.

    Args:
        rows: Volts of the eyes over white, then with black under one, two ...
    """
    asked = len(rows) - 1
    dark = sum(volts - white >= _SEES_V for volts, white in zip(rows[-1], rows[0], strict=True))
    if dark > asked:
        return f"{dark} eyes see black, and {asked} should."
    if asked and all(abs(a - b) < _SEES_V for a, b in zip(*rows[-2:], strict=True)):
        return "No eye has seen a change." + (" Was the paper before white?" if asked == 1 else "")
    return ""


def _judge_order(card: Card, place: dict[int, int], pins: Sequence[int]) -> None:
    wrong = {k: there for k, there in place.items() if k != there}
    if not wrong:
        if len(place) == 4:
            card.well("eyes: all four see, in their order from port to starboard")
        return
    if len({*place.values()}) < len(place):
        card.mend("eyes", "several eyes saw black where one was asked for",
                  "white under all, black under one alone, and look once more")
        return
    if len(place) == 4 and all(there == 3 - k for k, there in place.items()):
        swap = f"swap pins {pins[0]} with {pins[3]} and {pins[1]} with {pins[2]} {IN_SETTINGS}"
        card.mend("eyes", "the row is turned round", swap)
        return
    told = [f"eye {k} is where eye {there} should be" for k, there in sorted(wrong.items())]
    a, *rest = sorted(wrong)
    swap = f"swap pins {pins[a]} and {pins[wrong[a]]} {IN_SETTINGS}" \
        if len(wrong) == 2 and len(place) == 4 else "their cables, one by one"  # fmt: skip
    card.mend("eyes", ", ".join(told), swap)


# -- sensors and supply --------------------------------------------------------


def lead_sensor(bench: Bench, person: Person, card: Card) -> None:
    """Listen to the motion sensor at rest."""
    person.key("Leave the tug level and still, then press Enter.")
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
    card.well(f"motion sensor: it calls itself 0x{found.identity:02x}, bias {bias} rad/s")


def lead_bumper(bench: Bench, person: Person, card: Card) -> None:
    """Read the bumper, free and pressed."""
    pin = card.pins["bumper"]
    person.key("Hands off the bumper, then press Enter.")
    free = bench.level(pin)
    person.key("Press the bumper and hold it, then press Enter.")
    held = bench.level(pin)
    if free == held:
        person.key("Nothing has changed. Press the bumper and hold it, then press Enter.")
        held = bench.level(pin)
    if (free, held) == (1, 0):
        card.well("bumper: open at rest, closed when it is pressed")
    elif free == held == 0:
        card.mend("bumper", f"pin {pin} is at ground all the time", "the cable is on the contact "
                  "that is closed at rest, or a bridge of solder")  # fmt: skip
    elif free == held == 1:
        card.mend("bumper", f"pin {pin} feels nothing", "its cable, its ground, its contact")
    else:
        card.mend("bumper", "it is closed at rest and open when pressed",
                  "put the cable on the other contact (normally open)")  # fmt: skip


def lead_battery(bench: Bench, person: Person, card: Card) -> None:
    """Read the battery at rest and under load."""
    pin = card.pins["battery"]
    (rest,) = (2 * volts for volts in bench.volts([pin]))
    person.key("Press Enter, and both wheels turn for a moment.")
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
        card.well(f"battery: {rest:.2f} V at rest, {load:.2f} V under load")


def lead_networks(bench: Bench, person: Person, card: Card) -> None:
    """Listen for networks."""
    card.networks = tuple(dict.fromkeys(name for name in bench.networks() if name))
    if card.networks:
        card.well(f"networks heard: {', '.join(card.networks)}")
    else:
        card.mend("radio", "no network is heard", "nearer to one; some boards need their aerial "
                  "plugged in; only 2.4 GHz is heard")  # fmt: skip
