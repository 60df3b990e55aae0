"""Recording: everything that a trial leaves behind.

A recording holds *events* (what the board's pins, lamps, console and radio
did, each with its simulated time) and *tracks* (where the tug was and how its
parts stood, sampled every 10 ms).  Whoever judges or draws a trial reads this
and nothing else.  Saved and loaded, it is equal to the last bit; the same
trial gives the same bytes.
"""

from __future__ import annotations

import bisect
import json
import zlib
from array import array
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import asdict, dataclass, field, fields, replace
from functools import wraps
from pathlib import Path
from typing import Any, TypeVar, TypeVarTuple

from .errors import KitError, UnknownNameError
from .events import EVENT_KINDS, Event, Log
from .kept import whole_file
from .origin import Whose
from .outputs import OUTPUT_KINDS, Output, coming_out, read_outputs
from .problem import Problem
from .saved import MOST_PACKED, OLD_CHARGE, OLD_DAY, tuples, unpack
from .units import SECOND, ns
from .wiring import DRAWN, FLOATING, PINS, Build

__all__ = ["EVENT_KINDS", "SAMPLE_NS", "Event", "Problem", "Recording", "once", "tug_words"]

SAMPLE_NS = 10_000_000
"""Time between two rows of the tracks, in nanoseconds."""


_MAGIC = b"quayside recording 1\n"
_EFFORT = 4
"""Of zlib's 9 levels of effort: level 6 takes twice the time for a fifteenth less."""
_HERE_ONLY = ("beside", "core", "whose")
"""What a file of a recording does not tell."""


