"""Mistakes on the way to an order: what goes wrong alike in every task by radio."""

from __future__ import annotations

from collections.abc import Sequence

from robotsim.radio import order_topic

from ..readings.radio import Heard
from ..task import Clues, Criterion, Mistake, mistake
from ..words import counted
from .orders import SOON_S, ByRadio

__all__ = ["ENDED", "JOINING", "evaluated", "no_sign_of_life", "obeyed_late"]


@mistake(
    "the network was not joined",
    "compare name and password with the lesson, letter by letter, and wait in a loop until "
    "isconnected() is true.",
)
def _not_joined(seen: ByRadio) -> Clues:
    for trial in seen.trials:
        if trial.times("joined"):
            continue
        if not trial.times("joining"):
            yield "the board never asked to join a network"
        for _, why in trial.radio("not joined"):
            yield why


@mistake("never connected to the broker", "call client.connect().")
def _not_connected(seen: ByRadio) -> Clues:
    for trial in seen.trials:
        if trial.times("joined") and not trial.times("connected"):
            yield "the network was joined, but no connection with the broker was made"


@mistake(
    "subscribe forgotten",
    "after every connect() call client.subscribe(ORDER, 1); the broker sends nothing that nobody "
    "asked for.",
)
def _no_subscription(seen: ByRadio) -> Clues:
    for trial in seen.trials:
        if trial.times("connected") and not trial.subscribed:
            yield "it connected and never subscribed to anything"


@mistake(
    "subscribed to the wrong topic",
    "a topic is compared letter by letter; print yours and compare it.",
)
def _wrong_topic(seen: ByRadio) -> Clues:
    for trial in seen.trials:
        wanted = [detail.split(" ", 1)[1] for _, detail in trial.radio("subscribed")]
        if wanted and not any(fits for _, fits in trial.subscribed):
            topic = order_topic(trial.recording.serial)
            yield f"it subscribed to {wanted[0]!r}; its orders come under {topic!r}"


@mistake(
    "never looked for messages",
    "messages are handled only within check_msg() or wait_msg(): one of them in the loop.",
)
def _never_looked(seen: ByRadio) -> Clues:
    for trial in seen.trials:
        came = sum(heard.came for heard in trial.orders)
        if came and not trial.took:
            yield f"{counted(came, 'order')} arrived at the board, and the program took none"


@mistake(
    "subscribed too late",
    "join, connect and subscribe right at the start: what nobody asked for is lost.",
)
def _too_late(seen: ByRadio) -> Clues:
    for trial in seen.trials:
        first = next((at for at, fits in trial.subscribed if fits), 0.0)
        gone = [heard for heard in trial.orders if not heard.came and heard.sent < first]
        if gone:
            yield f"it subscribed at {first:.1f} s, and {counted(len(gone), 'order')} had gone by"


def no_sign_of_life(explains: Sequence[Criterion] = ()) -> Mistake:
    """Make the mistake of saying nothing for too long; it explains any loss, or only some."""

    @mistake(
        "no sign of life",
        "within the keep-alive time something must be sent: client.ping() every second or two.",
        explains=explains,
    )
    def look(seen: ByRadio) -> Clues:
        for trial in seen.trials:
            cuts = [at for at, detail in trial.radio("cut") if detail == "begins"]
            for at, why in trial.radio("closed"):
                known = any(t < at < t + 14 for t in cuts)
                known |= any(t < at < t + 8 for t in trial.times("lost"))
                if "keep-alive" in why and not known and at < trial.ended:
                    yield f"at {at:.1f} s the broker hung up: the keep-alive had run out"

    return look


JOINING: tuple[Mistake, ...] = (
    _not_joined,
    _not_connected,
    _no_subscription,
    _wrong_topic,
    _never_looked,
    _too_late,
    no_sign_of_life(),
)
"""The mistakes on the way to the first message: each explains whatever was lost."""


@mistake(
    "does not go on listening",
    "wait in a loop until it has joined; at the end `while True:` with check_msg() and a sleep.",
)
def _ended(seen: ByRadio) -> Clues:
    for trial in seen.trials:
        later = sum(map(trial.unheard, trial.orders))
        if trial.times("joining") and trial.recording.ended == "finished" and later:
            yield (
                f"the program came to its end at {trial.ended:.1f} s, and "
                f"{counted(later, 'order')} came after that, or less than {SOON_S:g} s before"
            )


ENDED = _ended


# -- what is heard --------------------------------------------------------------


def evaluated(costs: Sequence[Criterion]) -> Mistake:
    """Make the mistake of running what arrives, for the criteria that it costs in a task."""

    @mistake(
        "what arrives is evaluated",
        "never give a message to eval or exec: whoever can send one could do anything with "
        "your board. json.loads reads data and nothing else.",
        costs=costs,
        raises=True,
    )
    def look(seen: ByRadio) -> Clues:
        if seen.evaluated:
            _, at = seen.evaluated
            yield f"at {at:.1f} s the console shows what only running a message can print"

    return look


def obeyed_late(costs: Sequence[Criterion] = (), explains: Sequence[Criterion] = ()) -> Mistake:
    """Make the mistake of leaving orders on the board, for the criteria that it costs in a task."""

    @mistake(
        "messages wait too long",
        "look for messages at least ten times a second: check_msg(), and a short sleep.",
        costs=costs,
        explains=explains,
    )
    def look(seen: ByRadio) -> Clues:
        for trial in seen.trials:
            slow = [heard for heard in trial.orders if heard.waited > SOON_S]
            if slow and trial.took:
                yield _on_the_board(max(slow, key=lambda heard: heard.waited))

    return look


def _on_the_board(heard: Heard) -> str:
    if heard.taken is None:
        return f"the order of {heard.sent:.1f} s arrived, and the program never took it"
    return f"the order of {heard.sent:.1f} s waited {heard.waited:.1f} s before it was taken"
