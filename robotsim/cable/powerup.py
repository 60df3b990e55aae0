"""Power-up, led: one part at a time, a key for each motion, and a card of what was found.

Each part is one function: it asks the board (`Bench`) and the person, and notes on the card what
is as it should be, what is to be mended, and what was measured.
"""

from __future__ import annotations

import contextlib
from collections.abc import Callable, Sequence

from ..errors import KitError, UnknownNameError
from .bench import Bench
from .card import Card
from .led_drive import MOTORS, lead_arm, lead_lamps, lead_motors, lead_start, starts_known
from .led_senses import lead_battery, lead_bumper, lead_eyes, lead_networks, lead_sensor
from .person import Person, Stopped

__all__ = ["CAUTIONS", "PARTS", "lead"]

CAUTIONS = (
    "Before anything is driven: the tug on a block, wheels and arm free, fingers, hair and cords "
    "away from wheels and arm (pinch points). A hand at the switch of the motor power. Cable and "
    "another supply feed the board at once only if its sheet says that they may. No cell charges "
    "meanwhile. Lamps: do not look into them from close by. The rules of this place and "
    "licensed practice come before this program. q stops at any time: then all motors are off."
)


class _Attended:
    """A person who is asked nothing once the board has gone: there is nothing to be seen then."""

    def __init__(self, person: Person, bench: Bench) -> None:
        self._person, self._bench = person, bench

    def tell(self, text: str) -> None:
        self._person.tell(text)

    def key(self, text: str) -> None:
        self._bench.number()
        self._person.key(text)

    def choose(self, text: str, choices: Sequence[str]) -> str:
        self._bench.number()
        return self._person.choose(text, choices)

    def number(self, text: str) -> float | None:
        self._bench.number()
        return self._person.number(text)


def lead(
    bench: Bench, person: Person, parts: Sequence[str] = (), card: Card | None = None
) -> Card:
    """Lead through the first power-up.

    Args:
        bench: The board.
        person: Who looks at it.
        parts: Which parts, in order; all of them if left out.
        card: What is known of this tug already, such as its pins; None for a tug as drawn.

    Returns:
        The card; where the person has stopped, what was found until then.  A card that was given
        holds that also where the cable was pulled.

    Raises:
        KitError: There is no such part, or the cable has been pulled.
    """
    unknown = [part for part in parts if part not in PARTS]
    if unknown:
        raise UnknownNameError("part of a tug", unknown[0], PARTS)
    card, todo = Card() if card is None else card, list(parts or PARTS)
    person = _Attended(person, bench)
    motors = [card.pins[role] for role in MOTORS]
    try:
        bench.off(motors)
        card.belongs_to(bench.number())
        person.tell(CAUTIONS)
        person.key("Is the tug on its block, and is everybody away from wheels and arm?")
        while todo:
            person.tell(f"\n-- {todo[0]} --")
            with card.look_at(todo[0]):
                PARTS[todo[0]](bench, person, card)
            todo.pop(0)
        if "start" in card.found and not starts_known(card):
            card.left.append("start")  # a wheel turns that did not when it was looked for
    except (Stopped, KeyboardInterrupt):
        person.tell("Stopped: all motors are off.")
    finally:
        card.left += todo
        with contextlib.suppress(KitError):  # with the cable out nothing can be said any more
            bench.off(motors)
    return card


PARTS: dict[str, Callable[[Bench, Person, Card], None]] = {
    "lamps": lead_lamps, "motors": lead_motors, "start": lead_start, "arm": lead_arm,
    "eyes": lead_eyes, "sensor": lead_sensor, "bumper": lead_bumper, "battery": lead_battery,
    "networks": lead_networks,
}  # fmt: skip
"""Part to what leads through it, in the order in which they come."""
