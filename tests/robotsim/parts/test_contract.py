"""Every part of the registry keeps the contract of `robotsim.parts.part`.

A new part is held to it by its line in `PARTS`; a module that is not yet
registered is found by itself.
"""

import ast
import importlib
import inspect
import math
import pkgutil
import random
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import robotsim.parts
from robotsim.parts import PARTS, Day
from robotsim.parts.part import FakeSurroundings, Part
from robotsim.parts.quirks import Quirks
from robotsim.wiring import FLOATING, PINS, Signal, duty_share


def _found():
    kinds = dict(PARTS)
    for info in pkgutil.iter_modules(robotsim.parts.__path__):
        module = importlib.import_module(f"robotsim.parts.{info.name}")
        for name, kind in inspect.getmembers(module, inspect.isclass):
            if issubclass(kind, Part) and kind is not Part and kind not in kinds.values():
                kinds[name] = kind
    return kinds


FOUND = _found()
each_part = pytest.mark.parametrize("kind", FOUND.values(), ids=list(FOUND))

TOLERANCES = {"Drive": 5e-2}
"""How far two ways of cutting the same time may differ: metres, radians, m/s, A.

The drive takes the fast-decay current as a straight line within a step, and a
wheel that slides goes in short steps; everything else is a closed form.
"""

# -- what a program can do to a part -------------------------------------------

signals = st.one_of(
    st.just(FLOATING),
    st.just(Signal(1.0, 0.0)),
    st.builds(
        lambda duty, freq: Signal(duty_share(duty), float(freq)),
        st.integers(0, 65535),
        st.one_of(st.integers(1, 400), st.integers(1, 40_000_000)),
    ),
    st.builds(lambda us: Signal(us / 20_000, 50.0), st.integers(400, 2600)),
)
durations = st.one_of(st.just(0.0), st.just(1e-9), st.floats(1e-6, 0.01))
"""No step of the world is longer."""
speeds = st.floats(-2.0, 2.0)
worlds = st.fixed_dictionaries(
    {
        "x": speeds, "y": speeds, "heading": st.floats(-20.0, 20.0), "speed": speeds,
        "turn_rate": st.floats(-50.0, 50.0), "acceleration": st.floats(-60.0, 60.0),
        "supply_volts": st.floats(0.0, 6.0), "pressed": st.booleans(),
        "shade": st.floats(0.0, 1.0),
    }
)  # fmt: skip


def _acts(kind):
    acts = [st.tuples(st.just("advance"), durations), st.tuples(st.just("world"), worlds)]
    if kind.roles:
        roles = st.sampled_from(kind.roles)
        acts.append(st.tuples(st.just("drive"), roles, signals))
        acts.append(st.tuples(st.sampled_from(("volts", "level")), roles))
    if hasattr(kind, "frame"):
        acts.append(st.tuples(st.just("frame"), st.binary(max_size=40), st.integers(0, 1)))
    if hasattr(kind, "transfer"):
        written = st.one_of(
            st.binary(max_size=6),
            st.builds(lambda reg, value: bytes((reg, value)),
                      st.sampled_from((0x19, 0x1A, 0x1B, 0x1C, 0x6B)), st.integers(0, 127)),
        )  # fmt: skip
        acts.append(st.tuples(st.just("transfer"), written, st.integers(0, 300)))
    return st.lists(st.one_of(acts), max_size=25)


def _fresh(kind, serial=5, seed=1):
    part = kind(Quirks.of(serial), random.Random(seed))
    part.meet(Day.of(f"seed {seed}", serial))
    return part


def _perform(part, acts):
    """Do what a program does, and give all that it could see."""
    around = FakeSurroundings()
    seen = []
    for act, *values in acts:
        if act == "world":
            for name, value in values[0].items():
                setattr(around, name, value)
        elif act == "advance":
            part.advance(values[0], around)
        elif act in ("volts", "level"):
            seen.append((act, getattr(part, act)(values[0], around)))
        elif act == "transfer":
            seen.append((act, part.transfer(values[0], values[1], around)))
        else:
            seen.append((act, getattr(part, act)(*values)))
        seen.append(("state", part.amps, part.readings()))
    return seen


