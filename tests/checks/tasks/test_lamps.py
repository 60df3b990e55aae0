"""Judging the lamps: recordings made by hand, whose every moment is known."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from dataclasses import replace
from pathlib import Path

import pytest

from checks import TASKS, Finding, check
from checks.mistakes import likeliest
from checks.readings.colour import DARK, Colour
from checks.tasks.lamps import TASKS as LAMP_TASKS
from robotsim import LAMPS, Event, Recording
from robotsim.parts import Quirks
from tests.checks.slips import slips_of
from tests.checks.tasks.judging import findings, named

PROGRAMS = Path(__file__).parents[2] / "programs" / "lamps"
IDS = [task.id for task in LAMP_TASKS]
WHITE: Colour = (100, 100, 100)
RIGHT: tuple[Colour, ...] = ((100, 0, 0), (0, 100, 0), WHITE, WHITE, (100, 40, 0))
Moment = tuple[float, int, Colour]


def recorded(task: str, moments: Iterable[Moment] = (), lines: Iterable[tuple[float, str]] = ()):
    """Give a recording in which lamps take colours (time in s, lamp, colour) and lines come out."""
    shown: list[Colour] = [DARK] * len(LAMPS)
    events = []
    for time, lamp, colour in sorted(moments, key=lambda m: m[0]):
        shown[lamp] = colour
        now = round(time * 1e9)
        grb = "".join(f"{g:02x}{r:02x}{b:02x}" for r, g, b in shown)
        events += [Event(now, "frame", (13, 1, grb)), Event(now, "lamps", (tuple(shown),))]
    events += [Event(round(time * 1e9), "print", (text + "\n",)) for time, text in lines]
    return Recording(
        program=TASKS[task].program, files={}, table="basin", serial=0, seed=0,
        seconds=TASKS[task].runs[0].seconds, engine="by hand", ended="time is up",
        ended_ns=round(TASKS[task].runs[0].seconds * 1e9), problem=None,
        events=tuple(sorted(events, key=lambda e: e.time_ns)), tracks={},
    )  # fmt: skip


def shares(task: str, recording: Recording) -> dict[str, float]:
    """Give each criterion's share, by the first words that set it apart."""
    return {title: found.share for title, found in findings(task, recording).items()}


# -- every task --------------------------------------------------------------


@pytest.mark.parametrize("task", IDS)
def test_dark_lamps_earn_nothing_where_it_is_essential(task: str) -> None:
    essential = [c for c in TASKS[task].criteria if c.essential]
    assert essential
    seen = TASKS[task].facts((recorded(task),))
    assert all(c.judge(seen).share == 0.0 for c in essential)


@pytest.mark.parametrize("task", IDS)
def test_every_criterion_and_mistake_copes_with_an_empty_recording(task: str) -> None:
    empty = replace(recorded(task), ended_ns=0)
    seen = TASKS[task].facts((empty,))
    for criterion in TASKS[task].criteria:
        found = criterion.judge(seen)
        assert isinstance(found, Finding) and found.measured and criterion.asks
    named = {mistake.name for mistake in TASKS[task].mistakes if mistake.evidence(seen)}
    assert named == {"nothing is sent to the lamps"}


@pytest.mark.parametrize("task", IDS)
def test_every_known_mistake_has_a_program_or_a_slip_that_makes_it(task: str) -> None:
    made = {slip.cause for one in IDS for slip in slips_of(one)}
    for path in PROGRAMS.glob("*/wrong_*.py"):
        made |= {*re.findall(r"^# mistake: (.*)$", path.read_text(encoding="utf-8"), re.M)}
    assert {m.name for m in TASKS[task].mistakes} <= made


# -- side --------------------------------------------------------------------


def side(colours: Iterable[Colour], at: float = 0.1) -> Recording:
    return recorded("lamps.side", [(at, k, c) for k, c in enumerate(colours)])


def test_side_lamps_as_asked_earn_everything() -> None:
    assert set(shares("lamps.side", side(RIGHT)).values()) == {1.0}


@pytest.mark.parametrize(
    "colours",
    [
        ((160, 15, 10), (20, 160, 15), (150, 120, 110), (160, 160, 160), (160, 80, 0)),
        ((40, 0, 0), (0, 40, 0), (40, 40, 40), (50, 50, 40), (50, 15, 0)),
    ],
)
def test_side_allows_every_honest_shade(colours: tuple[Colour, ...]) -> None:
    assert set(shares("lamps.side", side(colours)).values()) == {1.0}


