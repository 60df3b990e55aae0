"""A cell that was meant for the board and is none is told, with the line that was meant."""

from __future__ import annotations

import pytest

from robotsim.first_line import nearly


@pytest.mark.parametrize(
    ("cell", "words"),
    [
        ("%%progam x.py\na = 1", "did you mean `%%program x.py`?"),
        ("%%programm x\na = 1", "did you mean `%%program x.py`?"),
        ("%%Program side.py\nx", "did you mean `%%program side.py`?"),
        ("%% program side.py\nx", "did you mean `%%program side.py`?"),
        ("%program side.py", "did you mean `%%program side.py`?"),
        ("%%programside.py\nx", "did you mean `%%program side.py`?"),
        ("  %%program x.py\na = 1", "at the very left"),
        ("# mine\n%%program side.py\nx = 1", "`%%program side.py` has to be the very first line"),
        ("%%program(hello.py)\nx = 1", "did you mean `%%program hello.py`?"),
        ("%%program('hello.py')\nx = 1", "did you mean `%%program hello.py`?"),
    ],
)
def test_what_is_nearly_a_programs_cell_is_told_so(cell: str, words: str) -> None:
    told = nearly(cell, "%%program")
    assert told is not None and words in told.hint
    assert told.what == "This cell does not put a program on the board."


@pytest.mark.parametrize(
    "cell",
    ["%%program a.py\nx", "\n%%program a.py\n# %%program", "%%time\nx", "%pprint", "%%prun\nx",
     "x = 1", "", "%%program", "program = 3", "%matplotlib inline", "y = 7 %programs"],
)  # fmt: skip
def test_other_cells_are_left_in_peace(cell: str) -> None:
    assert nearly(cell, "%%program") is None