@dataclass(frozen=True)
class Recording:
    """What one program did with one tug on one table.

    Attributes:
        program: Name of the file that was run.
        files: Every file that was on the board, name to text.
        table: Name of the table.
        serial: The tug's serial number.
        seed: The seed of everything random in the trial.
        seconds: Simulated time that the trial was given, in s.
        engine: What interpreted the program.  Not compared: two engines that
            do the same leave equal recordings.
        ended: "finished", "time is up", "error" or "stopped".
        ended_ns: When the program ended; the tug's parts go on to `seconds`.
        problem: What went wrong, or None.
        events: All events in order of time.
        tracks: Column name to values, one a sample: `t`, `x`, `y` in m,
            `heading` in rad (not wrapped), `left`, `right` wheel speeds in m/s,
            `volts` and `amps` of the battery, `busy` (what share of the time since the row before
            the processor was busy), and what other parts add.
        lines: Which line of the program was running, where the trial was asked to follow it and
            the engine could: (time in ns, file, line) whenever it changed.  Not compared.
        kept: The files that the program wrote on its board, as they were at the end.
        day: Name of what the run had of its own, see `robotsim.parts.day`; "" for the ideal day.
        charge: How full the battery was at first, 0 to 1.
        build: How the tug was put together.
        twin: Of which real tug it was the twin, by its file, and in a second line what of that was
            not measured; "" for a tug that is as its serial number says.  `tug` says it in words.
        beside: The number of another tug that was on the table; None for a tug alone, and for a
            recording that was loaded.  Neither kept nor compared.
        whose: Whose program it was, if the trial was run here; a recording that was loaded does
            not know, and its program is a stranger's.  Neither kept nor compared.
        core: What the trial's parts ran on, "compiled" or, from the sources, "plain"; "" for a
            recording that was loaded.  Neither kept nor compared: both leave the same.
    """

    program: str
    files: Mapping[str, str]
    table: str
    serial: int
    seed: int
    seconds: float
    engine: str = field(compare=False)
    ended: str
    ended_ns: int
    problem: Problem | None
    events: Sequence[Event]
    tracks: Mapping[str, Sequence[float]]
    lines: tuple[tuple[int, str, int], ...] = field(default=(), compare=False)
    kept: Mapping[str, str] = field(default_factory=dict)
    day: str = OLD_DAY
    charge: float = OLD_CHARGE
    build: Build = DRAWN
    twin: str = ""
    beside: int | None = field(default=None, compare=False)
    whose: Whose | None = field(default=None, compare=False)
    core: str = field(default="", compare=False)

    def __post_init__(self) -> None:
        """Keep the tracks as plain numbers, which take a quarter of the room."""
        plain = {name: _numbers(column) for name, column in self.tracks.items()}
        object.__setattr__(self, "tracks", plain)

    # -- reading -------------------------------------------------------------

    def of(self, *kinds: str, pin: int | None = None) -> Iterator[Event]:
        """Go through the events of some kinds, if asked only those of one pin."""
        return iter(_chosen(self, kinds, pin))

    @property
    def printed(self) -> list[tuple[float, str]]:
        """The console's lines, each with the time (s) at which it began."""
        lines: list[tuple[float, str]] = []
        begun: float | None = None
        text = ""
        for event in self.of("print"):
            for piece in event.data[0].splitlines(keepends=True):
                begun = event.seconds if begun is None else begun
                text += piece
                if piece.endswith("\n"):
                    lines.append((begun, text.rstrip("\r\n")))
                    begun, text = None, ""
        if begun is not None:
            lines.append((begun, text))
        return lines

    def at(self, column: str, time_s: float) -> float:
        """Give a track's value at a time in seconds, linear between samples.

        Raises:
            UnknownNameError: There is no such track.
        """
        if column not in self.tracks:
            raise UnknownNameError("track in this recording", column, self.tracks)
        times, values = self.tracks["t"], self.tracks[column]
        k = bisect.bisect_right(times, time_s)
        if k == 0:
            return values[0]
        if k == len(times):
            return values[-1]
        share = (time_s - times[k - 1]) / (times[k] - times[k - 1])
        return values[k - 1] + share * (values[k] - values[k - 1])

    @property
    def end(self) -> tuple[float, float, float]:
        """Where the tug stood at the end of the trial: x, y in m, heading in rad."""
        return self.tracks["x"][-1], self.tracks["y"][-1], self.tracks["heading"][-1]

    def lamps_at(self, time_s: float) -> tuple[tuple[int, int, int], ...]:
        """Give the lamps' colours at a time in seconds; all dark before the first frame."""
        shown: tuple[tuple[int, int, int], ...] = ((0, 0, 0),) * self.build.lamps
        limit = ns(time_s)
        for event in self.of("lamps"):
            if event.time_ns > limit:
                break
            shown = event.data[0]
        return shown

    def pwm_at(self, pin: int, time_s: float) -> tuple[float, float]:
        """Give (duty 0 to 1, frequency in Hz) of an output pin at a time in seconds."""
        changes = self.comes_out(pin)
        k = bisect.bisect_right(changes, ns(time_s), key=lambda change: change.since_ns)
        signal = changes[k - 1].signal if k else FLOATING
        return signal.duty, signal.freq_hz

    def outputs(self, *pins: int) -> tuple[Output, ...]:
        """Give what some pins (without any: all) were told to put out, in that order."""
        return _outputs(self, pins)

    def comes_out(self, pin: int) -> tuple[Output, ...]:
        """Give what one pin did put out, in the order in which it came out."""
        return _comes_out(self, pin)

    @property
    def tug(self) -> str:
        """Which tug it was, in words: `tug 7`, or `the twin of tug.json (not measured: eyes)`."""
        return tug_words(self)[0]

    def packed(self) -> Recording:
        """Give one that is equal and takes little room, for who keeps it when all is judged."""
        return replace(self, events=Log(self.events))

    def __repr__(self) -> str:
        """Say in one line what ran and how it ended."""
        told = f": {self.problem.kind}" if self.problem else ""
        return (
            f"<{self.program} on {self.table}, {self.tug}, {self.seconds:g} s: "
            f"{self.ended}{told} at {self.ended_ns / SECOND:.3f} s>"
        )

    # -- keeping -------------------------------------------------------------

    def to_bytes(self) -> bytes:
        """Give the recording as bytes; equal recordings by one engine give equal bytes."""
        kept = (column.name for column in fields(self) if column.name not in _HERE_ONLY)
        plain = {name: getattr(self, name) for name in kept}
        plain["files"] = dict(self.files)
        plain["tracks"] = {name: list(column) for name, column in self.tracks.items()}
        plain["kept"] = dict(self.kept)
        plain["problem"] = asdict(self.problem) if self.problem else None
        plain["build"] = None if self.build == DRAWN else asdict(self.build)
        plain["events"] = [[e.time_ns, e.kind, *e.data] for e in self.events]
        if not self.twin:  # so that older ones keep their bytes
            del plain["twin"]
        text = json.dumps(plain, sort_keys=True, separators=(",", ":"), ensure_ascii=True)
        return _MAGIC + zlib.compress(text.encode("ascii"), _EFFORT)

    @classmethod
    def from_bytes(cls, data: bytes) -> Recording:
        """Read what `to_bytes` gave; nothing in it is run, now or when it is looked at.

        Raises:
            KitError: The bytes are no recording, a damaged or changed one, or too many.
        """
        if not data.startswith(_MAGIC):
            raise KitError("This is no recording.", hint="load a file that Recording.save wrote.")
        try:
            plain = unpack(data[len(_MAGIC) :], EVENT_KINDS, PINS)
        except ValueError as fault:
            raise KitError(
                f"The recording is damaged: {fault}.", hint="run the trial again and save it anew."
            ) from fault
        plain["events"] = tuple(Event(e[0], e[1], tuples(e[2:])) for e in plain["events"])
        plain["lines"] = tuples(plain["lines"])
        plain["build"] = Build(**plain["build"]) if plain["build"] else DRAWN
        if plain["problem"] is not None:
            plain["problem"] = Problem(**{k: tuples(v) for k, v in plain["problem"].items()})
        return cls(**plain)

    def save(self, path: str | Path) -> Path:
        """Write the recording to a file and give its path.

        Raises:
            KitError: The file cannot be written.
        """
        path = Path(path)
        try:
            with whole_file(path) as part:
                part.write_bytes(self.to_bytes())
        except OSError as fault:
            raise _trouble("written", path, fault) from fault
        return path

    @classmethod
    def load(cls, path: str | Path) -> Recording:
        """Read a recording from a file that `save` wrote.

        Raises:
            KitError: The file cannot be read, or is no recording.
        """
        try:
            with Path(path).open("rb") as file:
                data = file.read(len(_MAGIC) + MOST_PACKED + 1)
        except OSError as fault:
            raise _trouble("read", Path(path), fault) from fault
        return cls.from_bytes(data)


