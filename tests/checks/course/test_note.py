"""A course's notes: what is damaged is told, and nothing is written over it."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from checks.course.note import read_note, write_note
from robotsim import KitError


def pairs(told: Any) -> dict[str, int]:
    return {str(name): int(count) for name, count in told.items()}


def test_what_was_noted_is_read_again_and_nothing_noted_is_nothing(tmp_path: Path) -> None:
    note = tmp_path / "note.json"
    assert read_note(note, pairs, {}, "The note") == {}
    write_note(note, {"a": 1})
    assert read_note(note, pairs, {}, "The note") == {"a": 1}


@pytest.mark.parametrize("text", ["", "{", "[1]", "null", '{"a": "x"}', '{"a": null}', "\x00"])
def test_a_damaged_note_is_told_and_left(text: str, tmp_path: Path) -> None:
    note = tmp_path / "note.json"
    note.write_text(text, encoding="utf-8")
    with pytest.raises(KitError, match="The note is damaged") as told:
        read_note(note, pairs, {}, "The note", "or delete it")
    assert str(note) in str(told.value) and "in its place, or delete it." in str(told.value)
    assert note.read_text(encoding="utf-8") == text
