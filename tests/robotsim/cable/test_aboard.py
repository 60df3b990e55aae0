"""Aboard and the doctor, against the plugged tug: what is copied, kept, run and taken back."""

from __future__ import annotations

import json
import os
import sys
import threading
from collections.abc import Iterator
from pathlib import Path

import pytest

from robotsim import KitError, Whose
from robotsim.cable import aboard as module
from robotsim.cable import ports, register
from robotsim.cable.aboard import LIST, WHEELS, aboard, copy
from robotsim.cable.client import BoardFault, Client, digest
from robotsim.cable.doctor import examine, flash_firmware
from robotsim.cable.plug import Plug
from robotsim.commands import main
from tests.robotsim.cable.plugs import plugged

pytestmark = pytest.mark.skipif(
    sys.platform != "linux", reason="the interpreter is packaged for Linux alone"
)
DRIVES = """
import time
from machine import PWM, Pin
from settings import PINS

left = PWM(Pin(PINS["left_ahead"]), freq=20000)
try:
    for k in range(3):
        left.duty_u16(40000)
        print("round", k)
        time.sleep(0.1)
    with open("log.txt", "w") as log:
        log.write("ahoy")
finally:
    left.duty_u16(0)
"""


@pytest.fixture(scope="module")
def plug(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Plug]:
    with plugged(tmp_path_factory.mktemp("aboard") / "flash", serial=2) as found:
        yield found


@pytest.fixture
def bare(plug: Plug) -> Plug:
    """The same tug with nothing on its flash."""
    for path in plug.order.flash.iterdir():
        path.unlink()
    return plug


@pytest.fixture
def ready_already(monkeypatch: pytest.MonkeyPatch) -> None:
    """Leave out the look of `ready`, which has its own tests and takes its time."""

    class Fine:
        ready = True

    monkeypatch.setattr(module, "ready", lambda *_, **__: Fine())


def test_a_program_goes_aboard_runs_and_its_log_comes_back(
    bare: Plug, capsys: pytest.CaptureFixture[str]
) -> None:
    done = aboard("go.py", port=bare.port, files={"go.py": DRIVES}, whose=Whose.OWN)
    assert done.copied == ("main.py", "settings.py") and done.ended == "finished"
    assert "settings.py is that of the tug as drawn, for none lies beside the program" in str(done)
    assert [text for _, text in done.printed] == ["round 0", "round 1", "round 2"]
    times = [time for time, _ in done.printed]
    assert times == sorted(times) and times[2] - times[0] > 0.1
    assert done.wrote == {"log.txt": "ahoy"}
    shown = capsys.readouterr().out
    assert shown.startswith(WHEELS) and "wheels still off the table" in shown
    assert (bare.order.flash / "main.py").read_text() == DRIVES
    assert not (bare.order.flash / "secrets.py").exists()


@pytest.mark.usefixtures("ready_already")
def test_only_what_has_changed_is_copied_and_what_is_not_the_kits_is_kept(bare: Plug) -> None:
    flash = bare.order.flash
    (flash / "main.py").write_text("theirs = 1\n")
    (flash / "settings.py").write_text("PINS = {}  # measured\n")
    files = {"main.py": "print('a')\n"}
    first = aboard(port=bare.port, files=files, run=False)
    assert first.kept == {"main.py": "earlier-1-main.py"}
    assert (flash / "earlier-1-main.py").read_text() == "theirs = 1\n"
    assert (flash / "settings.py").read_text() == "PINS = {}  # measured\n"  # no template over it
    assert "The settings.py on the board stays as it is" in str(first)
    own = aboard(port=bare.port, run=False,
                 files={**files, "settings.py": "PINS = {}  # measured\n"})  # fmt: skip
    assert not own.settings and "settings.py" in own.same
    twin = aboard(port=bare.port, files=files, run=False, tug={"lamps": 8}, anyway=True)
    assert "settings.py" in twin.copied and "is that of a tug of yours; as drawn" in str(twin)
    again = aboard(port=bare.port, files=files, run=False)
    assert again.copied == () and "main.py" in again.same and not again.kept
    changed = aboard(port=bare.port, files={"main.py": "print('b')\n"}, run=False)
    assert changed.copied == ("main.py",) and not changed.kept  # the kit's own may be replaced
    (flash / "main.py").write_text("by hand = 2\n")
    kept = aboard(port=bare.port, files=files, run=False)
    assert kept.kept == {"main.py": "earlier-2-main.py"}


