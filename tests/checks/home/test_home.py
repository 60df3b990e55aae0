"""Home: progress is what the notebooks show, no deed loses work, and the pages say it."""

from __future__ import annotations

import base64
import hashlib
import io
import json
import re
import zipfile
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from nbclient import NotebookClient

from checks import TASKS, Scorecard
from checks.course.files import read
from checks.course.lessons import find_lessons
from checks.course.regions import ANSWER
from checks.course.release import release
from checks.home.deeds import (
    KEPT,
    PLAYGROUND,
    begin_anew,
    change_tug,
    hand_in,
    look_first,
    make_playground,
    set_serial,
)
from checks.home.handing import hand_over
from checks.home.layout import RULES
from checks.home.pages import home_page, summary_page
from checks.home.progress import Progress, go_on, look
from checks.home.reference import EXAMPLES, SETTING_UP, board_page, figures, tug_page
from robotsim import KitError, UnknownNameError, Whose, run_trial
from robotsim.locker import BOARDS
from robotsim.notebook import own_serial, text_mark

FILES = {lesson.id: lesson.file for lesson in find_lessons()}


def check_cell(task: str, earned: str | None = None) -> dict[str, Any]:
    outputs = [] if earned is None else [
        {"output_type": "execute_result", "data": {"text/plain": [earned]}}
    ]  # fmt: skip
    return {"cell_type": "code", "source": [f'check("{task}")'], "outputs": outputs,
            "execution_count": None if earned is None else 7,
            "metadata": {"nbgrader": {"grade": True, "points": TASKS[task].points}}}  # fmt: skip


def judged_cell(task: str, **texts: str) -> dict[str, Any]:
    """Give a check's cell with all points, on a card that judged these texts."""
    cell = check_cell(task, f"{TASKS[task].points:g}")
    card = Scorecard(TASKS[task], (), None, (), texts=tuple(
        (f"{name}.py", text_mark(text)) for name, text in texts.items()))  # fmt: skip
    cell["outputs"][0]["data"]["text/html"] = [card._repr_html_()]
    return cell


def program_cell(name: str, text: str) -> dict[str, Any]:
    return {"cell_type": "code", "source": f"%%program {name}.py\n{text}", "metadata": {}}


def words_cell(text: str) -> dict[str, Any]:
    return {"cell_type": "markdown", "source": text,
            "metadata": {"nbgrader": {"grade": True, "points": 4}}}  # fmt: skip


def save(folder: Path, lesson: str, *cells: dict[str, Any]) -> None:
    folder.mkdir(exist_ok=True)
    (folder / FILES[lesson]).write_text(json.dumps({"cells": cells}), encoding="utf-8")


def of(folder: Path, lesson: str) -> Progress:
    return next(one for one in look(folder) if one.lesson.id == lesson)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    for lesson in FILES:
        asked = [name for name, task in TASKS.items() if task.lesson == lesson]
        save(tmp_path, lesson, *map(check_cell, asked))
    return tmp_path


# -- progress --------------------------------------------------------------------


def test_points_and_what_is_open_are_what_the_notebook_shows(folder: Path) -> None:
    full = TASKS["lamps.side"].points
    save(folder, "lamps", check_cell("lamps.side", f"{full:g}"), check_cell("lamps.fade", "2.5"),
         check_cell("lamps.signal"), words_cell(ANSWER))  # fmt: skip
    lamps = of(folder, "lamps")
    assert (lamps.begun, lamps.earned) == (True, full + 2.5)
    assert lamps.most == sum(t.points for t in TASKS.values() if t.lesson == "lamps")
    titles = [TASKS["lamps.fade"].title, TASKS["lamps.signal"].title, "the question in words"]
    assert [one.title for one in lamps.open] == titles
    save(folder, "lamps", check_cell("lamps.side", f"{full:g}"), words_cell("Because."))
    assert of(folder, "lamps").done


