"""`export`: what it writes runs on a board as it is, and nothing of anybody's is lost."""

from __future__ import annotations

from pathlib import Path

import pytest

from robotsim import PINS, KitError, UnknownNameError, export, run_trial
from robotsim.commands import main
from robotsim.onto import compiles
from robotsim.onto.folder import secrets_template
from robotsim.twin.tug_file import read_tug

FILES = {
    "drive.py": "import settings\nfrom tug import go\ngo(settings.PINS['left_ahead'])\n",
    "tug.py": "def go(pin):\n    print('pin', pin)\n",
    "other.py": "never = 'imported'\n",
}


def test_the_folder_holds_what_the_program_needs_and_runs_as_it_is(tmp_path: Path) -> None:
    told = export("drive.py", tmp_path / "board", files=FILES)
    names = {path.name for path in (tmp_path / "board").iterdir()}
    assert names == {"main.py", "tug.py", "settings.py", "secrets.py", ".gitignore"}
    texts = {p.name: p.read_text(encoding="utf-8") for p in told.folder.glob("*.py")}
    assert all(compiles(name, text) is None for name, text in texts.items())
    made = run_trial(texts, program="main.py", seconds=0.5)
    assert made.problem is None and made.printed[0][1] == f"pin {PINS['left_ahead']}"


def test_settings_give_every_pin_and_secrets_are_ignored_and_hold_none(tmp_path: Path) -> None:
    space: dict[str, object] = {}
    exec(read_tug({}).settings, space)
    assert space["PINS"] == PINS and space["LAMP_ORDER"] == "GRB"
    exec(secrets_template(), space)
    networks = space["NETWORKS"]
    assert isinstance(networks, list) and all(len(pair) == 2 for pair in networks)
    secret = {**FILES, "secrets.py": "NETWORKS = [('pier', 'gull-and-herring')]\n"}
    export("drive.py", tmp_path, files=secret)
    assert "secrets.py" in (tmp_path / ".gitignore").read_text(encoding="utf-8").split("\n")
    assert all("gull" not in path.read_text(encoding="utf-8") for path in tmp_path.iterdir()), (
        "a password left the notebook"
    )


def test_whose_the_settings_are_and_what_is_still_to_do_is_said_and_no_more(
    tmp_path: Path,
) -> None:
    drawn = export("drive.py", tmp_path / "a", files=FILES)
    assert "settings.py is that of the tug as drawn" in str(drawn)
    assert "Fill in secrets.py" not in str(drawn)
    names = ("main.py", "settings.py", "tug.py")
    copies = " ".join((tmp_path / "a" / name).as_posix() for name in names)
    assert f"`mpremote connect PORT fs cp {copies} :`" in str(drawn)
    twin = export("drive.py", tmp_path / "b", files=FILES, tug={"start": {"left": 0.2}})
    assert "settings.py is that of a tug of yours; as drawn in it: the lamps' order, the arm's " \
        "trim, the efforts." in str(twin) and "measured" not in str(twin)  # fmt: skip
    settings = (tmp_path / "b" / "settings.py").read_text()
    assert "as drawn, look at your tug's" in settings and "START = {'left': 0.2}" in settings
    known = {"lamp_order": "RGB", "arm_trim_us": 4, "strength": {"left": 0.9, "right": 1.0}}
    whole = export("drive.py", tmp_path / "d", files=FILES, tug=known)
    assert "settings.py is that of a tug of yours." in str(whole)
    own = {**FILES, "settings.py": read_tug({}).settings, "drive.py": "import settings, secrets\n"}
    told = export("drive.py", tmp_path / "c", files=own)
    assert not told.settings and "Fill in secrets.py: the program imports it." in str(told)
    assert f"{(tmp_path / 'c' / 'secrets.py').as_posix()} :`" in str(told)
    (tmp_path / "c" / "secrets.py").write_text("NETWORKS = []\n")
    assert "Fill in" not in str(export("drive.py", tmp_path / "c", files=own))