@pytest.mark.usefixtures("ready_already")
def test_secrets_go_only_from_a_file_that_was_named(
    bare: Plug, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    files = {"main.py": "import secrets\n", "secrets.py": "NETWORKS = [('simulated', 'x')]\n"}
    aboard(port=bare.port, files=files, run=False)
    assert not (bare.order.flash / "secrets.py").exists()
    assert "main.py imports secrets.py, which stays here" in capsys.readouterr().out
    (tmp_path / "mine.py").write_text("NETWORKS = [('real', 'y')]\n")
    aboard(port=bare.port, files=files, run=False, secrets=tmp_path / "mine.py")
    assert "real" in (bare.order.flash / "secrets.py").read_text()
    with pytest.raises(KitError, match="secrets cannot be read"):
        aboard(port=bare.port, files=files, run=False, secrets=tmp_path / "none.py")


def test_what_is_not_ready_is_not_copied(bare: Plug) -> None:
    files = {"main.py": "import numpy\n"}
    with pytest.raises(KitError, match="not copied: .*numpy"):
        aboard(port=bare.port, files=files, whose=Whose.OWN)
    assert not (bare.order.flash / "main.py").exists()


@pytest.mark.usefixtures("ready_already")
def test_time_is_up_an_error_and_a_stop_leave_the_motors_off(bare: Plug) -> None:
    endless = DRIVES.replace("range(3)", "range(10**6)").replace("    left.duty_u16(0)", "    pass")
    late = aboard(port=bare.port, files={"main.py": endless}, seconds=0.5)
    assert late.ended == "time is up" and late.printed and not late.fault
    assert "with the next power-on or reset it starts by itself" in str(late)
    wrong = aboard(port=bare.port, files={"main.py": "print('x')\n1 / 0\n"})
    assert wrong.ended == "error" and 'File "main.py", line 2' in wrong.fault
    assert "<stdin>" not in wrong.fault
    with Client(bare.port) as client:
        stop = threading.Event()
        stop.set()
        assert client.run(endless, 30, lambda *_: None, stop) == "stopped"
        client.let_go()
    world = bare.tug.world
    assert all(signal.duty == 0 for _, signal in world._put.values())


def test_a_cable_that_is_pulled_while_it_copies_leaves_whole_files(
    bare: Plug, monkeypatch: pytest.MonkeyPatch
) -> None:
    old, new = b"old = 1\n" * 50, b"new = 2\n" * 400
    with Client(bare.port) as client:
        copy(client, {"main.py": old})
    for after in range(1, 8, 2):
        client = Client(bare.port)
        sends, real = iter(range(after)), client._wire.exec

        def exec_and_go(*words: object, sends=sends, real=real, client=client) -> bytes:  # type: ignore[no-untyped-def]
            if next(sends, None) is None:
                client._wire.serial.close()
            return real(*words)

        client._wire.exec = exec_and_go
        with pytest.raises(KitError):
            copy(client, {"main.py": new})
        found = (bare.order.flash / "main.py").read_bytes()
        assert digest(found) in (digest(old), digest(new))
    with Client(bare.port) as client:
        done = copy(client, {"main.py": new})
    assert (bare.order.flash / "main.py").read_bytes() == new and not done.kept
    assert json.loads((bare.order.flash / LIST).read_text())["main.py"] == digest(new)


@pytest.mark.usefixtures("ready_already")
def test_ctrl_c_while_it_copies_leaves_whole_files_and_no_half_ones(
    bare: Plug, monkeypatch: pytest.MonkeyPatch
) -> None:
    aboard(port=bare.port, files={"main.py": "old = 1\n"}, run=False)
    real = Client.write

    def pressed(client: Client, name: str, data: bytes) -> None:
        client._wire.fs_writefile(f"{name}.part", data[: len(data) // 2], chunk_size=64)
        monkeypatch.setattr(Client, "write", real)
        raise KeyboardInterrupt

    monkeypatch.setattr(Client, "write", pressed)
    new = {"main.py": "new = 2\n" * 100}
    with pytest.raises(KitError, match="stopped while it copied"):
        aboard(port=bare.port, files=new, run=False)
    assert (bare.order.flash / "main.py").read_text() == "old = 1\n"
    assert not list(bare.order.flash.glob("*.part"))
    (bare.order.flash / "main.py.part").write_text("half")  # the cable was pulled, say
    assert aboard(port=bare.port, files=new, run=False).copied == ("main.py",)
    assert not list(bare.order.flash.glob("*.part"))


@pytest.mark.usefixtures("ready_already")
def test_settings_of_a_tug_that_is_wired_otherwise_are_not_replaced_in_silence(bare: Plug) -> None:
    other = {"main.py": "", "settings.py": 'PINS = {"left_ahead": 32, "arm": 18}\n'}
    drawn = {"main.py": "", "settings.py": 'PINS = {"left_ahead": 25, "arm": 18}\n'}
    aboard(port=bare.port, files=other, run=False)
    with pytest.raises(KitError, match="have left_ahead on pin 32; .* on pin 25"):
        aboard(port=bare.port, files=drawn, run=False)
    assert "32" in (bare.order.flash / "settings.py").read_text()
    aboard(port=bare.port, files=drawn, run=False, anyway=True)
    assert "25" in (bare.order.flash / "settings.py").read_text()
    same = {"main.py": "", "settings.py": 'PINS = {"left_ahead": 25}\nLEFT_EFFORT = 0.4\n'}
    assert "settings.py" in aboard(port=bare.port, files=same, run=False).copied


def test_the_plugged_tug_gets_no_firmware(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    tug = register.Plugged("P", 2, "flash")
    monkeypatch.setattr(ports, "plugged_in", lambda: [tug])
    (tmp_path / "board.bin").write_bytes(b"\xe9\x03")
    with pytest.raises(KitError, match="plugged tug: no firmware"):
        flash_firmware("P", str(tmp_path / "board.bin"), "0x1000")


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["cable", "--flash", "none.bin", "--port", "P"], "cannot be read: No such file"),
        (["fit", "tug.json", "--leg", "0.5,0.5,1"], "add --survey"),
        (["fit", "none.json", "--survey"], "cannot be read"),
        (["aboard", "a.py", "--port", "P"], "--anyway copies it all the same"),
        (["aboard", "a.py", "--port", "P", "--seconds", "0"], "--seconds 10; --only-copy only"),
        (["export", "a.py", "there"], "or say --replace"),
    ],
)
def test_a_terminal_is_told_in_a_terminals_words(
    words: list[str], told: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:  # fmt: skip
    monkeypatch.chdir(tmp_path)
    Path("a.py").write_text("import numpy\n" if words[0] == "aboard" else "x = 1\n")
    Path("there").mkdir()
    Path("there", "main.py").write_text("mine")
    assert main(words) == 1
    shown = capsys.readouterr().err
    assert told in shown and "=" not in shown.replace("==", ""), shown


def test_a_cable_that_is_pulled_in_a_run_is_told_as_that(tmp_path: Path) -> None:
    """And nobody is asked whether it is a board: a moment ago it was."""
    with plugged(tmp_path / "flash") as pulled, Client(pulled.port) as client:
        text = "import time\nfor k in range(600):\n    print(k)\n    time.sleep(0.1)\n"
        with pytest.raises(KitError, match="The board has gone while its program ran") as told:
            client.run(text, 60.0, lambda at, row: pulled.pull())
        assert "motor power off" in told.value.hint and "?" not in told.value.hint
        with pytest.raises(KitError, match="The board has gone") as told:
            client.files()
        assert "put the cable in again" in told.value.hint and "?" not in told.value.hint


def test_a_list_that_is_rubbish_counts_for_nothing(bare: Plug) -> None:
    (bare.order.flash / LIST).write_text("[1, 2")
    (bare.order.flash / "main.py").write_text("theirs\n")
    with Client(bare.port) as client:
        assert copy(client, {"main.py": b"ours\n"}).kept == {"main.py": "earlier-1-main.py"}


# -- finding a board ---------------------------------------------------------------------


def test_the_doctor_tells_what_is_on_the_board(bare: Plug) -> None:
    found = [str(one) for one in examine(bare.port)]
    assert any("firmware: micropython 1.29.0" in row for row in found)
    assert any("KiB free, 0 files" in row for row in found) and any("clock" in row for row in found)


@pytest.mark.slow
def test_the_command_finds_the_plug_by_itself(
    bare: Plug, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(register, "plugged_in",
                        lambda: [register.Plugged(bare.port, 2, "flash")])  # fmt: skip
    monkeypatch.setattr(ports, "plugged_in", register.plugged_in)
    (tmp_path / "go.py").write_text("print('by command')\n")
    words = ["aboard", str(tmp_path / "go.py"), "--seconds", "5"]
    assert main([*words, "--programs-may-reach-this-computer"]) == 0
    assert "by command" in capsys.readouterr().out
    (tmp_path / "go.py").write_text("with open('log.txt', 'w') as log: log.write('ahoy')\n")
    taken = tmp_path / "taken"
    words += ["--programs-may-reach-this-computer"]
    assert main(words) == 0
    assert "log.txt, 4 characters: --take FOLDER" in capsys.readouterr().out
    (bare.order.flash / "log.txt").unlink()
    taken.mkdir()
    (taken / "log.txt").write_text("yesterday's")
    assert main([*words, "--take", str(taken)]) == 0
    assert "kept as log.1.txt" in capsys.readouterr().out
    assert (taken / "log.txt").read_text() == "ahoy"
    assert (taken / "log.1.txt").read_text() == "yesterday's"
    long_ago = 1_000_000_000  # the board's file is of another day, and the program writes the same
    os.utime(bare.order.flash / "log.txt", (long_ago, long_ago))
    assert main([*words, "--take", str(tmp_path / "day2")]) == 0
    assert (tmp_path / "day2" / "log.txt").read_text() == "ahoy"
    capsys.readouterr()
    os.utime(bare.order.flash / "log.txt", (long_ago, long_ago))
    assert main([*words, "--take", str(taken)]) == 0
    assert "the very same is in" in capsys.readouterr().out and len(list(taken.iterdir())) == 2
    (tmp_path / "go.py").write_text("print('idle')\n")
    assert main([*words, "--take", str(tmp_path / "day3")]) == 0
    assert "has written no file" in capsys.readouterr().out
    assert main(["cable", "--doctor"]) == 0
    assert "tug-2, plugged in" in capsys.readouterr().out


def test_without_a_board_it_says_what_to_try(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(ports, "plugged_in", lambda: [])
    monkeypatch.setattr("serial.tools.list_ports.comports", lambda: [])
    with pytest.raises(KitError, match="No board") as none:
        ports.choose(None)
    assert "plug" in none.value.hint
    (found,) = examine()
    assert not found.good and "charge" in found.cure
    assert str(found).splitlines()[1].startswith("      Try another cable")
    twice = [ports.Port("A", "one", True), ports.Port("B", "other", True)]
    monkeypatch.setattr(ports, "ports", lambda: twice)
    with pytest.raises(KitError, match="more than one"):
        ports.choose(None)
    gone = FileNotFoundError(2, "No such file or directory")
    assert ports.refused("PORT", gone).hint == "there is A (one); B (other)."


def test_the_doctor_says_nothing_good_of_a_port_that_is_none() -> None:
    (found,) = examine("/dev/tty-of-nobody")
    assert not found.good and found.what.startswith("/dev/tty-of-nobody: There is no such port")


@pytest.mark.parametrize(
    ("fault", "words"),
    [
        (FileNotFoundError(2, "No such file or directory"), "no such port"),
        (PermissionError(13, "Permission denied"), "may not be used by you"),
        (OSError("Could not exclusively lock port /dev/ttyUSB0"), "Another program"),
        (OSError("PermissionError(13, 'Access is denied.')"), "Another program"),
        (OSError(5, "Input/output error"), "cannot be opened"),
    ],
)
def test_each_way_in_which_a_port_refuses_has_its_cure(fault: OSError, words: str) -> None:
    told = ports.refused("/dev/ttyUSB0", fault)
    assert words in told.what and told.hint


def test_a_port_that_is_none_or_busy_is_told(plug: Plug) -> None:
    with pytest.raises(KitError, match="no such port"):
        Client("/dev/tty-of-nobody")
    with Client(plug.port), pytest.raises(KitError, match="Another program"):
        Client(plug.port)


def test_what_the_board_raises_is_told_in_its_words(plug: Plug) -> None:
    with Client(plug.port) as client, pytest.raises(BoardFault, match="ZeroDivisionError"):
        client.do("1 / 0")


def test_firmware_is_written_only_where_a_file_is_given_and_confirmed(tmp_path: Path) -> None:
    file = tmp_path / "board.bin"
    with pytest.raises(KitError, match="cannot be read: No such file"):
        flash_firmware("P", str(file), "0x1000")
    file.write_bytes(b"# read me")
    with pytest.raises(KitError, match="no firmware .* begins with the byte 0xE9"):
        flash_firmware("P", str(file), "0x1000")
    file.write_bytes(b"\xe9\x03\x02")
    with pytest.raises(KitError, match="not 'here'"):
        flash_firmware("P", str(file), "here")
