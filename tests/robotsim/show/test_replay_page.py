"""The replay in a real browser: it plays, scrubs, steps, jumps, lays over, and tells the truth."""

from __future__ import annotations

import dataclasses
import itertools
import math
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import nbformat
import pytest
from nbconvert import HTMLExporter
from playwright.sync_api import Browser, Locator, Page

from robotsim.errors import KitError
from robotsim.recording import Problem, Recording
from robotsim.show.colours import contrast, lamp_hex
from robotsim.show.lines import MOST_RUNS
from robotsim.show.replay import replay_bundle
from robotsim.units import ns
from robotsim.wiring import PINS
from tests.robotsim.show.browser import DARK, opened, written
from tests.robotsim.show.recordings import OFF, at, lamps, motors, recording

pytestmark = pytest.mark.slow

START = (0.41, 0.3, 0.0)
LEGS = [(0.5, 0.0, 0.0), (2.0, 0.25, 0.5), (1.0, 0.0, -0.8)]
SOURCE = "import time\nprint('ahoy')\ntime.sleep(1)\nprint('done')\n"
COLOURS = ((255, 0, 0), (0, 90, 0), (255, 255, 255), OFF, (0, 0, 40))
FAST = 0.05
"""Half a period in s of a lamp that flashes ten times a second."""


def made(aside: float = 0.0) -> Recording:
    """Give a run whose every number is known, with something of each kind in it."""
    looks = [at(k / 10, "adc", PINS[f"eye_{eye}"], 1000 * eye + k)
             for k in range(40) for eye in range(4)]  # fmt: skip
    flashes = [lamps(3.0 + FAST * k, (*COLOURS[:4], (0, 0, 250 * (k % 2))))
               for k in range(60)]  # fmt: skip
    x, y, heading = START
    run = recording(
        seconds=6.0, legs=LEGS, start=(x, y + aside, heading), table="quay", program="go.py",
        events=[at(0.1, "print", "ahoy\n"), *motors(0.5, (0.6, 0), (0.7, 0)), lamps(0.2, COLOURS),
                at(1.5, "message", "taken", "orders/speed", b"0.2".hex(), 3, 0, False, False),
                at(2.0, "touch", "wall", 0.1),
                *motors(2.5, (0, 0.4), (0.4, 0)), at(3.6, "print", "done\n"), *looks, *flashes],
        more={"arm": tuple(0.7 * math.sin(k / 60) for k in range(601))},
    )  # fmt: skip
    lines = ((0, 1), (ns(0.1), 2), (ns(0.2), 3), (ns(3.6), 4))
    told = tuple((when, "go.py", line) for when, line in lines)
    return dataclasses.replace(run, files={"go.py": SOURCE}, lines=told)


MINE, WORKED = made(), made(0.12)
_TROUBLE = Problem("NameError", "name 'x' isn't defined", "go.py", 4, "x()", hint="define it.")
BARE = dataclasses.replace(
    MINE, events=(), tracks={k: v for k, v in MINE.tracks.items() if k != "arm"},
    ended="error", ended_ns=ns(3.7), problem=_TROUBLE,
)  # fmt: skip
"""The same way with nothing lit and no arm: only the hull is to be seen.  It ends in an error."""


