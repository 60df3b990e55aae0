"""Mistakes that any task's recordings may give away, and the choice of the likeliest.

A mistake wins by what it explains, not by its place in a list alone: the card must have taken
points where the mistake costs some, and may not have given in full what the mistake must cost.
Of those that are left the one that explains most of the lost points is named; the order of the
lists settles what is left even.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from robotsim import PINS, Event, Recording
from robotsim.outputs import OUTPUT_KINDS
from robotsim.problem import STOPPED, Problem

from .readings.light import slept_through
from .task import Clues, Criterion, Evidence, Finding, Mistake, Task
from .words import named_trials

__all__ = ["COMMON", "Cause", "likeliest", "lost_points", "unsent"]

Recordings = Sequence[Recording]


@dataclass(frozen=True)
class Cause:
    """The likeliest cause of lost points.

    Attributes:
        name: The mistake's name.
        evidence: What in the recordings gives it away.
        hint: What to try.
        sure: Whether the evidence proves it. If not, the card says so.
        second: The next likeliest where this one is not sure, or leaves something unexplained.
    """

    name: str
    evidence: str
    hint: str
    sure: bool = True
    second: Cause | None = None


def _raised(recordings: Recordings) -> Clues:
    for problem in _problems(recordings):
        if problem.kind != STOPPED:
            yield Evidence(f"{problem.kind}: {problem.message}{_at(problem)}", problem.hint)


def _stopped(recordings: Recordings) -> Clues:
    """Tell of a program that raised nothing: it is caught in a loop, say."""
    for problem in _problems(recordings):
        if problem.kind == STOPPED:
            subject = "it " if problem.message[:1].islower() else ""
            yield Evidence(f"{subject}{problem.message}{_at(problem)}", problem.hint)


def _problems(recordings: Recordings) -> Iterator[Problem]:
    return (made.problem for made in recordings if made.problem)


def _at(problem: Problem) -> str:
    called = "".join(f", called from line {line}" for _, line in problem.called_from[:1])
    return f" ({problem.place}{called})" if problem.place else ""


def _nobody_there(recordings: Recordings) -> Clues:
    for recording in recordings:
        answered = any(True for _ in recording.of("i2c"))
        asked = [event.data[0] for event in recording.of("nack")]
        # A scan asks every address, and most stay silent: that is no mistake.
        if asked and not answered and len(asked) < 100:
            yield f"nothing on the bus answered at 0x{asked[0]:02x}"


_SET_UP = {*OUTPUT_KINDS, "end", "dock", "touch", "message", "file", "sleep"} - {"reset"}
"""Events that are no act of the program upon the world; an order on the air is the office's."""


def _drives_a_pin(recording: Recording) -> bool:
    """Tell whether any pin was driven; the arm's pulses, 50 a second, only hold it."""
    return any(told.duty_u16 and told.signal.freq_hz != 50 for told in recording.outputs())


def _acts(event: Event) -> bool:
    if event.kind == "radio":
        return event.data[0] in ("connected", "not joined")
    if event.kind == "message":
        return event.data[0] in ("said", "taken")
    return event.kind not in _SET_UP


def _held(recording: Recording) -> set[int]:
    """Give the duties at which the arm's pin was held."""
    return {told.duty_u16 for told in recording.outputs(PINS["arm"]) if told.pulsed} - {0}


_AT_ONCE_S = 0.2
_CHAIN_NS = 80_000
"""Once its pin is set up a chain of lamps is made in 50 us, and no starter takes 30 us behind it: a
look at the clock at the most.  A colour that is noted takes 16."""


def _notes_colours(recording: Recording) -> bool:
    """Tell whether the lamps were set up last, and lines came after that, which sent nothing."""
    *_, last = [None, *recording.of("mode")]
    if last is None or last.data[0] != PINS["lamps"]:
        return False
    return recording.ended_ns - last.time_ns > _CHAIN_NS


def _idle(recordings: Recordings) -> Clues:
    """Tell a program of which nothing comes: as handed out it only sets its parts up.

    Or it joins the network, which takes a second or two, and ends.
    """
    if any(_drives_a_pin(made) or any(map(_acts, made.events)) for made in recordings):
        return
    if any(len(_held(recording)) > 1 for recording in recordings):
        return  # an arm that is sent to and fro, if only without a rest between
    ended = max(recording.ended_ns for recording in recordings) / 1e9
    finished = all(recording.ended == "finished" for recording in recordings)
    joined = [any(e.what == "joined" for e in recording.of("radio")) for recording in recordings]
    if not any(made.outputs() or any(made.of("radio")) for made in recordings):
        yield "no pin of the board was touched in the whole run"
    elif finished and ended < _AT_ONCE_S and not any(map(_notes_colours, recordings)):
        yield "it sets its parts up and ends at once: nothing is driven, lit, read, printed or sent"
    elif finished and all(joined):
        yield "it joins the network and ends: nothing is driven, lit, read, printed or sent"