@pytest.mark.parametrize("now", ["x = 1", "x = 1\r\n\r\n", "x = 2", "x = (", None])
def test_points_stay_no_longer_than_the_cell_holds_the_program_that_earned_them(
    folder: Path, now: str | None
) -> None:
    cells = [] if now is None else [program_cell("fade", now)]
    late = program_cell("fade", "x = 1\n")  # below its check: marking would not find it there
    mark = {"eyes": "see()", "fade": "x = 1\n"}
    save(folder, "lamps", program_cell("eyes", "see()"), *cells,
         judged_cell("lamps.fade", **mark), late)  # fmt: skip
    same, lamps = now is not None and now.rstrip() == "x = 1", of(folder, "lamps")
    assert lamps.earned == (TASKS["lamps.fade"].points if same else 0) and lamps.done is same
    told = "" if same else (
        "fade.py is not as it was checked: run its cell, check again, save (Ctrl + S)."
        " What is marked is the program in the cell" if now else
        "no cell above its check holds fade.py, so it would not be marked"
    )  # fmt: skip
    assert "".join(lamps.changed) == told
    assert (f"{TASKS['lamps.fade'].title}: {told}" in home_page(look(folder), 7)) is not same
    assert look_first(folder).partition("\n")[0] == (told and f"Lamps: {told}.")
    said = hand_over(Desk(), folder)  # type: ignore[arg-type]
    assert (f"But look: {told}." in said) is not same


class Desk:
    """Takes whatever comes."""

    def ask(self, what: str, data: bytes = b"") -> bytes:
        return b"2026-11-30 09:00:00.0 UTC"


def test_a_renamed_lesson_is_known_again_and_not_left_out_without_a_word(tmp_path: Path) -> None:
    list(release(tmp_path))
    old, new = tmp_path / FILES["drive"], tmp_path / "my drive größe.ipynb"
    notebook = json.loads(old.read_text(encoding="utf-8"))
    next(c for c in notebook["cells"] if c["cell_type"] == "code")["execution_count"] = 1
    old.write_text(json.dumps(notebook), encoding="utf-8")
    old.rename(new)
    back = f"{old.name} is not here. “{new.name}” seems to be it: rename it back to {old.name}"
    page = home_page(look(tmp_path), 7)
    assert of(tmp_path, "drive").astray == back and back in page
    assert f"of {of(tmp_path, 'drive').most:g} points · " not in re.findall(
        "aria-label='Under way'.*?</section>", page, re.S)[0]  # fmt: skip
    assert "lab/tree/my%20drive%20gr%C3%B6%C3%9Fe.ipynb'" in page and f"tree/{old.name}" not in page
    with pytest.raises(KitError, match="rename it back to"):
        look_first(tmp_path)
    (tmp_path / FILES["start"]).rename(tmp_path / "a.ipynb")
    save(tmp_path, "lamps", check_cell("lamps.side", "3"))
    assert look_first(tmp_path).endswith(f"Under way: {back}.")
    assert f"Under way: {back}." in hand_over(Desk(), tmp_path)  # type: ignore[arg-type]
    assert "Under way" not in hand_over(Desk(), tmp_path, only="lamps")  # type: ignore[arg-type]
    list(release(tmp_path))  # as the next start does
    fresh = of(tmp_path, "drive")
    assert fresh.begun is False and f"{old.name} is not begun, but “{new.name}”" in fresh.astray
    assert f"give {old.name} any other name" in look_first(tmp_path)
    assert of(tmp_path, "start").astray == "", "not begun: there is no work in it"
    (tmp_path / FILES["start"]).unlink()
    assert "0-start.ipynb is not here: begin it anew" in home_page(look(tmp_path), 7)


@pytest.mark.parametrize("shown", ["nan", "inf", "-5", "a lot", "1e9"])
def test_no_output_makes_more_of_a_task_than_its_points(folder: Path, shown: str) -> None:
    save(folder, "lamps", check_cell("lamps.side", shown))
    assert 0 <= of(folder, "lamps").earned <= TASKS["lamps.side"].points


@pytest.mark.parametrize("text", ["", "{", "[]", '{"cells": [3]}', '{"cells": [{}]}'])
def test_a_notebook_that_cannot_be_read_is_said_and_stops_nothing(folder: Path, text: str) -> None:
    (folder / FILES["lamps"]).write_text(text, encoding="utf-8")
    assert of(folder, "lamps").begun is None
    assert "no copy that can be read" in home_page(look(folder), 7)


def test_one_goes_on_where_one_was_and_begins_at_the_beginning(folder: Path) -> None:
    first = go_on(look(folder))
    assert first is not None and first.lesson.id == "start"
    save(folder, "drive", check_cell("drive.start", "1"))
    there = go_on(look(folder))
    assert there is not None and there.lesson.id == "drive"
    assert "Go on here: Under way" in home_page(look(folder), 7)