@pytest.fixture(scope="module")
def opened_page(
    chrome: Browser, tmp_path_factory: pytest.TempPathFactory
) -> tuple[Page, list[str]]:
    solo = replay_bundle(MINE, marks=[(1.25, "look here")])["text/html"]
    both = replay_bundle(MINE, WORKED, labels=("mine", "worked"))["text/html"]
    file = tmp_path_factory.mktemp("replay") / "page.html"
    bare = replay_bundle(BARE)["text/html"]
    labels = [f"run {k}" for k in range(1, MOST_RUNS + 1)]
    six = replay_bundle(*[MINE, WORKED] * (MOST_RUNS // 2), labels=labels)["text/html"]
    page, trouble = opened(chrome, written(file, solo + both + bare + six))
    page.wait_for_function("() => document.querySelectorAll('[data-metre]').length === 4")
    return page, trouble


@pytest.fixture
def page(opened_page: tuple[Page, list[str]]) -> Iterator[Page]:
    """The page with both replays at their beginning; an error that a test made is found here."""
    shown, trouble = opened_page
    shown.evaluate("() => document.querySelectorAll('.quay-replay').forEach((root) => {"
                   " root.replay.pause(); root.replay.seek(0); })")  # fmt: skip
    yield shown
    assert trouble == []


@pytest.fixture
def solo(page: Page) -> Locator:
    return page.locator(".quay-replay").first


def state(root: Locator) -> dict[str, Any]:
    told: dict[str, Any] = root.evaluate("root => root.replay.state()")
    return told


def seek(root: Locator, t: float) -> None:
    """Go to a time and wait until the lamps are true: tests go to and fro faster than may be."""
    root.evaluate("""(root, t) => new Promise((done) => {
      root.replay.seek(t);
      const look = () => (root.replay.late ? setTimeout(look, 50) : done());
      look();
    })""", t)  # fmt: skip


# -- leading it ------------------------------------------------------------------


def test_it_plays_until_it_is_paused(solo: Locator) -> None:
    solo.get_by_role("button", name="Play").click()
    solo.page.wait_for_function("() => Number(document.querySelector('[data-at]').dataset.at) > .3")
    solo.get_by_role("button", name="Pause").click()
    there = state(solo)["t"]
    assert there > 0.3 and not state(solo)["playing"]
    assert solo.get_attribute("data-at") == f"{there:.3f}"


def test_it_stops_at_the_end_and_plays_again_from_the_beginning(solo: Locator) -> None:
    seek(solo, 5.95)
    solo.get_by_role("button", name="Play").click()
    solo.page.wait_for_function(
        "() => document.querySelector('.quay-replay').replay.state().t === 6"
    )
    assert not state(solo)["playing"]
    solo.get_by_role("button", name="Play").click()
    assert state(solo)["t"] < 3


def test_the_speed_is_heard(solo: Locator) -> None:
    solo.get_by_label("Speed of the replay").select_option("8")
    solo.get_by_role("button", name="Play").click()
    solo.page.wait_for_function("() => document.querySelector('.quay-replay').replay.t > 4")
    solo.get_by_label("Speed of the replay").select_option("1")


def test_the_slider_scrubs_and_the_keys_move_it(solo: Locator) -> None:
    slider = solo.get_by_label("Time in the recording")
    slider.fill("2.5")
    assert state(solo)["t"] == 2.5
    slider.press("ArrowRight")
    assert state(solo)["t"] == pytest.approx(2.51)
    slider.press("Home")
    assert state(solo)["t"] == 0
    slider.press("End")
    assert state(solo)["t"] == 6
    assert slider.get_attribute("aria-valuetext") == "6.00 s"


def test_a_step_goes_from_one_command_to_the_next_and_back(solo: Locator) -> None:
    kinds = ("print", "pwm", "adc")
    times = sorted({event.seconds for event in MINE.of(*kinds)})
    gone = []
    for _ in range(12):
        solo.press(".") if gone else solo.get_by_label("One command on").click()
        gone.append(state(solo)["t"])
    # the four eyes of one round are four commands at one time
    assert sorted(set(gone)) == pytest.approx(times[1 : 1 + len(set(gone))], abs=1e-5)
    solo.press(",")
    assert state(solo)["t"] == pytest.approx(times[len(set(gone)) - 1], abs=1e-5)


def test_a_click_on_a_strip_jumps_there_and_a_drag_follows(solo: Locator) -> None:
    strips = solo.locator("canvas.quay-strips")
    box = strips.bounding_box()
    assert box
    wide = box["width"] - 92 - 2
    strips.click(position={"x": 1 + wide / 2, "y": box["height"] / 2})
    assert state(solo)["t"] == pytest.approx(3.0, abs=0.02)
    mouse, y = solo.page.mouse, box["y"] + 60
    mouse.move(box["x"] + 1 + wide / 4, y)
    mouse.down()
    mouse.move(box["x"] + 1 + wide / 3, y)
    mouse.up()
    assert state(solo)["t"] == pytest.approx(2.0, abs=0.02)


def test_a_moment_is_a_button_that_jumps_to_it(solo: Locator) -> None:
    solo.get_by_role("button", name="Jump to 1.25 s: look here").click()
    assert state(solo)["t"] == 1.25
    solo.get_by_role("button", name="touched wall").click()
    assert state(solo)["t"] == 2.0


def test_strips_of_a_part_of_the_time_turn_over_with_the_cursor(solo: Locator) -> None:
    choice = solo.get_by_label("How much time the strips show")
    choice.select_option("1")
    for t in (0.4, 3.7):
        seek(solo, t)
        assert solo.evaluate("root => root.replay.laid.span") == [math.floor(t), math.floor(t) + 1]
    strips = solo.locator("canvas.quay-strips")
    box = strips.bounding_box()
    assert box
    strips.click(position={"x": 1 + (box["width"] - 94) / 2, "y": 60})
    assert state(solo)["t"] == pytest.approx(3.5, abs=0.01)
    choice.select_option("0")


@pytest.mark.parametrize("span", ["0", "5", "1"])
def test_at_the_very_end_the_strips_still_show_what_was(solo: Locator, span: str) -> None:
    """The end is a multiple of 1 s, and of nothing that 5 s would divide."""
    solo.get_by_label("How much time the strips show").select_option(span)
    seek(solo, 1e9)
    begin, end = solo.evaluate("root => root.replay.laid.span")
    assert begin < 6.0 <= end
    assert solo.evaluate("root => root.replay.t") == 6.0
    solo.get_by_label("How much time the strips show").select_option("0")


def test_on_paper_nothing_lies_over_the_plan_and_no_button_is_left(page: Page) -> None:
    page.emulate_media(media="print")
    page.set_viewport_size({"width": 690, "height": 1000})  # an A4 sheet with its margins
    page.evaluate("() => window.dispatchEvent(new Event('beforeprint'))")
    try:
        for root in page.locator(".quay-replay").all():
            plan, strips, whole = (
                part.bounding_box()
                for part in (root.locator(".quay-plan"), root.locator(".quay-strips"), root)
            )
            assert plan and strips and whole
            assert strips["y"] >= plan["y"] + plan["height"]
            assert strips["x"] + strips["width"] <= whole["x"] + whole["width"] <= 690
            assert not any(button.is_visible() for button in root.locator("button").all())
    finally:
        page.emulate_media(media="screen")
        page.set_viewport_size({"width": 1280, "height": 900})
        page.evaluate("() => window.dispatchEvent(new Event('afterprint'))")


@pytest.mark.parametrize("side", ["left", "right"])
def test_a_wheel_has_the_colour_that_it_has_in_the_pictures(
    solo: Locator, side: str
) -> None:
    """Blue on the left, vermilion on the right (Okabe and Ito), as `show/style.py` deals them."""
    bluer, redder = solo.evaluate(
        """(root, name) => {
        const { places } = root.replay.laid;
        const { top, strip } = places.find((place) => place.strip.name.startsWith(name));
        const pen = root.querySelector("canvas.quay-strips").getContext("2d");
        const { data } = pen.getImageData(0, top, root.replay.wide - 96, strip.high);
        const apart = [0, 0];
        for (let k = 0; k < data.length; k += 4) {
          apart[0] += data[k + 2] - data[k] > 60;
          apart[1] += data[k] - data[k + 2] > 60;
        }
        return apart; }""",
        f"{side} motor",
    )
    assert (bluer > 50, redder > 50) == (side == "left", side == "right")


# -- what is drawn ---------------------------------------------------------------

MASS = """(canvas, [red, green, blue]) => {
  const { width, height } = canvas;
  const { data } = canvas.getContext("2d").getImageData(0, 0, width, height);
  let [n, x, y, left, right, top, low] = [0, 0, 0, width, 0, height, 0];
  for (let k = 0; k < data.length; k += 4) {
    if (data[k] !== red || data[k + 1] !== green || data[k + 2] !== blue) continue;
    const [px, py] = [(k / 4) % width, Math.floor(k / 4 / width)];
    n += 1; x += px; y += py;
    left = Math.min(left, px); right = Math.max(right, px + 1);
    top = Math.min(top, py); low = Math.max(low, py + 1);
  }
  return { n, x: x / n + 0.5, y: y / n + 0.5, left, right, top, low };
}"""
AT = """(canvas, [x, y]) => Array.from(
  canvas.getContext("2d").getImageData(Math.floor(x), Math.floor(y), 1, 1).data.slice(0, 3))"""


def rgb(colour: str) -> list[int]:
    return [int(colour[k : k + 2], 16) for k in (1, 3, 5)]


def metres(root: Locator) -> tuple[float, float, float]:
    """Find the table in the picture by its walls' inner edge: pixels a metre, left, low."""
    plan = root.locator("canvas.quay-plan")
    floor = plan.evaluate(MASS, rgb("#fafaf7"))
    scale = (floor["right"] - floor["left"]) / 1.6
    assert (floor["low"] - floor["top"]) / 1.2 == pytest.approx(scale, rel=0.01)
    return scale, floor["left"], floor["low"]


@pytest.mark.parametrize("t", [0.0, 0.9, 1.234, 2.5, 5.0])
def test_the_tug_is_drawn_where_the_recording_has_it(page: Page, t: float) -> None:
    bare = page.locator(".quay-replay").nth(2)
    seek(bare, t)
    scale, left, low = metres(bare)
    deck = bare.locator("canvas.quay-plan").evaluate(MASS, rgb("#c9d1d9"))
    x, y = (deck["left"] + deck["right"]) / 2, (deck["top"] + deck["low"]) / 2
    assert (x - left) / scale == pytest.approx(MINE.at("x", t), abs=0.003)
    assert (low - y) / scale == pytest.approx(MINE.at("y", t), abs=0.003)
    wide = (deck["right"] - deck["left"]) / scale  # the hull, to scale, without its outline
    assert 0.116 - 6 / scale <= wide <= 0.116


def test_the_tug_points_where_it_heads(solo: Locator) -> None:
    """The red lamp sits ahead and to port of the middle."""
    for t in (0.0, 2.0, 3.4):
        seek(solo, t)
        plan = solo.locator("canvas.quay-plan")
        red = plan.evaluate(MASS, [255, 0, 0])
        if not red["n"]:
            assert t == 0.0  # not lit yet
            continue
        scale, left, low = metres(solo)
        ahead = (
            (red["x"] - left) / scale - MINE.at("x", t),
            (low - red["y"]) / scale - MINE.at("y", t),
        )
        assert math.dist((0, 0), ahead) == pytest.approx(math.hypot(0.030, 0.026), abs=0.004)
        bearing = math.atan2(ahead[1], ahead[0]) - MINE.at("heading", t)
        assert math.remainder(bearing, math.tau) == pytest.approx(math.atan2(26, 30), abs=0.15)


def test_lamps_glow_in_their_true_colours(solo: Locator) -> None:
    seek(solo, 1.0)
    close = solo.locator("canvas.quay-close")
    wide, high = close.evaluate("canvas => [canvas.width, canvas.height]")
    scale = wide / 0.15
    for (ahead, port), colour in zip(
        ((0.030, 0.026), (0.030, -0.026), (0.010, 0.0), (-0.044, 0.0), (-0.018, 0.0)), COLOURS,
        strict=True,
    ):  # fmt: skip
        spot = [wide / 2 - port * scale, high - 0.07 * scale - ahead * scale]
        assert close.evaluate(AT, spot) == pytest.approx(rgb(lamp_hex(colour)), abs=1)


def test_eyes_are_coloured_by_what_they_read_and_dark_is_a_high_count(solo: Locator) -> None:
    seek(solo, 2.05)
    assert state(solo)["eyes"] == [20, 1020, 2020, 3020]
    close = solo.locator("canvas.quay-close")
    wide, high = close.evaluate("canvas => [canvas.width, canvas.height]")
    scale = wide / 0.15
    greys = []
    for port in (0.018, 0.006, -0.006, -0.018):
        spot = [wide / 2 - port * scale, high - (0.07 + 0.044) * scale]
        greys.append(close.evaluate(AT, spot)[0])
    assert greys == pytest.approx([255 * (1 - c / 4095) for c in (20, 1020, 2020, 3020)], abs=2)


def test_the_path_is_drawn_as_far_as_the_tug_has_come(solo: Locator) -> None:
    ink = rgb("#0072b2")
    plan = solo.locator("canvas.quay-plan")
    lengths = []
    for t in (0.5, 1.5, 2.5, 5.0):
        seek(solo, t)
        lengths.append(plan.evaluate(MASS, ink)["n"])
    assert lengths[0] == 0 and lengths[1] > 50 and lengths[2] > 1.5 * lengths[1]
    assert lengths[3] == pytest.approx(lengths[2], rel=0.25)  # it only turned on the spot


def test_a_strips_curve_is_as_high_as_its_value(solo: Locator) -> None:
    place = solo.evaluate(
        "root => { const p = root.replay.laid.places.find((p) => p.strip.name.startsWith('arm'));"
        " return [p.top, p.strip.high, root.replay.wide]; }"
    )
    top, high, wide = place
    strips = solo.locator("canvas.quay-strips")
    for t in (0.7, 1.9, 4.1):
        seek(solo, 5.5)
        x = 1 + t / 6 * (wide - 94)
        column = strips.evaluate(
            """(canvas, box) => { const [x, top, high] = box.map(Math.floor);
            const d = canvas.getContext("2d").getImageData(x, top, 1, high).data;
            const blue = (k) => d[4 * k] < 130 && d[4 * k + 2] > 150;
            return [...Array(high).keys()].filter(blue); }""",
            [x, top, high],
        )  # fmt: skip
        assert column
        middle = sum(column) / len(column) + 0.5
        value = -60 + 120 * (high - 2 - middle) / (high - 4)
        assert value == pytest.approx(math.degrees(MINE.at("arm", t)), abs=3)


def test_the_running_line_and_what_was_printed_are_shown_in_step(solo: Locator) -> None:
    said = ["ahoy", "taken orders/speed: 0.2", "done"]
    for t, line, told in ((0.05, 1, 0), (0.15, 2, 1), (2.0, 3, 2), (3.7, 4, 3)):
        seek(solo, t)
        running = solo.locator(".quay-runs .quay-code")
        assert running.all_text_contents() == [SOURCE.split("\n")[line - 1]]
        shown = solo.locator(".quay-told:not(.quay-later) .quay-code")
        assert shown.all_text_contents() == said[:told]


def test_where_a_program_failed_is_marked_and_what_to_try_is_told(page: Page) -> None:
    bare = page.locator(".quay-replay").nth(2)
    assert bare.locator("[data-failed] .quay-no").all_text_contents() == ["4"]
    assert "Try: define it." in bare.locator(".quay-problem").inner_text()


def test_two_recordings_are_laid_over_each_other(page: Page) -> None:
    both = page.locator(".quay-replay").nth(1)
    seek(both, 2.5)
    first, second = state(both)["poses"]
    assert second[1] - first[1] == pytest.approx(0.12, abs=1e-4)
    plan = both.locator("canvas.quay-plan")
    assert both.locator(".quay-legend").inner_text().split("\n") == [
        "solid: mine",
        "dashed: worked",
    ]
    lower, upper = (plan.evaluate(MASS, rgb(ink)) for ink in ("#0072b2", "#b04e00"))
    scale, _, low = metres(both)
    assert lower["n"] > upper["n"] > 30  # solid and dashed
    for run, ink in ((MINE, lower), (WORKED, upper)):
        ys = [run.at("y", t) for t in (0.5, 2.5)]
        assert (low - ink["low"]) / scale == pytest.approx(min(ys), abs=0.01)
    assert len(both.locator(".quay-column").all()) == 2
    told = both.locator(".quay-moments button, .moments button").all_inner_texts()
    assert {"mine", "worked"} <= {words.partition(": ")[2].partition(":")[0] for words in told}


def test_at_the_beginning_the_cursor_lies_on_no_strips_name(solo: Locator) -> None:
    names = """root => root.replay.laid.places.map(({ top }) => {
      const { stripes } = root.replay, sharp = stripes.width / parseFloat(stripes.style.width);
      const pen = stripes.getContext("2d");
      return [...pen.getImageData(0, (top - 14) * sharp, 5 * sharp, 11 * sharp).data].join();
    })"""
    seek(solo, 2.0)
    free = solo.evaluate(names)
    seek(solo, 0.0)
    assert solo.evaluate(names) == free


# -- for everyone ----------------------------------------------------------------


def test_six_runs_are_told_apart_by_their_dashes_and_names_and_no_more_are_taken(
    page: Page,
) -> None:
    six = page.locator(".quay-replay").nth(3)
    told = six.locator(".quay-legend span").all_inner_texts()
    names = [f"run {k}" for k in range(1, MOST_RUNS + 1)]
    assert [words.partition(": ")[2] for words in told] == names
    assert len({words.partition(": ")[0] for words in told}) == MOST_RUNS
    assert six.evaluate("root => new Set(root.replay.inks.runs).size") == MOST_RUNS
    inks = [rgb(ink) for ink in six.evaluate("root => root.replay.inks.texts")]
    shown = "spans => spans.map((one) => getComputedStyle(one).color.match(/\\d+/g).map(Number))"
    assert six.locator(".quay-legend span").evaluate_all(shown) == [list(ink) for ink in inks]
    seek(six, 2.0)
    wide = six.evaluate("root => root.replay.close.clientWidth - root.replay.left.clientWidth")
    assert wide <= 0 and six.locator(".quay-column").count() == MOST_RUNS
    with pytest.raises(KitError, match=f"up to {MOST_RUNS}"):
        replay_bundle(*[MINE] * (MOST_RUNS + 1))


def test_no_lamp_flashes_more_than_three_times_in_a_second_while_it_plays(solo: Locator) -> None:
    """WCAG 2.2, 2.3.1: no more than three flashes, pairs of opposing changes, in any second."""
    seek(solo, 3.0)
    seen = solo.evaluate(
        """root => new Promise((done) => { const seen = []; root.replay.play();
        const told = () => [...root.querySelectorAll(".quay-note")].map(n => n.textContent).join();
        const look = (now) => { seen.push([now, root.replay.shownLamps[0][4][2], told()]);
          if (root.replay.t < 5.9 && root.replay.playing) requestAnimationFrame(look);
          else done(seen); };
        requestAnimationFrame(look); })"""
    )
    changes = [b[0] for a, b in itertools.pairwise(seen) if abs(a[1] - b[1]) >= 25]
    assert len(seen) > 30, "too few looks to see more than six changes a second"
    assert all(sum(t <= u < t + 1000 for u in changes) <= 6 for t in changes)
    assert any("shown as its mean" in look[2] for look in seen)
    seek(solo, 1.0)


def test_dragging_to_and_fro_makes_no_flashes_either(solo: Locator) -> None:
    seen = solo.evaluate(
        """root => { const seen = []; for (let k = 0; k < 40; k++) {
        root.replay.seek(3.01 + 0.05 * (k % 20)); seen.push(root.replay.shownLamps[0][4][2]); }
        return seen; }"""
    )
    assert sum(abs(a - b) >= 25 for a, b in itertools.pairwise(seen)) <= 6
    solo.page.wait_for_timeout(1400)  # then what is true is shown again
    t = state(solo)["t"]
    assert state(solo)["lamps"][0][4] == list(MINE.lamps_at(t)[4])


def test_everything_can_be_reached_by_keyboard_and_has_a_name(page: Page, solo: Locator) -> None:
    solo.get_by_label("One command back").focus()
    reached = []
    for _ in range(11):
        reached.append(page.evaluate("() => document.activeElement.getAttribute('aria-label')"))
        page.keyboard.press("Tab")
    assert reached[1].startswith("Play") and "Time in the recording" in reached
    assert {"program", "printed lines and messages"} <= {*reached}
    assert all(reached), reached
    for canvas in solo.locator("canvas").all():
        assert canvas.get_attribute("role") == "img"
        assert len(canvas.get_attribute("aria-label") or "") > 30
    assert "go.py" in (solo.get_attribute("aria-label") or "")
    seek(solo, 2.0)
    said = solo.locator("[aria-live]").inner_text()
    assert said.startswith("At 2.00 s: ") and "line 3" in said


def test_keys_stay_in_the_replay_and_do_not_act_on_the_cell(page: Page, solo: Locator) -> None:
    page.evaluate("() => { window.heard = []; document.onkeydown = (e) => heard.push(e.key); }")
    solo.get_by_label("One command on").focus()
    for key in ("b", ".", "Home"):
        page.keyboard.press(key)
    assert page.evaluate("() => window.heard") == []
    # Notebook 7 listens before anyone else, and looks at what has the focus alone.
    for node in solo.locator("button, select, input, [tabindex]").all():
        assert node.get_attribute("data-lm-suppress-shortcuts") == "true"


CONTRASTS = """root => {
  const found = [];
  const ground = (node) => {
    for (; node; node = node.parentElement) {
      const colour = getComputedStyle(node).backgroundColor;
      if (colour !== "rgba(0, 0, 0, 0)") return colour;
    }
    return "rgb(255, 255, 255)";
  };
  for (const node of root.querySelectorAll("*")) {
    const own = [...node.childNodes].some((n) => n.nodeType === 3 && n.textContent.trim());
    if (own) found.push([node.className, getComputedStyle(node).color, ground(node)]);
  }
  const inks = root.replay.inks;
  for (const ink of [inks.ink, inks.quiet, ...inks.texts]) found.push(["canvas", ink, inks.paper]);
  return found;
}"""


def test_every_text_stands_out_from_its_ground_in_both_themes(page: Page, solo: Locator) -> None:
    """WCAG 2.2, 1.4.3: 4.5 for text; 1.4.11: 3 for what must be seen to understand a picture."""

    def hexed(colour: str) -> str:
        if colour.startswith("#"):
            return colour
        numbers = colour[colour.index("(") + 1 : -1].split(",")[:3]
        return "#" + "".join(f"{int(number):02x}" for number in numbers)

    for light in ("true", "false"):
        page.evaluate("light => { document.body.dataset.jpThemeLight = light; }", light)
        page.wait_for_function(
            "dark => dark === (document.querySelector('.quay-dark') !== null)", arg=light == "false"
        )
        seek(solo, 2.0)
        found = solo.evaluate(CONTRASTS)
        assert len({name for name, _, _ in found}) > 6
        for name, ink, ground in found:
            assert contrast(hexed(ink), hexed(ground)) >= 4.5, (light, name, ink, ground)
        inks = solo.evaluate("root => root.replay.inks")
        for ink in (*inks["paths"], inks["wall"], inks["outline"], inks["target"]):
            assert contrast(ink, inks["floor"]) >= 3, (light, ink)
        for ink in (*inks["runs"], inks["cursor"], *inks["eyes"]):
            assert contrast(ink, inks["ground"]) >= 3, (light, ink)
    page.evaluate("() => { document.body.dataset.jpThemeLight = 'true'; }")


def test_reduced_motion_steps_twice_a_second(chrome: Browser, tmp_path: Path) -> None:
    address = written(tmp_path / "calm.html", replay_bundle(MINE)["text/html"], DARK)
    page, trouble = opened(chrome, address, reduced_motion="reduce")
    root = page.locator(".quay-replay")
    page.wait_for_selector("[data-metre]")
    shown = root.evaluate(
        """root => new Promise((done) => { const at = new Set(); root.replay.play();
        const look = () => { at.add(root.dataset.at);
          if (root.replay.t < 1.4) requestAnimationFrame(look); else done(at.size); };
        requestAnimationFrame(look); })"""
    )
    assert 2 <= shown <= 5
    assert trouble == []
    page.close()


# -- where it is shown -----------------------------------------------------------


def test_where_no_script_runs_the_picture_with_its_words_stays(
    chrome: Browser, tmp_path: Path
) -> None:
    address = written(tmp_path / "bare.html", replay_bundle(MINE)["text/html"])
    page, _ = opened(chrome, address, java_script_enabled=False)
    image = page.locator(".quay-player img")
    assert image.is_visible() and len(image.get_attribute("alt") or "") > 60
    page.close()


def test_it_plays_on_a_page_that_nbconvert_wrote_with_no_kernel_and_no_network(
    chrome: Browser, tmp_path: Path
) -> None:
    output = nbformat.v4.new_output("display_data", data=replay_bundle(MINE))
    cell = nbformat.v4.new_code_cell("replay(mine)", outputs=[output])
    text, _ = HTMLExporter().from_notebook_node(nbformat.v4.new_notebook(cells=[cell]))
    (tmp_path / "lesson.html").write_text(text, encoding="utf-8")
    page = chrome.new_page()
    page.route("http*://**", lambda route: route.abort())
    faults: list[str] = []
    page.on("pageerror", lambda fault: faults.append(str(fault)))
    page.goto((tmp_path / "lesson.html").as_uri())
    page.wait_for_selector("[data-metre]")
    page.get_by_role("button", name="Play").click()
    page.wait_for_function("() => document.querySelector('.quay-replay').replay.t > 0.2")
    # nbconvert's own page asks the network for MathJax and require.js
    assert [fault for fault in faults if "quay" in fault.lower()] == []
    page.close()
