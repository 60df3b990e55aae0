"""Paper's pages: print-outs and answer keys as HTML that stands alone, for A4 and for Letter."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from itertools import groupby
from pathlib import Path

from nbconvert.filters import markdown2html

from robotsim import KitError

from ..shown import on_page
from ..tasks import TASKS
from ..whole import write_whole
from .lessons import LESSONS, Lesson, pick_lessons
from .paper import Piece, answers, sheet

__all__ = ["page", "paper"]

KEYS = "answers"
"""The folder of the keys: the folder above it can be handed out as it is, without it."""
_OURS = '<meta name="generator" content="Quayside: python3 checks paper">'
_ANCHOR = re.compile(r'<a class="anchor-link"[^>]*>.*?</a>')
_BLANKS = "<span>Name</span><span>Tug</span><span>Date</span>"


def paper(folder: Path, ids: Sequence[str] = (), lessons: Path = LESSONS) -> Iterator[str]:
    """Write print-outs and answer keys, one of each a lesson.

    Args:
        folder: Where print-outs go; keys go into its folder `answers`.
        ids: The lessons; none for all.
        lessons: The folder of the lessons.

    Yields:
        A line for each lesson.

    Raises:
        KitError: A lesson is unknown or not built, or a file there is somebody's own.
    """
    wanted = pick_lessons(ids, lessons)
    for lesson in wanted:
        if not lesson.notebook.is_file():
            raise KitError(f"The lesson {lesson.id!r} is not built.", where=str(lesson.notebook),
                           hint=f"`python3 checks build {lesson.id}` makes it.")  # fmt: skip
    teaching = lessons / "TEACHING.md"
    said = teaching.read_text(encoding="utf-8") if teaching.is_file() else ""
    targets = {lesson.id: Path(lesson.file).with_suffix(".html") for lesson in wanted}
    for target in targets.values():
        _free(folder / target)
        _free(folder / KEYS / target)
    (folder / KEYS).mkdir(parents=True, exist_ok=True)
    for lesson in wanted:
        target = targets[lesson.id]
        write_whole(folder / target, page(lesson, sheet(lesson, TASKS)).encode())
        key = page(lesson, answers(lesson, TASKS, said), key=True)
        write_whole(folder / KEYS / target, key.encode())
        yield f"{lesson.title}: {target}, and its answers: {KEYS}/{target}"
    yield f"All in {folder}. Open them in a browser and print; keep {KEYS} to yourself."


def page(lesson: Lesson, pieces: Sequence[Piece], *, key: bool = False) -> str:
    """Give one page.

    Args:
        lesson: The lesson.
        pieces: What stands on it.
        key: Whether it is the answer key.
    """
    title = f"{lesson.title}: answers" if key else lesson.title
    head = f"<h1>{on_page(title)}</h1><p>For the teacher.</p>" if key else (
        f"<div class='blanks'>{_BLANKS}</div>")  # fmt: skip
    return "\n".join([
        "<!DOCTYPE html>", '<html lang="en"><head><meta charset="utf-8">',
        '<meta name="viewport" content="width=device-width, initial-scale=1">', _OURS,
        f"<title>{on_page(title)}</title><style>{_STYLE}</style></head><body><main>", head,
        *_shown(pieces), "</main></body></html>\n",
    ])  # fmt: skip


def _shown(pieces: Iterable[Piece]) -> Iterator[str]:
    for kind, some in groupby(pieces, key=lambda piece: piece.kind):
        if kind == "text":
            html = markdown2html("\n\n".join(piece.text for piece in some))
            yield _ANCHOR.sub("", html)
            continue
        for piece in some:
            if kind == "picture":
                yield f"<figure>{piece.text}</figure>"
            elif kind == "program":
                yield (f"<figure><figcaption>{on_page(piece.name)}</figcaption>"
                       f"<pre>{on_page(piece.text)}</pre></figure>")  # fmt: skip
            else:
                yield "<div class='room' role='note' aria-label='room to write'>"
                yield "<p></p>" * int(piece.text) + "</div>"


def _free(path: Path) -> None:
    """See to it that nothing is written over but what was made here."""
    if path.exists() and (path.is_dir() or _OURS.encode() not in path.read_bytes()[:2000]):
        raise KitError("This is no print-out that was made here, and is left as it is.",
                       where=str(path), hint="name another folder.")  # fmt: skip


_STYLE = """
:root { --ink: #000; --quiet: #444; --line: #888; }
body { font: 11pt/1.38 system-ui, sans-serif; color: var(--ink); background: #fff; margin: 0; }
main { max-width: 46em; margin: 1em auto; padding: 0 1em; }
h1 { font-size: 17pt; margin: .2em 0; } h2 { font-size: 13pt; margin: 1em 0 .3em; }
h3 { font-size: 11.5pt; margin: .8em 0 .2em; } p, ul, ol { margin: .35em 0; }
.blanks { display: flex; gap: 1.5em; } .blanks span { flex: 1; color: var(--quiet);
  border-bottom: 1px solid var(--line); padding-bottom: .1em; }
table { border-collapse: collapse; margin: .4em 0; font-size: 10pt; } th { text-align: left; }
td, th { border: 1px solid var(--line); padding: 2px 7px; vertical-align: top; }
blockquote { margin: .4em 0 .4em 1em; font-style: normal; }
pre { border: 1px solid var(--line); padding: .4em .7em; margin: 0; font-size: 8.5pt;
  line-height: 1.25; white-space: pre-wrap; overflow-wrap: anywhere; }
figure { margin: .5em 0; } figcaption { font: 9pt monospace; color: var(--quiet); }
img { max-height: 8.5cm; width: auto; } .room p { border-bottom: 1px solid var(--line);
  height: 7.5mm; margin: 0; } .room { margin-bottom: .6em; }
@page { size: auto; margin: 14mm 15mm; }
@media print { main { max-width: none; margin: 0; padding: 0; } h2, h3, figcaption {
  break-after: avoid; } tr, img, .room { break-inside: avoid; } p, li { orphans: 2; widows: 2; } }
"""
