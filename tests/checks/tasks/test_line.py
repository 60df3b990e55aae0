"""The tasks of the lesson `line`: their criteria, on recordings whose every number is known."""

from __future__ import annotations

import functools
import math
import re
import statistics
from collections.abc import Callable, Sequence

import pytest

from checks import TASKS, check
from checks.readings.gains import law
from checks.readings.line import EYE_PINS, LOST, SEEN, course, junction, looks, true_counts
from checks.tasks.line.report import reported
from robotsim import Event, Recording, Whose, make_table, run_trial
from robotsim.converter import Converter
from robotsim.parts.quirks import Quirks
from robotsim.table import stop_bars
from robotsim.table.layouts import BLACK, POOR_BLACK
from tests.checks.slips import PROGRAMS
from tests.checks.tasks.judging import findings
from tests.checks.written_in_lessons import solution, untouched
from tests.robotsim.show.recordings import at, motors, recording

LINE = [task for task in TASKS if task.startswith("line.")]
AHEAD = 0.044
ON, OFF = ((1.0, 0.5), (1.0, 0.5)), ((0.0, 0.0), (0.0, 0.0))


def ride(
    table: str, seed: int = 0, *, speed: float = 0.3, way: float | None = None,
    aside: Callable[[float], float] = lambda gone: 0.0, seconds: float = 20.0,
    events: Sequence[Event] = (), read: bool = True,
) -> Recording:  # fmt: skip
    """Give the recording of a tug whose row of eyes moves along the line of a table.

    Args:
        table: The table.
        seed: Its seed.
        speed: Along the line, in m/s.
        way: Where it stops, in m; None for the end of the trial.
        aside: Way in m to how far the row is to port of the line, in m.
        seconds: Length of the trial.
        events: What the pins did.
        read: Whether each eye was read once.
    """
    made = make_table(table, seed)
    line = made.line
    assert line is not None
    first = line.nearest(made.start[0] + AHEAD, made.start[1]).along
    rows = []
    for k in range(round(seconds * 100) + 1):
        gone = speed * k / 100
        gone = gone if way is None else min(gone, way)
        x, y, heading = line.at(first + gone)
        off, slope = aside(gone), (aside(gone + 1e-4) - aside(gone - 1e-4)) / 2e-4
        turned = heading + math.atan(slope)
        if rows:
            turned = rows[-1][2] + math.remainder(turned - rows[-1][2], math.tau)
        x, y = x - off * math.sin(heading), y + off * math.cos(heading)
        rows.append((x - AHEAD * math.cos(turned), y - AHEAD * math.sin(turned), turned))
    xs, ys, headings = zip(*rows, strict=True)
    events = [*(at(0.0, "adc", pin, 1000) for pin in EYE_PINS if read), *events]
    plain = recording(seconds=seconds, table=table, events=events)
    still = tuple(0.0 for _ in rows) if way is not None else tuple(speed for _ in rows)
    tracks = {"x": xs, "y": ys, "heading": headings, "left": still, "right": still}
    return Recording(
        **{**{name: getattr(plain, name) for name in plain.__dataclass_fields__},
           "seed": seed, "tracks": {**plain.tracks, **tracks}}
    )  # fmt: skip


# -- the eyes ----------------------------------------------------------------


@pytest.mark.parametrize(("seed", "ink"), [(0, BLACK), (4, POOR_BLACK)])
def test_true_counts_are_what_the_eyes_figures_give(seed: int, ink: float) -> None:
    # Height: 20 % at 15 mm and all at 2.5 mm, a parabola in the logarithm (TCRT5000, Vishay 83760
    # rev. 1.7, read); 142 mV, then 0.80566 mV a count at 1100 mV (the maker's calibration, read);
    # the other figures invented.  The room is brighter to one side: 80 counts at most.
    light = 0.2 ** ((math.log(3.0 / 2.5) / math.log(15.0 / 2.5)) ** 2)
    for serial in (0, 7, 30):
        quirks, truth = Quirks.of(serial), true_counts("quay", seed, serial, "")
        for shade, counts in ((0.9, truth.white), (ink, truth.black)):
            for eye, count in enumerate(counts):
                pulled = quirks.eye_gain[eye] * (2.49 * light * shade + 0.30)
                volts = 3.3 - quirks.eye_offset[eye] - pulled
                board = Converter(quirks.adc_reference, quirks.adc_off)
                due = (volts + board.off - 0.142) / (0.80566e-3 * board.reference / 1.1)
                due = due if due < 2880 else board.count(volts, 3)  # beyond the bend
                assert count == pytest.approx(due, abs=80), (serial, eye)


