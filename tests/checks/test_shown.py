"""Text that strangers wrote reaches a terminal, a page and a gradebook by one way each."""

from __future__ import annotations

import ast
import io
import unicodedata
from html.parser import HTMLParser

import pytest
from hypothesis import given
from hypothesis import strategies as st

from checks.course.lessons import ROOT
from checks.shown import as_name, on_line, on_page, rows_of, say, whole_text
from robotsim import KitError

HOSTILE = {
    "an escape sequence": "\x1b[2J\x1b[1;1Htaken: bo",
    "a line break": "x\ntaken: bo, lamps",
    "a carriage return": "x\rtaken: bo",
    "a vertical tab": "x\x0by",
    "a line separator": "x\u2028y",
    "a private character": "x\U000f0000y\ue000",
    "the other direction": "x\u202egnp.y",
    "a byte of no UTF-8": "x\udcffy",
    "half a pair of surrogates": "x\ud800y",
    "a C1 control": "x\x9b2Jy",
}


def shown(*rows: object, encoding: str = "utf-8") -> str:
    raw = io.BytesIO()
    out = io.TextIOWrapper(raw, encoding=encoding, newline="\n")
    say(*rows, file=out)
    return raw.getvalue().decode(encoding)


@pytest.mark.parametrize("text", HOSTILE.values(), ids=HOSTILE)
def test_whatever_is_said_is_one_line_that_moves_nothing(text: str) -> None:
    said = shown(f"left: {text}", "next")
    first, second, rest = said.split("\n")
    assert (second, rest) == ("next", "") and first.isprintable() and "\\" in first


@pytest.mark.parametrize("encoding", ["latin-1", "ascii", "cp437", "utf-8"])
def test_names_in_any_script_are_said_on_any_console(encoding: str) -> None:
    assert shown("taken: 李小龍, Zoë, ไทย, 🦊", encoding=encoding).startswith("taken: ")


def test_a_name_that_needs_joiners_keeps_them() -> None:
    assert on_line("علی\u200cرضا") == "علی\u200cرضا"


@given(st.text(st.characters()))
def test_no_text_leaves_its_line_its_page_or_its_name(text: str) -> None:
    line, name = on_line(text), as_name(text)
    assert line == "".join(line.splitlines()) and not any(
        unicodedata.category(c) in ("Cc", "Cs", "Zl", "Zp") for c in line + name
    )
    assert not set("<>&\"") & set(name) and len(name) <= 100
    seen = Tags()
    seen.feed(f"<p title='{on_page(text)}'>{on_page(text)}</p>")
    assert seen.tags == ["p"]
    for one in (line, name, on_page(text), whole_text(text)):
        one.encode("utf-8")


class Tags(HTMLParser):
    """Notes the tags of a page."""

    def __init__(self) -> None:
        super().__init__()
        self.tags: list[str] = []

    def handle_starttag(self, tag: str, attrs: object) -> None:
        self.tags.append(tag)


def test_a_forged_line_in_an_error_is_set_in() -> None:
    fault = KitError("What: x\n0 marked, 5 marked before\rWhere: y", hint="z")
    first, *rest = rows_of(fault)
    assert first == "What: x" and all(row.startswith("  ") for row in rest)


SILENT = ("course", "marking")
"""What learners wrote passes through these: nothing in them writes to the terminal but `say`."""


def test_nothing_but_say_speaks_where_strangers_texts_pass() -> None:
    paths = [p for part in SILENT for p in (ROOT / "checks" / part).rglob("*.py")]
    paths.append(ROOT / "checks" / "commands.py")
    assert len(paths) > 30
    for path in paths:
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            call = ast.unparse(node.func) if isinstance(node, ast.Call) else ""
            assert call not in ("print", "sys.stdout.write", "sys.stderr.write"), path
            if isinstance(node, ast.ImportFrom) and node.module == "html":
                raise AssertionError(f"{path}: `on_page` puts text into pages")
