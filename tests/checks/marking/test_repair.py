"""A learner's file in order: pictures stay, and no file whatever does more than cost a line."""

from __future__ import annotations

import base64
import io
import json
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from checks.marking.frames import read_frame, write_frame
from checks.marking.harmless import markdown
from checks.marking.repair import repair
from robotsim import KitError

PNG = base64.b64encode(b"\x89PNG\r\n\x1a\n" + bytes(40)).decode()


def cell(name: str, kind: str, text: str, **about: Any) -> dict[str, Any]:
    own = {"grade_id": name, "grade": False, "locked": False, "solution": True, **about}
    return {"cell_type": kind, "id": name, "metadata": {"nbgrader": own}, "source": text}


QUESTION = cell("lamps-why", "markdown", "Why?", locked=True, solution=False)
ANSWER = cell("lamps-words", "markdown", "*Write your answer here.*", grade=True)
PROGRAM = cell("lamps-side-program", "code", "%%program side.py\nx = 1")
GIVEN = json.dumps({"cells": [QUESTION, ANSWER, PROGRAM], "metadata": {}}).encode()


def handed_in(**answer: Any) -> bytes:
    return json.dumps({"cells": [QUESTION, {**ANSWER, **answer}, PROGRAM]}).encode()


def answer_of(data: bytes) -> dict[str, Any]:
    (found,) = (c for c in repair(data, GIVEN, "lamps").notebook["cells"]
                if c["id"] == "lamps-words")  # fmt: skip
    return dict(found)


def test_a_picture_pasted_into_an_answer_stays() -> None:
    pictures = {"sketch.png": {"image/png": PNG}}
    found = answer_of(handed_in(source="![](attachment:sketch.png)", attachments=pictures))
    assert found["attachments"] == pictures


def test_a_picture_in_a_text_of_the_learners_own_stays() -> None:
    own = {"cell_type": "markdown", "metadata": {}, "source": "![](attachment:a.png)",
           "attachments": {"a.png": {"image/png": [PNG[:20], PNG[20:]]}}}  # fmt: skip
    data = json.dumps({"cells": [QUESTION, ANSWER, own, PROGRAM]}).encode()
    found = [c for c in repair(data, GIVEN, "lamps").notebook["cells"] if "attachments" in c]
    assert [c["attachments"] for c in found] == [{"a.png": {"image/png": PNG}}]


@pytest.mark.parametrize(
    "attached",
    [
        {"a.svg": {"image/svg+xml": PNG}}, {"a.png": {"image/png": "<script>"}},
        {"a.png": {"text/html": PNG}}, {"a.png": {"image/png": 7}},
        {"a.png": {"image/png": "A" * 30_000_000}},
    ],
)  # fmt: skip
def test_what_is_no_picture_is_left_out_and_told(attached: Any) -> None:
    done = repair(handed_in(source="x", attachments=attached), GIVEN, "lamps")
    assert "attachments" not in str(done.notebook)
    assert any("A picture in a text was left out" in note for note in done.notes)


def rendered(source: str, attachments: Any) -> str:
    from jinja2 import Environment

    env = Environment()  # noqa: S701
    env.filters["md"] = markdown
    return env.from_string("{{ source | md }}").render(
        source=source, cell={"attachments": attachments}
    )


def test_a_picture_is_shown_and_a_missing_one_costs_itself_alone() -> None:
    assert f"data:image/png;base64,{PNG}" in rendered(
        "![](attachment:a.png)", {"a.png": {"image/png": PNG}}
    )
    for attachments in ({}, {"a.png": {}}, {"a.png": {"text/html": "<script>"}}):
        page = rendered("before ![my sketch](attachment:a.png) after", attachments)
        assert "before" in page and "after" in page and "my sketch" in page
        assert "script" not in page and "src" not in page


