"""Pages: a site's home, and one on what differs, what is promised, and whose work is in it."""

from __future__ import annotations

import json
import shutil
from collections.abc import Sequence
from html import escape
from pathlib import Path
from urllib.parse import quote

from robotsim.parts import MOST_SERIAL

from ..course.content import UNCHANGED
from ..course.lessons import Lesson
from ..course.programs import CHANGED, GONE
from ..course.regions import ANSWER
from ..home.deeds import COUNTS, KEPT, PLAYGROUND
from ..home.layout import document
from ..home.progress import HIDDEN, POINTS, look
from ..home.reference import board_page, tug_page
from ..tasks import TASKS
from .lessons import READ
from .licences import licence_rows, licence_texts
from .packages import KIT

__all__ = ["WORDS", "write_pages"]

WORDS = {
    "answer": ANSWER, "changed": CHANGED, "gone": GONE, "hidden": HIDDEN,
    "unchanged": f"{UNCHANGED}. {COUNTS}",
}  # fmt: skip
"""What the page says of saved notebooks, in the words of a computer's home page."""

_KEPT = (
    "Your work is kept by this browser, on this computer, for this address alone. It is lost if the"
    " browser's data are cleared (some school computers do that every night), or if the window is a"
    " private one. So take it along when you stop, and hand it in from here."
)
_DIFFERS = (
    "Your programs run in the real board's own language, MicroPython, as everything else here in"
    " your browser. Runs and points are the same as on a computer.",
    "What lies on the board is forgotten when a lesson's kernel starts anew: run the cells that"
    " begin with %%program again. The notebooks are kept; save them with Ctrl + S.",
    "Close no page while a cell runs: what it would have shown is lost. The first cell that you run"
    " afterwards says which one was cut off.",
    "A program that keeps this page waiting for ever (one long built-in call) is ended by Kernel,"
    " Restart Kernel. What was saved is still there.",
    "A function may call itself some 150 times, not some 190.",
    "On a telephone lessons are for reading: take 'only to read' beside each.",
    "Two tugs on one table (beside=) need a computer: here there is room for one at a time. So do"
    " a summary to print, and your programs as files of their own.",
    "live(), the class's screen, earlier() and back(), and a board at a cable need a computer with"
    " the kit. ready() and export() work here; the board's own compiler is not asked.",
)
_NO_PICTURES = (
    "This site was made without matplotlib: a run, or several on one plan, is shown as a replay."
    " All sliders are there, and the scope. The few other pictures, and keep(), say so where they"
    " would be."
)
_TERMS = "licences.txt"
_LITE = (
    "<script id='jupyter-config-data' type='application/json' data-jupyter-lite-root='.'>{}"
    "</script>"
)
"""What JupyterLite's own page looks for in the site's first one."""


def write_pages(
    site: Path, lessons: Sequence[Lesson], room: str, *, drawn: bool, store: str, modules: Path
) -> None:  # fmt: skip
    """Write the pages into a site.

    Args:
        site: Its folder.
        lessons: What is in it.
        room: The folder in it with what the kernel loads.
        drawn: Whether it has what draws pictures.
        store: Name of the browser's store with the learner's files.
        modules: The folder with npm's packages.
    """
    for name in ("home.js", "saved.js"):
        shutil.copyfile(KIT / "page" / name, site / room / name)
    (site / "index.html").write_text(_home(lessons, room, store), "utf-8")
    (site / "about.html").write_text(_about(drawn), "utf-8")
    (site / _TERMS).write_text(licence_texts(modules), "utf-8")
    (site / "tug.html").write_text(tug_page("index.html"), "utf-8")
    (site / "board.html").write_text(board_page("index.html"), "utf-8")