# -- the contract --------------------------------------------------------------


@each_part
@settings(deadline=None, max_examples=40)
@given(data=st.data())
def test_nothing_a_program_sends_makes_a_part_give_nonsense(kind, data):
    acts = data.draw(_acts(kind))
    part = _fresh(kind)
    for what, *values in _perform(part, acts):
        if what == "state":
            amps, readings = values
            assert math.isfinite(amps) and abs(amps) < 20.0
            assert len(readings) == len(part.tracks), "one for each of the recording's columns"
            assert all(math.isfinite(value) for value in readings)
        elif what == "volts":
            assert 0.0 <= values[0] <= 3.3, "more would harm the board's pin"
        elif what == "level":
            assert values[0] in (0, 1, None)


@each_part
@settings(deadline=None, max_examples=40)
@given(data=st.data())
def test_the_same_seed_gives_the_same_result_and_a_restart_is_complete(kind, data):
    acts, others = data.draw(_acts(kind)), data.draw(_acts(kind))
    once = _perform(_fresh(kind), acts)
    _perform(_fresh(kind, serial=9, seed=2), others)  # must leave nothing behind
    assert _perform(_fresh(kind), acts) == once


@each_part
@settings(deadline=None, max_examples=40)
@given(data=st.data())
def test_halving_the_step_changes_nothing_that_matters(kind, data):
    acts = data.draw(_acts(kind))
    # Quiet steps at the end, so that contacts have come to rest.
    acts += [("advance", 0.01)] * 4
    halved = []
    for act in acts:
        if act[0] == "advance":
            halved += [("advance", act[1] / 2)] * 2
        else:
            halved.append(act)
    whole, halves = _perform(_fresh(kind), acts)[-1], _perform(_fresh(kind), halved)[-1]
    tolerance = TOLERANCES.get(kind.__name__, 1e-9)
    for name, value, other in zip(kind.tracks, whole[2], halves[2], strict=True):
        assert other == pytest.approx(value, rel=tolerance, abs=tolerance), name
    assert halves[1] == pytest.approx(whole[1], rel=tolerance, abs=tolerance)


@each_part
def test_a_part_at_rest_draws_little_and_gains_nothing_from_time(kind):
    part, around = _fresh(kind), FakeSurroundings()
    before = part.readings()
    for _ in range(50):
        part.advance(0.02, around)
    assert 0.0 <= part.amps < 0.1
    assert part.readings() == before, "nothing moves while no pin is driven"


def test_no_part_is_forgotten_in_the_registry():
    assert set(FOUND) == set(PARTS)


def test_every_pin_belongs_to_one_part_and_is_in_the_wiring():
    owners = {}
    for name, kind in FOUND.items():
        for role in kind.roles:
            assert role in PINS, f"{name}: {role}"
            assert owners.setdefault(role, name) == name, f"{role} has two owners"


def test_every_column_belongs_to_one_part():
    owners = dict.fromkeys(("t", "volts", "amps"), "the trial")
    for name, kind in FOUND.items():
        for column in kind.tracks:
            assert owners.setdefault(column, name) == name, f"{column} has two owners"


def test_parts_are_plain_python_and_know_neither_board_nor_table():
    allowed = {"__future__", "bisect", "cmath", "collections", "dataclasses", "functools", "math",
               "random", "typing"}  # fmt: skip
    ground = {"chance", "core", "errors", "units", "wiring", "recording"}
    for path in Path(robotsim.parts.__file__).parent.glob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Import):
                assert {name.name.split(".")[0] for name in node.names} <= allowed, path.name
            elif isinstance(node, ast.ImportFrom):
                head = (node.module or "").split(".")[0]
                known = {0: allowed, 1: None, 2: ground}[node.level]
                assert known is None or head in known, f"{path.name} imports {head}"
