"""Pack: a recording made small, for a page that plays it.

Tracks are rounded to less than a screen can show, times to 10 us; both go as differences from one
value to the next, which compress well.  What happens more often than can be drawn is thinned out:
of each slice of time the last value stays.
"""

from __future__ import annotations

import base64
import json
import math
import zlib
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from ..recording import Event, Recording
from ..units import seconds
from ..wiring import Build, duty_share
from .facts import SIDES, counts, drives, glows, touches
from .strips import nice_limit
from .words import alt_text, how_it_ended

__all__ = ["MODES", "STEPS", "differences", "packed", "run_data"]

STEPS = {
    "x": 1e-4, "y": 1e-4, "heading": 1e-4, "left": 1e-3, "right": 1e-3, "arm": 1e-3,
    "float_x": 1e-4, "float_y": 1e-4, "volts": 1e-2,
}  # fmt: skip
"""Tracks that are packed, with the unit to which each is rounded: 0.1 mm, 0.006 degrees ..."""
MODES = ("coast", "brake", "fast decay", "slow decay", "mixed", "full")
_TICK = 1e-5
"""Times are counted in this many seconds."""
_MOST, _MOST_COMMANDS, _MOST_TEXTS = 6000, 40_000, 2000
_WIDEST = 300


def packed(data: Mapping[str, Any]) -> str:
    """Give data as text that JSON, zlib and base64 have made: what the page unpacks again."""
    text = json.dumps(data, separators=(",", ":"), ensure_ascii=True)
    return base64.b64encode(zlib.compress(text.encode("ascii"), 9)).decode("ascii")


def differences(values: Iterable[float], step: float) -> list[int]:
    """Give values in whole steps, each but the first as the difference from the one before."""
    whole = [round(value / step) for value in values]
    return [b - a for a, b in zip([0, *whole], whole, strict=False)]


def run_data(recording: Recording, label: str) -> dict[str, Any]:
    """Give all that the page shows of one recording.

    Args:
        recording: What to show.
        label: Its name among others.
    """
    tracks = recording.tracks
    return {
        "label": label, "program": recording.program,
        "words": alt_text(recording), "ending": how_it_ended(recording),
        "seconds": recording.seconds, "ended": seconds(recording.ended_ns),
        "step": tracks["t"][1] - tracks["t"][0] if len(tracks["t"]) > 1 else 0.01,
        "tracks": {
            name: [step, *differences(tracks[name], step)]
            for name, step in STEPS.items() if name in tracks
        },
        "duty": {side: _duty(recording, side) for side in SIDES if drives(recording, side)},
        "lamps": _lamps(recording),
        "eyes": [_eye(recording, eye) for eye in range(4)],
        "printed": _texts(recording.printed),
        "radio": _texts((e.seconds, _radio(e)) for e in recording.of("radio", "message")),
        "moments": _moments(recording),
        "commands": _commands(recording),
        "lines": _lines(recording),
        "files": _files(recording),
        "problem": _problem(recording),
        "speed": nice_limit(max([0.01, *map(abs, (*tracks["left"], *tracks["right"]))])),
    }  # fmt: skip


def _times(values: Iterable[float]) -> list[int]:
    return differences(values, _TICK)


def _thinned(times: Sequence[float], most: int = _MOST) -> list[int]:
    """Give the places of the times to keep: the last in each of so many slices."""
    if len(times) <= most:
        return list(range(len(times)))
    slice_s = (times[-1] - times[0]) / most or 1.0
    last = {int((time - times[0]) / slice_s): k for k, time in enumerate(times)}
    return sorted(last.values())


def _duty(recording: Recording, side: str) -> dict[str, list[int]]:
    """Give one motor's phases: when each began, its duty in thousandths, what fills the rest."""
    phases = drives(recording, side)
    kept = [phases[k] for k in _thinned([p.begin for p in phases])]
    return {
        "t": _times(p.begin for p in kept),
        "v": [round(1000 * p.duty) for p in kept],
        "m": [MODES.index(p.mode) for p in kept],
    }


def _lamps(recording: Recording) -> dict[str, Any]:
    """Give when the lamps changed, and their colours as numbers of a list of colours."""
    phases = glows(recording)
    kept = [phases[k] for k in _thinned([p.begin for p in phases])]
    names: dict[tuple[int, ...], int] = {}
    rows = [[names.setdefault(tuple(c), len(names)) for c in p.colours] for p in kept]
    return {"t": _times(p.begin for p in kept), "c": rows, "colours": [list(c) for c in names]}


def _eye(recording: Recording, eye: int) -> dict[str, list[int]]:
    times, raws = counts(recording, eye)
    kept = _thinned(times)
    return {"t": _times(times[k] for k in kept), "v": differences([raws[k] for k in kept], 1)}


def _texts(lines: Iterable[tuple[float, str]]) -> dict[str, Any]:
    kept = list(lines)[:_MOST_TEXTS]
    return {"t": _times(t for t, _ in kept), "x": [text[:_WIDEST] for _, text in kept]}


def _radio(event: Event) -> str:
    if event.kind == "message":
        stage, topic, said = event.data[:3]
        return f"{stage} {topic}: {bytes.fromhex(said).decode('utf-8', 'replace')}"
    return ": ".join(str(part) for part in event.data if part not in ("", None))