def _no_frame(recordings: Recordings) -> Clues:
    # With a radio or a bumper perhaps nothing has happened yet that would light a lamp: there the
    # task's own mistakes know more.
    clue = unsent([recording for recording in recordings if not _waits(recording)])
    if clue:
        waited = max((slept_through(recording) or 0.0 for recording in recordings), default=0.0)
        yield Evidence(
            f"{clue}, and the program waits for {waited:g} s at one go",
            "time.sleep() takes seconds, time.sleep_ms() thousandths of them; and np[0] = ... only "
            "notes a colour: np.write(), with its brackets, sends all of them to the lamps.",
        ) if waited else clue


def _waits(recording: Recording) -> bool:
    bumper = any(event.data[0] == PINS["bumper"] for event in recording.of("mode"))
    return bumper or any(event.what == "on" for event in recording.of("radio"))


def unsent(recordings: Recordings) -> str | None:
    """Tell of lamps that were set up, and to which no colours were ever sent."""
    for recording in recordings:
        prepared = any(event.data[0] == PINS["lamps"] for event in recording.of("mode"))
        if prepared and not any(True for _ in recording.of("frame")):
            return "the chain of lamps was set up, but no colours were ever sent to it"
    return None


_MOTOR_PINS = {PINS[f"{side}_{way}"] for side in ("left", "right") for way in ("ahead", "back")}
_MOTOR_HZ = 200
"""Nobody gives a servo so many pulses a second: they were meant for a motor."""


def _no_motor_there(recordings: Recordings) -> Clues:
    """A pin was driven on which no motor hangs, while one of the motors' pins was never set."""
    for name, recording in named_trials(recordings):
        ordered = [told for told in recording.outputs() if told.ordered]
        unset = _MOTOR_PINS - {told.pin for told in ordered}
        if unset in (set(), _MOTOR_PINS):
            continue
        for pin, signal in ((told.pin, told.signal) for told in ordered if told.duty_u16):
            fast = signal.freq_hz >= _MOTOR_HZ
            if pin not in _MOTOR_PINS and (fast or pin not in PINS.values()):
                yield f"{name}pin {pin} was driven, where no motor hangs, and {min(unset)} never"


_ERROR = Mistake(
    "the program stopped with an error", "mend that line first; the rest may be right.", _raised
)
_STOPPED = Mistake(
    "the program was stopped", "look at that line first: a loop that never ends, or never sleeps?",
    _stopped,
)
_IDLE = Mistake(
    "the program does nothing yet",
    "write your lines into the cell that begins with %%program, and run that cell. If they are "
    "there, they only prepare: lamps wait for write() (with its brackets), motors for a duty, a "
    "function (def) for the line that calls it.",
    _idle,
)
COMMON: tuple[Mistake, ...] = (
    Mistake(
        "nobody at that address",
        "compare the address, and the pins of SDA and SCL, with the table of pins.",
        _nobody_there,
    ),
    _ERROR,
    _STOPPED,
    _IDLE,
    Mistake(
        "wrong pin",
        "left motor: pins {left_ahead} (ahead) and {left_back} (back); right motor: {right_ahead} "
        "(ahead) and {right_back} (back).".format(**PINS),
        _no_motor_there,
    ),
    Mistake(
        "write() forgotten",
        "np[0] = ... only notes a colour; np.write(), with its brackets, sends all of them to the "
        "lamps. If no line gives a colour yet, begin with that.",
        _no_frame,
    ),
)
"""Looked for in every task, before the task's own."""


def lost_points(criteria: Sequence[Criterion], findings: Sequence[Finding]) -> dict[str, float]:
    """Give the criteria that lost points, title to how many."""
    pairs = zip(criteria, findings, strict=True)
    return {c.title: c.points * (1.0 - f.share) for c, f in pairs if f.share < 1.0}


def likeliest(
    task: Task, recordings: Recordings, lost: Mapping[str, float] | None = None
) -> Cause | None:
    """Give the mistake that explains most of what was lost, or None.

    Args:
        task: The task.
        recordings: What its runs left.
        lost: What was lost, see `lost_points`; None to judge it here.
    """
    seen = task.facts(recordings)
    if lost is None:
        lost = lost_points(task.criteria, [one.judge(seen) for one in task.criteria])
    found: list[tuple[float, Mistake, Evidence]] = []
    raised = any(_problems(recordings))
    first = [mistake for mistake in task.mistakes if raised and mistake.raises]
    for mistake in (*first, *COMMON, *task.mistakes):
        weight = mistake.explained(lost)
        evidence = mistake.evidence(recordings if mistake in COMMON else seen) if weight else None
        if evidence:
            found.append((weight, mistake, evidence))
            if mistake in (_ERROR, _STOPPED, _IDLE):  # half a program, or none, proves nothing else
                return _named(found, lost)
    found.sort(key=lambda one: -one[0])  # stable: the order of the lists settles what is even
    return _named(found, lost)


def _named(
    found: Sequence[tuple[float, Mistake, Evidence]], lost: Mapping[str, float]
) -> Cause | None:
    """Name the first; the next one too where the first is a guess or leaves a loss unexplained."""
    if not found:
        return None
    (_, first, evidence), *others = found
    left = lost.keys() - first.reach(lost)
    others = [one for one in others if not first.sure or one[1].reach(lost) & left]
    return Cause(
        first.name, evidence.words, evidence.hint or first.hint, first.sure, _named(others[:1], {})
    )
