"""Tug's file: what `tug.json` says of one real tug, as figures and as settings."""

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

__all__ = [
    "FITTED", "SETTINGS", "STRENGTH", "TugFile", "Twin", "at_rest", "charge_of",
    "known_runs", "pins_of", "read_card", "read_tug", "refined", "settings_text", "with_settings",
]  # fmt: skip

STRENGTH, START, START_SEEN_SD = (0.95, 0.06), (0.18, 0.04), 0.02
"""What is known of the motors before anything was measured: mean and deviation of their strength
and of the start duty; and how well the power-up measures that (gears rest otherwise each time)."""
FITTED = {"left_strength": "the left motor's strength", "right_strength": "the right motor's",
          "left_start": "the left start duty", "right_start": "the right start duty"}  # fmt: skip
"""What runs on the floor refine, each with its words."""
TugFile = str | Path | Mapping[str, Any]
"""A `tug.json`, or what it holds."""
SETTINGS = "settings.py"
"""The file on a board that holds what differs from tug to tug."""
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


@dataclass(frozen=True)
class Twin:
    """What a tug is like.

    Attributes:
        quirks: The figures, and how it is put together.
        spread: Name of a figure to its standard deviation.
        rests: What they rest on, in words.
        settings: The text of its settings.py.
        charge: How full its battery was when it was read, 0 to 1; None if it was not.
    """

    quirks: Quirks
    spread: Mapping[str, float]
    rests: str
    settings: str = ""
    charge: float | None = None

    @property
    def build(self) -> Build:
        """How it is put together: pins, lamps, wheels and track."""
        return self.quirks.build

    def __str__(self) -> str:
        """Say the fitted figures, each with its uncertainty, and what they rest on."""
        rows = [f"{FITTED[name]}: {getattr(self.quirks, name):.3f} +- {sd:.3f}"
                for name, sd in self.spread.items()]  # fmt: skip
        return "\n".join([*rows, self.rests])


def read_tug(tug: TugFile, volts: float | None = None) -> Twin:
    """Read `tug.json`.

    Args:
        tug: The file, or what it holds.
        volts: What the board has read today of its battery at rest, in V; None for what the
            power-up has read.

    Raises:
        KitError: It cannot be read, or something in it cannot be.
    """
    if not isinstance(tug, Mapping):
        data = load(file := Path(tug))
        with within(file):
            found = read_tug(data, volts)
        # Folder and file: every tug's file may be called tug.json.
        own = replace(found.quirks, twin_of="/".join(file.parts[-2:])[-LONGEST_TWIN:])
        return replace(found, quirks=own)
    if unknown := [name for name in tug if name not in _ENTRIES]:
        raise UnknownNameError("entry of a tug's file", unknown[0], _ENTRIES)
    data, build = tug, read_build(tug)
    order = data.get("lamp_order", "GRB")
    if order not in ("GRB", "RGB"):
        raise KitError(f"The lamps' order is GRB or RGB, not {order!r}.", where="lamp_order",
                       hint="which of them the chips take first: the led power-up tells.")
    start, strength = mapping(data, "start"), mapping(data, "strength")
    gains, offsets = _eyes(numbers(data, "white_volts", 4), numbers(data, "black_volts", 4))
    accel = numbers(data, "accel_bias", 3) or (0.0, 0.0, 0.0)
    gyro = numbers(data, "gyro_bias", 3) or (0.0, 0.0, 0.0)
    quirks = Quirks(
        0, number(strength, "left", STRENGTH[0]), number(strength, "right", STRENGTH[0]),
        number(start, "left", START[0]), number(start, "right", START[0]),
        lamp_order=order, arm_trim_us=number(data, "arm_trim_us", 0.0),
        eye_gain=gains, eye_offset=offsets, gyro_bias=(gyro[0], gyro[1], gyro[2]),
        accel_bias=(GRAVITY * accel[0], GRAVITY * accel[1], GRAVITY * accel[2]), build=build,
        twin_of="a tug of yours",
    )  # fmt: skip
    if volts is None and (read := numbers(data, "battery_volts", 2)) and _rests(read[0]):
        volts = read[0]
    spread = {f"{side}_strength": STRENGTH[1] for side in _SIDES}
    spread |= {f"{side}_start": START_SEEN_SD if side in start else START[1] for side in _SIDES}
    return Twin(quirks, spread, "Nothing was measured on the floor yet: the motors' strengths are "
                "guesses.", settings_text({**data, "pins": build.pins}),
                charge_of(volts))  # fmt: skip


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