@pytest.mark.parametrize(
    ("lamp", "colour", "title", "least", "most"),
    [
        (2, (150, 50, 50), "The mast shows white", 0.0, 0.0),
        (3, (150, 70, 50), "The stern shows white", 0.0, 0.0),
        (4, (100, 20, 0), "The deck shows amber", 0.0, 0.05),
        (4, (100, 25, 0), "The deck shows amber", 0.4, 0.6),
        (4, (100, 70, 0), "The deck shows amber", 0.0, 0.0),
        (0, (160, 60, 10), "The port bow shows red", 0.0, 0.0),
    ],
)
def test_side_takes_no_colour_for_another(
    lamp: int, colour: Colour, title: str, least: float, most: float
) -> None:
    shown = [*RIGHT[:lamp], colour, *RIGHT[lamp + 1 :]]
    assert least <= shares("lamps.side", side(shown))[title] <= most


@pytest.mark.parametrize(("serial", "wrong"), [(7, (0, 1, 2, 3)), (104, (1, 0, 2, 3))])
def test_side_tells_a_wrong_order_by_what_this_tugs_chips_take_first(
    serial: int, wrong: tuple[int, ...]
) -> None:
    """What is wrong on a tug whose chips take green first is the very line that mends another."""
    made = Quirks.of(serial)
    assert made.lamp_order == ("GRB" if wrong[0] == 0 else "RGB")
    text = (PROGRAMS / "side" / "right_plain.py").read_text(encoding="utf-8")
    text = re.sub(r"^RED_FIRST = .*", f"RED_FIRST = {int(wrong[0] == 0)}", text, flags=re.M)
    cause = check("lamps.side", files={TASKS["lamps.side"].program: text}, serial=serial).cause
    assert cause is not None and cause.name == "colour order swapped"
    right = "np.ORDER = (0, 1, 2, 3) tells" if serial == 104 else "leave np.ORDER as it comes"
    assert right in cause.hint
    assert ("take green first" in cause.hint) == (serial == 7)


@pytest.mark.parametrize("lamp", [0, 2, 4])
def test_side_says_what_becomes_of_numbers_above_255(lamp: int) -> None:
    shown = [*RIGHT[:lamp], (44, 40, 90 * (lamp != 4)), *RIGHT[lamp + 1 :]]
    cause = likeliest(TASKS["lamps.side"], [side(shown)])
    assert cause is not None and "300 becomes 44" in cause.hint


def test_side_gives_the_share_of_the_time_that_is_right() -> None:
    late = shares("lamps.side", side(RIGHT, at=0.5 + 2.5 / 2))
    assert late["The port bow shows red"] == pytest.approx(0.5, abs=0.01)


def test_side_tells_exchanged_colours_from_exchanged_sides_by_the_deck() -> None:
    swapped = [(g, r, b) for r, g, b in RIGHT]
    assert named("lamps.side", side(swapped)) == "colour order swapped"
    sides = [RIGHT[1], RIGHT[0], *RIGHT[2:]]
    assert named("lamps.side", side(sides)) == "port and starboard swapped"


def test_side_without_a_deck_lamp_takes_the_chips_order_into_account() -> None:
    """Chips that take green first do as the driver expects: then it is the sides."""
    dark_deck = side([RIGHT[1], RIGHT[0], WHITE, WHITE, DARK])
    assert named("lamps.side", dark_deck) == "port and starboard swapped"
    frames = [
        Event(e.time_ns, "frame", (13, 1, "".join(f"{r:02x}{g:02x}{b:02x}" for r, g, b in shown)))
        for e in dark_deck.of("lamps")
        for shown in [e.data[0]]
    ]
    both = sorted([*frames, *dark_deck.of("lamps")], key=lambda e: (e.time_ns, e.kind))
    red_first = replace(dark_deck, events=tuple(both))
    assert named("lamps.side", red_first) == "colour order swapped"


# -- fade --------------------------------------------------------------------


def number_for(lightness: float) -> int:
    """Give the number for a lightness: CIE ILV 17-23-076, solved for the light."""
    share = lightness / 903.3 if lightness <= 8 else ((lightness + 16) / 116) ** 3
    return round(255 * share)


