"""The page on the parts names them all, and its figures are those of the code."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

import robotsim.parts
from robotsim.parts import PARTS
from robotsim.parts.battery import BROWN_OUT_VOLTS, RESISTANCE
from robotsim.parts.reflectance import HEIGHT_MM
from robotsim.parts.servo import STOPS_US
from robotsim.table.ball import Ball

ROOT = Path(robotsim.parts.__file__).parents[2]
PAGE = (ROOT / "robotsim" / "PARTS.md").read_text(encoding="utf-8")


def test_every_part_is_told_with_model_source_and_what_is_left_out() -> None:
    for kind in PARTS.values():
        assert f"parts/{kind.__module__.rpartition('.')[2]}.py" in PAGE
    models = [s for s in PAGE.split("\n## ")[1:-1] if not s.startswith("What differs")]
    for section in models:
        for word in ("- **Model**", "- **Source**", "- **Left out**"):
            assert section.count(word) == 1, section.splitlines()[0]


@pytest.mark.parametrize("path", sorted(set(re.findall(r"`([a-z/_]+/[a-z_]*(?:\.py)?)`", PAGE))))
def test_what_the_page_points_to_is_there(path: str) -> None:
    assert (ROOT / path).exists() or (ROOT / "robotsim" / path).exists()


@pytest.mark.parametrize(
    "words",
    [
        f"below {BROWN_OUT_VOLTS} V", f"behind {RESISTANCE} ohm", f"for {HEIGHT_MM:g} mm of height",
        f"beyond {STOPS_US[0] / 1000:g} or {STOPS_US[1] / 1000:g} ms",
        f"(friction {Ball(0, 0).sliding:g})", f"rolling resistance ({Ball(0, 0).rolling:.3f})",
    ],
)  # fmt: skip
def test_its_figures_are_those_of_the_code(words: str) -> None:
    assert words in PAGE
