"""The sliders in a real browser: their names, their keys, and one picture asked for at a time."""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect

from robotsim.show import controls
from robotsim.show.controls import Choice, Span
from tests.robotsim.show.browser import DARK, LIGHT, opened, written

HERE = Path(controls.__file__).parent
KNOBS = [
    Span("us", "pulse in us", 1500, 400, 2600, 10),
    Choice("seconds", "shows", 0.02, [("5 ms", 0.005), ("20 ms", 0.02)]),
]
ODD = [Span("percent", "duty in %", 33, 0, 100, 2)]
MODEL = """
const model = {
  values: VALUES, calls: [], told: {},
  get(name) { return this.values[name]; },
  set(name, value) { this.values[name] = value; },
  save_changes() { this.calls.push({ ...this.values.asked }); },
  on(name, call) { this.told[name] = call; },
};
render({ model, el: document.getElementById("el") });
window.model = model;
"""


def with_controls(
    chrome: Browser, folder: Path, look: str, knobs: Sequence[Choice | Span]
) -> tuple[Page, list[str]]:
    """Open a page with controls, and a stand-in for the kernel that answers when it is told to."""
    values = {"knobs": [knob.told() for knob in knobs], "asked": {}, "drawn": 0}
    script = (HERE / "controls.js").read_text(encoding="utf-8").split("export default")[0]
    style = (HERE / "controls.css").read_text(encoding="utf-8")
    body = (
        f"<style>{style}</style><div id='el'></div><script type='module'>{script}"
        f"{MODEL.replace('VALUES', json.dumps(values))}</script>"
    )
    return opened(chrome, written(folder / "page.html", body, look))


@pytest.fixture(params=[LIGHT, DARK], ids=["light", "dark"])
def page(chrome: Browser, tmp_path: Path, request: pytest.FixtureRequest) -> Iterator[Page]:
    """A page with the controls."""
    shown, trouble = with_controls(chrome, tmp_path, request.param, KNOBS)
    yield shown
    assert trouble == []
    shown.close()


def asked(page: Page) -> list[dict[str, float]]:
    return list(page.evaluate("model.calls"))


def answer(page: Page) -> None:
    page.evaluate("model.told['change:drawn']()")


def test_each_has_its_name_and_can_be_typed_as_well(page: Page) -> None:
    tree = page.locator(".quay-controls").aria_snapshot()
    assert 'group "Move the picture above"' in tree
    assert 'slider "pulse in us": "1500"' in tree and 'combobox "shows"' in tree
    box = page.get_by_role("spinbutton", name="pulse in us, as a number")
    box.fill("2000")
    box.press("Enter")
    assert asked(page) == [{"us": 2000, "seconds": 1}]
    answer(page)
    box.fill("1503")
    box.press("Enter")
    assert asked(page)[-1]["us"] == 1503 and box.input_value() == "1503", "no number but the typed"
    answer(page)
    page.get_by_role("slider").press("ArrowRight")
    assert asked(page)[-1]["us"] == 1510, "by hand it goes in its steps"
    answer(page)
    box.fill("99999")
    box.press("Tab")
    assert asked(page)[-1]["us"] == 2600 and box.input_value() == "2600", "no farther than its end"


def test_it_stands_at_first_at_what_the_picture_shows(chrome: Browser, tmp_path: Path) -> None:
    """A drawing that was asked for between two steps of its slider."""
    shown, trouble = with_controls(chrome, tmp_path, LIGHT, ODD)
    box, slider = shown.get_by_role("spinbutton"), shown.get_by_role("slider")
    assert (box.input_value(), slider.input_value()) == ("33", "33")
    slider.press("ArrowRight")
    assert asked(shown)[-1]["percent"] in (34, 36) and not trouble
    shown.close()


def test_keys_move_it_and_leave_the_notebook_alone(page: Page) -> None:
    page.evaluate("addEventListener('keydown', () => { window.heard = true })")
    slider = page.get_by_role("slider")
    slider.focus()
    slider.press("ArrowRight")
    assert asked(page) == [{"us": 1510, "seconds": 1}]
    assert not page.evaluate("window.heard")
    assert slider.get_attribute("data-lm-suppress-shortcuts") == "true"  # of Lumino 2, read there


def test_one_picture_is_asked_for_at_a_time_and_the_last_place_is_never_lost(page: Page) -> None:
    slider = page.get_by_role("slider")
    slider.focus()
    for _ in range(20):
        slider.press("ArrowRight")
    assert [one["us"] for one in asked(page)] == [1510]
    answer(page)
    assert [one["us"] for one in asked(page)] == [1510, 1700]
    answer(page)
    assert len(asked(page)) == 2
    page.get_by_role("combobox").select_option("5 ms")
    assert asked(page)[-1] == {"us": 1700, "seconds": 0}


def test_who_gets_no_answer_is_told_what_to_do(page: Page) -> None:
    told = page.get_by_role("status")
    expect(told).to_be_hidden()
    page.get_by_role("slider").press("ArrowLeft")
    expect(told).to_be_visible(timeout=6000)
    expect(told).to_contain_text("run this cell again")
    answer(page)
    expect(told).to_be_hidden()