def test_exported_twice_it_says_and_holds_the_same(tmp_path: Path) -> None:
    one = export("drive.py", tmp_path / "board", files=FILES)
    held = {path.name: path.read_bytes() for path in one.folder.iterdir()}
    again = export("drive.py", tmp_path / "board", files=FILES)
    assert str(one) == str(again) and not again.kept
    assert held == {path.name: path.read_bytes() for path in one.folder.iterdir()}


def test_what_someone_has_filled_in_is_never_written_over(tmp_path: Path) -> None:
    export("drive.py", tmp_path, files=FILES)
    mine = "LAMP_ORDER = 'RGB'\n"
    (tmp_path / "settings.py").write_text(mine, encoding="utf-8")
    told = export("drive.py", tmp_path, files=FILES, replace=True)
    assert "settings.py" in told.kept
    assert (tmp_path / "settings.py").read_text(encoding="utf-8") == mine


def test_another_program_there_is_not_lost_unless_asked_for(tmp_path: Path) -> None:
    (tmp_path / "main.py").write_text("print('mine')\n", encoding="utf-8")
    with pytest.raises(KitError, match="another main.py"):
        export("drive.py", tmp_path, files=FILES)
    assert [path.name for path in tmp_path.iterdir()] == ["main.py"], "nothing was half written"
    export("drive.py", tmp_path, files=FILES, replace=True)
    assert (tmp_path / "main.py").read_text(encoding="utf-8") == FILES["drive.py"]


@pytest.mark.parametrize(
    ("files", "program", "told"),
    [
        ({"main.py": "match 1:\n    case 1: pass\n"}, "main.py", "main.py, line 1"),
        ({"a.py": "import main\n", "main.py": ""}, "a.py", "another name than main.py"),
    ],
)
def test_what_would_not_run_is_not_exported(
    tmp_path: Path, files: dict[str, str], program: str, told: str
) -> None:
    with pytest.raises(KitError, match=told):
        export(program, tmp_path / "board", files=files)
    assert not (tmp_path / "board").exists()
    with pytest.raises(UnknownNameError):
        export("b.py", tmp_path, files=files)


def test_a_full_disk_leaves_whole_files(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    export("drive.py", tmp_path, files=FILES)
    held = {path.name: path.read_bytes() for path in tmp_path.iterdir()}
    write = Path.write_text

    def full(path: Path, text: str, **more: str) -> int:
        write(path, text[:9], **more)  # type: ignore[arg-type]
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(Path, "write_text", full)
    with pytest.raises(KitError, match="No space left"):
        export("drive.py", tmp_path, files={**FILES, "drive.py": "import tug\n"}, replace=True)
    assert {path.name: path.read_bytes() for path in tmp_path.iterdir()} == held


def test_a_file_in_the_way_is_told(tmp_path: Path) -> None:
    (tmp_path / "board").write_text("a file", encoding="utf-8")
    with pytest.raises(KitError, match="could not be written"):
        export("drive.py", tmp_path / "board", files=FILES)


def test_as_a_command(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    for name, text in FILES.items():
        (tmp_path / name).write_text(text, encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    for folder in ("board", "."):  # it is said where that is, also of a bare name or of none
        assert main(["export", "drive.py", folder]) == 0
        told = capsys.readouterr().out
        assert f"{(tmp_path / folder).as_posix()} is ready to be copied" in told
        assert f"fs cp {(tmp_path / folder / 'main.py').as_posix()} " in told
    beside = export("drive.py", "board", files=FILES)
    assert "board, as seen from this notebook's folder, is ready" in str(beside)
    assert main(["export", str(tmp_path / "none.py"), str(tmp_path / "board")]) == 1
    assert "cannot be read" in capsys.readouterr().err


def test_the_page_on_first_power_up_tells_what_was_asked(
    capsys: pytest.CaptureFixture[str],
) -> None:
    assert main(["powerup"]) == 0
    page = capsys.readouterr().out.lower()
    for words in (
        "wheels off the table", "motor power off while flashing", "current limit", "4.20 v",
        "never unattended", "no port is found", "flashing does not begin", "wait between lines",
        "local codes", "fume extraction", "pinch points",
    ):  # fmt: skip
        assert words in page, words
