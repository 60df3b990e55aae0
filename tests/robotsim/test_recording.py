"""The recording: kept to the last bit, read by name, and never a wrong one from damaged bytes."""

from __future__ import annotations

import json
import os
import pickle
import subprocess
import sys
import tracemalloc
import zlib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from robotsim import Event, KitError, Problem, Recording, UnknownNameError, saved
from robotsim.recording import _MAGIC, EVENT_KINDS
from robotsim.units import MS, SECOND

ROOT = Path(__file__).parents[2]

# -- whatever a recording may hold ---------------------------------------------

counts = st.integers(0, 2**62)
numbers = st.floats(allow_nan=False, allow_infinity=False) | st.integers(-(2**62), 2**62)
colours = st.lists(st.tuples(*[st.integers(0, 255)] * 3), max_size=5).map(tuple)
NAMED = {
    "colours": colours, "impulse": numbers, "retain": st.booleans(), "duplicate": st.booleans(),
    **dict.fromkeys(("pin", "level", "freq_hz", "duty_u16", "timing", "raw", "address", "number",
                     "duration_ns", "line", "size", "qos"), counts),
}  # fmt: skip
words = st.text(max_size=12)
events = st.lists(
    st.sampled_from(sorted(EVENT_KINDS)).flatmap(
        lambda kind: st.builds(
            Event, st.integers(0, 600 * SECOND), st.just(kind),
            st.tuples(*(NAMED.get(name, words) for name in EVENT_KINDS[kind])),
        )
    ), max_size=6,
).map(lambda found: tuple(sorted(found, key=lambda event: event.time_ns)))  # fmt: skip
problems = st.builds(
    Problem, words, words, words, st.integers(0, 99), words,
    st.lists(st.tuples(words, st.integers(0, 99), words), max_size=3).map(tuple), words,
)  # fmt: skip


@st.composite
def tracks(draw: st.DrawFn) -> dict[str, tuple[float, ...]]:
    rows = draw(st.integers(1, 5))
    column = st.lists(numbers, min_size=rows, max_size=rows).map(tuple)
    more = draw(st.dictionaries(words, column, max_size=3))
    poses = {name: draw(column) for name in ("x", "y", "heading")}
    return {**more, **poses, "t": tuple(k / 100 for k in range(rows))}


recordings = st.builds(
    Recording, program=st.just("main.py"),
    files=st.dictionaries(words, words, max_size=3).map(lambda more: {"main.py": "1", **more}),
    table=words, serial=counts, seed=st.integers(-(2**62), 2**62),
    seconds=st.floats(0.001, 600.0), engine=st.sampled_from(["cpython", "micropython"]),
    ended=st.sampled_from(["finished", "time is up", "error", "stopped"]),
    ended_ns=counts, problem=st.none() | problems, events=events, tracks=tracks(),
    lines=st.lists(st.tuples(counts, st.just("main.py"), counts), max_size=3).map(tuple),
    kept=st.dictionaries(words, words, max_size=2),
    day=st.text(max_size=80), charge=st.floats(0.0, 1.0), twin=st.text(max_size=300),
)  # fmt: skip


def recording(*happened: Event, **other: object) -> Recording:
    columns = {"t": (0.0, 1.0, 2.0), "x": (0.0, 0.5, 0.25), "y": (1.0, 1.0, 3.0)}
    columns["heading"] = (0.0, 0.1, 0.2)
    given = {
        "program": "main.py", "files": {"main.py": ""}, "table": "basin", "serial": 0, "seed": 0,
        "seconds": 2.0, "engine": "cpython", "ended": "finished", "ended_ns": SECOND,
        "problem": None, "events": happened, "tracks": columns,
    }  # fmt: skip
    return Recording(**{**given, **other})


# -- keeping -------------------------------------------------------------------


@given(recordings)
@settings(suppress_health_check=[HealthCheck.too_slow], deadline=None)
def test_a_recording_comes_back_equal_and_gives_the_same_bytes_again(one: Recording) -> None:
    data = one.to_bytes()
    back = Recording.from_bytes(data)
    assert back == one
    assert back.engine == one.engine
    assert back.to_bytes() == data
    for before, after in zip(one.events, back.events, strict=True):
        assert repr(before) == repr(after)  # 1, 1.0 and True are equal, but not the same


@given(recordings)
@settings(suppress_health_check=[HealthCheck.too_slow], deadline=None)
def test_a_packed_recording_is_equal_and_reads_the_same(one: Recording) -> None:
    packed, events = one.packed(), one.events
    assert packed == one and one == packed and pickle.loads(pickle.dumps(packed)) == one
    assert packed.to_bytes() == one.to_bytes()
    assert len(packed.events) == len(events) and packed.events[1:-1] == events[1:-1]
    for before, after in zip(events, packed.events, strict=True):
        assert repr(before) == repr(after)
    for place in range(-len(events), len(events)):
        assert packed.events[place] == events[place]
    assert packed.events != (*events, Event(0, "print", ("more",)))


