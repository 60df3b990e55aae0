"""Words: what a recording shows, for whoever cannot see the picture.

The sentences tell the finding ("drifted 0.12 m to port"), not what the axes
are.  The same recording always gives the same words.
"""

from __future__ import annotations

import math

from ..problem import STOPPED
from ..recording import Recording
from .colours import lamp_words
from .facts import (
    SIDES,
    Journey,
    astray,
    counts,
    drives,
    ending,
    glows,
    journey,
    runs_on,
    share_words,
    touches,
)  # fmt: skip

__all__ = ["alt_text", "headline", "how_it_ended", "listed"]


_OTHER_SCALE = 1023
"""The largest number of the other common scales of a duty: 0 to 1023, 0 to 255, 0 to 100."""


def listed(words: list[str]) -> str:
    """Join words as one does in a sentence: `a, b and c`."""
    return " and ".join([", ".join(words[:-1]), words[-1]] if len(words) > 1 else words)


def alt_text(recording: Recording) -> str:
    """Tell in a few sentences what happened in a recording."""
    went = journey(recording)
    told = [f"{recording.program} {ending(recording)}.", _on_the_way(recording)]
    if on := runs_on(recording):
        told.append(f"It left {on} driven.")
    told.append(_motion(recording, went))
    told += [_lamps(recording), _arm(recording), _eyes(recording)]
    told += [_touched(recording), _float(recording), _printed(recording)]
    return " ".join(sentence for sentence in told if sentence)


def how_it_ended(recording: Recording) -> str:
    """Tell in a sentence how a program ended, and what it left driven."""
    on = runs_on(recording)
    return f"The program {ending(recording)}{f', with {on} still driven' if on else ''}."


def _on_the_way(recording: Recording) -> str:
    """Tell of a problem that did not end the program."""
    problem = recording.problem
    if problem is None or recording.ended in ("error", "stopped"):
        return ""
    place = f" in line {problem.line}" if problem.line else ""
    if next(recording.of("fault"), None):
        return f"A callback failed with {problem.kind}{place}."
    return f"It {problem.message}{place}."


def headline(recording: Recording) -> str:
    """Give the finding in one line, for the head of a figure."""
    went = journey(recording)
    if went.moved:
        course = _course(went).replace(" degrees", "°").replace(" of its first heading", "")
        return f"The tug {course}"
    if most := _strongest(recording):
        return f"The motors were driven at up to {most}; the tug did not move"
    if moved := _arm_headline(recording):
        return moved
    lit = _lit(recording)
    if lit:
        return f"Lamps at the end: {', '.join(lit)}"
    if glows(recording):
        return "The lamps are dark at the end"
    problem = recording.problem
    caught = problem is not None and problem.kind == STOPPED
    if problem is not None and (caught or recording.ended in ("error", "stopped")):
        where = problem.place.partition(":")[0]
        how = "Stopped" if recording.ended == "stopped" else "Caught"
        head = f"{how if caught else problem.kind}{where and ' in ' + where}"
        return f"{head}: nothing moved, nothing lit up"
    if lost := astray(recording):
        return lost
    lines = len(recording.printed)
    told = f"The program printed {_many(lines, 'line')}"
    return told if lines else "Nothing moved, nothing lit up"


def _arm_headline(recording: Recording) -> str:
    """Tell what the arm did, and what became of a float that it struck."""
    arm = _arm(recording).removeprefix("The ").removesuffix(".").replace(" degrees", "°")
    if not arm:
        return ""
    docked = [str(event.data[0]) for event in recording.of("dock")]
    if docked:
        return f"The float {'came into' if docked[-1] == 'in' else 'left'} the dock; the {arm}"
    return f"The {arm}"


def _many(number: int, what: str) -> str:
    return f"{number} {what}" + ("" if number == 1 else "s")


def _side(value: float) -> str:
    return "port" if value > 0 else "starboard"


def _degrees(angle: float) -> int:
    return round(abs(math.degrees(angle)))