def test_every_lesson_says_what_it_is_about_and_how_long_it_takes() -> None:
    for one in look(Path("nowhere")):
        assert len(one.aims) >= 4 and all(len(aim) > 15 for aim in one.aims), one.lesson.id
        assert one.minutes, one.lesson.id


# -- deeds -----------------------------------------------------------------------


def test_a_lesson_begun_anew_is_fresh_and_the_old_work_is_kept(folder: Path) -> None:
    save(folder, "lamps", check_cell("lamps.side", "3"))
    mine = (folder / FILES["lamps"]).read_bytes()
    board = folder / BOARDS / "1-lamps"
    board.mkdir(parents=True)
    (board / "side.py").write_text("mine = 1\n", encoding="utf-8")
    kept, programs = begin_anew(folder, "lamps")
    assert kept.parent.name == KEPT and kept.read_bytes() == mine
    lamps = of(folder, "lamps")
    assert lamps.begun is False and len(lamps.asked) == 4
    assert not board.exists()
    (old,) = (folder / KEPT).glob("*programs/side.py")
    assert old.read_text(encoding="utf-8") == "mine = 1\n" and old.parent == programs
    with pytest.raises(UnknownNameError):
        begin_anew(folder, "../lamps")


def test_what_is_handed_in_is_all_that_was_begun_and_nothing_else(folder: Path) -> None:
    with pytest.raises(KitError, match="nothing to hand in"):
        hand_in(folder)
    save(folder, "drive", check_cell("drive.start", "1"))
    pack = zipfile.ZipFile(io.BytesIO(hand_in(folder)))
    assert pack.namelist() == [FILES["drive"]]
    assert pack.read(FILES["drive"]) == (folder / FILES["drive"]).read_bytes()


def test_a_file_in_which_nothing_was_changed_is_not_given_without_a_word(tmp_path: Path) -> None:
    list(release(tmp_path))

    def write(file: str, **more: str) -> None:
        told = json.loads((tmp_path / file).read_text(encoding="utf-8"))
        cell = next(one for one in told["cells"] if one["cell_type"] == "code")
        cell.update(execution_count=1, **more)
        (tmp_path / file).write_text(json.dumps(told), encoding="utf-8")

    with pytest.raises(KitError, match="nothing to hand in"):
        look_first(tmp_path)
    write(FILES["start"])
    assert look_first(tmp_path) == "", "nothing is asked there"
    write(FILES["lamps"])
    assert look_first(tmp_path).startswith("Lamps: nothing in it was changed. What counts is")
    write(FILES["lamps"], source="# mine")
    assert look_first(tmp_path) == ""
    again = home_page(look(tmp_path), 7, anyway=True)
    assert "name='anyway' value='1'><button>Get the file all the same" in again


def test_the_tugs_number_is_noted_and_what_is_none_is_refused(folder: Path) -> None:
    assert set_serial(folder, " 23 ") == own_serial(folder) == 23
    for wrong in ("", "-1", "7.5", "seven", "10000", "٣", "9" * 500, "9" * 5000):
        with pytest.raises(KitError, match="whole number from 0"):
            set_serial(folder, wrong)
    assert own_serial(folder) == 23
    (folder / "tug.json").write_text("{", encoding="utf-8")
    assert set_serial(folder, "4") == own_serial(folder) == 4


# -- pages -----------------------------------------------------------------------


def test_points_from_before_another_tug_are_told_when_the_number_is_changed(folder: Path) -> None:
    assert change_tug(folder, "12") == "Your tug is number 12 from the next run on."
    save(folder, "lamps", check_cell("lamps.side", "2.5"))
    assert "check again to see what tug 23 earns" in change_tug(folder, "23")
    assert "check again" not in change_tug(folder, "23"), "the same number as before"


