"""Tug's file: what `tug.json` says of one real tug, as figures of the simulated one."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from ..errors import KitError, UnknownNameError
from ..parts import Quirks
from ..parts.battery import charge_at
from ..parts.reflectance import HEIGHT_MM, relative_light, room_and_drop
from ..saved import LONGEST_TWIN
from ..units import GRAVITY
from ..wiring import Build
from .build import read_build
from .figures import load, mapping, number, numbers, within
from .known import Known
from .settings import settings_text

__all__ = [
    "FITTED", "STRENGTH", "TugFile", "Twin", "at_rest", "charge_of", "known_runs", "pins_of",
    "read_card", "read_tug", "refined",
]  # fmt: skip

STRENGTH, START, START_SEEN_SD = (0.95, 0.06), (0.18, 0.04), 0.02
"""What is known of the motors before anything was measured: mean and deviation of their strength
and of the start duty; and how well the power-up measures that (gears rest otherwise each time)."""
FITTED = {"left_strength": "the left motor's strength", "right_strength": "the right motor's",
          "left_start": "the left start duty", "right_start": "the right start duty"}  # fmt: skip
"""What runs on the floor refine, each with its words."""
TugFile = str | Path | Mapping[str, Any]
"""A `tug.json`, or what it holds."""
_RESTS_V = (3.6, 5.8)
"""Volts at which four cells rest, spent and fresh from the charger (`parts/battery.py`)."""
_WHITE, _BLACK = 0.9, 0.05
_ENTRIES = (
    "accel_bias", "arm_trim_us", "battery_volts", "black_volts", "board", "efforts", "found",
    "gyro_bias", "lamp_order", "lamps", "note", "pins", "rests", "runs", "serial", "spread",
    "start", "start_on_block", "strength", "track_mm", "version", "what", "wheel_mm", "white_volts",
)  # fmt: skip
"""What a tug's file may hold; `note` is anybody's own words."""
_SIDES = ("left", "right")
_Four = tuple[float, float, float, float]


@dataclass(frozen=True)
class Twin:
    """What a tug is like.

    Attributes:
        quirks: The figures, and how it is put together.
        spread: Name of a figure to its standard deviation.
        rests: What they rest on, in words.
        settings: The text of its settings.py.
        charge: How full its battery was when it was read, 0 to 1; None if it was not.
        name: Which tug it is, in words: its file.
        known: What of it was measured.
    """

    quirks: Quirks
    spread: Mapping[str, float]
    rests: str
    settings: str = ""
    charge: float | None = None
    name: str = "a tug of yours"
    known: Known = Known()

    @property
    def build(self) -> Build:
        """How it is put together: pins, lamps, wheels and track."""
        return self.quirks.build

    @property
    def words(self) -> str:
        """Say whose twin it is, and how far."""
        return f"The twin of {self.name}. {self.known}"

    def __str__(self) -> str:
        """Say the fitted figures, each with its uncertainty, and what all of them rest on."""
        rows = [f"{FITTED[name]}: {getattr(self.quirks, name):.3f} +- {sd:.3f}"
                for name, sd in self.spread.items()]  # fmt: skip
        return "\n".join([*rows, self.rests, str(self.known)])


def read_tug(tug: TugFile, volts: float | None = None) -> Twin:
    """Read `tug.json`.

    Args:
        tug: The file, or what it holds.
        volts: What the board has read today of its battery at rest, in V; None for what the
            power-up has read.

    Raises:
        KitError: It cannot be read, or something in it cannot be.
    """
    if isinstance(tug, Mapping):
        return _twin(tug, volts, Twin.name)
    data = load(file := Path(tug))
    with within(file):  # folder and file: every tug's file may be called tug.json
        return _twin(data, volts, "/".join(file.parts[-2:]))


def _twin(data: Mapping[str, Any], volts: float | None, name: str) -> Twin:
    """Give the twin of a tug, by what its file holds and by its name in words."""
    if unknown := [entry for entry in data if entry not in _ENTRIES]:
        raise UnknownNameError("entry of a tug's file", unknown[0], _ENTRIES)
    build = read_build(data)
    order = data.get("lamp_order", "GRB")
    if order not in ("GRB", "RGB"):
        raise KitError(f"The lamps' order is GRB or RGB, not {order!r}.", where="lamp_order",
                       hint="which of them the chips take first: the led power-up tells.")
    start, strength = mapping(data, "start"), mapping(data, "strength")
    gains, offsets, seen = _eyes(numbers(data, "white_volts", 4), numbers(data, "black_volts", 4))
    accel = numbers(data, "accel_bias", 3) or (0.0, 0.0, 0.0)
    gyro = numbers(data, "gyro_bias", 3) or (0.0, 0.0, 0.0)
    quirks = Quirks(
        0, number(strength, "left", STRENGTH[0]), number(strength, "right", STRENGTH[0]),
        number(start, "left", START[0]), number(start, "right", START[0]),
        lamp_order=order, arm_trim_us=number(data, "arm_trim_us", 0.0),
        eye_gain=gains, eye_offset=offsets, gyro_bias=(gyro[0], gyro[1], gyro[2]),
        accel_bias=(GRAVITY * accel[0], GRAVITY * accel[1], GRAVITY * accel[2]), build=build,
    )  # fmt: skip
    if volts is None and (read := numbers(data, "battery_volts", 2)) and _rests(read[0]):
        volts = read[0]
    known = Known.of(data, seen, volts is not None)
    more = f"\n{known.short}" if known.short else ""
    quirks = replace(quirks, twin_of=f"{name[len(more) - LONGEST_TWIN :]}{more}")
    spread = {f"{side}_strength": STRENGTH[1] for side in _SIDES}
    spread |= {f"{side}_start": START_SEEN_SD if side in start else START[1] for side in _SIDES}
    return Twin(quirks, spread, "Nothing was measured on the floor yet: the motors' strengths are "
                "guesses.", settings_text({**data, "pins": build.pins}), charge_of(volts), name,
                known)  # fmt: skip


def at_rest(volts: float) -> float:
    """Give what a board has read of its battery at rest, in V.

    Raises:
        KitError: Four cells cannot rest at that.
    """
    if isinstance(volts, bool) or not isinstance(volts, int | float) or not _rests(volts):
        low, high = _RESTS_V
        raise KitError(f"Four cells rest at {low:g} to {high:g} V, not {volts!r}.", where="volts",
                       hint="twice what the board reads at its battery pin, the motor power on and "
                       "nothing driven; leave it out if it was not read.")  # fmt: skip
    return float(volts)


def charge_of(volts: float | None) -> float | None:
    """Give how full the battery is that rests at so many volts, 0 to 1; None for None.

    Raises:
        KitError: Four cells cannot rest at that.
    """
    return None if volts is None else charge_at(at_rest(volts))


def _rests(volts: float) -> bool:
    return _RESTS_V[0] <= volts <= _RESTS_V[1]


def pins_of(tug: TugFile) -> dict[str, int]:
    """Give the pin table of a tug that is wired otherwise: role to pin number, as `PINS`.

    Args:
        tug: Its `tug.json`, or what that holds.

    Raises:
        KitError: It cannot be read, or something in it cannot be.
    """
    return dict(read_tug(tug).build.pins)


def read_card(data: Mapping[str, Any]) -> Twin:
    """Give the twin as it was before any run: by the card of the power-up alone.

    Raises:
        KitError: Something in it cannot be.
    """
    first = {"start": data["start_on_block"]} if "start_on_block" in data else {}
    return read_tug({**data, **first})


def known_runs(data: Mapping[str, Any]) -> list[str]:
    """Give the runs on the floor that a `tug.json` rests on already, as text.

    Raises:
        KitError: They are none.
    """
    runs = data.get("runs", [])
    if not isinstance(runs, list) or not all(isinstance(text, str) for text in runs):
        raise KitError(f"runs is a list of texts, not {runs!r}.", where="runs",
                       hint='such as "0.5,0.5,5.6,0.96,0.04,5.5".')  # fmt: skip
    return runs


def refined(
    data: Mapping[str, Any], twin: Twin, runs: Sequence[str], efforts: tuple[float, float]
) -> dict[str, Any]:
    """Give what `tug.json` holds once a fit has refined it, with the uncertainties.

    Args:
        data: What it held.
        twin: What the fit gave.
        runs: All runs that it rests on, as text.
        efforts: Of left and right, with which the twin runs straight.
    """
    own = twin.quirks
    return {
        **data, "start_on_block": data.get("start_on_block", data.get("start", {})),
        "runs": list(runs),
        "start": {"left": round(own.left_start, 4), "right": round(own.right_start, 4)},
        "strength": {"left": round(own.left_strength, 4), "right": round(own.right_strength, 4)},
        "efforts": {"left": round(efforts[0], 3), "right": round(efforts[1], 3)},
        "spread": {name: round(sd, 4) for name, sd in twin.spread.items()}, "rests": twin.rests,
    }  # fmt: skip


# -- eyes ----------------------------------------------------------------------


def _eyes(
    white: tuple[float, ...], black: tuple[float, ...]
) -> tuple[_Four, _Four, tuple[bool, ...]]:
    """Give each eye's gain and offset by its volts over white and black, and whether it has them.

    *Model*: the two lines of `parts/reflectance.py`: their slope is the gain, and what is left is
    the offset; an eye that does not see is taken as drawn.
    """
    room, drop = room_and_drop()
    light = drop * relative_light(HEIGHT_MM)
    gains, offsets, seen = [1.0] * 4, [0.0] * 4, [False] * 4
    for k, (w, b) in enumerate(zip(white, black, strict=True) if white and black else ()):
        gain = (b - w) / (light * (_WHITE - _BLACK))
        if gain > 0.2:
            gains[k], seen[k] = gain, True
            offsets[k] = 3.3 - b - gain * (light * _BLACK + room)
    return _four(gains), _four(offsets), tuple(seen)


def _four(values: list[float]) -> _Four:
    a, b, c, d = values
    return a, b, c, d