def test_the_true_counts_are_those_of_the_recordings_own_day() -> None:
    # Another day's window: 0.30 V of room light, 10 to 25 % a metre brighter to a side (invented).
    stare = "from machine import ADC, Pin\neyes = [ADC(Pin(n), atten=3) for n in (39, 34)]\n"
    stare += "for _ in range(40):\n    for eye in eyes:\n        eye.read()\n"
    off, first = [], []
    for day in ("seed 0", "one", "two", "three"):
        made = run_trial(stare, table="quay", serial=131, seconds=0.1, day=day, whose=Whose.KIT)
        black = true_counts("quay", 0, 131, day).black
        for eye in (1, 2):
            read = statistics.fmean(look.value for look in looks(made, eye))
            off.append(abs(read - black[eye]))
        first.append(black[1])
    assert max(off) < 25, "a few centimetres of room light lie between"
    assert max(first) - min(first) > 100, "and it is another count on another day"


def test_the_held_out_tables_are_mirrored_or_inked_otherwise_than_the_shown_ones() -> None:
    runs = {(run.table, run.seed) for task in LINE for run in TASKS[task].runs if run.seed}
    for table, seed in runs:
        shown, other = make_table(table), make_table(table, seed)
        assert other.prints[0].shade == POOR_BLACK != shown.prints[0].shade, (table, seed)
    assert make_table("quay", 4).start[1] > 0.6, "mirrored"
    assert make_table("channel", 9).start[1] > 0.45, "mirrored"


def test_the_side_line_of_the_stop_task_leaves_to_either_side() -> None:
    sides = set()
    for run in TASKS["line.stop"].runs:
        table = make_table(run.table, run.seed)
        stroke = next(p for p in table.prints if p.name == "side line")
        assert table.line is not None
        ends = [table.line.nearest(*stroke.points[k]).offset for k in (0, -1)]
        sides.add(max(ends, key=abs) > 0)
    assert sides == {True, False}


def test_an_eye_sees_the_line_up_to_where_the_checks_say_and_no_farther() -> None:
    # Outer eye 18 mm aside, line 9 mm to each side, spot of 2 mm: arithmetic.
    assert 0.018 + 0.009 < SEEN < 0.018 + 0.009 + 0.0025 < LOST
    table = make_table("quay")
    white = true_counts("quay", 0, 0, "").white[0]
    for off, dark in ((SEEN - 0.003, True), (SEEN + 0.002, False)):
        x, y, heading = table.start
        made = run_trial(
            "from machine import ADC, Pin\nfor n in (36, 39, 34, 35):\n"
            "    print(ADC(Pin(n), atten=ADC.ATTN_11DB).read())\n",
            table="quay", seconds=0.1, start=(x, y + off, heading),
        )  # fmt: skip
        seen = max(int(text) for _, text in made.printed) > white + 500
        assert seen is dark, off


@pytest.mark.parametrize(
    "line",
    [
        "eye 0 white 812 black 2730",
        "Eye 0: white=812, black=2730",
        "eye 0 white 812.0 black 2730.0",
    ],
)
def test_a_report_is_read_in_any_punctuation(line: str) -> None:
    made = recording(table="quay", events=[at(0.1, "print", line + "\n")])
    assert tuple(reported(made)[0]) == (812, 2730)


def test_numbers_that_were_read_on_one_tug_earn_little_on_another() -> None:
    files = solution("line")
    first = true_counts("quay", 0, 7, "")
    lines = "".join(
        f"print('eye {k} white {first.white[k]:.0f} black {first.black[k]:.0f}')\n"
        for k in range(4)
    )
    cheat = re.sub(r"for k in range\(4\):\n    print.*\n", lines, files["calibrate.py"])
    assert cheat != files["calibrate.py"]
    card = check("line.calibrate", files={**files, "calibrate.py": cheat}, serial=7)
    assert card.points <= 0.75 * card.max_points