def test_a_packed_recording_takes_little_room() -> None:
    """So that a kept card of 40 s takes less than 2 MB, as issue 17 asks: here 10,000 events."""
    samples = [Event(k * 4 * MS, "adc", (36 + k % 4, 500 + k * k % 3000)) for k in range(10_000)]
    columns = {name: [k / 7 for k in range(4000)] for name in ("t", "x", "y", "heading", "left")}
    tracemalloc.start()
    try:
        kept = recording(events=tuple(samples), tracks=columns).packed()
        del samples, columns
        before = tracemalloc.get_traced_memory()[0]
        assert len(kept.events) == 10_000 and before < 700_000, "bytes"
    finally:
        tracemalloc.stop()


def test_a_tug_that_is_nobodys_twin_leaves_the_bytes_that_it_left_before_there_were_twins() -> None:
    plain = json.loads(zlib.decompress(recording().to_bytes().split(b"\n", 1)[1]))
    assert "twin" not in plain and recording().tug == "tug 0"


def test_a_recording_from_before_there_were_days_has_the_ideal_one() -> None:
    data = recording(day="seed 1", charge=0.4).to_bytes()
    head, packed = data.split(b"\n", 1)
    plain = json.loads(zlib.decompress(packed))
    del plain["day"], plain["charge"]
    old = Recording.from_bytes(head + b"\n" + zlib.compress(json.dumps(plain).encode()))
    assert (old.day, old.charge) == ("", 0.55)


@pytest.mark.parametrize(
    ("name", "value"),
    [("day", 3), ("day", None), ("day", "x" * 81), ("charge", 1.2), ("charge", -0.1),
     ("charge", "full"), ("charge", True), ("twin", 3), ("twin", "x" * 301)],
)  # fmt: skip
def test_a_day_a_charge_or_a_twin_that_cannot_be_is_told(name: str, value: object) -> None:
    with pytest.raises(KitError, match=f"its {name} cannot be"):
        Recording.from_bytes(recording(**{name: value}).to_bytes())


@given(recordings, st.data())
@settings(suppress_health_check=[HealthCheck.too_slow], deadline=None, max_examples=40)
def test_damaged_bytes_are_told_and_never_read_as_another_recording(
    one: Recording, draw: st.DataObject
) -> None:
    data = bytearray(one.to_bytes())
    place = draw.draw(st.integers(0, len(data) - 1))
    way = draw.draw(st.sampled_from(["change", "cut", "lengthen", "insert"]))
    if way == "change":
        data[place] ^= draw.draw(st.integers(1, 255))
    elif way == "cut":
        del data[place:]
    elif way == "insert":
        data.insert(place, draw.draw(st.integers(0, 255)))
    else:
        data += draw.draw(st.binary(min_size=1, max_size=9))
    try:
        assert Recording.from_bytes(bytes(data)) == one
    except KitError as told:
        assert told.hint
    else:
        assert way == "change" or bytes(data) == one.to_bytes()


anything = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=5),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=5), inner,
                                                                max_size=3),
    max_leaves=5,
)  # fmt: skip


def places(value: Any) -> Iterator[tuple[Any, Any]]:
    """Give every place in a value of JSON: what holds it, and its name or number there."""
    items = value.items() if isinstance(value, dict) else enumerate(value)
    for key, inner in list(items):
        yield value, key
        if isinstance(inner, (dict, list)):
            yield from places(inner)


def look(one: Recording) -> None:
    """Look at all that there is in a recording."""
    _ = repr(one), one.printed, one.end, one.lamps_at(1.0), str(one.problem)
    _ = [one.pwm_at(pin, 1.0) for pin in (14, 25)]
    _ = [one.at(column, 0.5) for column in one.tracks]
    assert Recording.from_bytes(one.to_bytes()) == one


@given(recordings, st.data())
@settings(suppress_health_check=[HealthCheck.too_slow], deadline=None, max_examples=120)
def test_a_changed_recording_gets_one_clear_error_or_can_be_looked_at(
    one: Recording, draw: st.DataObject
) -> None:
    plain = json.loads(zlib.decompress(one.to_bytes()[len(_MAGIC) :]))
    holder, key = draw.draw(st.sampled_from(list(places(plain))))
    way = draw.draw(st.sampled_from(["another", "gone", "one more"]))
    if way == "gone":
        del holder[key]
    elif way == "one more" and isinstance(holder, list):
        holder.insert(key, draw.draw(anything))
    else:
        holder[key] = draw.draw(anything)
    try:
        found = Recording.from_bytes(_MAGIC + zlib.compress(json.dumps(plain).encode()))
    except KitError as told:
        assert told.what.startswith("The recording is damaged: ") and told.hint
        assert len(told.what) < 500 and "\n" not in told.what
    else:
        look(found)


