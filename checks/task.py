"""Task: what is asked of a program, and how a recording of it is judged.

A criterion looks at recordings only: where the tug went, what the lamps
showed, what the radio carried.  It never sees the program.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any, TypeVar

from robotsim import Recording, Whose, run_trial
from robotsim.board.order import SILENCE_S
from robotsim.radio import Airwaves

__all__ = [
    "Clues",
    "Criterion",
    "Evidence",
    "Facts",
    "Finding",
    "Mistake",
    "Run",
    "Task",
    "criterion",
    "mistake",
    "patience",
    "run_again",
    "share",
]

Recordings = Sequence[Recording]


def share(error: float, *, full: float, none: float) -> float:
    """Give the share of the points for an error: 1 up to `full`, falling to 0 at `none`.

    Args:
        error: How far off, not signed.
        full: The largest error that still earns everything.
        none: The smallest error that earns nothing; more than `full`.
    """
    if error <= full:
        return 1.0
    return max(0.0, (none - error) / (none - full))


def patience(before: Recordings) -> float:
    """Give for how long, in s of real time, a program may go without touching its board.

    Args:
        before: What it has left so far; once it had to be stopped it is waited for less.
    """
    return 1.0 if any(made.ended == "stopped" for made in before) else SILENCE_S


def run_again(
    recording: Recording,
    files: Mapping[str, str],
    *,
    seconds: float,
    serial: int | None = None,
    start: tuple[float, float, float] | None = None,
    air: Airwaves | None = None,
) -> Recording:
    """Run the program of a recording on another board, in all else as it was run before.

    Whose it is, what interprets it, its day and how long it is waited for come from the recording.

    Args:
        recording: What the program left before.
        files: The files of the other board.
        seconds: Simulated time in s.
        serial: The tug; None for the same.
        start: Where it stands at first; None for the table's place.
        air: What is on the radio.
    """
    return run_trial(
        files, program=recording.program, seconds=seconds, start=start, air=air,
        serial=recording.serial if serial is None else serial, engine=recording.engine,
        silence_s=patience([recording]), whose=recording.whose or Whose.STRANGER,
        day=recording.day,
    )  # fmt: skip


class Facts:
    """What a task's recordings say: each fact is worked out once and has a plain name.

    A task's own facts are a subclass with a `cached_property` for each; its criteria and its
    mistakes are handed the same object, so that they cannot disagree.

    Attributes:
        recordings: What the task's runs left, in order.
    """

    def __init__(self, recordings: Recordings) -> None:
        self.recordings = tuple(recordings)

    @property
    def recording(self) -> Recording:
        """The first recording, the only one of most tasks."""
        return self.recordings[0]


Seen = TypeVar("Seen", bound=Facts)


@dataclass(frozen=True)
class Finding:
    """What a criterion found.

    Attributes:
        share: Share of its points, 0 to 1.
        measured: What was measured, in words with units ("ended 0.17 m short of 1.00 m").
        asked: What was asked, where that differs from the criterion's own words.
        at: When to look in the recording, in s of simulated time; None for nowhere special.
        trial: Which of the task's recordings to look at.
    """

    share: float
    measured: str
    asked: str = ""
    at: float | None = None
    trial: int = 0


@dataclass(frozen=True)
class Criterion:
    """One thing that a task asks.

    Attributes:
        title: What is asked, in a few words.
        points: What it is worth.
        judge: The task's facts to a finding.
        essential: Whether nothing else counts while this one has earned nothing.
            What a program that does nothing would also fulfil ("ends at rest")
            must stand beside an essential criterion that such a program fails.
        asks: What is asked, with every limit that costs points: the card and the lesson say it in
            these words.
    """

    title: str
    points: float
    judge: Callable[[Any], Finding]
    essential: bool = False
    asks: str = ""


def criterion(
    title: str, points: float, *, asks: str, essential: bool = False
) -> Callable[[Callable[[Seen], Finding]], Criterion]:
    """Make a criterion of the function below it, which judges the task's facts."""
    return lambda judge: Criterion(title, points, judge, essential, asks)


