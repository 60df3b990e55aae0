"""`--doctor` tells the room: above all from a laptop on which nothing is installed."""

from __future__ import annotations

import json
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from checks import doctor
from checks.commands import main
from checks.doctor import Finding
from checks.room.card import CARD, read_card
from checks.room.join import tell_findings
from tests.checks.room.conftest import Place, Watch, joined, lines
from tests.robotsim.radio.real import RealBroker

ROOT = Path(__file__).resolve().parents[3]
SHARE = shutil.ignore_patterns("__pycache__", "*.md", "*.js", "tests")


@pytest.fixture(scope="module")
def bare(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A checkout without an environment, which this Python is not told of."""
    folder = tmp_path_factory.mktemp("bare")
    for package in ("checks", "robotsim"):
        shutil.copytree(ROOT / package, folder / package, ignore=SHARE)
    (folder / "lessons").mkdir()
    for name in ("lessons/__main__.py", "pyproject.toml"):
        shutil.copy(ROOT / name, folder / name)
    return folder


def examined(bare: Path, *more: str) -> str:
    """Run the launcher's doctor without any package; give what it says."""
    done = subprocess.run([sys.executable, "-I", "-S", "lessons", "--doctor", *more], cwd=bare,
                          capture_output=True, text=True, timeout=240, check=False)  # fmt: skip
    assert (done.returncode, done.stderr) == (1, "")
    return done.stdout


def test_a_laptop_with_nothing_installed_joins_and_is_seen(
    bare: Path, place: Place, tmp_path: Path
) -> None:
    watch, mine = Watch(tmp_path / "room", place), tmp_path / "not" / "yet"
    said = examined(bare, "--folder", str(mine), "--room", place.address, "--alias", "Gull",
                    "--password", place.access.guest)  # fmt: skip
    assert "Gull is not ready (packages, kernel" in said and "Not told: your name" in said
    watch.until(lambda known: bool(known) and known["Gull"].lacking is not None, "Gull")
    (gull,) = watch.screen.room.learners.values()
    assert {"packages", "kernel", "environment"} <= {*(gull.lacking or ())}
    told = watch.screen.journal.path.read_text(encoding="utf-8")
    assert str(tmp_path) not in told and sys.executable not in told
    again = examined(bare, "--folder", str(mine))
    assert "Gull is not ready" in again and "Not told" not in again
    watch.until(lambda _: len(lines(watch.screen.journal.path)) == 2, "the same once more")
    assert len(watch.screen.room.learners) == 1, "the card has kept its key"
    watch.close()


def test_without_a_card_or_a_wish_nobody_is_told(bare: Path, tmp_path: Path) -> None:
    assert "room" not in examined(bare, "--folder", str(tmp_path))
    assert tell_findings(["kernel"], tmp_path) == ""


def few(monkeypatch: pytest.MonkeyPatch, ok: bool) -> None:
    found = Finding("kernel", ok, "of Ada Lovelace", "restart")
    monkeypatch.setattr(doctor, "FINDINGS", (lambda: found,))


@pytest.mark.parametrize("ok", [True, False])
def test_a_card_is_enough_and_the_words_of_a_finding_stay_here(
    our_place: Place, mine: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, ok: bool,
    capsys: pytest.CaptureFixture[str],
) -> None:  # fmt: skip
    few(monkeypatch, ok)
    watch = Watch(tmp_path / "room", our_place)
    joined(mine, our_place.address, our_place.access.guest)
    assert main(["doctor", "--folder", str(mine)]) == (0 if ok else 1)
    words = "Gull is ready." if ok else "Gull is not ready (kernel)."
    assert capsys.readouterr().out.endswith(f"{words}\n")
    watch.until(lambda known: "Gull" in known, "Gull")
    watch.close()
    assert "Ada" not in watch.screen.journal.path.read_text(encoding="utf-8")


@pytest.mark.parametrize(
    ("more", "words"),
    [
        (["--room", "mqtt://x", "--alias", "Gull"], "address is a host"),
        (["--alias", "Gull"], "An alias needs the room's address"),
        (["--room", "{nobody}"], "An alias has 1 to 20 characters"),
        (["--room", "{nobody}", "--alias", "Gull"], "does not answer"),
        (["--room", "{place}", "--alias", "Gull", "--password", "no"], "password is another one"),
    ],
)
def test_what_is_wrong_with_the_room_is_told_and_the_rest_is_said_all_the_same(
    our_place: Place, mine: Path, monkeypatch: pytest.MonkeyPatch, more: list[str], words: str,
    capsys: pytest.CaptureFixture[str],
) -> None:  # fmt: skip
    few(monkeypatch, True)
    places = {"nobody": f"127.0.0.1:{RealBroker.free_port()}", "place": our_place.address}
    assert main(["doctor", "--folder", str(mine), *(m.format(**places) for m in more)]) == 0
    said = capsys.readouterr().out
    assert "This machine is ready." in said and "The room could not be told." in said
    assert words in said and not (mine / CARD).exists()


def test_a_damaged_card_is_told_with_its_place_and_joining_mends_it(
    our_place: Place, mine: Path
) -> None:
    (mine / CARD).write_text(json.dumps({"alias": "Gull"}), encoding="utf-8")
    assert "is damaged" in (said := tell_findings([], mine)) and str(mine) in said
    tell_findings([], mine, our_place.address, "Gull", our_place.access.guest)
    card = read_card(mine)
    assert card is not None and card.holds