@pytest.mark.parametrize(("kp", "kd"), [(0.05, 0.0015), (0.05, 0.006), (0.12, 0.0)])
def test_the_gains_of_a_program_are_worked_out_from_what_it_read_and_did(
    kp: float, kd: float
) -> None:
    files = solution("line")
    for name, value in {"KP": kp, "KD": kd}.items():
        files["follow.py"] = re.sub(
            rf"^{name} = .*$", f"{name} = {value}", files["follow.py"], flags=re.M
        )
    made = run_trial(files, program="follow.py", table="channel", serial=7, seconds=6.0)
    found = law(made)
    assert found is not None and found.fit > 0.9
    assert found.kp == pytest.approx(kp, rel=0.1)  # the converter trembles
    assert found.kd == pytest.approx(kd, rel=0.05, abs=1e-4)


# -- the way along the line --------------------------------------------------


@pytest.mark.parametrize(("table", "seed"), [("quay", 0), ("quay", 4), ("channel", 0)])
def test_a_tug_that_keeps_to_the_line_exactly_earns_all(table: str, seed: int) -> None:
    went = course(ride(table, seed))
    assert went.share == 1.0 and went.lost is None
    assert abs(went.aside[went.widest]) < 1e-4
    # The row of eyes turns with the line: no degree more.  The heading is that of the line here.
    assert went.weaving < 2.0
    assert went.metres / went.seconds == pytest.approx(0.3, rel=0.01)


def test_weaving_is_counted_as_the_turns_of_the_path() -> None:
    # aside = a sin(2 pi s / L): the heading swings by atan(2 pi a / L) to both sides, four times
    # that much turning in each wave.
    tall, long = 0.008, 0.12
    went = course(ride("quay", aside=lambda gone: tall * math.sin(math.tau * gone / long)))
    swing = math.degrees(math.atan(math.tau * tall / long))
    line = went.table.line
    assert line is not None
    # In bends the line's own turning hides part of it, so at most that much and not much less.
    assert 0.75 * 4 * swing / long < went.weaving <= 4 * swing / long * 1.02


def test_a_line_that_was_lost_ends_the_way_that_counts() -> None:
    made = ride("channel", aside=lambda gone: max(0.0, gone - 1.0) * 0.5)
    went = course(made)
    lost_at = 1.0 + LOST / 0.5
    assert went.lost is not None and went.end is None
    assert went.gone[went.lost] == pytest.approx(lost_at, abs=0.02)
    found = findings("line.follow", made, made)
    assert "lost the line after" in found["It follows the wave to the stop bar"].measured
    assert 0.3 < found["It follows the wave to the stop bar"].share < 0.8
    assert all(found[title].share < 0.7 for title in ("It is fast", "It is smooth"))


def test_speed_smoothness_and_distance_each_cost_only_their_own_points() -> None:
    fast = ride("channel")
    slow = ride("channel", speed=0.15)
    rough = ride("channel", aside=lambda gone: 0.006 * math.sin(math.tau * gone / 0.1))
    wide = ride("channel", aside=lambda gone: 0.030)
    lost = {
        name: {title for title, one in findings("line.follow", made, made).items() if one.share < 1}
        for name, made in {"fast": fast, "slow": slow, "rough": rough, "wide": wide}.items()
    }
    assert lost == {
        "fast": set(), "slow": {"It is fast"}, "rough": {"It is smooth"},
        "wide": {"It keeps close to the line"},
    }  # fmt: skip


def test_partial_credit_falls_evenly_with_speed() -> None:
    shares = [
        findings("line.follow", *2 * (ride("channel", speed=speed),))["It is fast"].share
        for speed in (0.25, 0.21, 0.165, 0.12)
    ]
    assert shares[0] == pytest.approx(1.0, abs=0.02)
    assert shares == sorted(shares, reverse=True)
    assert shares[2] == pytest.approx(0.5, abs=0.03)