def test_half_a_letter_in_a_cells_name_reaches_no_page_and_no_file() -> None:
    for odd in ("\ud800", "\udfff-x", "lamps-words\ud800"):
        about = {"nbgrader": {"grade_id": odd}}
        other = {"cell_type": "code", "metadata": about, "source": odd, "id": odd}
        data = json.dumps({"cells": [QUESTION, other, ANSWER]}).encode()
        done = repair(data, GIVEN, "lamps")
        json.dumps([done.notebook, done.notes], ensure_ascii=False).encode("utf-8")
        with pytest.raises(KitError) as caught:
            repair(json.dumps({"cells": [other]}).encode(), GIVEN, "lamps")
        str(caught.value).encode("utf-8")


def test_half_a_letter_passes_no_pipe_and_is_read_from_no_store() -> None:
    file = io.BytesIO()
    write_frame(file, {"notes": ["\ud800", "Zoë \U0001f98a"]})
    file.seek(0)
    assert read_frame(file) == ({"notes": ["\ufffd", "Zoë \U0001f98a"]}, [])


PLAIN = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(st.characters(), max_size=8)
    | st.sampled_from(["lamps-words", "lamps-side-program", "%%program side.py\nx", "markdown"]),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(
        st.sampled_from(["cells", "source", "cell_type", "metadata", "nbgrader", "grade_id", "id",
                         "outputs", "attachments", "image/png", "worksheets", "input", "data",
                         "text/plain", "output_type"]) | st.text(max_size=3), inner, max_size=5),
    max_leaves=20,
)  # fmt: skip
CELLS = st.fixed_dictionaries(
    {"cell_type": st.sampled_from(["code", "markdown", "raw", 7]), "source": PLAIN},
    optional={"metadata": st.fixed_dictionaries({"nbgrader": st.fixed_dictionaries({
        "grade_id": st.sampled_from(["lamps-words", "lamps-why", "lamps-side-program"]) | PLAIN})}),
        "id": PLAIN, "outputs": PLAIN, "attachments": PLAIN},
)  # fmt: skip
FILES = st.one_of(
    st.binary(max_size=60), PLAIN.map(lambda plain: json.dumps(plain).encode()),
    st.lists(CELLS, max_size=5).map(lambda cells: json.dumps({"cells": cells}).encode()),
)  # fmt: skip


def in_order_or_one_error(data: bytes) -> None:
    try:
        done = repair(data, GIVEN, "lamps")
    except KitError as fault:
        str(fault).encode("utf-8")
        return
    names = [c["metadata"]["nbgrader"]["grade_id"] for c in done.notebook["cells"]
             if "nbgrader" in c["metadata"]]  # fmt: skip
    assert names == ["lamps-why", "lamps-words", "lamps-side-program"]
    text = json.dumps([done.notebook, done.notes, done.seen], ensure_ascii=False)
    text.encode("utf-8")
    assert done.notebook["cells"][0]["source"] == "Why?" or names[0] == "lamps-why"
    again = repair(json.dumps(done.notebook).encode(), GIVEN, "lamps")
    assert again.notebook["cells"] == done.notebook["cells"], "what is in order stays as it is"


@settings(deadline=None, max_examples=200, suppress_health_check=list(HealthCheck))
@given(FILES)
def test_any_file_is_in_order_or_told_in_one_error(data: bytes) -> None:
    in_order_or_one_error(data)


@pytest.mark.long
@settings(deadline=None, max_examples=20_000, suppress_health_check=list(HealthCheck))
@given(FILES)
def test_any_of_many_files_is_in_order_or_told_in_one_error(data: bytes) -> None:
    in_order_or_one_error(data)


@pytest.mark.parametrize("head", ["%program side.py\n", "x = 0\n%%program side.py\n", ""])
def test_a_program_cell_without_its_first_line_is_told(head: str) -> None:
    own = {**PROGRAM, "source": f"{head}x = 2"}
    notes = repair(json.dumps({"cells": [QUESTION, ANSWER, own]}).encode(), GIVEN, "lamps").notes
    assert any("lamps-side-program does not begin with `%%program side.py`" in one for one in notes)