def tug_words(recording: Recording) -> tuple[str, ...]:
    """Give which tug it was, in words, the fullest first; a later one goes where room is scarce."""
    name, _, lacks = recording.twin.partition("\n")
    if not name:
        return (f"tug {recording.serial}",)
    twin = f"the twin of {name}"
    return (f"{twin} ({lacks})", f"{twin} (in part as drawn)", twin) if lacks else (twin,)


def _trouble(what: str, path: Path, fault: OSError) -> KitError:
    return KitError(
        f"The recording could not be {what}: {fault.strerror or fault}.",
        where=str(path),
        hint="look at the file's name and folder.",
    )


def _numbers(column: Sequence[float]) -> Sequence[float]:
    return column if isinstance(column, array) else array("d", column)


_Asked = TypeVarTuple("_Asked")
_Found = TypeVar("_Found")


def once(
    work: Callable[[Recording, *_Asked], _Found],
) -> Callable[[Recording, *_Asked], _Found]:
    """Work something out of a recording when it is first asked for, and keep it as long as that.

    A recording never changes.  Nobody may change what was found in it either.
    """

    @wraps(work)
    def found(recording: Recording, /, *asked: *_Asked) -> _Found:
        kept: dict[Any, _Found] = vars(recording).setdefault("_found", {})
        if (key := (work, *asked)) not in kept:
            kept[key] = work(recording, *asked)
        return kept[key]

    return found


@once
def _all_outputs(recording: Recording) -> tuple[Output, ...]:
    return read_outputs(recording.of(*OUTPUT_KINDS))


@once
def _outputs(recording: Recording, pins: tuple[int, ...]) -> tuple[Output, ...]:
    every = _all_outputs(recording)
    return tuple(change for change in every if change.pin in pins) if pins else every


@once
def _comes_out(recording: Recording, pin: int) -> tuple[Output, ...]:
    return coming_out(recording.outputs(pin))


@once
def _chosen(recording: Recording, kinds: tuple[str, ...], pin: int | None) -> tuple[Event, ...]:
    return tuple(
        event
        for event in recording.events
        if event.kind in kinds and (pin is None or event.data[0] == pin)
    )
