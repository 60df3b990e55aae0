"""The page in a real browser: sixty rows on one screen, in both schemes, and nothing in it acts."""

from __future__ import annotations

import ast
import math
import re
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from playwright.sync_api import Browser

import checks.room
from checks.room.large import large_page
from checks.room.message import READY
from checks.room.model import Room
from checks.room.page import page
from checks.room.view import Held, Person, Visit, view
from tests.checks.room.classes import NOON, a_class, key, ready
from tests.robotsim.show.browser import browser, opened

HOSTILE = ("<script>x()</script>", "<img src=x onerror>", "'\"><b onclick=x()>", "</title></style>",
           "&lt;&#x3c;b&gt;")  # fmt: skip


def written(room: Room, now: float, state: str = "", ended: bool = False) -> str:
    return page(view(room, now, 600), now, stuck_s=600, state=state, ended=ended)


@pytest.fixture(scope="module")
def started(chromium: str) -> Iterator[Browser]:
    with browser(chromium) as running:
        yield running


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_sixty_rows_are_readable_on_one_screen(
    started: Browser, tmp_path: Path, scheme: str
) -> None:
    room, now = a_class(60)
    place = tmp_path / "room.html"
    place.write_text(written(room, now), encoding="utf-8")
    look, trouble = opened(started, place.as_uri(), viewport={"width": 1280, "height": 800},
                           color_scheme=scheme)  # fmt: skip
    rows = look.locator("tbody tr").all()
    assert len(rows) == 60 and not trouble
    ends = look.evaluate(
        "[...document.querySelectorAll('tbody tr')].map(r => r.getBoundingClientRect())"
        ".map(box => [box.right, box.bottom])"
    )
    assert max(right for right, _ in ends) <= 1280 and max(bottom for _, bottom in ends) <= 800
    size = look.locator("td").first.evaluate("e => parseFloat(getComputedStyle(e).fontSize)")
    assert size >= 13
    ground = look.evaluate("getComputedStyle(document.body).backgroundColor")
    assert (ground == "rgb(255, 255, 255)") is (scheme == "light")
    look.close()


WALL_M, ROW_M, PIXELS = 2.0, 8.0, 1280
"""A picture 2 m wide, seen from a last row 8 m away: a common classroom, no source."""
LEAST_ARCMIN = 16
"""The least height of a character to be read (ISO 9241-303, 5.5.4, from memory; 20 is better)."""


@pytest.mark.parametrize("refused", [0, 3])
def test_twenty_eight_rows_are_readable_from_the_last_row(
    started: Browser, tmp_path: Path, refused: int
) -> None:
    room, now = a_class(27)
    room.hear(key(27), READY, ready("Great northern diver"), now)
    for _ in range(refused):
        room.refuse("of another day")
    place = tmp_path / "large.html"
    place.write_text(large_page(view(room, now, 600), now), encoding="utf-8")
    look, trouble = opened(started, place.as_uri(), viewport={"width": PIXELS, "height": 800})
    assert look.locator("tbody tr").count() == 28 and not trouble
    assert look.evaluate("document.documentElement.scrollHeight") <= 800
    ends = look.evaluate("[...document.querySelectorAll('tbody tr, footer')]"
                         ".map(r => r.getBoundingClientRect().bottom)")  # fmt: skip
    assert max(ends) <= 800
    cut = look.evaluate("[...document.querySelectorAll('tbody th span, .marks')]"
                        ".filter(e => e.scrollWidth > e.clientWidth + 1).length")  # fmt: skip
    assert cut == 0
    size = look.locator("tbody th").first.evaluate("e => parseFloat(getComputedStyle(e).fontSize)")
    high_m = 0.7 * size * WALL_M / PIXELS  # capitals are about seven tenths of the letters' size
    assert math.degrees(high_m / ROW_M) * 60 >= LEAST_ARCMIN
    assert ("3 of another day" in look.inner_text("body")) is bool(refused)
    look.close()


def test_the_page_for_the_wall_names_no_reason_to_visit_anybody() -> None:
    room, now = a_class(28)
    shown = view(room, now, 600)
    text = large_page(shown, now)
    assert shown.visits and not any(why in text for one in shown.visits for why in one.reasons)
    assert not re.search(r"(src|href)=|url\(|@import|<script", text)


