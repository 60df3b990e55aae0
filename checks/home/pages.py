"""Pages: home itself, and a summary that prints; both say what the learner's notebooks show."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from html import escape
from urllib.parse import quote

from robotsim.locker import BOARDS
from robotsim.parts import MOST_SERIAL

from .deeds import KEPT
from .layout import document
from .progress import POINTS, Progress, go_on

__all__ = ["ALL_THE_SAME", "home_page", "summary_page"]


ALL_THE_SAME = "Get the file all the same"


def home_page(
    lessons: Sequence[Progress], serial: int | str, *, base: str = "/", token: str = "",
    said: str = "", desk: bool = False, anyway: bool = False,
    feedback: Mapping[str, str] | None = None, newer: Sequence[str] = (), person: str = "",
    code_page: str = "", in_room: bool = False, teaches: bool = False,
) -> str:  # fmt: skip
    """Give the home page.

    Args:
        lessons: How far the learner is in each lesson.
        serial: The number of the learner's tug, or what is wrong with its card.
        base: The address under which JupyterLab is served.
        token: A hidden field that Jupyter's server asks of every form.
        said: What has just been done, or why it was not.
        desk: Whether work goes to a teacher's desk, on a class's server, and not into a file.
        anyway: Whether the file is asked for a second time, after a word on what is in it.
        feedback: Title of a lesson to the path of its feedback.
        newer: Newer versions of lessons that were laid beside changed copies.
        person: Who has logged in, on a class's server.
        in_room: Whether they are in the class's room today.
        code_page: Where they change the code with which they did; "" where they cannot.
        teaches: Whether they are the teacher of the class on that server.
    """
    first = go_on(lessons)
    told = f"<p class='box said' role='status'>{_rows(said)}</p>" if said else ""
    rows = "".join(_lesson(one, base, token) for one in lessons)
    where = "on your class's server" if desk else "on this computer only"
    given = _feedback(base, token, feedback or {}) + _room(base, token, in_room) if desk else ""
    work = "" if teaches else f"<h2>Hand in</h2>{_hand_in(base, token, desk, anyway)}{given}"
    body = (
        f"<h1>Quayside</h1>{_person(person, base, code_page)}{told}"
        f"{_TEACHER if teaches else ''}{_next(first, base)}"
        f"{_newer(newer, base)}<h2>Lessons</h2>{rows}"
        f"{work}<h2>Your tug</h2>{_tug(serial, base, token)}<h2>More</h2>{_more(base)}"
        f"<p class='quiet'>{POINTS} All this is kept {where}, in your own folder.</p>"
    )
    return document("Home", body, script=True)


_TEACHER = """\
<h2>Your class</h2><ul>
<li><a href='/services/desk/room'>The room</a>: where each is, and who has been stuck for long</li>
<li><a href='/services/desk/room/large'>The room for the wall</a>: all see user names there</li>
<li><a href='/hub/admin'>Who is at work</a>: to end a seat, or to help who has lost a code: there
<em>Edit User</em>, then <em>Delete user</em>. The seat ends, so let them save first; their folder
stays, and the code of the slip holds again</li>
</ul><p class='quiet'>What is handed in you take on the server itself; HUB.md, beside the installer,
has the commands. Your copies of the lessons here are for trying out, and go to nobody.</p>"""
"""First on a teacher's page, which has nothing to hand in."""


def _person(name: str, base: str, code_page: str) -> str:
    if not name:
        return ""
    change = f"<a href='{escape(code_page)}'>Change your code</a> · " if code_page else ""
    return (
        f"<p class='quiet'>You are <strong>{escape(name)}</strong> · {change}"
        f"<a href='{escape(base)}logout'>Log out</a>, before somebody else sits down here</p>"
    )


def _next(first: Progress | None, base: str) -> str:
    if first is None:
        more = "Every lesson has something for those who want more."
        return f"<p class='box'>Nothing is open. {more}</p>"
    verb = "Go on here" if first.begun else "Begin here"
    waiting = _waiting(first)
    return (
        f"<p class='box row'><a class='button first' href='{_tree(base, first.lesson.file)}'"
        f" target='quayside-lab'>{verb}: {escape(first.lesson.title)}</a>"
        f"<span class='quiet'>{waiting}</span></p>"
    )