def test_two_thirds_of_the_quay_earn_a_part_and_the_wrong_way_round_earns_nothing() -> None:
    found = findings("line.onoff", *2 * (ride("quay", speed=0.2, way=2.7),))
    assert found["It goes round the quay"].share == pytest.approx(2.4 / 3.7, abs=0.02)
    back = findings("line.onoff", *2 * (ride("quay", speed=-0.2),))
    assert back["It goes round the quay"].share == 0.0


@pytest.mark.parametrize("task", ["line.onoff", "line.follow"])
def test_what_may_be_luck_earns_nothing_and_neither_does_who_reads_no_eye(task: str) -> None:
    table = "quay" if task == "line.onoff" else "channel"
    for made, most in ((ride(table, way=0.31), 0.02), (ride(table, read=False), 0.0)):
        title = TASKS[task].criteria[0].title
        assert findings(task, made, made)[title].share <= most


def test_a_stop_within_20_mm_of_the_bar_earns_all_and_50_mm_past_it_a_part() -> None:
    table = make_table("channel")
    assert table.line is not None
    start = table.line.nearest(table.start[0] + AHEAD, table.start[1]).along
    goal = stop_bars(table)[0] - start
    events = [*motors(0.1, *ON), *motors(19.0, *OFF)]
    for past, least, most in ((0.0, 1.0, 1.0), (0.018, 1.0, 1.0), (0.055, 0.4, 0.6), (-0.1, 0, 0)):
        made = ride("channel", way=goal + past, events=events)
        found = findings("line.stop", made, made)
        assert least <= found["It stops at the bar"].share <= most, past
        assert found["The motors are off"].share == 1.0
        braked = [*motors(0.1, *ON), *motors(19.0, (1.0, 1.0), (1.0, 1.0))]
        found = findings("line.stop", *2 * (ride("channel", way=goal + past, events=braked),))
        assert found["The motors are off"].share == 0.0
    where = junction(table)
    assert where is not None and 0.10 < goal - where < 0.18, "the lesson says 12 to 17 cm"
    at_junction = ride("channel", way=where, events=events)
    named = {m.name for m in TASKS["line.stop"].mistakes if m.look([at_junction] * 2)}
    assert "the junction is taken for the bar" in named


def test_motors_left_on_at_the_bar_are_told_even_if_the_tug_stands() -> None:
    made = ride("channel", way=1.86, events=motors(0.1, *ON))
    assert findings("line.stop", made, made)["The motors are off"].share == 0.0


# -- the lesson --------------------------------------------------------------


@functools.cache
def test_whoever_takes_the_line_for_the_bar_is_not_told_of_the_motors() -> None:
    """It ends in its first round, and has not driven: not for want of a duty."""
    text = PROGRAMS.joinpath("line", "stop", "right_on_off.py").read_text(encoding="utf-8")
    wrong = text.replace("a and b and c and d", "a or b or c or d")
    assert wrong != text
    cause = check("line.stop", files={"stop.py": wrong}, serial=7).cause
    assert cause is not None and cause.name == "stops short of the bar"
    assert "ask for all four" in cause.hint


@pytest.mark.parametrize("task", LINE)
def test_the_untouched_starter_is_harmless_and_earns_nothing(task: str) -> None:
    card = check(task, files=untouched("line"), serial=7)
    assert card.points == 0.0
    assert not any(card.recordings[0].tracks["left"])
    assert card.cause is not None
    if task != "line.calibrate":  # it is not to blame for what calibrate.py lacks
        assert "calibrate.py does not set look yet" in card.cause.hint


@pytest.mark.parametrize(
    "seed", [1, 2, *(pytest.param(seed, marks=pytest.mark.long) for seed in range(3, 13))]
)
def test_the_worked_solution_passes_on_tables_that_no_check_uses(seed: int) -> None:
    for task in ("line.onoff", "line.follow", "line.stop"):
        asked = TASKS[task]
        for serial in (0, 7, 104):
            made = run_trial(
                solution("line"), program=asked.program, table=asked.runs[0].table, seed=seed,
                serial=serial, seconds=asked.runs[0].seconds,
            )  # fmt: skip
            for title, found in findings(task, made).items():
                assert found.share == 1.0, (task, seed, serial, title, found)
