"""Session: a program on its board at real time, with a guard over its motors."""

from __future__ import annotations

import contextlib
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from ..board.faults import TimeUp
from ..board.order import SILENCE_S
from ..origin import Whose
from ..parts import Day, Quirks, seed_day
from ..radio import Airwaves
from ..session import Session
from ..table.table import Pose, Table
from ..units import SECOND, ns
from ..wiring import FLOATING, Signal
from ..world import TugWorld
from .air import LiveRadio, Post
from .pace import Pace

__all__ = ["LOST_S", "GuardedWorld", "LiveSession", "Look", "open_session"]

LOST_S = 1.0
"""How long after the link to the real broker is known to be lost the motors are cut off."""


@dataclass(frozen=True)
class Look:
    """How the tug stands at a moment.

    Attributes:
        t: Simulated time in s.
        pose: x, y in m and heading in rad.
        speed: In m/s, ahead positive.
        turn_rate: In rad/s, to port positive.
        lamps: The lamps' colours.
        arm: The arm's angle in rad.
        ball: Where the float is, or None.
        docked: Whether it is in the dock.
        volts: The battery's voltage.
        link: "up", "lost", or "none" without a real broker.
        cut: Whether the motors are cut off.
    """

    t: float
    pose: Pose
    speed: float
    turn_rate: float
    lamps: tuple[tuple[int, int, int], ...]
    arm: float
    ball: tuple[float, float] | None
    docked: bool
    volts: float
    link: str
    cut: bool


class GuardedWorld(TugWorld):
    """A tug whose motors can be cut off, whatever its program puts on their pins."""

    cut = False

    def __init__(self, *words: Any, **more: Any) -> None:
        super().__init__(*words, **more)
        left, right = self.build.motors.values()
        self._motors = (*left, *right)
        self.shown: tuple[tuple[int, int, int], ...] = self._lamps.shown

    def cut_off(self, now_ns: int) -> None:
        """Take the signals off the motors' pins, until further notice."""
        self.cut = True
        for pin in self._motors:
            super().output(pin, FLOATING, now_ns)

    def output(self, pin: int, signal: Signal, at_ns: int) -> None:
        """Put a signal on a pin, unless it is cut off."""
        if not (self.cut and pin in self._motors):
            super().output(pin, signal, at_ns)

    def frame(self, pin: int, data: bytes, timing: int, time_ns: int) -> Any:
        """Send a frame to the chain of lamps, and keep what they show."""
        shown = super().frame(pin, data, timing, time_ns)
        self.shown = shown or self.shown
        return shown

    def look(self, t: float, link: str) -> Look:
        """Give how the tug stands."""
        ball = self._bodies.ball
        return Look(
            t=t, pose=(self.x, self.y, self.heading), speed=self.speed, turn_rate=self.turn_rate,
            lamps=self.shown, arm=self._arm.angle, ball=(ball.x, ball.y) if ball else None,
            docked=self._docked, volts=self.supply_volts, link=link, cut=self.cut,
        )  # fmt: skip


class LiveSession(Session):
    """A trial that takes its time, and whose end is not known before.

    `open_session` makes one; `run` runs it in the thread that calls it.
    """

    world: GuardedWorld
    radio: LiveRadio
    pace: Pace
    linked: bool
    look: Look

    def hold(self) -> None:
        """Wait until the clock on the wall shows the board's time."""
        assert self.board
        self.pace.hold(self.board.now_ns)

    def hear(self, message: bytes) -> bytes:
        """Let the board carry out a message, and hold the program back until its time has come."""
        answer = super().hear(message)
        self.hold()
        return answer

    def rest(self) -> None:
        """Let the parts go on until the time is over, or someone stops it."""
        with contextlib.suppress(TimeUp):
            self.pace.hold(self.limit)
        self.pace.let_go()
        self.limit = min(self.limit, max(self.pace.reached_ns, self.world.now_ns))
        super().rest()

    def tick(self, now_ns: int) -> None:
        """Bring everything to a time, while the board waits for it."""
        if now_ns > self.world.now_ns:
            self.world.advance_to(now_ns)
        self.radio.look(max(now_ns, self.radio.agenda.now_ns))
        self._guard(now_ns)
        self.look = self._seen(now_ns)

    def _guard(self, now_ns: int) -> None:
        """Cut the motors off while the real link is lost."""
        lost_ns, world = self.radio.lost_ns, self.world
        if lost_ns is None:
            world.cut = False
        elif not world.cut and now_ns >= lost_ns + LOST_S * SECOND:
            world.cut_off(max(now_ns, world.now_ns))
            self.radio.tell_guard()

    def _seen(self, now_ns: int) -> Look:
        link = ("lost" if self.radio.lost_ns is not None else "up") if self.linked else "none"
        return self.world.look(now_ns / SECOND, link)


def open_session(
    files: Mapping[str, str], program: str, table: Table, serial: int, seed: int, seconds: float,
    start: Pose | None, engine: str, air: Airwaves, post: Post | None,
) -> LiveSession:  # fmt: skip
    """Put a tug on a table, its program on its board, and its radio on the air.

    Args: as `robotsim.live.live`; `post` is the way to the real broker, or None.
    """
    today = Day.of(seed_day(seed), serial)
    world = GuardedWorld(table, Quirks.of(serial), seed, start, day=today)
    # Each needs the others: the clock tells the session, the radio waits for the clock.
    pace = Pace(lambda now_ns: session.tick(now_ns))
    radio = LiveRadio(air, seed, serial, pace.hold, post)
    session = LiveSession(
        world, radio, files, program, engine, SILENCE_S, ns(seconds), serial, seed, Whose.OWN
    )
    session.pace, session.linked = pace, post is not None
    session.look = world.look(0.0, "up" if post else "none")
    return session