def test_the_home_page_leads_to_every_lesson_and_asks_nothing_of_the_network(folder: Path) -> None:
    page = home_page(look(folder), 7, base="/base/", said="a < b")
    for lesson in find_lessons():
        assert f"href='/base/lab/tree/{lesson.file}'" in page
    assert "a &lt; b" in page
    assert not re.search(r"(src|href)='?(https?:)?//|<script[^>]", page)
    (script,) = re.findall("<script>(.*?)</script>", page, re.S)
    name = base64.b64encode(hashlib.sha256(script.encode()).digest()).decode()
    assert f"script-src 'sha256-{name}'" in RULES, "the one that the page may run"
    others = board_page(), tug_page(), summary_page(look(folder), 7, date(2026, 3, 2))
    assert not any("<script" in other for other in others)


def test_a_damaged_card_is_told_on_the_page_that_can_mend_it(folder: Path) -> None:
    page = home_page(look(folder), "The card is damaged.")
    assert "The card is damaged." in page and "name='serial'" in page


def test_the_summary_tells_of_what_was_begun_and_of_nothing_else(folder: Path) -> None:
    save(folder, "drive", check_cell("drive.start", "1"))
    page = summary_page(look(folder), 7, date(2026, 3, 2))
    assert "Under way (1 of" in page and "2 March 2026" in page and "The arm" not in page
    save(folder, "lamps", check_cell("lamps.side", "0"))
    page, aim = summary_page(look(folder), 7, date(2026, 3, 2)), of(folder, "lamps").aims[0]
    assert "Begun, without points as yet: Lamps." in page and aim not in page


def test_every_call_of_the_reference_is_the_boards_own_and_every_example_runs() -> None:
    rows = [SETTING_UP]
    for group in EXAMPLES.values():
        for name, code in group.items():
            assert name.split(".")[-1] in code, name
            if code.startswith("await"):
                code = f"async def once():\n    {code}\nasyncio.run(once())"
            elif name == "network.WLAN.connect":
                code += "\nwhile not wlan.isconnected():\n    time.sleep_ms(100)"
            rows.append(code)
    rows.append("print('all of them')")
    made = run_trial("\n".join(rows), seconds=15, serial=7, whose=Whose.OWN)
    assert made.problem is None, str(made.problem)
    assert made.printed[-1][1] == "all of them"
    page = board_page()
    assert page.count("<tr>") == 1 + len(EXAMPLES) + sum(map(len, EXAMPLES.values()))
    assert "<td></td>" not in page
    told = re.findall("</code></td><td>(.*?)</td>", page)
    assert len(told) == sum(map(len, EXAMPLES.values()))
    cut = [words for words in told
           if re.search(r"(\b(a|at|by|from|in|of|on|the|to)|[^\w)])$", words)]  # fmt: skip
    assert not cut, "each is a sentence to its end"


def test_the_tugs_figures_are_the_designs() -> None:
    """Source: the kit's design, its table of the tug (invented figures)."""
    told = dict(figures())
    assert told["hull"] == "round, 116 mm across; 0.34 kg with cells"
    assert told["wheels"] == "44 mm across, 92 mm apart"
    assert told["motors"].startswith("geared 48 to 1; 4.5 ohm")
    assert told["cells"].startswith("four, 4.8 V together")
    assert told["line eyes"] == "four, 12 mm apart, 44 mm ahead of the axle, 3 mm above the floor"
    assert told["motion sensor"].endswith("0x68")
    page = tug_page()
    for pin, role in ((13, "lamps"), (25, "left_ahead"), (36, "eye_0"), (22, "scl")):
        assert re.search(rf"<td>{pin}</td><td><code>{role}</code>", page)


# -- the playground --------------------------------------------------------------


@pytest.mark.slow
def test_the_playground_runs_from_its_first_cell_to_its_last(folder: Path) -> None:
    """Under a plain kernel, as somebody would who has no launcher."""
    name = make_playground(folder)
    notebook = read(folder / name)
    client = NotebookClient(notebook, timeout=120, kernel_name="python3",
                            resources={"metadata": {"path": str(folder)}},
                            extra_arguments=["--log-level=ERROR"])  # fmt: skip
    client.execute()
    told = json.dumps([cell.get("outputs", []) for cell in notebook.cells])
    assert "Yes: within 10 cm of 0.5, 0.2" in told and "your first time here" in told
    assert (folder / "my-tables" / "pond.json").is_file()


def test_a_playground_that_is_there_is_left_alone(folder: Path) -> None:
    (folder / PLAYGROUND).write_text("mine", encoding="utf-8")
    make_playground(folder)
    assert (folder / PLAYGROUND).read_text(encoding="utf-8") == "mine"
