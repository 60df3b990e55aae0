"""In a notebook: the image has its alternative text, and runs compare across machines."""

from __future__ import annotations

import base64
import html
import re
from html.parser import HTMLParser

import nbformat
import pytest
from nbconvert import HTMLExporter

from robotsim.show import show
from robotsim.show.compose import figure
from robotsim.show.display import SANITIZE, bundle
from robotsim.show.words import alt_text
from tests.robotsim.show.recordings import Basin, drift


class Images(HTMLParser):
    def __init__(self, page: str) -> None:
        super().__init__()
        self.found: list[dict[str, str | None]] = []
        self.feed(page)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if tag == "img":
            self.found.append(dict(attrs))


def test_the_image_carries_the_words_as_alternative_text() -> None:
    stored = bundle(figure(drift(), table=Basin()))
    (image,) = Images(stored["text/html"]).found
    assert image["alt"] == stored["text/plain"] == alt_text(drift())
    head, _, data = str(image["src"]).partition(",")
    assert head == "data:image/png;base64"
    assert base64.b64decode(data).startswith(b"\x89PNG")


def test_words_with_marks_of_html_stay_words() -> None:
    drawn = figure(drift())
    drawn.set_label('<script>"&')
    stored = bundle(drawn)
    (image,) = Images(stored["text/html"]).found
    assert image["alt"] == '<script>"&'
    assert "<script>" not in stored["text/html"]


def test_without_the_picture_nothing_depends_on_the_machine() -> None:
    stored = bundle(figure(drift(), table=Basin()))
    left = re.sub(*SANITIZE, stored["text/html"])
    assert left == (
        '<style>[data-jp-theme-light="false"] .quay-picture { filter: brightness(0.72) }</style>'
        f'<img alt="{html.escape(alt_text(drift()))}" class="quay-picture" width="1000" '
        'style="max-width: 100%; height: auto" src="PICTURE">'
    )


def test_the_page_that_nbconvert_writes_has_the_alternative_text() -> None:
    stored = bundle(figure(drift(), table=Basin()))
    cell = nbformat.v4.new_code_cell(
        "run()", outputs=[nbformat.v4.new_output("display_data", data=stored)]
    )
    page, _ = HTMLExporter().from_notebook_node(nbformat.v4.new_notebook(cells=[cell]))
    told = [image["alt"] for image in Images(page).found]
    assert told == [alt_text(drift())]


def test_show_prints_the_lines_and_shows_one_picture(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    shown: list[dict[str, str]] = []
    monkeypatch.setattr("IPython.display.display", lambda data, raw: shown.append(data))
    show(drift(), table=Basin())
    caught = capsys.readouterr()
    assert caught.out.startswith("  0.250 s  hello\n") and caught.err == ""
    assert [set(data) for data in shown] == [{"text/html", "text/plain"}]
