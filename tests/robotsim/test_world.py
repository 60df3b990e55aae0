"""The world: looking at it changes nothing, and its steps are fine enough."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from robotsim.living import STEP_NS, TOUCH_NS
from robotsim.parts.wheels import HULL_RADIUS
from robotsim.table import make_table
from robotsim.table.ball import BALL_RADIUS
from robotsim.tug import _to_millionths
from robotsim.units import SECOND
from robotsim.wiring import FLOATING, PINS, Signal
from robotsim.world import TugWorld
from tests.robotsim.tugs import HIGH, Order, braked, coast, fast, finer, live, slow

END = 1.2
OPEN = (0.6, 0.55, 0.0)
"""A place in the basin with room for a circle."""



@given(st.lists(
    st.floats(-1e9, 1e9) | st.integers(-10**7, 10**7).map(lambda k: k * 5e-7)
    | st.sampled_from([0.0, -0.0, -4e-7])
))  # fmt: skip
def test_samples_are_kept_to_a_millionth_as_round_does_it(values: list[float]) -> None:
    """So also what lies in the middle of two, and no zero has a sign."""
    rounded = [round(1e6 * value) / 1e6 for value in values]
    assert list(map(repr, _to_millionths(values))) == list(map(repr, rounded))


# -- looking changes nothing -----------------------------------------------------------

signals = st.sampled_from([FLOATING, HIGH]) | st.builds(
    Signal, st.floats(0.0, 1.0), st.sampled_from([30.0, 150.0, 1000.0, 20_000.0])
)
orders = st.lists(
    st.tuples(
        st.floats(0.0, END),
        st.sampled_from(["left_ahead", "left_back", "right_ahead", "right_back", "arm"]),
        signals,
    ),
    min_size=1, max_size=8,
)  # fmt: skip
whats = st.sampled_from(["eye", "battery", "level", "gyro", "edge", "glance"])
looks = st.lists(st.tuples(st.integers(0, round(END * SECOND)), whats), max_size=30)
places = st.sampled_from(
    [("basin", OPEN), ("basin", (1.05, 0.3, 0.2)), ("basin", (0.3, 0.1, -1.0)),
     ("dock", None), ("quay", None)]
)  # fmt: skip


def look(world, what: str, time_ns: int, following: int) -> None:
    if what in ("eye", "battery"):
        world.volts(PINS["eye_0" if what == "eye" else what], time_ns)
    elif what == "glance":
        world.glance(PINS["eye_2"], time_ns)
    elif what == "level":
        world.level(PINS["bumper"], time_ns)
    elif what == "gyro":
        world.transfer((PINS["scl"], PINS["sda"]), 0x68, b"\x43", 6, time_ns)
    else:
        world.edge((PINS["bumper"],), time_ns, following)


def lived(orders: list[Order], looks, table: str, start) -> dict[str, tuple[float, ...]]:
    """Put outputs out and look in between, all in the order of time, as a board does."""
    world = live([], table=table, start=start, serial=3)
    dues = sorted((round(at * SECOND), role, signal) for at, role, signal in orders)
    acts = [(due, 0, act) for due, *act in dues] + [(at, 1, [what]) for at, what in looks]
    acts.sort(key=lambda act: act[:2])
    times = [act[0] for act in acts] + [round(END * SECOND)]
    for number, (at, kind, act) in enumerate(acts):
        if kind:
            look(world, act[0], at, times[number + 1])
        else:
            world.output(PINS[act[0]], act[1], at)
    world.advance_to(round(END * SECOND))
    return {"happened": tuple(world.happened), "rows": tuple(world._rows)}


@given(orders, looks, places)
@settings(deadline=None, max_examples=40)
def test_no_look_moves_anything_by_as_much_as_a_bit(orders, looks, place) -> None:
    assert lived(orders, looks, *place) == lived(orders, [], *place)


@pytest.mark.parametrize("every_us", [437, 3_333])
def test_a_program_that_looks_all_the_time_drives_as_one_that_does_not(every_us: int) -> None:
    way = [*slow(0.0012, 0.7, 0.4), *fast(0.5, 0.6, 0.8), *coast(0.8), *slow(0.9, 0.5, 0.5, 60.0)]
    kinds = ["eye", "level", "gyro", "battery", "glance"]
    looks = [
        (at, kinds[number % 5])
        for number, at in enumerate(range(0, round(END * SECOND), every_us * 1000))
    ]
    for place in (("basin", OPEN), ("basin", (1.05, 0.3, 0.2))):
        assert lived(way, looks, *place) == lived(way, [], *place)


def test_what_is_seen_between_two_steps_is_what_a_step_there_would_come_to() -> None:
    seen, stepped = (live(slow(0.003, 0.6, 0.8), start=OPEN) for _ in range(2))
    time_ns = 237_654_321
    seen.volts(PINS["eye_0"], time_ns)
    stepped.frame(PINS["lamps"], b"", 1, time_ns)  # an action, which ends a step
    for name in ("x", "y", "heading", "speed", "turn_rate"):
        assert getattr(seen, name) == pytest.approx(getattr(stepped, name), abs=1e-9)


# -- steps are fine enough -------------------------------------------------------------

CURVES = {
    "gentle": slow(0.0012, 0.4, 0.3),
    "slow decay": slow(0.0012, 0.7, 0.4),
    "fast decay": fast(0.0012, 0.7, 0.3),
    "spinning wheels": slow(0.0012, 1.0, 0.6),
    "stop and go": [o for k in range(8) for o in (*slow(0.0012 + k / 2, 0.6, 0.5),
                                                 *coast(0.2512 + k / 2))],
    "turning back": [*slow(0.0012, 0.6, 0.4), *coast(1.5), (1.5, "left_back", HIGH),
                     (1.5, "right_back", Signal(0.8, 1000.0)), *coast(2.2)],
}  # fmt: skip
WALLS = {
    "head on": (slow(0.0012, 0.5, 0.5), (1.0, 0.3, 0.15)),
    "uneven": (slow(0.0012, 0.7, 0.6), (0.9, 0.3, 0.5)),
    "in a curve": (slow(0.0012, 0.4, 0.6), (0.9, 0.3, -0.9)),
    "gently": (slow(0.0012, 0.3, 0.3), (1.05, 0.3, 0.3)),
}


def ends(
    orders: list[Order], start, times: int, serial: int, day: str, seconds: int = 4
) -> tuple[float, float, float]:
    with finer(times):
        world = live(orders, start=start, serial=serial, day=day)
        world.advance_to(seconds * SECOND)
    wheels = world.wheels
    return 1000 * wheels.x, 1000 * wheels.y, math.degrees(wheels.heading)


# Among them those that hover at a threshold: in fast decay the right wheel of 7 is held while the
# left one spins, and that of 33 starts as the left one takes less; 131 leans on the wall.
TUGS = [(0, ""), (33, "seed 0")] + [
    (serial, day) for serial in (7, 131, 133) for day in ("", "seed 0", "seed 1")
]


@pytest.mark.parametrize(("serial", "day"), TUGS)
@pytest.mark.parametrize("curve", CURVES)
def test_halving_all_steps_moves_the_end_of_a_curve_by_a_hair(
    curve: str, serial: int, day: str
) -> None:
    start = (0.3, 0.55, 0.0) if curve in ("stop and go", "turning back") else OPEN
    whole, halves = (ends(CURVES[curve], start, times, serial, day) for times in (1, 2))
    assert math.dist(whole[:2], halves[:2]) < 0.2, "mm"
    assert abs(whole[2] - halves[2]) < 0.05, "degrees"


@pytest.mark.parametrize(("serial", "day"), TUGS)
@pytest.mark.parametrize("wall", WALLS)
def test_halving_all_steps_hardly_turns_a_tug_that_leans_on_a_wall(
    wall: str, serial: int, day: str
) -> None:
    orders, start = WALLS[wall]
    whole, halves = (ends(orders, start, times, serial, day) for times in (1, 2))
    assert abs(whole[2] - halves[2]) < 0.2, "degrees"


# What leans comes to rest, and so does what a step changes. What strikes a wall in a curve scrapes
# along it first, and comes off it or stays; on the way a difference grows to the fortyfold. While a
# blow waited for its step to begin, and tyres dragged in it, these four moved by up to 3.4 degrees,
# and tug 12 on its ideal day came off in one of the two.
SCRAPED = slow(0.0012, 0.4, 0.6), (1.10, 0.27, 0.65)


@pytest.mark.parametrize("day", ["", "seed 0"])
@pytest.mark.parametrize("serial", [3, 6, 12, 57])
def test_halving_all_steps_hardly_turns_a_tug_that_scrapes_along_a_wall(
    serial: int, day: str
) -> None:
    whole, halves = (ends(*SCRAPED, times, serial, day, seconds=2) for times in (1, 2))
    assert abs(whole[2] - halves[2]) < 0.2, "degrees"


# -- long steps beside the float -------------------------------------------------------


def beside_float(orders: list[Order]) -> TugWorld:
    """Give a tug whose hull stands 1 mm from the float, its bow a little past it."""
    x, y = make_table("dock", 0).float_start or (0.0, 0.0)
    apart = HULL_RADIUS + BALL_RADIUS + 0.001
    return live(orders, table="dock", start=(x - apart, y, 0.5), day="")


@pytest.mark.parametrize(
    ("orders", "at", "long"),
    [
        ([], 0.2, True),
        (braked(0.003), 0.2, True),
        (slow(0.003, 0.02, 0.0), 0.2, False),  # too little to start, on this battery
        (slow(0.003, 0.0, 0.3, 30.0), 0.2, False),
        ([(0.003, "arm", Signal(0.1, 50.0))], 0.02, False),
        ([(0.003, "arm", Signal(0.1, 50.0))], 1.0, True),
        ([*slow(0.003, 0.5, 0.5), *coast(0.1)], 0.12, False),
    ],
    ids=["at rest", "braked", "hardly driven", "pulsed", "arm", "arm that has come", "coasting"],
)
def test_a_tug_beside_the_float_takes_long_steps_only_while_nothing_moves_or_is_driven(
    orders: list[Order], at: float, long: bool
) -> None:
    world = beside_float(orders)
    world.advance_to(round(at * SECOND))
    assert world._step_end() - world.now_ns == (STEP_NS if long else TOUCH_NS)


@pytest.mark.parametrize("role", ["arm", "motors"])
def test_what_has_rested_beside_the_float_strikes_it_as_in_short_steps(role: str) -> None:
    begin = {"arm": [(1.0034, "arm", Signal(0.05, 50.0))], "motors": slow(1.0034, 0.7, 0.7)}[role]
    ends = []
    for watched in (False, True):
        world = beside_float(begin)
        for at in range(2000) if watched else [2000]:
            world._leans = world._leans and not watched
            world.advance_to(at * TOUCH_NS)
        world.advance_to(2 * SECOND)
        touched = [(event.time_ns, event.data) for event in world.happened]
        assert touched  # it struck
        ends.append((touched, world.wheels.x, world.wheels.y, world._bodies.float_pose))
    assert ends[0][0] == ends[1][0]
    assert ends[0][1:3] == pytest.approx(ends[1][1:3], abs=1e-9)
    assert ends[0][3] == pytest.approx(ends[1][3], abs=1e-9)


@pytest.mark.parametrize("x", [OPEN[0], HULL_RADIUS + 1e-4], ids=["in the open", "at a wall"])
def test_who_could_not_start_beside_an_arm_that_swings_starts_once_it_has_come(x: float) -> None:
    """The arm's current left too little for the wheels: at a wall, too, that comes back."""
    arm = (0.5012, "arm", Signal(0.1, 50.0))
    world = live([arm, *slow(0.5412, 0.1622, 0.1622)], start=(x, 0.4, 0.0), day="")
    world.advance_to(SECOND * 6 // 10)
    assert world.wheels.left_way == world.wheels.right_way == 0.0
    world.advance_to(SECOND)
    assert world.wheels.left_way > 0.001 and world.wheels.right_way > 0.001