def _course(went: Journey) -> str:
    """Tell the way the tug went, without the word for who went."""
    turn = _degrees(went.turned)
    turned = f"{turn} degrees to {_side(went.turned)}"
    if went.path < 0.02 or (went.away < 0.02 and went.path < 0.1 * went.swept):
        if turn < 2:
            return f"swung {_degrees(went.swept)} degrees in all and ended where it began"
        return f"turned {turned} on the spot"
    if went.path > 0.3 and went.away < 0.1 * went.path:
        where = f"to {went.away:.2f} m from its start" if went.away >= 0.005 else "to its start"
        rest = f", having turned {turned}" if turn >= 2 else ""
        return f"went {went.path:.2f} m and came back {where}{rest}"
    if turn < 1:
        heading = "on its first heading"
    elif turn <= 180:
        heading = f"heading {turned} of its first heading"
    else:
        heading = f"having turned {turned}"
    way = "ahead" if went.ahead > 0 else "astern"
    along = f"{abs(went.ahead):.2f} m {way}"
    across = f"{abs(went.port):.2f} m to {_side(went.port)}"
    if went.path < 1.1 * went.away and abs(went.port) < 0.3 * abs(went.ahead):
        drift = f", drifted {across}" if abs(went.port) >= 0.005 else ""
        return f"drove {along}{drift} and ended {heading}"
    place = listed([p for p, v in ((along, went.ahead), (across, went.port)) if abs(v) >= 0.005])
    return f"went {went.path:.2f} m in all, ended {place or '0.00 m'} of its start, {heading}"


def _strongest(recording: Recording) -> str:
    """Give the greatest duty of either motor in words, "" if neither was driven."""
    duties = [abs(d.duty) for side in SIDES for d in drives(recording, side) if d.end > d.begin]
    if not (most := max(duties, default=0.0)):
        return ""
    number = round(65535 * most)
    scale = f" (a duty of {number}, where 65535 is full)" if number <= _OTHER_SCALE else ""
    return f"{share_words(most)} duty{scale}"


def _motion(recording: Recording, went: Journey) -> str:
    if went.moved:
        return f"The tug {_course(went)}."
    if strongest := _strongest(recording):
        return f"The motors were driven at up to {strongest}, but the tug did not move."
    return "The tug did not move."


def _lit(recording: Recording) -> list[str]:
    """Give what the lit lamps show at the end, lamps of one colour together."""
    alike: dict[str, list[str]] = {}
    every = recording.build.lamp_names
    for name, colour in zip(every, recording.lamps_at(recording.seconds), strict=False):
        if any(colour):
            alike.setdefault(lamp_words(colour), []).append(name)
    if [len(names) for names in alike.values()] == [len(every)] and len(every) > 1:
        return [f"{next(iter(alike))} on all {'five' if len(every) == 5 else len(every)}"]
    return [f"{colour} on {' and '.join(names)}" for colour, names in alike.items()]


def _lamps(recording: Recording) -> str:
    phases = glows(recording)
    if not phases:
        return f"{lost}." if (lost := astray(recording)) else ""
    changes = len(phases) - 1 + (phases[0].begin == 0.0 and any(map(any, phases[0].colours)))
    often = f"The lamps changed {_many(changes, 'time')}. " if changes > 1 else ""
    shown = recording.lamps_at(recording.seconds)
    lit = _lit(recording)
    if not lit:
        return often + ("At the end all lamps were dark." if changes else "All lamps stayed dark.")
    every = recording.build.lamp_names
    dark = [name for name, colour in zip(every, shown, strict=False) if not any(colour)]
    rest = f"; {listed(dark)} {'was' if len(dark) == 1 else 'were'} dark" if dark else ""
    return f"{often}At the end the lamps showed {', '.join(lit)}{rest}."


def _arm(recording: Recording) -> str:
    angles = recording.tracks.get("arm", ())
    if not angles or max(angles) - min(angles) < math.radians(0.5):
        return ""
    low, high, last = (round(math.degrees(a)) for a in (min(angles), max(angles), angles[-1]))
    return f"The arm swung between {low} and {high} degrees and ended at {last} degrees."


def _eyes(recording: Recording) -> str:
    raws = [raw for eye in range(4) for raw in counts(recording, eye)[1]]
    return f"The line eyes read {min(raws)} to {max(raws)} counts." if raws else ""


def _touched(recording: Recording) -> str:
    found = [f"{what} at {time:.2f} s" for time, what in touches(recording)]
    if len(found) > 4:
        found = [*found[:3], f"{len(found) - 3} times more"]
    told = listed(found)
    return f"{told[0].upper()}{told[1:]}." if told else ""


def _float(recording: Recording) -> str:
    xs, ys = recording.tracks.get("float_x", ()), recording.tracks.get("float_y", ())
    if not xs or not ys:
        return ""
    moved = math.dist((xs[0], ys[0]), (xs[-1], ys[-1]))
    told = [f"The float ended {moved:.2f} m from where it lay."] if moved >= 0.005 else []
    docked = {"in": "came into", "out": "left"}
    told += [f"It {docked.get(str(e.data[0]), 'crossed')} the dock at {e.seconds:.2f} s."
             for e in list(recording.of("dock"))[-2:]]  # fmt: skip
    return " ".join(told)


def _printed(recording: Recording) -> str:
    lines = len(recording.printed)
    return f"It printed {_many(lines, 'line')}." if lines else ""