@given(st.binary(max_size=200))
@settings(deadline=None)
def test_bytes_of_any_kind_get_one_clear_error(data: bytes) -> None:
    for whole in (data, _MAGIC + data, _MAGIC + zlib.compress(data)):
        with pytest.raises(KitError):
            Recording.from_bytes(whole)


def test_a_recording_that_would_fill_the_memory_is_told_by_its_size(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    small = 100_000
    monkeypatch.setattr(saved, "MOST_UNPACKED", small)
    with pytest.raises(KitError, match="unpacked it has more than"):
        Recording.from_bytes(_MAGIC + zlib.compress(b" " * (small + 1)))
    monkeypatch.setattr(saved, "MOST_PACKED", small)
    (tmp_path / "long").write_bytes(_MAGIC + os.urandom(small + 1))
    with pytest.raises(KitError, match="it has more than"):
        Recording.load(tmp_path / "long")


@pytest.mark.parametrize(
    "text",
    ["", "5", "[]", "{}", '{"events": 3}', '{"events": [5], "tracks": {}, "problem": null}',
     '{"events": [], "tracks": [], "problem": null}', "[" * 100_000,
     '{"events": [], "tracks": {}, "problem": []}', '{"events": [], "tracks": {}, "problem": null}',
     '{"events": [], "tracks": {"t": 5}, "problem": null}', "not JSON", "\\ud800"],
)  # fmt: skip
def test_bytes_that_hold_something_else_are_told(text: str) -> None:
    with pytest.raises(KitError, match="damaged"):
        Recording.from_bytes(_MAGIC + zlib.compress(text.encode("ascii")))
    with pytest.raises(KitError, match="is no recording"):
        Recording.from_bytes(text.encode("ascii"))


def test_a_file_that_cannot_be_read_or_written_is_told(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with pytest.raises(KitError, match="could not be read") as told:
        Recording.load(tmp_path / "none")
    assert str(tmp_path) in told.value.where
    with pytest.raises(KitError, match="could not be written"):
        recording().save(tmp_path / "no folder" / "trial")
    path = recording().save(tmp_path / "trial")
    held, write = path.read_bytes(), Path.write_bytes

    def full(place: Path, data: bytes) -> int:
        write(place, data[:9])
        raise OSError(28, "No space left on device")

    with monkeypatch.context() as disk, pytest.raises(KitError, match="No space left"):
        disk.setattr(Path, "write_bytes", full)
        recording().save(path)
    assert path.read_bytes() == held and [*tmp_path.iterdir()] == [path]
    assert Recording.load(path) == recording() == Recording.load(str(path))


def test_the_same_trial_gives_the_same_bytes_in_every_process() -> None:
    """The order of sets and dictionaries, addresses and the time of day must not show."""
    code = (
        "import hashlib, robotsim\n"
        "text = open('tests/programs/examples/sensors.py').read()\n"
        'text += \'print([x for x in {"bow", "stern", "mast", "deck"}])\\n\'\n'
        "text += 'import random\\nprint(random.random())\\n'\n"
        "r = robotsim.run_trial(text, serial=5, seed=9, seconds=2)\n"
        "assert r.problem is None, r.problem\n"
        "print(hashlib.sha256(r.to_bytes()).hexdigest())\n"
    )
    seen = set()
    for seed in ("0", "1", "31337"):
        ran = subprocess.run(
            [sys.executable, "-c", code], capture_output=True, text=True, cwd=ROOT, check=True,
            env={**os.environ, "PYTHONHASHSEED": seed, "PYTHONPATH": str(ROOT)},
        )  # fmt: skip
        seen.add(ran.stdout)
    assert len(seen) == 1


def test_a_recording_can_travel_between_processes() -> None:
    one = recording(Event(0, "print", ("ahoy\n",)), problem=Problem("KeyError", "gone"))
    assert pickle.loads(pickle.dumps(one)) == one


def test_engines_are_not_compared_and_everything_else_is() -> None:
    assert recording(engine="micropython") == recording()
    for other in ({"serial": 1}, {"ended_ns": 5}, {"events": (Event(0, "sleep", (1,)),)}):
        assert recording(**other) != recording()


# -- reading -------------------------------------------------------------------


@pytest.mark.parametrize("kind", sorted(EVENT_KINDS))
def test_every_datum_of_an_event_is_read_by_its_name(kind: str) -> None:
    names = EVENT_KINDS[kind]
    event = Event(5, kind, tuple(range(len(names))))
    assert [getattr(event, name) for name in names] == list(range(len(names)))
    assert (event.kind, event.time_ns, event.seconds) == (kind, 5, 5e-9)
    with pytest.raises(AttributeError, match="it has"):
        event.sail  # noqa: B018


def test_events_are_found_by_kind_and_pin() -> None:
    one, two = Event(0, "pin", (13, 1)), Event(1, "pin", (14, 1))
    three, four = Event(2, "pwm", (13, 50, 9)), Event(3, "end", ("finished",))
    told = recording(one, two, three, four)
    assert list(told.of("pin")) == [one, two]
    assert list(told.of("pin", "pwm", pin=13)) == [one, three]
    assert list(told.of("frame")) == []


def prints(*pieces: str) -> Recording:
    return recording(*(Event(k * MS, "print", (text,)) for k, text in enumerate(pieces)))


def test_a_line_is_put_together_from_its_pieces_and_has_the_time_of_the_first() -> None:
    assert prints("a", "b\nc", "d\n", "\n", "e").printed == [
        (0.0, "ab"), (0.001, "cd"), (0.003, ""), (0.004, "e"),
    ]  # fmt: skip


@given(st.lists(st.text(alphabet="ab\n\r\u2028\x0c\x85é", max_size=6), max_size=8))
def test_no_character_of_the_console_is_lost_or_made_up(pieces: list[str]) -> None:
    lines = [line for _, line in prints(*pieces).printed]
    rows = "".join(pieces).split("\n")
    if rows[-1] == "":
        rows.pop()
    assert [line.rstrip("\r") for line in lines] == [row.rstrip("\r") for row in rows]


def test_a_track_is_read_between_its_samples_and_held_beyond_them() -> None:
    told = recording()
    assert told.at("x", 0.5) == 0.25
    assert told.at("x", 1.0) == 0.5
    assert told.at("x", 1.75) == pytest.approx(0.3125)
    assert told.at("x", -1.0) == 0.0 and told.at("x", 99.0) == told.at("x", 2.0) == 0.25
    assert told.end == (0.25, 3.0, 0.2)
    with pytest.raises(UnknownNameError, match="did you mean 'heading'"):
        told.at("headin", 0.0)


@given(st.floats(-1, 3), st.sampled_from(["x", "y", "heading"]))
def test_a_track_never_leaves_the_range_of_its_samples(time_s: float, column: str) -> None:
    told = recording()
    values = told.tracks[column]
    assert min(values) - 1e-12 <= told.at(column, time_s) <= max(values) + 1e-12


def test_the_lamps_are_dark_before_the_first_frame_and_hold_the_last() -> None:
    dark, red = ((0, 0, 0),) * 5, ((255, 0, 0),) * 5
    told = recording(Event(SECOND, "lamps", (red,)), Event(2 * SECOND, "lamps", (dark,)))
    assert [told.lamps_at(t) for t in (0.0, 0.999, 1.0, 1.5, 2.0, 9.0)] == [
        dark, dark, red, red, dark, dark,
    ]  # fmt: skip


def test_a_pins_output_is_known_at_every_time() -> None:
    told = recording(
        Event(1 * MS, "pin", (25, 1)), Event(2 * MS, "pwm", (25, 1000, 32768)),
        Event(3 * MS, "pwm", (26, 50, 65535)), Event(4 * MS, "pwm", (25, 0, 0)),
        Event(5 * MS, "pin", (25, 1)), Event(6 * MS, "mode", (25, "in", "")),
        Event(7 * MS, "pin", (25, 1)), Event(8 * MS, "mode", (25, "out", "")),
    )  # fmt: skip
    seen = [told.pwm_at(25, k / 1000) for k in range(9)]
    low, high = (0.0, 0.0), (1.0, 0.0)
    assert seen == [low, high, (0.5, 1000.0), (0.5, 1000.0), low, high, low, high, high]
    assert told.pwm_at(26, 1.0) == (1.0, 50.0)
    assert told.pwm_at(99, 1.0) == low


def test_a_problem_is_told_in_three_lines() -> None:
    problem = Problem(
        "ValueError", "invalid pin", "drive.py", 3, "led = Pin(99)", (), "look it up."
    )
    assert str(problem) == (
        "ValueError: invalid pin\nWhere: drive.py, line 3: led = Pin(99)\nTry: look it up."
    )
    assert str(Problem("stopped", "")) == "stopped"
    assert Problem("KeyError", "x").place == ""


def test_a_recording_says_in_one_line_what_ran_and_how_it_ended() -> None:
    assert repr(recording()) == "<main.py on basin, tug 0, 2 s: finished at 1.000 s>"
    told = recording(problem=Problem("KeyError", "gone"), ended="error")
    assert repr(told) == "<main.py on basin, tug 0, 2 s: error: KeyError at 1.000 s>"
