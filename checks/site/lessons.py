"""Lessons: the copies that a site hands out, and each as a page that is only read."""

from __future__ import annotations

import re
from collections.abc import Sequence

from nbconvert.exporters import Exporter, HTMLExporter

from robotsim import KitError

from ..course.copies import HOME, learner_copy
from ..course.files import as_bytes, from_bytes
from ..course.lessons import Lesson
from ..home.layout import document

__all__ = ["READ", "copy_for_a_tab", "page_to_read"]

READ = "read"
"""The folder of the pages that are only read."""
_FIRST_PAGE = "This site's first page, from which you came,"
_OTHERWISE = (
    (f"[Home]({HOME}), if you opened this page from there.",
     f"{_FIRST_PAGE} shows all lessons."),
    (f"[Home]({HOME}) shows", f"{_FIRST_PAGE} shows"),
    ("on a site or a class's server tell your teacher. On your own computer open a second terminal,"
     " go into the kit's folder, and type `python3 lessons --doctor` (on Windows `py lessons"
     " --doctor`): it goes through your machine line by line and says what to do.",
     "open this site in another browser: a new Firefox, Chrome, Edge or Safari."),
    ("your set-up works", "this browser does all that the lessons need"),
)  # fmt: skip
"""What a lesson says that is otherwise in a tab, and how it is there."""
_REPLAYS = (
    ("The grey line below the picture's title tells which program ran, on which tug, and how it"
     " ended.", "The replay's title tells which program ran, on which tug, and the grey line below"
     " it how it ended. It stands at its end; *Play* shows it from the beginning."),
    ("Read in the picture: how far *to port* or *to starboard* of its start did it end?",
     "Read in the replay: it began at `y` = 0.400 m. More at the end is how far *to port* it ended,"
     " less is how far *to starboard*."),
    ("yours stands in the grey line of the picture", "yours stands in the replay's title"),
    ("(Each has its own dashes, marks and number; the strip to the right shows how far off the line"
     " each one was.)",
     "(Each has its own dashes; the lines below the replay say which is which.)"),
    ("A picture stands still. With `replay=True` the same run can be watched:",
     "Here in a tab each run is a replay. On a computer it is a picture that stands still, and"
     " `replay=True` asks for the replay; here it lets it begin at the beginning:"),
)  # fmt: skip
"""What is otherwise where no pictures are drawn."""
_LESSON = re.compile(r"\[([^\]]+)\]\((\d+-[a-z_]+\.ipynb)\)")
_ABSENT = ("python3 lessons", HOME)


def copy_for_a_tab(lesson: Lesson, there: Sequence[Lesson], drawn: bool) -> bytes:
    """Give a learner's copy of a lesson, which says what is true in a tab.

    Args:
        lesson: The lesson.
        there: The lessons of the site: to no other leads a link.
        drawn: Whether the site has what draws pictures.

    Raises:
        KitError: The lesson is not built, or speaks of what is not there in a tab.
    """
    if not lesson.notebook.is_file():
        raise KitError(f"The lesson {lesson.id!r} is not built.", where=str(lesson.notebook),
                       hint="`python3 checks build` makes it.")  # fmt: skip
    files = {one.file for one in there}
    copy = from_bytes(learner_copy(lesson.notebook.read_bytes(), lesson))
    for cell in copy.cells:
        if cell.cell_type != "markdown":
            continue
        for plain, here in (*_OTHERWISE, *(() if drawn else _REPLAYS)):
            cell.source = cell.source.replace(plain, here)
        cell.source = _LESSON.sub(lambda m: m[0] if m[2] in files else f"{m[1]} (not on this site)",
                                  cell.source)  # fmt: skip
        if any(word in cell.source for word in _ABSENT):
            raise KitError("A lesson speaks of what a tab has not.", where=lesson.file,
                           hint=f"say in `_OTHERWISE` how it is there: {cell.source[:200]!r}",
                           )  # fmt: skip
    return as_bytes(copy)


def page_to_read(lesson: Lesson, copy: bytes) -> str:
    """Give a lesson as a page without programs: for a telephone, or for reading ahead."""
    exporter: Exporter = HTMLExporter(template_name="basic")  # type: ignore[no-untyped-call]
    made, _ = exporter.from_notebook_node(from_bytes(copy))
    body = re.sub(r'href="(\w[\w-]*)\.ipynb"', r'href="\1.html"', str(made))
    body = body.replace("<pre>", "<pre tabindex='0'>")  # a long line is scrolled by keys as well
    return document(lesson.title, f"<main class='lesson'>{body}</main>", home="../index.html")