def _moments(recording: Recording) -> list[list[Any]]:
    """Give what stands out: (time in s, words, whether it is bad)."""
    found: list[list[Any]] = [[t, what, False] for t, what in touches(recording)]
    docked = {"in": "float came into the dock", "out": "float left the dock"}
    for event in recording.of("dock", "reset", "fault"):
        what = str(event.data[0])
        words = {
            "dock": docked.get(what, what), "reset": f"board started anew: {what}",
            "fault": f"callback failed: {what}",
        }[event.kind]  # fmt: skip
        found.append([event.seconds, words, event.kind != "dock"])
    bad = recording.ended in ("error", "stopped")
    told = recording.problem.kind if bad and recording.problem else recording.ended
    words = {"time is up": "time is up", "finished": "program ended"}.get(told, told)
    found.append([seconds(recording.ended_ns), words, bad])
    return sorted(found, key=lambda moment: float(moment[0]))[:400]


# -- commands ------------------------------------------------------------------


def _commands(recording: Recording) -> dict[str, Any]:
    """Give what the program told its board: when, which kind (words with a # in them), the #."""
    build = recording.build
    told = [(e.seconds, *command) for e in recording.events if (command := _command(e, build))]
    kept = [told[k] for k in _thinned([t for t, _, _ in told], _MOST_COMMANDS)]
    kinds: dict[str, int] = {}
    return {
        "t": _times(t for t, _, _ in kept),
        "k": [kinds.setdefault(words, len(kinds)) for _, words, _ in kept],
        "v": [int(value) if float(value).is_integer() else value for _, _, value in kept],
        "kinds": list(kinds), "left_out": len(told) - len(kept),
    }  # fmt: skip


def _command(event: Event, build: Build) -> tuple[str, float] | None:
    """Give the words for a command, with a # where its number stands, and the number."""
    kind, data = event.kind, event.data
    name = build.name_of(data[0]).replace("_", " ") if kind in _WITH_PIN else ""
    if kind == "pwm":
        return _pwm_words(name, int(data[1]), int(data[2]))
    if kind == "mode":
        return f"{name} set up: {data[1]}", 0
    if kind == "i2c":
        wrote = f"wrote {data[1]}, " if data[1] else ""
        return f"I2C 0x{data[0]:02x}: {wrote}read # bytes", len(data[2]) // 2
    if kind == "call":
        return f"callback: {data[0]} #", int(data[1])
    if kind == "print":
        return "prints", 0
    words = {
        "pin": f"{name} set to #", "adc": f"{name} reads # counts", "read": f"{name} reads #",
        "frame": "lamps: # bytes", "nack": "I2C: nobody answers at address #",
        "sleep": "sleeps # ms",
    }.get(kind)  # fmt: skip
    if words is None:
        return None
    values = {"frame": len(str(data[-1])) // 2, "nack": data[0], "sleep": round(data[0] / 1e6, 3)
              if kind == "sleep" else 0}  # fmt: skip
    return words, values.get(kind, data[-1])


_WITH_PIN = ("pin", "pwm", "mode", "adc", "read")


def _pwm_words(name: str, freq: int, duty: int) -> tuple[str, float]:
    if not freq:
        return f"{name}: pulses off", 0
    if name == "arm":
        return f"{name}: pulse of # us, {freq} a second", round(duty_share(duty) / freq * 1e6)
    return f"{name}: # % at {freq} Hz", round(100 * duty_share(duty), 1)


# -- the program -----------------------------------------------------------------


def _lines(recording: Recording) -> dict[str, list[int]]:
    """Give when which line began to run: file by its number, line by its number."""
    lines = recording.lines
    kept = [lines[k] for k in _thinned([at / 1e9 for at, _, _ in lines], _MOST_COMMANDS)]
    names = list(_files(recording))
    return {
        "t": _times(at / 1e9 for at, _, _ in kept),
        "f": [names.index(file) for _, file, _ in kept],
        "l": [line for _, _, line in kept],
    }


def _problem(recording: Recording) -> dict[str, Any] | None:
    """Give what went wrong, and where."""
    problem = recording.problem
    if problem is None:
        return None
    return {"file": problem.file, "line": problem.line, "words": str(problem)[:1000]}


def _files(recording: Recording) -> dict[str, str]:
    """Give the program's text, and that of its other files that ran."""
    ran = {recording.program, *(file for _, file, _ in recording.lines)}
    if recording.problem:
        ran.add(recording.problem.file)
    ordered = sorted(ran, key=lambda name: (name != recording.program, name))
    return {name: recording.files[name] for name in ordered if name in recording.files}


def heading_of(recordings: Sequence[Recording]) -> str:
    """Give the line above a replay."""
    first = recordings[0]
    tugs = " and ".join(dict.fromkeys(r.tug for r in recordings))
    programs = " and ".join(dict.fromkeys(r.program for r in recordings))
    longest = max(r.seconds for r in recordings)
    return f"{programs} on the {first.table}, {tugs}, {math.ceil(longest * 100) / 100:g} s"