# -- settings ------------------------------------------------------------------


def settings_text(data: Mapping[str, Any]) -> str:
    """Give the text of settings.py for what `tug.json` holds; what was not measured is left out."""
    rows = "".join(f'    "{role}": {pin},\n' for role, pin in data["pins"].items())
    efforts, measured = mapping(data, "efforts"), "measure it on the floor"
    if efforts:
        measured = "by its twin"
    left, right = (number(efforts, side, 0.5) for side in ("left", "right"))
    text = (
        "# Settings of one tug: its pins, and what was measured on it.\n"
        f"PINS = {{\n{rows}}}\n\n"
        "# The order in which the lamps' chips take the colours.\n"
        f'LAMP_ORDER = "{data.get("lamp_order") or "GRB"}"\n\n'
        f"# Effort, 0 to 1, with which each side runs straight: {measured}.\n"
        f"LEFT_EFFORT = {left:.3f}\nRIGHT_EFFORT = {right:.3f}\n\n"
        "# Arm: pulse for straight ahead, less 1500, in microseconds.\n"
        f"ARM_TRIM_US = {round(number(data, 'arm_trim_us', 0.0))}\n"
    )
    start = {side: round(number(mapping(data, "start"), side, 0.0), 3)
             for side in mapping(data, "start")}  # fmt: skip
    white, black = numbers(data, "white_volts", 4), numbers(data, "black_volts", 4)
    half = [round(0.5 * (w + b), 2) for w, b in zip(white, black, strict=False)]
    gyro = [round(rate, 4) for rate in numbers(data, "gyro_bias", 3)]
    for name, words, found in (
        ("LAMPS", "How many lamps the chain has", data.get("lamps")),
        ("WHEEL_MM", "Diameter of the wheels, in mm", data.get("wheel_mm")),
        ("TRACK_MM", "From wheel to wheel, in mm", data.get("track_mm")),
        ("START", "Duty, 0 to 1, at which each wheel begins to turn, off the table", start),
        ("THRESHOLD_V", "Each eye: volts half-way between white and black", half),
        ("GYRO_BIAS", "Motion sensor at rest: rad/s about x, y, z", gyro),
    ):
        if found:
            text += f"\n# {words}.\n{name} = {found!r}\n"
    return text


def with_settings(board: Mapping[str, str], twin: Twin | None) -> Mapping[str, str]:
    """Give the files on a board; one without settings gets those of the tug that it drives."""
    if twin is None or SETTINGS in board:
        return board
    return {**board, SETTINGS: twin.settings}


# -- eyes ----------------------------------------------------------------------


def _eyes(
    white: tuple[float, ...], black: tuple[float, ...]
) -> tuple[tuple[float, float, float, float], tuple[float, float, float, float]]:
    """Give each eye's gain and offset by its volts over white and black.

    *Model*: the two lines of `parts/reflectance.py`: their slope is the gain, and what is left is
    the offset; an eye that does not see is taken as drawn.
    """
    room, drop = room_and_drop()
    light = drop * relative_light(HEIGHT_MM)
    gains, offsets = [1.0] * 4, [0.0] * 4
    for k, (w, b) in enumerate(zip(white, black, strict=True) if white and black else ()):
        gain = (b - w) / (light * (_WHITE - _BLACK))
        if gain > 0.2:
            gains[k] = gain
            offsets[k] = 3.3 - b - gain * (light * _BLACK + room)
    return _four(gains), _four(offsets)


def _four(values: list[float]) -> tuple[float, float, float, float]:
    a, b, c, d = values
    return a, b, c, d