def _home(lessons: Sequence[Lesson], room: str, store: str) -> str:
    chosen = {lesson.id for lesson in lessons}
    far = [one for one in look(Path("/nowhere")) if one.lesson.id in chosen]
    course = {
        "store": store, "words": WORDS, "kept": KEPT, "mostSerial": MOST_SERIAL,
        "lessons": [{"id": one.lesson.id, "file": one.lesson.file, "title": one.lesson.title,
                     "most": sum(t.points for t in TASKS.values() if t.lesson == one.lesson.id)}
                    for one in far],
    }  # fmt: skip
    rows = "".join(_lesson(one.lesson, one.minutes, one.aims) for one in far)
    # "</" would end the script's element, whatever stands in a title.
    told = json.dumps(course).replace("</", "<\\/")
    body = (
        "<h1>Quayside</h1><p id='said' role='status' class='box said'"
        " style='position: sticky; top: 0'>Everything here runs in your"
        " browser. Nothing that you write is sent anywhere.</p>"
        f"<h2>Lessons</h2>{rows}<p class='quiet'>{POINTS}</p><h2>Your work</h2><p>{_KEPT}</p>"
        "<p><label>You, as your teacher's list has you, for the file's name: <input id='name'"
        " autocomplete='username' style='width: 14em' placeholder='id, or whole name'></label>"
        " <button id='hand-in'>Take my work as one file, to hand in</button></p>"
        "<p><label>Put work back (close its lessons first): <input id='back' type='file' multiple"
        " accept='.zip,.ipynb' style='width: auto'></label></p>"
        "<h2>Your tug</h2><p class='quiet'>If your teacher has given you a number, set it before"
        " you begin. It goes into the file with your work, and comes back with it.</p>"
        "<form id='tug'><label>Its number: <input id='serial' inputmode='numeric' value='7'>"
        "</label> <button>Change it</button>"
        " <span id='card' role='status'></span></form>"
        f"<h2>More</h2><ul><li><a href='lab/index.html?path={PLAYGROUND}' target='quayside-lab'>"
        "Playground: tables, tasks and races of your own; nothing is marked</a></li>"
        "<li><a href='tug.html'>Reference: the tug, its pins and figures</a></li>"
        "<li><a href='board.html'>Reference: the board's calls, with examples</a></li>"
        "<li><a href='about.html'>What is different here, what is promised, and"
        " whose work is in it</a></li></ul>"
        f"{_LITE}<script type='application/json' id='course'>{told}</script>"
        f"<script type='module' src='{room}/home.js'></script>"
    )
    return document("Home", body)


def _lesson(lesson: Lesson, minutes: str, aims: Sequence[str]) -> str:
    title, place = escape(lesson.title), escape(f"lab/index.html?path={quote(lesson.file)}")
    read = f"{READ}/{quote(lesson.file.replace('.ipynb', '.html'))}"
    told = "".join(f"<li>{escape(aim.replace('`', '').replace('*', ''))}</li>" for aim in aims)
    return (
        f"<section class='box' aria-label='{title}'><div class='row'>"
        f"<a href='{place}' target='quayside-lab'><strong>{title}</strong></a>"
        f"<span>{minutes} minutes, or"
        f" <a href='{read}' aria-label='{title}, only to read'>only to read</a></span></div>"
        f"<div class='quiet' id='far-{lesson.id}'></div>"
        f"<details><summary>What it is about</summary><ul>{told}</ul>"
        f"<button id='anew-{lesson.id}'>Begin {title} anew</button> <span class='quiet'>Close it"
        f" first. Your work so far goes to {KEPT}; nothing is lost.</span></details></section>"
    )


def _about(drawn: bool) -> str:
    differs = "".join(f"<li>{escape(row)}</li>" for row in (*_DIFFERS, *[_NO_PICTURES][drawn:]))
    rows = "".join(
        f"<tr><td>{escape(name)}</td><td>{escape(version)}</td><td>{escape(licence)}</td></tr>"
        for name, version, licence in licence_rows()
    )
    body = (
        f"<h1>This site</h1><h2>What is different here</h2><ul>{differs}</ul>"
        "<h2>What is promised</h2><p>This site is a folder of files. There is no account, nothing"
        " is counted, and nothing that you write leaves your browser until you hand it in"
        f" yourself.</p><p>{_KEPT}</p>"
        "<h2>Whose work is in it</h2><p>Each under its own licence"
        f" (<a href='{_TERMS}'>their texts</a>):</p>"
        "<table><thead><tr><th scope='col'>Package</th><th scope='col'>Version</th>"
        f"<th scope='col'>Licence</th></tr></thead><tbody>{rows}</tbody></table>"
    )
    return document("This site", body, home="index.html")
