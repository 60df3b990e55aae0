"""The sliders' pictures in a tab, beside matplotlib's own of the same."""

from __future__ import annotations

import functools
import io
import json
import math
import os
import re
import subprocess
import sys
from pathlib import Path
from xml.etree import ElementTree

import matplotlib
import pytest

from checks.site.letters import letters
from robotsim.show.style import styled, text_inches
from tests.checks.site import sketches

ROOT = Path(__file__).parents[3]
SVG = "{http://www.w3.org/2000/svg}"
NEAR = 1.2
"""Points; matplotlib puts upright and level lines on whole ones."""
Points = list[tuple[float, float]]
FEW = ("bus", "colour", "duty", "heading", "laws", "pulse", "scope", "silence", "threshold")
"""They draw with all that the others do."""
ALL = [name if name in FEW else pytest.param(name, marks=pytest.mark.long)
       for name in sketches.pictures()]  # fmt: skip


@pytest.fixture(scope="module")
def drawn(
    tmp_path_factory: pytest.TempPathFactory, request: pytest.FixtureRequest
) -> dict[str, tuple[str, str]]:
    """What is drawn where there is no matplotlib: words and SVG of each picture."""
    file = tmp_path_factory.mktemp("letters") / "letters.json"
    file.write_bytes(letters())
    names = sketches.pictures() if request.config.getoption("--long") else FEW
    done = subprocess.run(
        [sys.executable, sketches.__file__, str(file), *names], capture_output=True, text=True,
        cwd=ROOT, env={**os.environ, "PYTHONPATH": str(ROOT)}, check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr[-2000:]
    found: dict[str, tuple[str, str]] = json.loads(done.stdout)
    return found


@functools.cache
def theirs(name: str) -> tuple[str, ElementTree.Element]:
    figure, kept = sketches.pictures()[name](), io.StringIO()
    with styled(), matplotlib.rc_context({"svg.fonttype": "none", "path.simplify": False}):
        figure.savefig(kept, format="svg", metadata={"Date": None})
    return figure.get_label(), ElementTree.fromstring(kept.getvalue())


def points_of(d: str) -> Points:
    numbers = [float(n) for n in re.findall(r"-?[\d.]+", d)]
    return list(zip(numbers[::2], numbers[1::2], strict=True))


def apart(point: tuple[float, float], line: Points) -> float:
    """Give how far a point is from a line through points."""
    x, y = point
    least = math.inf
    for (a, b), (c, d) in zip(line, line[1:], strict=False):
        long = (c - a) ** 2 + (d - b) ** 2
        along = min(max(((x - a) * (c - a) + (y - b) * (d - b)) / long, 0.0), 1.0) if long else 0.0
        least = min(least, math.hypot(x - a - along * (c - a), y - b - along * (d - b)))
    return least


def alike(one: Points, other: Points) -> bool:
    """Tell whether two lines are one; matplotlib leaves out points that show nothing."""
    return all(apart(p, b) < NEAR for a, b in ((one, other), (other, one)) for p in a)


def texts_of(root: ElementTree.Element, down: float) -> list[tuple[str, str, float, float]]:
    """Give the texts: the words, how they are anchored, and where."""
    found = []
    for each in root.iter(f"{SVG}text"):
        style = each.get("style", "")
        anchor = re.search(r"text-anchor: (\w+)", style)
        place = re.search(r"translate\(([-\d.]+) ([-\d.]+)\)", each.get("transform", ""))
        x, y = (place[1], place[2]) if place else (each.get("x"), each.get("y"))
        told = each.get("text-anchor") or (anchor[1] if anchor else "start")
        words = "".join(each.itertext()).strip()
        if words:
            found.append((words, told, float(x or 0), float(y or 0) + down))
    return found


@pytest.mark.parametrize("name", ALL)
def test_a_sliders_picture_has_matplotlibs_words_in_their_places(
    drawn: dict[str, tuple[str, str]], name: str
) -> None:
    words, svg = drawn[name]
    label, reference = theirs(name)
    assert words == label
    ours = ElementTree.fromstring(svg)
    high = float(ours.get("viewBox", "").split()[-1])
    mine, wanted = texts_of(ours, high), texts_of(reference, 0.0)
    assert sorted(t[0] for t in mine) == sorted(t[0] for t in wanted) and len(mine) > 5
    for text, anchor, x, y in wanted:
        same = [t for t in mine if t[0] == text]
        assert any(abs(t[3] - y) < 2.0 for t in same), (text, y, same)
        beside = [t for t in same if t[1] == anchor]
        assert not beside or any(abs(t[2] - x) < 1.5 for t in beside), (text, x, same)


@pytest.mark.parametrize("name", ALL)
def test_a_sliders_picture_has_matplotlibs_lines_in_their_places(
    drawn: dict[str, tuple[str, str]], name: str
) -> None:
    ours = ElementTree.fromstring(drawn[name][1])
    high = float(ours.get("viewBox", "").split()[-1])
    _, reference = theirs(name)
    compared = 0
    for group in reference.iter(f"{SVG}g"):
        gid, path = group.get("id", ""), group.find(f"{SVG}path")
        if path is None or "fill: none" not in path.get("style", ""):
            continue
        named = [points_of(each.get("d", "")) for each in ours.iter(f"{SVG}path")
                 if each.get("data-name") == gid and each.get("fill") == "none"]  # fmt: skip
        if named:
            wanted = points_of(path.get("d", ""))
            placed = [[(x, y + high) for x, y in line] for line in named]
            assert any(alike(line, wanted) for line in placed), gid
            compared += 1
    assert compared


def test_a_picture_beyond_a_sketch_is_told_of_in_a_sentence(
    drawn: dict[str, tuple[str, str]],
) -> None:
    assert "made without it" in drawn["beyond"][0] and "replay" in drawn["beyond"][0]


def test_letters_are_as_wide_as_in_the_pictures(tmp_path: Path) -> None:
    widths = json.loads(letters())["dots"]
    for text in ("Under way, 30 %", "KP 0.03, KD 0, 40 ms", "µs \N{MINUS SIGN}1.5°"):
        told = 10 * sum(widths[char] for char in text) / 72
        assert told == pytest.approx(text_inches(text, 10.0), rel=0.02)
