"""Known: what of a tug was measured, and what its twin has as drawn or by a guess."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from .figures import mapping

__all__ = ["Known"]

_STRENGTHS = "motors' strengths"
_IN_SETTINGS = {"lamp order": "the lamps' order", "arm trim": "the arm's trim",
                _STRENGTHS: "the efforts"}  # fmt: skip
"""What every settings.py holds, be it measured or not, and what it is called there."""

_FEW = 2
"""So many names fit into a picture's line."""


@dataclass(frozen=True)
class Known:
    """What of a tug was measured.

    Attributes:
        measured: Names of what was.
        drawn: Names of what was not.
    """

    measured: tuple[str, ...] = ()
    drawn: tuple[str, ...] = ()

    @classmethod
    def of(cls, data: Mapping[str, Any], eyes: Sequence[bool], battery: bool) -> Known:
        """Read it from what a `tug.json` holds.

        Args:
            data: What that is.
            eyes: Of each eye whether its volts tell white from black.
            battery: Whether its battery was read.
        """
        start = mapping(data, "start")
        names = {
            "lamp order": bool(data.get("lamp_order")),
            **_joined("start duties", {f"{side} start duty": side in start
                                       for side in ("left", "right")}),
            "arm trim": data.get("arm_trim_us") is not None,
            **_joined("eyes", {f"eye {k}": sees for k, sees in enumerate(eyes)}),
            **_joined("motion sensor", {f"{what}'s bias": bool(data.get(f"{entry}_bias")) for
                                        what, entry in (("gyro", "gyro"),
                                                        ("accelerometer", "accel"))}),
            "battery": battery, _STRENGTHS: bool(data.get("strength")),
        }  # fmt: skip
        return cls(tuple(name for name, seen in names.items() if seen),
                   tuple(name for name, seen in names.items() if not seen))  # fmt: skip

    @property
    def short(self) -> str:
        """What a picture has room for; "" where all was measured."""
        if not self.measured:
            return "nothing measured"
        if len(self.drawn) > _FEW:
            return f"{len(self.drawn)} things not measured"
        return f"not measured: {', '.join(self.drawn)}" if self.drawn else ""

    @property
    def in_settings(self) -> str:
        """What of its settings.py was not measured; "" for nothing."""
        return ", ".join(_IN_SETTINGS[name] for name in self.drawn if name in _IN_SETTINGS)

    def with_strengths(self) -> Known:
        """Give what is known once runs on the floor have told the motors' strengths."""
        drawn = tuple(name for name in self.drawn if name != _STRENGTHS)
        return Known(tuple(dict.fromkeys((*self.measured, _STRENGTHS))), drawn)

    def __str__(self) -> str:
        """Say it in a line."""
        drawn = [name for name in self.drawn if name != _STRENGTHS]
        rows = [f"Measured on it: {', '.join(self.measured) or 'nothing'}."]
        if drawn:
            rows.append(f"Not measured, so as drawn: {', '.join(drawn)}.")
        if _STRENGTHS in self.drawn:
            rows.append("Guessed, as such motors are: their strengths.")
        return " ".join(rows)


def _joined(whole: str, parts: Mapping[str, bool]) -> Mapping[str, bool]:
    """Give one name for all where the same is true of each."""
    return parts if len({*parts.values()}) > 1 else {whole: all(parts.values())}
