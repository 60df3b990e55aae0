"""Owner: whose file it is that came with a download, and when the platform says it came.

A path has two halves: what the platform wrote, then what a learner did: the name of a file, what an
archive holds.  Only the first half counts, so that nobody's upload passes for another's.  From the
outside in, the first part of the path must name a learner, at its beginning; a part that holds a
lesson's name or a date and no more is passed over, where nothing beside it names a learner.
Whatever is not told beyond doubt is left for a person, with the reason.
"""

from __future__ import annotations

import re
import unicodedata
from collections import defaultdict
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import PurePosixPath

from ..words import listed
from .exchange import sent
from .roster import Roster, Student

__all__ = ["Owned", "Owners", "file_time", "is_archive", "is_notebook", "words_of"]

Parts = tuple[str, ...]
Span = tuple[int, int]

_TIME = re.compile(
    r"(?<!\d)(20\d\d)[-_.]?(\d\d)[-_.]?(\d\d)(?:[-_. t]?(\d\d)[-_.:h]?(\d\d)(?:[-_.:m]?(\d\d))?)?"
    r"(?!\d)",
    re.IGNORECASE,
)
_WORD = re.compile(r"[^\W_]+")
_NOTEBOOK = re.compile(r"\.ipynb(\.(txt|json))?\Z", re.IGNORECASE)
"""A browser that saves the text of a page puts an ending of its own behind the name's."""
_LATE = "late"
"""What some platforms write behind the name where the day was over."""
_BETWEEN = ((), ("attempt",))
"""What may stand between a learner and a time where there is no other file to compare with."""


@dataclass(frozen=True)
class Owned:
    """Whose a file is.

    Attributes:
        student: The learner.
        level: The place in the path of the part that says so; what follows is the learner's own.
        when: The time that the platform wrote there, or None.
        by_exchange: Whether nbgrader's exchange says so, in which everybody may put a folder.
        by_word: Whether it is known only since a person has said whose the folder is.
        doubted: A time in the file's name that does not count, since a learner may have written it.
    """

    student: Student
    level: int
    when: datetime | None
    by_exchange: bool = False
    by_word: bool = False
    doubted: datetime | None = None


@dataclass(frozen=True)
class _Named:
    """A learner who stands in one part of a path: from which word to which."""

    student: Student
    first: int
    last: int


@dataclass(frozen=True)
class _Read:
    """One part of a path, read: its words, who stands in it, and its times by the word before."""

    words: tuple[str, ...]
    named: tuple[_Named, ...]
    times: tuple[tuple[int, int, datetime], ...]


