"""What a teacher mistypes costs two lines that say what to try; no command answers with silence."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

from checks.arguments import parser
from checks.commands import _DO, main

COMMANDS = sorted(_DO)


def said(capsys: pytest.CaptureFixture[str], *words: str) -> tuple[int, str]:
    try:
        code = main(words)
    except SystemExit as ended:
        code = int(ended.code or 0)
    shown = capsys.readouterr()
    assert "Traceback" not in shown.err and "usage:" not in shown.err
    return code, shown.out + shown.err


@pytest.mark.parametrize(
    ("words", "guess"),
    [(("cours", "C"), "did you mean `course`?"), (("marks", "C"), "did you mean `mark`?"),
     (("report", "C", "--anonymus"), "did you mean `--anonymous`?"),
     (("mark", "C", "--cores", "0"), "'0' is no number from 1 on"),
     (("mark", "C", "--cores", "many"), "'many' is no number from 1 on"),
     (("second", "C", "--draw", "-3"), "Try: "), (("seats", "C", "--port", "99999"), "is no port"),
     (("course",), "FOLDER"), (("room", "C", "--stuck", "soon"), "'soon' is no number"),
     (("appeal", "C", "a", "b", "--points", "2;5"), "'2;5' is no number"),
     (("report", "C", "drive"), "There is no place for: drive."),
     (("C", "mark"), "did you mean `mark`?"), (("cours", "roster"), "did you mean `course`?"),
     (("C", "mark", "drive"), "The command comes first"),
     (("appeal", "C", "a", "lamps.side", "--why", "the", "lamp", "broke"), "quotation marks"),
     (("collect", "C", "my", "downloads"), "quotation marks"),
     (("collect", "C", "downloads", "1"), "quotation marks"),
     (("course", "C", "class.csv"), "did you mean `--roster class.csv`?"),
     (("demo", "C"), "did you mean `--folder C`?"),
     (("mark", "C", "\u2013agin"), "did you mean `--again`?"),
     (("mark", "C", "--lerner", "a"), "did you mean `--learner`?")],
)  # fmt: skip
def test_a_slip_is_told_with_what_was_probably_meant(
    capsys: pytest.CaptureFixture[str], words: tuple[str, ...], guess: str
) -> None:
    code, shown = said(capsys, *words)
    assert code == 2 and guess in shown and "Try: " in shown
    assert len(shown.splitlines()) == 2


@pytest.mark.parametrize("command", COMMANDS)
def test_only_what_is_needed_is_called_needed(
    command: str, capsys: pytest.CaptureFixture[str]
) -> None:
    (commands,) = (action.choices for action in parser()._actions if action.choices)
    optional = {str(one.metavar) for one in commands[command]._actions if one.nargs in ("*", "?")}
    needed = {str(one.metavar) for one in commands[command]._actions
              if not one.option_strings and one.nargs is None}  # fmt: skip
    if needed:
        shown = said(capsys, command)[1]
        assert all(name in shown for name in needed)
        assert not any(name in shown for name in optional - needed)


@pytest.mark.parametrize("command", [name for name in COMMANDS if name != "doctor"])
def test_a_lesson_in_the_place_of_a_folder_makes_no_folder(
    command: str, tmp_path: Path, capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
) -> None:  # fmt: skip
    monkeypatch.chdir(tmp_path)
    (commands,) = (action.choices for action in parser()._actions if action.choices)
    actions = commands[command]._actions
    if not any(one.metavar == "FOLDER" for one in actions):
        pytest.skip("it asks for no folder")
    more = ["x" for one in actions if not one.option_strings and one.nargs is None][1:]
    first = ["--folder"] if command == "demo" else []
    code, shown = said(capsys, command, *first, "lamps", *more)
    assert code == 1 and "is a lesson's name" in shown and "./lamps" in shown
    assert not list(tmp_path.iterdir())


@pytest.mark.parametrize(
    "words",
    [("mark", "C", "lamps", "drive", "--again", "--learner", "bo"),
     ("mark", "C", "--again", "--learner", "bo", "lamps", "drive"),
     ("mark", "C", "lamps", "--learner", "bo", "drive", "--again"),
     ("mark", "C", "lamps", "\u2014again", "drive", "\u2013learner=bo")],
)  # fmt: skip
def test_lessons_and_options_stand_in_any_order(words: tuple[str, ...]) -> None:
    found = parser().parse_args(words)
    assert (found.lessons, found.again, found.learner) == (["lamps", "drive"], True, ["bo"])


def test_what_is_decided_may_stand_behind_its_points() -> None:
    found = parser().parse_args(["appeal", "C", "--points", "2", "bo", "lamps.side"])
    assert (found.learner, found.task, found.points) == ("bo", "lamps.side", 2.0)
    found = parser().parse_args(["second", "C", "--draw", "5", "filled.csv"])
    assert found.points == Path("filled.csv").absolute()


def test_a_name_that_begins_as_a_home_folder_does_is_a_name(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "~weg").mkdir()
    assert parser().parse_args(["collect", "F", "~weg"]).downloads == tmp_path / "~weg"
    assert parser().parse_args(["report", "~"]).folder == Path.home()
    for lock in ("~$Teilnehmer.xlsx", ".~lock.Teilnehmer.xlsx#"):
        (tmp_path / lock).write_bytes(b"me")
        for words in (("roster", lock, "x.csv"), ("course", "C", "--roster", lock)):
            code, shown = said(capsys, *words)
            assert code == 1 and "lock file" in shown and "name Teilnehmer.xlsx." in shown


def test_a_place_in_which_nothing_can_be_made_is_told(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    if not Path("/proc/self").exists():
        pytest.skip("this system has no folder in which nobody may make files")
    (tmp_path / "list.csv").write_text("id,name\nanna,Anna\n", encoding="utf-8")
    for words, where in ((("roster", str(tmp_path / "list.csv"), "/proc/class.csv"), "class.csv"),
                         (("course", "/proc/kurs", "--roster", str(tmp_path / "list.csv")),
                          "kurs")):  # fmt: skip
        code, shown = said(capsys, *words)
        assert code == 1 and f"Where: /proc/{where}\n" in shown, "not the file that is half written"


def test_a_path_is_told_without_detours(tmp_path: Path) -> None:
    given = str(tmp_path / "a" / ".." / "b")
    assert parser().parse_args(["report", given]).folder == tmp_path.resolve() / "b"


def test_a_decimal_comma_is_read() -> None:
    given = parser().parse_args(["appeal", "C", "anna", "lamps.side", "--points", "2,5"])
    assert given.points == 2.5


@pytest.mark.parametrize("command", ["mark", "feedback", "report", "appeal", "second", "room",
                                     "harbour", "seats", "collect", "back"])  # fmt: skip
def test_a_folder_that_is_not_there_is_told_and_not_made(
    command: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    more = [str(tmp_path)] if command in ("collect", "back") else []
    code, shown = said(capsys, command, str(tmp_path / "C"), *more)
    assert code == 1 and "There is no such folder." in shown and "Try: " in shown
    assert not list(tmp_path.iterdir())


def test_a_folder_of_nearly_that_name_is_offered(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "autumn").mkdir()
    shown = said(capsys, "report", str(tmp_path / "autum"))[1]
    assert f"did you mean {tmp_path / 'autumn'}?" in shown


def test_without_a_word_it_lists_what_it_can_do(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(sys, "argv", ["checks"])
    with pytest.raises(SystemExit):
        main()
    shown = capsys.readouterr().out
    assert all(f"    {name} " in shown for name in COMMANDS)


def test_every_command_that_can_be_told_is_done_by_something() -> None:
    (commands,) = (action.choices for action in parser()._actions if action.choices)
    assert sorted(commands) == COMMANDS
    assert {one.get_default("do") for one in commands.values()} == {*COMMANDS}


@pytest.mark.parametrize("command", ["course", "edition", "paper", "release", "demo", "room"])
def test_a_file_in_the_place_of_a_folder_is_told(
    command: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    roster = tmp_path / "class.csv"
    roster.write_text("id,name\nanna,Anna\n", encoding="utf-8")
    more = {"course": ["--roster", str(roster)], "demo": [], "room": ["--no-browser"]}
    folder = ["--folder", str(roster)] if command == "demo" else [str(roster)]
    code, shown = said(capsys, command, *folder, *more.get(command, []))
    assert code == 1 and "Try: " in shown and str(roster) in shown
    assert roster.read_text(encoding="utf-8") == "id,name\nanna,Anna\n"


@pytest.mark.parametrize("command", ["mark", "feedback", "report", "appeal", "second", "harbour"])
def test_a_folder_that_is_no_course_is_told(
    command: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    code, shown = said(capsys, command, str(tmp_path))
    assert code == 1 and "This is no course folder." in shown and "Try: " in shown
    assert not list(tmp_path.iterdir())


def test_a_workbook_given_as_roster_is_told_how_it_becomes_one(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "class.xlsx").write_bytes(b"PK\x03\x04")
    code, shown = said(capsys, "course", str(tmp_path / "C"), "--roster",
                       str(tmp_path / "class.xlsx"))  # fmt: skip
    assert code == 1 and "python3 checks roster" in shown and not (tmp_path / "C").exists()


def test_a_cluster_without_a_port_is_told_at_once() -> None:
    from checks.marking.cluster import ClusterPool
    from robotsim import KitError

    with pytest.raises(KitError, match="has no port"):
        ClusterPool("localhost")
