"""Errors: what happened, where, what to try - for a person, and in a notebook."""

from __future__ import annotations

import pickle
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from robotsim.errors import KitError, LinkError, UnknownNameError, nearest, unreadable


def test_an_error_gives_its_three_sentences_in_their_order() -> None:
    fault = KitError("It sank.", where="harbour.py, line 3", hint="close the valve.")
    assert str(fault) == "It sank.\nWhere: harbour.py, line 3\nTry: close the valve."
    assert (fault.what, fault.where, fault.hint) == (
        "It sank.", "harbour.py, line 3", "close the valve.",
    )  # fmt: skip


def test_a_sentence_that_is_not_there_leaves_no_gap() -> None:
    assert str(KitError("It sank.")) == "It sank."
    assert str(KitError("It sank.", hint="swim.")) == "It sank.\nTry: swim."


def test_a_notebook_shows_the_sentences_and_not_our_call_stack() -> None:
    rows = KitError("It sank.", hint="swim.")._render_traceback_()
    assert rows == ["KitError: It sank.", "Try: swim."]


def test_an_unknown_name_is_told_with_all_known_ones_and_the_nearest() -> None:
    fault = UnknownNameError("table", "bassin", ["quay", "basin"])
    assert str(fault) == (
        "There is no table called 'bassin'. Known: basin, quay.\nTry: did you mean 'basin'?"
    )
    assert isinstance(fault, KitError) and isinstance(fault, LookupError)


@pytest.mark.parametrize("name", ["zzz", "", None, 7])
def test_a_name_near_to_none_is_told_without_a_guess(name: object) -> None:
    assert "did you mean" not in str(UnknownNameError("table", name, ["quay", "basin"]))
    assert "Known: none" in str(UnknownNameError("table", name, []))


def test_what_is_of_a_kind_is_spoken_of_in_no_wrong_plural() -> None:
    told = str(UnknownNameError("kind of fault", "sometimes", ["any", "arm-loose"]))
    assert told.endswith("Try: choose one of those above.")


def test_a_file_that_is_not_there_is_told_by_its_whole_path_and_the_nearest_one(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Who stands in another folder than they think must see which one was looked into."""
    monkeypatch.chdir(tmp_path)
    Path("card").mkdir()
    Path("card", "tug.json").write_text("{}")
    Path("day1").mkdir()
    for name in ("survey.py", "survye.txt", "day1/log.txt", "log.py"):
        Path(name).write_text("")
    for name, meant in (("card/tugg.json", "card/tug.json"), ("card/zzz", ""),
                        ("tug.json", "card/tug.json"), ("log.txt", "day1/log.txt"),
                        ("survey.txt", "survye.txt")):  # fmt: skip
        path = Path(name)
        told = f"did you mean {str(Path(meant))!r}? If not, " if meant else ""
        try:
            path.read_text()
        except OSError as fault:
            seen = unreadable("The tug's file", path, fault, "look again.")
        assert seen.what == "The tug's file cannot be read: No such file or directory."
        assert seen.where == str(tmp_path / path) and seen.hint == f"{told}look again."


@given(st.text(), st.lists(st.text()))
def test_the_nearest_name_is_always_a_known_one(name: str, known: list[str]) -> None:
    found = nearest(name, known)
    assert found is None or found in known
    if name in known:
        assert found == name or name == ""


def test_a_fault_of_the_link_is_a_fault_of_the_kit() -> None:
    assert issubclass(LinkError, KitError)


def test_an_error_can_travel_between_processes() -> None:
    """Many trials run side by side: what one raises must come home in one piece."""
    for fault in (
        KitError("It sank.", where="here", hint="swim."),
        UnknownNameError("table", "bassin", ["basin"]),
    ):
        back = pickle.loads(pickle.dumps(fault))
        assert type(back) is type(fault)
        assert str(back) == str(fault)
        assert (back.what, back.where, back.hint) == (fault.what, fault.where, fault.hint)