class Owners:
    """Finds the owners of what is in one download.

    Args:
        roster: The class.
        lessons: The lessons' names.
        beside: Folder to the names of what lies in it, as far as the platform laid it out.
        said: The platform's name of a folder to the learner of whom a person has said that it is.
        titles: The lessons' titles, as a platform may put them before all names.
    """

    def __init__(
        self, roster: Roster, lessons: Collection[str], beside: Mapping[Parts, Collection[str]],
        said: Mapping[str, str] | None = None, titles: Collection[str] = (),
    ) -> None:  # fmt: skip
        self._said = {} if said is None else said
        self._titles = [tuple(words_of(title)) for title in titles]
        self._lessons, self._beside = frozenset(lessons), beside
        self._ids = {student.id.lower(): student for student in roster.students}
        self._known: dict[str, list[tuple[tuple[str, ...], Student]]] = defaultdict(list)
        self._bear: dict[str, list[str]] = defaultdict(list)
        for student in roster.students:
            for word in {*words_of(student.first_name), *words_of(student.last_name)}:
                self._bear[word].append(student.id)
            for words in _ways_to_write(student):
                self._known[words[0]].append((words, student))
        self._read_before: dict[str, _Read] = {}

    def whose(self, parts: Parts, files: Collection[int]) -> Owned | str:
        """Give the owner of a file, or why it has none that is beyond doubt.

        Args:
            parts: Its path.
            files: The places in it of files: archives on the way, and the file itself.
        """
        return self._find(parts, files) or "no learner of the roster stands in its name"

    def doubt(self, parts: Parts, files: Collection[int]) -> str:
        """Say why an archive has no owner and no class in it; "" if it may be gone through."""
        found = self._find(parts, files)
        return "" if isinstance(found, Owned) else found

    def folder_of(self, parts: Parts, files: Collection[int]) -> int | None:
        """Give the place in a path of a learner's own folder, be it nobody's; None for none.

        That is the outermost one among whose like somebody of the class is named.
        """
        for level in range(min(files, default=0)):
            if any(self._read(other).named for other in self._beside.get(parts[:level], ())):
                return level
        return None

    def _find(self, parts: Parts, files: Collection[int]) -> Owned | str:
        """Give the owner, what is in doubt, or "" if every part was passed over."""
        if 0 not in files and (mine := sent(parts[0])):
            if student := self._ids.get(mine[0].lower()):
                return Owned(student, 0, mine[1], by_exchange=True)
            return f"of {mine[0]!r}, who is not in the roster"
        for level, part in enumerate(parts):
            if level < min(files, default=0) and part in self._said:
                if student := self._ids.get(self._said[part].lower()):
                    when, _ = self._time(parts, level, student, False)
                    return Owned(student, level, when, by_word=True)
            found = self._of_part(parts[:level], part, is_file=level in files)
            if isinstance(found, Student):
                when, doubted = self._time(parts, level, found, level in files)
                return Owned(found, level, when, doubted=doubted)
            if found:
                return found
        return ""

    def _of_part(self, folder: Parts, part: str, *, is_file: bool) -> Student | str:
        """Give whom a part names, why that is in doubt, or "" for one that is passed over."""
        exact = self._ids.get(_bare(part).lower())
        if exact is not None:
            return exact
        read = self._read(part)
        if not read.named:
            return self._passed_over(folder, part, read, is_file and is_notebook(part))
        start = min(one.first for one in read.named)
        end = max(one.last for one in read.named if one.first == start)
        here = _students(one for one in read.named if one.first < end)
        after = [one for one in read.named if one.first >= end and one.student not in here]
        names = " or of ".join(s.id for s in (*here, *_students(after))[:4])
        if len(here) > 1 or (after and not is_file):
            return f"it may be of {names}: put it into a folder of the learner's id"
        if after and not any(w.isdigit() for w in read.words[end : min(a.first for a in after)]):
            return f"it may be of {names}: put it into a folder of the learner's id"
        if any(k >= self._shared(folder, read) and not self._passes(read, k, is_file)
               for k in range(start)):  # fmt: skip
            return (f"{here[0].id} stands in {_bare(part)!r}, but not at its beginning, where a "
                    "platform puts it; a title before it is passed over where all names begin with "
                    "it and a lesson's name or title is in it")  # fmt: skip
        return here[0]

    def _passed_over(self, folder: Parts, part: str, read: _Read, alone: bool) -> str:
        """Say why a part that names nobody cannot be passed over; "" if it can."""
        plain = all(self._passes(read, k, True) for k in range(len(read.words)))
        like = any(self._read(other).named for other in self._beside.get(folder, ()))
        if plain and not like:
            return ""
        told = f"no learner of the roster stands in {_bare(part)!r}"
        if bear := dict.fromkeys(id for word in read.words for id in self._bear.get(word, ())):
            told += f" by id or whole name; a name in it is that of {listed([*bear][:4])}"
        if like:  # others beside it are learners'
            told += "; if it is a learner's, put the row into class.csv and give `course` again"
        return told if alone else f"{told}; if it holds a whole class's work, collect it by itself"

    def _passes(self, read: _Read, k: int, is_file: bool) -> bool:
        """Tell whether a word says nothing of a learner: of a lesson, a time, a number."""
        if read.words[k] in self._lessons or (not is_file and read.words[k].isdigit()):
            return True
        titled = any(k in range(j, j + len(title)) for j, title in self._titled(read.words))
        return titled or any(first <= k < last for first, last, _ in read.times)

    def _titled(self, words: Sequence[str]) -> Iterator[tuple[int, tuple[str, ...]]]:
        """Give the lessons' titles among words, each with its place."""
        yield from ((k, title) for title in self._titles for k in range(len(words))
                    if tuple(words[k : k + len(title)]) == title)  # fmt: skip

    def _shared(self, folder: Parts, read: _Read) -> int:
        """Count the words that all names in a folder begin with, a lesson's name or title in them.

        That is how some platforms put the title of an exercise before everything.
        """
        others = [self._read(name) for name in self._beside.get(folder, ())]
        if len({one.student.id for other in others for one in other.named}) < 2:
            return 0
        count = 0
        for words in zip(read.words, *(other.words for other in others), strict=False):
            if len({*words}) > 1:
                break
            count += 1
        first = read.words[:count]
        titled = any(self._titled(first))
        return count if titled or self._lessons & {*first} else 0

    def _time(
        self, parts: Parts, level: int, owner: Student, is_file: bool
    ) -> tuple[datetime | None, datetime | None]:
        """Give the time that the platform wrote, and one that a learner may have written."""
        read = self._read(parts[level])
        if not is_file:
            times = [read.times, *(self._read(part).times for part in reversed(parts[:level]))]
            return next((found[0][2] for found in times if found), None), None
        way = _way_to_time(read, owner)
        if way is None:
            return None, None
        others = {
            one.student.id: _way_to_time(other, one.student)
            for name in self._beside.get(parts[:level], ())
            if len(_students((other := self._read(name)).named)) == 1
            for one in other.named[:1] if one.student != owner
        }  # fmt: skip
        alike = sum(found is not None and found[0] == way[0] for found in others.values())
        trusted = 2 * alike >= len(others) if others else way[0] in _BETWEEN
        return (way[1], None) if trusted else (None, way[1])

    def _read(self, part: str) -> _Read:
        if part not in self._read_before:
            text = _flat(_bare(part))
            spans = [found.span() for found in _WORD.finditer(text)]
            words = tuple(text[a:b] for a, b in spans)
            named = tuple(
                _Named(student, k, k + len(own))
                for k, word in enumerate(words) for own, student in self._known.get(word, ())
                if words[k : k + len(own)] == own
            )  # fmt: skip
            taken = {k for one in named for k in range(one.first, one.last)}
            times = tuple(t for t in _times(text, spans) if not taken & {*range(t[0], t[1])})
            self._read_before[part] = _Read(words, named, times)
        return self._read_before[part]