def rise(
    number: Callable[[float], int], *, steps: int = 100, seconds: float = 4.0, begin: float = 0.2
) -> Recording:
    """Give a rise of the mast lamp: `number` of the share of the way, 0 to 1."""
    moments: list[Moment] = []
    for k in range(1, steps + 1):
        value = number(k / steps)
        moments.append((begin + seconds * (k - 1) / (steps - 1), 2, (value, value, value)))
    return recorded("lamps.fade", moments)


def even(way: float) -> int:
    return number_for(100 * way)


def test_fade_in_equal_steps_of_lightness_earns_everything() -> None:
    for steps in (20, 40, 100, 250):
        assert set(shares("lamps.fade", rise(even, steps=steps)).values()) == {1.0}, steps


@pytest.mark.parametrize(
    ("number", "low", "high"),
    [
        (lambda way: round(255 * way**2.2), 1.0, 1.0),
        (lambda way: round(255 * way**1.6), 0.2, 0.75),
        (lambda way: round(255 * way), 0.0, 0.0),
        (lambda way: round(255 * way**0.45), 0.0, 0.0),
    ],
)
def test_fade_credits_evenness_by_how_even_it_looks(
    number: Callable[[float], int], low: float, high: float
) -> None:
    earned = shares("lamps.fade", rise(number, steps=200))["It comes up evenly to the eye"]
    assert low <= earned <= high


@pytest.mark.parametrize(("seconds", "earned"), [(4.35, 1.0), (5.2, 0.5), (2.0, 0.0), (6.5, 0.0)])
def test_fade_credits_the_time_it_takes(seconds: float, earned: float) -> None:
    found = shares("lamps.fade", rise(even, seconds=seconds))["It takes four seconds"]
    # The lowest steps of lightness are less than the number 1: the first light comes later.
    assert found == pytest.approx(earned, abs=0.05)


def test_fade_that_is_switched_on_is_no_fade() -> None:
    task = TASKS["lamps.fade"]
    at_once = recorded("lamps.fade", [(0.3, 2, (255, 255, 255))])
    essential = next(c for c in task.criteria if c.essential)
    assert essential.judge(task.facts((at_once,))).share == 0.0


def test_fade_half_way_in_equal_numbers_is_told_with_its_figures() -> None:
    recording = rise(lambda way: round(255 * way), steps=256)
    mistake = next(m for m in TASKS["lamps.fade"].mistakes if m.name == "equal steps of the number")
    # Half the light is a lightness of 76: 116 * 0.5 ** (1/3) - 16 = 76.07.
    seen = TASKS["lamps.fade"].facts((recording,))
    assert "lightness already 76 of 100" in str(mistake.evidence(seen))


# -- signal ------------------------------------------------------------------


def signal(
    *, period: float = 4.0, stretch: float = 1.0, stern: float = 0.75, log: bool = True,
    count: int = 6,
) -> Recording:  # fmt: skip
    """Give a signal that repeats after `period`, each of its lengths drawn out."""
    moments: list[Moment] = []
    lines: list[tuple[float, str]] = []
    for k in range(count):
        begin = 0.2 + k * period
        for at, colour in (
            (0, WHITE),
            (0.3, DARK),
            (0.6, WHITE),
            (0.9, DARK),
            (1.2, WHITE),
            (2.1, DARK),
        ):
            if begin + at * stretch < 21.0:
                moments.append((begin + at * stretch, 2, colour))
        lines.append((begin, f"signal {k + 1}: two short, one long"))
    if stern:
        moments += [
            (0.2 + k * stern, 3, DARK if k % 2 else WHITE) for k in range(int(20.8 / stern))
        ]
    return recorded("lamps.signal", moments, lines if log else [])


def test_signal_as_asked_earns_everything() -> None:
    assert set(shares("lamps.signal", signal()).values()) == {1.0}


@pytest.mark.parametrize(
    ("period", "low", "high"),
    [(4.002, 1.0, 1.0), (4.005, 0.9, 0.99), (4.03, 0.4, 0.6), (4.08, 0.0, 0.0)],
)
def test_signal_credits_time_by_the_drift_of_the_sixth_start(
    period: float, low: float, high: float
) -> None:
    """The sixth start is late by five times what each period is too long; 15 ms are free."""
    assert low <= shares("lamps.signal", signal(period=period))["The signals keep time"] <= high


