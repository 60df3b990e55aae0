"""Running: what a trial of the program gives away - errors, motors left on, duties, memory."""

from __future__ import annotations

import ast
from collections.abc import Iterator, Mapping
from typing import Any

from ..board.engines import USUAL, command
from ..catalogue import modules
from ..errors import KitError
from ..recording import Recording
from ..trial import run_trial
from ..wiring import FULL_DUTY, duty_share
from .advice import Advice, source_line
from .files import parsed
from .numbers import HEAP_FREE

__all__ = ["best_engine", "look_at_memory", "look_at_run"]

_SERVO_S = (0.0004, 0.0026)
"""Pulses outside are no servo's (usable travel often reaches 0.8 to 2.25 ms, common practice)."""
_HEAP_FILE = "with_little_memory.py"
_WORDS = 2
"""Addresses are twice as long in the interpreter for this machine as on a 32-bit board."""
_TIGHT = 0.5
"""Share of the board's memory beyond which a program is said to be near its end."""
_BALLAST = """
for module in {modules!r}:
    __import__(module)
text = {text!r}
kept = [None] * 8192
count = 0
room = bytearray({room})
for size in (65536, 8192, 512):
    try:
        while count < 8192:
            kept[count] = bytearray(size)
            count += 1
    except MemoryError:
        pass
room = None
exec(compile(text, {name!r}, "exec"), {{"__name__": "__main__"}})
"""
"""Fills the memory, gives back as much as a board has free, and runs the program in that.

The board's own modules come first: on a board they lie in flash.
"""


def best_engine() -> str:
    """Give the real interpreter where it is installed, else the one that is always there."""
    try:
        command("micropython")
    except KitError:
        return USUAL
    return "micropython"


def look_at_run(recording: Recording) -> Iterator[Advice]:
    """Read a recording of the program."""
    program = recording.program
    problem = recording.problem
    if problem is not None:
        when = f"{recording.ended_ns / 1e9:.2f} s after its start"
        told = f"{problem.kind}: {problem.message}" if problem.message else problem.kind
        cause = f"it stopped {when} with {told}."
        if problem.kind == "stopped":
            cause = f"it was stopped {when}: {problem.message.rstrip('.')}."
        cure = problem.hint or "mend this line; run(...) shows the way to it."
        yield Advice(problem.file or program, problem.line, cause, cure, True, problem.source)
    for event in recording.of("reset"):
        yield Advice(
            program, 0, f"the board started anew at {event.seconds:.2f} s ({event.data[0]}).",
            "start the motors gently and not all at once; charge the cells.", True,
        )  # fmt: skip
        break
    yield from _left_on(recording)
    yield from _scales(recording)


# -- motors ------------------------------------------------------------------


def _left_on(recording: Recording) -> Iterator[Advice]:
    sides = [side for side, pins in recording.build.motors.items() if _driven(recording, pins)]
    if not sides:
        return
    which = "both motors" if len(sides) == 2 else f"the {sides[0]} motor"
    stop = "give all four motor inputs a duty of 0"
    if recording.ended != "time is up":
        how = "ends" if recording.ended == "finished" else "stops"
        cause = (
            f"the program {how} at {recording.ended_ns / 1e9:.2f} s and {which} go"
            f"{'' if len(sides) == 2 else 'es'} on: PWM needs no program."
        )
        line = _last_line(recording)
        yield Advice(recording.program, line, cause, f"{stop}, in the last lines or in finally:.",
                     True, source_line(recording.files[recording.program], line))  # fmt: skip
    elif not _has_finally(recording):
        yield Advice(
            recording.program, 0, f"after an error, or when someone presses Ctrl-C, {which} would "
            "go on.", f"put the loop into try: and {stop} in finally:.", False,
        )  # fmt: skip


def _driven(recording: Recording, pins: tuple[int, int]) -> bool:
    ahead, back = (recording.pwm_at(pin, recording.seconds)[0] for pin in pins)
    return abs(ahead - back) > 0.004


def _last_line(recording: Recording) -> int:
    tree = parsed(recording.files[recording.program])
    return tree.body[-1].lineno if tree and tree.body else 0