def file_time(name: str) -> datetime | None:
    """Give the time that a file's name tells, taken for the time of this place, or None."""
    for part in reversed(PurePosixPath(name).parts):
        for found in _TIME.finditer(part):
            when = _when(found)
            if when is not None:
                return when
    return None


def words_of(part: str) -> list[str]:
    """Give the words of one part of a path, in small letters without accents."""
    return _WORD.findall(_flat(_bare(part)))


def is_notebook(name: str) -> bool:
    """Tell whether a file bears a notebook's name."""
    return _NOTEBOOK.search(name) is not None


def is_archive(name: str) -> bool:
    """Tell whether a file bears an archive's name."""
    return name.lower().endswith(".zip")


def _ways_to_write(student: Student) -> Iterator[tuple[str, ...]]:
    """Give the words by which a learner may be called: each way once.

    A name that is one word is a whole name, as in many scripts; some platforms write the names of a
    person without anything between, and so does who writes Chinese, Japanese or Korean.  `ü` may
    have become `u` or `ue`.
    """
    texts = [student.id, student.email]
    first, last = student.first_name, student.last_name
    if first or last:
        texts += [f"{first} {last}", f"{last} {first}"]
        texts += [unicodedata.normalize("NFC", text).translate(_TWO_LETTERS) for text in texts[2:]]
    ways = dict.fromkeys(tuple(_WORD.findall(_flat(text))) for text in texts)
    if first and last:
        for text in texts[2:]:
            ways.setdefault(("".join(_WORD.findall(_flat(text))),))
    yield from (words for words in ways if any(words))


def _students(named: Iterator[_Named] | Sequence[_Named]) -> list[Student]:
    """Give the learners, each once."""
    return list({one.student.id: one.student for one in named}.values())


def _bare(part: str) -> str:
    return part[: part.rindex(".")] if is_archive(part) else _NOTEBOOK.sub("", part)


_PLAIN = str.maketrans({"ß": "ss", "ø": "o", "ł": "l", "đ": "d", "ı": "i", "æ": "ae", "œ": "oe",
                        "þ": "th", "ð": "d"})  # fmt: skip
"""Letters that Unicode does not take apart, as platforms write them in file names."""
_TWO_LETTERS = str.maketrans({"ä": "ae", "ö": "oe", "ü": "ue", "Ä": "Ae", "Ö": "Oe", "Ü": "Ue",
                              "å": "aa", "ø": "oe", "Å": "Aa", "Ø": "Oe"})  # fmt: skip
"""How they are written out: ICAO Doc 9303, part 3, section 6 (from memory)."""


def _flat(text: str) -> str:
    """Give a text in small letters without accents, vowel signs and joiners."""
    letters = unicodedata.normalize("NFKD", text.lower().translate(_PLAIN)).lower()
    return "".join(c for c in letters if unicodedata.category(c) not in ("Mn", "Mc", "Me", "Cf"))


def _times(text: str, spans: Sequence[Span]) -> Iterator[tuple[int, int, datetime]]:
    """Give the times in a text: from which word to which, and when."""
    for found in _TIME.finditer(text):
        when = _when(found)
        inside = [k for k, (a, b) in enumerate(spans) if a < found.end() and b > found.start()]
        if when is not None and inside:
            yield inside[0], inside[-1] + 1, when


def _when(found: re.Match[str]) -> datetime | None:
    year, month, day, hour, minute, second = (int(n or 0) for n in found.groups())
    try:
        return datetime(year, month, day, hour, minute, second).astimezone(UTC)
    except (ValueError, OverflowError, OSError):
        return None


def _way_to_time(read: _Read, owner: Student) -> tuple[tuple[str, ...], datetime] | None:
    """Give the words from a learner to the next time, numbers as "#", and that time."""
    own = [one for one in read.named if one.student == owner]
    if not own or not read.times:
        return None
    if read.times[0][1] <= own[0].first:
        return ("<",), read.times[0][2]
    end = max(one.last for one in own if one.first == own[0].first)
    for first, _, when in read.times:
        if first >= end:
            between = (w for w in read.words[end:first] if w != _LATE)
            return tuple("#" if w.isdigit() else w for w in between), when
    return None