def _waiting(one: Progress) -> str:
    if one.astray:
        return escape(one.astray)
    if one.begun is None:
        return "there is no copy that can be read: begin it anew"
    if not one.begun:
        return "not begun"
    told = [f"{a.title}: {a.changed}" for a in one.asked if a.changed]
    rows = ["open: " + ", ".join(a.title for a in one.open) if one.open else "done", *told]
    return _rows("\n".join(rows))


def _lesson(one: Progress, base: str, token: str) -> str:
    lesson = one.lesson
    minutes = f"{one.minutes} minutes" if one.minutes else ""
    points = f"{one.earned:g} of {one.most:g} points" if one.most and one.begun is not None else ""
    facts = " · ".join(part for part in (points, minutes) if part)
    aims = "".join(f"<li>{_marked(aim)}</li>" for aim in one.aims)
    form = (
        f"<form method='post' action='{escape(base)}quayside/anew'>{token}"
        f"<input type='hidden' name='lesson' value='{escape(lesson.id)}'>"
        f"<button>Begin {escape(lesson.title)} anew</button></form> <span class='quiet'>Close it in"
        f" JupyterLab first. Your work so far goes to the folder {KEPT}; nothing is lost.</span>"
    )
    return (
        f"<section class='box' aria-label='{escape(lesson.title)}'><div class='row'>"
        f"{_opens(one, base)}<span>{facts}</span></div>"
        f"<div class='quiet'>{_waiting(one)}</div>"
        f"<details><summary>What it is about</summary><ul>{aims}</ul>{form}</details></section>"
    )


def _opens(one: Progress, base: str) -> str:
    """Give a lesson's title, with a way to its file: JupyterLab shows nothing for one not there."""
    title = f"<strong>{escape(one.lesson.title)}</strong>"
    file = one.lesson.file if one.there else one.other
    return f"<a href='{_tree(base, file)}' target='quayside-lab'>{title}</a>" if file else title


def _newer(files: Sequence[str], base: str) -> str:
    if not files:
        return ""
    links = ", ".join(f"<a href='{_tree(base, file)}'>{escape(file)}</a>" for file in files)
    return (
        "<p class='box'>There are newer versions of lessons that you have changed. Yours are as you"
        f" left them; the new ones lie beside them: {links}</p>"
    )


def _hand_in(base: str, token: str, desk: bool, anyway: bool) -> str:
    if desk:
        method, button = "post", "Hand in to your teacher"
        words = "Your teacher gets a copy; yours stays here, and you may hand in again."
    else:
        method, token, button = "get", "", "Get the file to hand in"
        if anyway:
            token = "<input type='hidden' name='anyway' value='1'>"
            button = ALL_THE_SAME
        words = "You give that one file to your teacher, however your class does it."
    return (
        f"<form method='{method}' action='{escape(base)}quayside/hand-in'>{token}"
        f"<button>{button}</button></form> <span class='quiet'>All lessons that you have begun, as"
        f" you saved them (Ctrl + S). {words}</span>"
    )


def _room(base: str, token: str, inside: bool) -> str:
    field = "<input type='hidden' name='leave' value='1'>" if inside else ""
    button, words = (
        ("Leave the room", "You are in the room until tonight. Leaving takes back what was told.")
        if inside else
        ("Let my teacher see how far I am",
         "Told, until tonight: of each task that you check the best points, the number of tries,"
         " the time since the first, and the likeliest cause that the card names. Not told: your"
         " programs, your files, your answers. No mark rests on it.")
    )  # fmt: skip
    return (
        f"<h2>The room</h2><form method='post' action='{escape(base)}quayside/room'>{token}{field}"
        f"<button>{button}</button></form> <span class='quiet'>{words}</span>"
    )


