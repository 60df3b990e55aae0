"""The class's table of harbour runs tells what really happened, the best first."""

from __future__ import annotations

from pathlib import Path

import nbformat
import pytest

from checks.course.harbour import Entry, entry, harbour_table, submitted_runs
from robotsim import KitError

RIGHT = Path(__file__).parents[2] / "programs" / "harbour" / "run" / "right_plain.py"


def test_the_best_stands_first_and_who_did_not_finish_has_no_time() -> None:
    text = harbour_table(
        [
            Entry("ada", 12, 9.5, 1, 2, 16.24, 4.05),
            Entry("ben | the | fast", 13, 20.0, 2, 2, 11.0, 2.0),
            Entry("cem", 14, 0.0, 0, 2, None, None),
            Entry("dora", 15, 20.0, 2, 2, 10.5, 3.0),
        ]
    )
    rows = text.splitlines()[2:]
    assert [row.split(" | ")[1].split(" ")[0] for row in rows] == ["dora", "ben", "ada", "cem"]
    assert rows[0] == "| 1 | dora | 15 | 20 | 2 of 2 | 10.5 s | 3.0 mm |"
    assert rows[1].startswith("| 2 | ben \\| the \\| fast | 13 |")
    assert rows[3].endswith("| 0 of 2 | - | - |")


def test_an_entry_is_measured_on_the_learners_own_tug(tmp_path: Path) -> None:
    made = entry("ada", {"run.py": RIGHT.read_text(encoding="utf-8")}, 12)
    assert (made.points, made.docked, made.runs) == (20.0, 2, 2)
    assert made.seconds is not None and 9.0 < made.seconds < 14.0
    assert made.aside_mm is not None and 0.5 < made.aside_mm < 10.0


def test_programs_are_taken_from_what_was_handed_in(tmp_path: Path) -> None:
    tmp_path.joinpath("roster.csv").write_text("id,serial\nada,12\nben,13\n", encoding="utf-8")
    cells = [nbformat.v4.new_code_cell("1/0"), nbformat.v4.new_code_cell("%%program run.py\npass")]
    for learner, own in (("ada", cells), ("ben", cells[:1])):
        folder = tmp_path / "submitted" / learner / "harbour"
        folder.mkdir(parents=True)
        nbformat.write(nbformat.v4.new_notebook(cells=own), folder / "harbour.ipynb")
    ada, ben = submitted_runs(tmp_path)
    assert (ada.name, ada.serial, ada.points, ada.docked, ada.runs) == ("ada", 12, 0.0, 0, 2)
    assert (ben.serial, ben.points, ben.runs) == (13, 0.0, 0)


def test_a_course_without_any_is_told(tmp_path: Path) -> None:
    with pytest.raises(KitError, match="Nobody has handed in"):
        submitted_runs(tmp_path)