@dataclass(frozen=True)
class Evidence:
    """What in the recordings gives a mistake away.

    Attributes:
        words: What was seen, with its numbers.
        hint: What to try, where that depends on what was seen; "" for the mistake's own hint.
    """

    words: str
    hint: str = ""


Clues = Iterator[str | Evidence]
"""What the function of a mistake yields; the first clue counts, none says that it was not made."""


@dataclass(frozen=True)
class Mistake:
    """A known mistake that a recording gives away.

    Attributes:
        name: Its name ("colour order swapped").
        hint: What to try, in a sentence or two.
        look: The task's facts to clues.
        costs: Titles of the criteria that cannot be met where it was made.
        explains: Titles of those that it may cost as well. With neither it explains any loss.
        sure: Whether the clues prove it; if not, the card says that it is a guess.
        raises: Whether it may be what the program stopped with an error for.
    """

    name: str
    hint: str
    look: Callable[[Any], str | None | Clues]
    costs: frozenset[str] = frozenset()
    explains: frozenset[str] = frozenset()
    sure: bool = True
    raises: bool = False

    def evidence(self, seen: Any) -> Evidence | None:
        """Give the first clue, or None if it was not made."""
        found = self.look(seen)
        clue = found if found is None or isinstance(found, str) else next(found, None)
        return Evidence(clue) if isinstance(clue, str) else clue

    def explained(self, lost: Mapping[str, float]) -> float:
        """Give how many of the lost points it would explain.

        Args:
            lost: Titles of the criteria that lost points to how many.

        Returns:
            The points; 0 if the card contradicts it, having given in full what it must cost.
        """
        if any(title not in lost for title in self.costs):
            return 0.0
        return sum(lost[title] for title in self.reach(lost))

    def bound(
        self, *, costs: Sequence[Criterion] = (), explains: Sequence[Criterion] = ()
    ) -> Mistake:
        """Give it with the criteria of a task that it must cost, and that it may cost."""
        must, may = (frozenset(one.title for one in some) for some in (costs, explains))
        return replace(self, costs=must, explains=may)

    def reach(self, titles: Iterable[str]) -> set[str]:
        """Give those of some criteria, by title, whose loss it would explain."""
        mine = self.costs | self.explains
        return {title for title in titles if title in mine or not mine}


def mistake(
    name: str,
    hint: str,
    *,
    costs: Sequence[Criterion] = (),
    explains: Sequence[Criterion] = (),
    sure: bool = True,
    raises: bool = False,
) -> Callable[[Callable[[Seen], Clues]], Mistake]:
    """Make a mistake of the function below it, which yields what gives it away."""
    must, may = (frozenset(one.title for one in some) for some in (costs, explains))
    return lambda look: Mistake(name, hint, look, must, may, sure, raises)


@dataclass(frozen=True)
class Run:
    """One trial of a task.

    Attributes:
        seconds: Simulated time in s.
        table: The table.
        seed: Seed of noise and table.
        start: Where the tug stands at first; None for the table's place.
        serial: The tug; None for the learner's own.
        air: What is on the radio; None for a network on which nobody speaks.
    """

    seconds: float
    table: str = "basin"
    seed: int = 0
    start: tuple[float, float, float] | None = None
    serial: int | None = None
    air: Airwaves | None = None


@dataclass(frozen=True)
class Task:
    """A task: its runs, its criteria, and the mistakes that people make in it.

    Attributes:
        id: `lesson.task`, such as "drive.straight".
        title: Its title.
        program: The file that the learner writes.
        runs: The trials.
        criteria: What is asked; the points of all make the task's.
        mistakes: Known mistakes, the likeliest and most telling first.
        targets: What to draw beside the path, see `robotsim.show`.
        facts: Recordings of the runs to what criteria and mistakes are handed.
    """

    id: str
    title: str
    program: str
    runs: tuple[Run, ...]
    criteria: tuple[Criterion, ...]
    mistakes: tuple[Mistake, ...] = ()
    targets: tuple[Any, ...] = ()
    facts: Callable[[Recordings], Any] = tuple

    @property
    def lesson(self) -> str:
        """The lesson that the task belongs to."""
        return self.id.split(".")[0]

    @property
    def points(self) -> float:
        """The most that the task can earn."""
        return sum(criterion.points for criterion in self.criteria)