def _feedback(base: str, token: str, pages: Mapping[str, str]) -> str:
    links = "".join(f"<li><a href='{escape(base)}files/{quote(path)}'>{escape(title)}</a></li>"
                    for title, path in pages.items())  # fmt: skip
    return (
        f"<h2>Feedback</h2><form method='post' action='{escape(base)}quayside/feedback'>{token}"
        f"<button>Look for new feedback</button></form><ul>{links}</ul>"
    )


def _tug(serial: int | str, base: str, token: str) -> str:
    number = serial if isinstance(serial, int) else ""
    trouble = "" if isinstance(serial, int) else f"<p>{_rows(serial)}</p>"
    return (
        f"{trouble}<form method='post' action='{escape(base)}quayside/tug'>{token}"
        f"<label>Its number: <input name='serial' inputmode='numeric' value='{number}'></label> "
        "<button>Change it</button></form> <span aria-live='polite'></span>"
        f"<p class='quiet'>From 0 to {MOST_SERIAL}; 0 is the tug as drawn. Each number is"
        " a tug with quirks of its own: motors, eyes and arm differ."
        " A program that was tuned to another one will need tuning again.</p>"
    )


def _more(base: str) -> str:
    links = {
        "quayside/playground": "Playground: tables, tasks and races of your own; nothing is marked",
        "quayside/summary": "A summary of what you have learnt, to print",
        "quayside/reference/tug": "Reference: the tug, its pins and figures",
        "quayside/reference/board": "Reference: the board's calls, with examples",
        f"lab/tree/{BOARDS}": "Your programs, as files",
    }
    return "<ul>" + "".join(
        f"<li><a href='{escape(base + place)}'>{words}</a></li>" for place, words in links.items()
    ) + "</ul>"  # fmt: skip


def summary_page(
    lessons: Sequence[Progress], serial: int | str, day: date, home: str = ""
) -> str:
    """Give one page on what was learnt: aims and points of the lessons that have earned some."""
    begun = [one for one in lessons if one.begun]
    learnt = [one for one in begun if one.earned or not one.most]
    blocks = "".join(map(_learnt, learnt))
    rest = ", ".join(escape(one.lesson.title) for one in begun if one not in learnt)
    rest = f"<p>Begun, without points as yet: {rest}.</p>" if rest else ""
    nothing = "" if begun else "<p>No lesson has been begun yet.</p>"
    tug = f" with tug {serial}" if isinstance(serial, int) else ""
    body = (
        f"<h1>Learnt with Quayside</h1><p>Name: ______________________________</p>"
        f"<p class='quiet'>As the notebooks stand on {day.day} {day:%B %Y}{tug}. Points are what"
        " the notebooks' own checks found; they are no marks.</p>"
        f"<div style='columns: 2; column-gap: 2em'>{blocks}</div>{rest}{nothing}"
    )
    return document("Summary", body, home=home, small=True)


def _learnt(one: Progress) -> str:
    points = f" ({one.earned:g} of {one.most:g} points)" if one.most else ""
    still = f"<p class='quiet'>{_waiting(one)}</p>" if one.open else ""
    aims = "".join(f"<li>{_marked(aim)}</li>" for aim in one.aims)
    return (
        f"<section style='break-inside: avoid'><h2>{escape(one.lesson.title)}{points}</h2>"
        f"<ul>{aims}</ul>{still}</section>"
    )


def _tree(base: str, file: str) -> str:
    return escape(f"{base}lab/tree/{quote(file)}")


def _rows(text: str) -> str:
    return escape(text).replace("\n", "<br>")


def _marked(text: str) -> str:
    """Give a line of a lesson as HTML: its `code`, **strong** and *stressed* words."""
    html = escape(text)
    for mark, tag in (("`", "code"), ("**", "strong"), ("*", "em")):
        parts = html.split(mark)
        if len(parts) % 2:
            pairs = (f"<{tag}>{part}</{tag}>" if k % 2 else part for k, part in enumerate(parts))
            html = "".join(pairs)
    return html