def test_what_is_refused_is_told_with_what_to_look_at() -> None:
    room = Room()
    for why, count in (("of another day", 2), ("other fields", 1)):
        for _ in range(count):
            room.refuse(why)
    for text in (written(room, NOON), large_page(view(room, NOON, 600), NOON)):
        assert "2 of another day (is that computer&#x27;s clock right?)" in text
        assert "1 no message of ours (other fields)" in text
    assert "refused" not in written(Room(), NOON)


def test_a_hostile_alias_is_a_name_and_nothing_more(started: Browser, tmp_path: Path) -> None:
    room = Room()
    for number, alias in enumerate(HOSTILE):
        assert room.hear(key(number), READY, ready(alias, ["kernel"]), NOON), alias
    place = tmp_path / "room.html"
    place.write_text(written(room, NOON), encoding="utf-8")
    look, trouble = opened(started, place.as_uri())
    assert {text.strip() for text in look.locator("tbody th").all_inner_texts()} == set(HOSTILE)
    assert look.locator("script, img, [onclick], [onerror]").count() == 0
    assert look.title() == "In the room" and not trouble
    look.close()


HIDDEN = "".join(map(chr, (*range(9), *range(11, 32), 127, 0x85, 0x200B, 0x2028, 0x202E, 0x2066)))


def test_the_page_makes_text_safe_by_itself_whoever_let_it_in() -> None:
    """The alias is read strictly before; this is the second door, which needs no first one."""
    name = "<b onclick=x()>" + HIDDEN
    shown = view(Room(), NOON, 600)
    people = (Person(name, None, name, {name: name}, name, True),)
    hostile = replace(shown, people=people, visits=(Visit(name, (name,)),),
                      lessons={name: {name: 1}}, held=(Held(name, 1, (name, 1)),))  # fmt: skip
    text = page(hostile, NOON, stuck_s=600, state=name)
    assert "<b onclick" not in text and not set(HIDDEN) & set(text)
    assert text.count("&lt;b onclick=x()&gt;") == 12
    large = large_page(hostile, NOON, state=name)
    assert "<b onclick" not in large and not set(HIDDEN) & set(large)


def test_the_room_speaks_by_one_way_to_a_terminal_and_by_one_to_a_page() -> None:
    for path in sorted(Path(checks.room.__file__).parent.glob("*.py")):
        tree = ast.parse(path.read_text(encoding="utf-8"))
        names = {node.id for node in ast.walk(tree) if isinstance(node, ast.Name)}
        brought = {node.module for node in ast.walk(tree) if isinstance(node, ast.ImportFrom)}
        assert "print" not in names and "html" not in brought, path.name


def test_even_a_script_that_got_in_would_not_run(started: Browser, tmp_path: Path) -> None:
    spoilt = written(Room(), NOON).replace(
        "</body>", "<script>document.title = 'ran'</script>"
        "<img src=x onerror=\"document.title='ran'\"></body>"
    )  # fmt: skip
    place = tmp_path / "room.html"
    place.write_text(spoilt, encoding="utf-8")
    look, trouble = opened(started, place.as_uri())
    assert look.title() == "In the room" and trouble, "the policy has refused it"
    look.close()


def test_the_page_takes_up_what_is_new_by_itself(started: Browser, tmp_path: Path) -> None:
    place = tmp_path / "room.html"
    place.write_text(written(Room(), NOON), encoding="utf-8")
    look, _ = opened(started, place.as_uri())
    assert "Nobody has joined yet" in look.inner_text("body")
    room, now = a_class(3)
    place.write_text(written(room, now), encoding="utf-8")
    look.wait_for_selector("tbody tr", timeout=60_000)
    look.close()


def test_it_stands_alone_and_a_screen_that_has_ended_refreshes_no_more() -> None:
    room, now = a_class(60)
    text = written(room, now)
    assert not re.search(r"(src|href)=|url\(|@import|<script", text)
    assert "default-src 'none'" in text and 'http-equiv="refresh"' in text
    ended = written(room, now, "Ended at 10:40.", ended=True)
    assert 'http-equiv="refresh"' not in ended and "Ended at 10:40" in ended


def test_a_long_list_of_visits_does_not_push_everyone_off_the_screen() -> None:
    room = Room()
    for number in range(40):
        room.hear(key(number), READY, ready(f"Gull {number}", ["kernel"]), NOON)
    text = written(room, NOON)
    above, _, below = text.partition("<h2>Everyone</h2>")
    assert above.count("<li>") == 12 and below.count("<li>") == 28 and "start='13'" in below