def test_signal_names_drift_with_its_rate() -> None:
    drift = signal(period=4.02)
    assert named("lamps.signal", drift) == "time drifts"
    mistake = next(m for m in TASKS["lamps.signal"].mistakes if m.name == "time drifts")
    assert "20.0 ms too long" in str(mistake.evidence(TASKS["lamps.signal"].facts((drift,))))


def test_signal_card_counts_the_lengths_that_are_off() -> None:
    task = TASKS["lamps.signal"]
    found = task.criteria[0].judge(task.facts((signal(stretch=1.2),)))
    assert 0 < found.share < 1 and "; 0 of 33 lengths within 0.03 s" in found.measured


def test_signal_that_stops_loses_time_as_well_as_pattern() -> None:
    found = shares("lamps.signal", signal(count=3))
    assert found["The signals keep time"] == pytest.approx(0.5)
    assert 0 < found["The mast signals: two short, one long"] < 0.6


def test_signal_with_flashes_too_fast_loses_that_criterion_whole() -> None:
    found = shares("lamps.signal", signal(stern=0.1))
    assert found["No lamp flashes too fast"] == 0.0
    assert found["The stern lamp blinks by itself"] < 0.1


def test_signal_with_a_plain_blink_on_the_mast_is_no_signal() -> None:
    moments = [(0.2 + 0.5 * k, 2, DARK if k % 2 else WHITE) for k in range(41)]
    title = "The mast signals: two short, one long"
    assert shares("lamps.signal", recorded("lamps.signal", moments))[title] == 0.0


def test_signal_without_its_log_loses_only_the_log() -> None:
    found = shares("lamps.signal", signal(log=False))
    assert found.pop("The console keeps the log") == 0.0
    assert set(found.values()) == {1.0}


def test_signal_counts_signals_that_come_far_too_often() -> None:
    quick = shares_and_words(signal(period=0.3, stretch=0.05, count=68))
    assert quick["The signals keep time"] == "68 signals where six are due"
    seven = shares_and_words(signal(period=3.0, stretch=0.5, count=7))["The signals keep time"]
    assert seven.startswith("7 signals where six are due; signal 7 starts 6000 ms early")


def test_signal_does_not_call_dark_lamps_white() -> None:
    title = "White when lit, the other lamps dark"
    assert shares_and_words(recorded("lamps.signal"))[title] == "the lamps all stay dark"
    assert shares_and_words(signal(stern=0.0))[title] == "the stern stays dark"
    assert shares_and_words(signal())[title] == "mast and stern white, the others dark"


def test_fade_says_whose_share_its_points_are_where_full_is_never_reached() -> None:
    task = TASKS["lamps.fade"]
    for top, told in ((9, True), (255, False)):
        made = recorded("lamps.fade", [(0.1, 2, (top, top, top))])
        measured = task.criteria[0].judge(task.facts((made,))).measured
        assert ("to the lightest that it came to, faint white (9, 9, 9)" in measured) == told


def shares_and_words(made: Recording) -> dict[str, str]:
    """Give what each criterion of the signal measured, by its title."""
    task = TASKS["lamps.signal"]
    return {one.title: one.judge(task.facts((made,))).measured for one in task.criteria}


def test_signal_knows_who_sleeps_through_the_stern_from_who_never_sends_it() -> None:
    body = """
import time
from machine import Pin
from neopixel import NeoPixel
np, begun, changed, lit, number = NeoPixel(Pin(13), 5), time.ticks_ms(), 0, False, 0
while True:
    number += 1
    print("signal %d: two short, one long" % number)
    for place, length in enumerate((300, 300, 300, 300, 900, 1900)):
        np[2] = (100, 100, 100) if place % 2 == 0 else (0, 0, 0)
        if time.ticks_diff(time.ticks_ms(), begun) >= changed:
            lit, changed = not lit, changed + 750
            np[3] = (100, 100, 100) if lit else (0, 0, 0)
        np.write()
        time.sleep_ms(length)
"""
    card = check("lamps.signal", files={"signal.py": body})
    assert card.cause and card.cause.name == "one lamp waits for the other"