def _has_finally(recording: Recording) -> bool:
    trees = (parsed(text) for text in recording.files.values())
    return any(isinstance(n, ast.Try) and n.finalbody for t in trees if t for n in ast.walk(t))


# -- scales ------------------------------------------------------------------


def _scales(recording: Recording) -> Iterator[Advice]:
    motor_pins = [pin for pins in recording.build.motors.values() for pin in pins]
    given = {told.duty_u16 for told in recording.outputs(*motor_pins) if told.pulsed}
    between = given - {0, FULL_DUTY}
    if between and max(between) <= 1023 and FULL_DUTY not in given:
        top = max(between)
        share = f"{top} of {FULL_DUTY}, {100 * duty_share(top):.1f} %"
        yield _at_call(recording, "duty_u16",
                       f"no motor ever got more than {share}: nothing turns.",
                       "duty_u16 counts to 65535; for 40 % write int(0.40 * 65535).")  # fmt: skip
    for told in recording.outputs(recording.build.pins["arm"]):
        freq, pulse = round(told.signal.freq_hz), told.signal.pulse_s
        if not pulse:
            continue
        if freq != 50 or not _SERVO_S[0] <= pulse <= _SERVO_S[1]:
            yield _at_call(
                recording, "duty", f"the arm got pulses of {pulse * 1000:.2f} ms, {freq} a second.",
                "a servo wants 50 pulses a second of 1.0 to 2.0 ms: freq=50, and a duty of "
                "5 to 10 % (3277 to 6554 of 65535).",
            )  # fmt: skip
            return


def _at_call(recording: Recording, start: str, cause: str, cure: str) -> Advice:
    """Give advice at the first line that calls a method with such a name."""
    for name in (recording.program, *recording.files):
        for node in ast.walk(parsed(recording.files[name]) or ast.Module([], [])):
            called = getattr(getattr(node, "func", None), "attr", "")
            words = [word.arg or "" for word in getattr(node, "keywords", ())]
            if any(word.startswith(start) for word in (called, *words)):
                line = getattr(node, "lineno", 0)
                source = source_line(recording.files[name], line)
                return Advice(name, line, cause, cure, True, source)
    return Advice(recording.program, 0, cause, cure)


# -- memory ------------------------------------------------------------------


def _imported(files: Mapping[str, str]) -> tuple[str, ...]:
    """Give the board's modules that the files import."""
    heads = set()
    for text in files.values():
        for node in ast.walk(parsed(text) or ast.Module([], [])):
            if isinstance(node, ast.Import):
                heads |= {alias.name for alias in node.names}
            elif isinstance(node, ast.ImportFrom) and node.module:
                heads.add(node.module)
    own = {name.removesuffix(".py") for name in files}
    return tuple(sorted(name for name in heads & {*modules()} if name not in own))


def look_at_memory(
    program: str, files: Mapping[str, str], around: Mapping[str, Any]
) -> Iterator[Advice]:
    """Run the program under the real interpreter with no more memory than a board has.

    Args:
        program: The file that starts.
        files: All files.
        around: The trial's other arguments.
    """
    for share, fails in ((1.0, True), (_TIGHT, False)):
        room = int(HEAP_FREE * share)
        text = _BALLAST.format(
            modules=_imported(files), room=_WORDS * room, text=files[program],
            name=program,
        )  # fmt: skip
        recording = run_trial(
            {**files, _HEAP_FILE: text}, program=_HEAP_FILE, engine="micropython", **around
        )
        problem = recording.problem
        if problem is None or problem.kind != "MemoryError":
            continue
        lost = problem.file == _HEAP_FILE  # while the program itself was being compiled
        line = 0 if lost else problem.line
        where = "it is too long to be compiled there" if lost else problem.message
        cause = f"with {room // 1000} kB of memory it stops with MemoryError: {where}."
        if not fails:
            cause = f"it needs more than half of the {HEAP_FREE // 1000} kB that a board has free."
        yield Advice(
            program if lost else problem.file, line, cause,
            "keep less at a time; make buffers once, and reuse them.", fails,
            "" if lost else problem.source,
        )  # fmt: skip
        return
